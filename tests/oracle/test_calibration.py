"""Calibration against truths that made the readings, and against scipy's least squares."""

import numpy as np
import pytest
from scipy import optimize

from plans import changed, example
from simulator.errors import InputError
from simulator.inventory.calibrate import KNOBS, Adjusted, calibrated
from simulator.inventory.readings import Readings
from simulator.result import run
from simulator.scenario.model import Scenario

MEASURED = ((8, "dominant_height_ft"), (12, "dominant_height_ft"), (12, "quadratic_mean_dbh_in"), (2, "hay_ton_ac"))


def _true() -> Scenario:
    other = changed(changed(example(), "land", site_index_ft=74.0, site_culture=0.90), "pasture", yield_multiplier=1.15)
    return changed(other, "trees", crown_width_multiplier=0.92)


def _readings(plan: Scenario, places: tuple[tuple[int, str], ...], error: float) -> Readings:
    states = run(plan).states
    value = np.array([states[name][year] for year, name in places])
    return Readings(np.array([year for year, _ in places]), [name for _, name in places], value, error * value)


def _by_field(adjusted: tuple[Adjusted, ...]) -> dict[str, Adjusted]:
    return {each.field: each for each in adjusted}


def test_exact_readings_give_the_truth_back() -> None:
    places = (*MEASURED, (14, "light_warm"), (14, "canopy_cover"))
    found = _by_field(calibrated(example(), _readings(_true(), places, 1e-4)).adjusted)
    assert found["site_index_ft"].after == pytest.approx(74.0, rel=2e-3)
    assert found["site_culture"].after == pytest.approx(0.90, rel=2e-3)
    assert found["crown_width_multiplier"].after == pytest.approx(0.92, rel=5e-3)
    assert found["yield_multiplier"].after == pytest.approx(1.15, rel=2e-3)


def test_readings_that_agree_change_nothing() -> None:
    found = calibrated(example(), _readings(example(), MEASURED, 0.05))
    for each in found.adjusted:
        assert each.after == pytest.approx(each.before, rel=1e-3)


def test_vague_readings_move_less_and_are_less_sure_than_sharp_ones() -> None:
    sharp, vague = (
        _by_field(calibrated(example(), _readings(_true(), MEASURED, error)).adjusted) for error in (0.01, 0.3)
    )
    for field, each in sharp.items():
        assert abs(vague[field].after - vague[field].before) < abs(each.after - each.before)
        assert vague[field].standard_error / vague[field].after > each.standard_error / each.after
        doubt = next(knob.doubt for knob in KNOBS if knob.field == field)
        assert vague[field].standard_error / vague[field].after <= doubt * 1.001


def test_a_number_that_nothing_measures_is_left_alone() -> None:
    found = _by_field(calibrated(example(), _readings(_true(), ((12, "dominant_height_ft"),), 0.02)).adjusted)
    assert set(found) == {"site_index_ft"}


def test_a_stated_index_of_the_species_is_what_heights_adjust() -> None:
    stated, true = (changed(example(), "trees", species="longleaf", site_index_ft=index) for index in (75.0, 82.0))
    places = ((8, "dominant_height_ft"), (14, "dominant_height_ft"))
    found = calibrated(stated, _readings(true, places, 1e-4))
    assert [(each.table, each.field) for each in found.adjusted] == [("trees", "site_index_ft")]
    assert found.adjusted[0].after == pytest.approx(82.0, rel=2e-3)
    assert found.left_alone == ()


def test_numbers_that_move_no_prediction_are_left_alone_by_name() -> None:
    height, hay = (12, "dominant_height_ft"), (20, "hay_ton_ac")  # nobody makes hay in year 20
    readings = _readings(_true(), (height,), 0.02)
    two = Readings(np.array([12, 20]), [height[1], hay[1]], np.array([readings.value[0], 1.5]), np.array([1.0, 0.2]))
    found = calibrated(example(), two)
    assert [each.field for each in found.adjusted] == ["site_index_ft"]
    assert found.left_alone == ("pasture.yield_multiplier",)
    dead = Readings(np.array([20]), [hay[1]], np.array([1.5]), np.array([0.2]))
    with pytest.raises(InputError, match=r"none of the numbers.*yield_multiplier"):
        calibrated(example(), dead)


def test_scipy_finds_the_same_minimum() -> None:
    readings = _readings(_true(), ((12, "dominant_height_ft"), (12, "quadratic_mean_dbh_in")), 0.03)

    def misses(logs: np.ndarray) -> np.ndarray:
        index, culture = np.array([68.0, 0.965]) * np.exp(logs)
        plan = changed(example(), "land", site_index_ft=float(index), site_culture=float(culture))
        states = run(plan).states
        predicted = np.array([states[name][year] for name, year in zip(readings.quantity, readings.year, strict=True)])
        return np.concatenate([(readings.value - predicted) / readings.standard_error, logs / 0.12])

    fit = optimize.least_squares(misses, np.zeros(2), diff_step=1e-3)
    found = _by_field(calibrated(example(), readings).adjusted)
    assert found["site_index_ft"].after == pytest.approx(68.0 * np.exp(fit.x[0]), rel=1e-3)
    assert found["site_culture"].after == pytest.approx(0.965 * np.exp(fit.x[1]), rel=1e-3)
    error = np.sqrt(np.diag(np.linalg.inv(fit.jac.T @ fit.jac)))
    assert found["site_index_ft"].standard_error == pytest.approx(error[0] * found["site_index_ft"].after, rel=0.03)
