"""Fit what is least known about a piece of land to what was measured on it."""

from collections.abc import Mapping
from pathlib import Path
from typing import Final, NamedTuple

import numpy as np

from simulator.errors import InputError, Problem
from simulator.geometry import shares_of_field
from simulator.inventory.readings import Readings
from simulator.parameters.growth import load_tree
from simulator.result import Outcome, run_batch
from simulator.scenario.model import Scenario
from simulator.units import FloatArray

STEP: Final = 0.02
"""Change of each factor, as a share, by which its effect is felt out."""
ROUNDS: Final = 6
CLOSE_ENOUGH: Final = 1e-4
NO_EFFECT: Final = 1e-9
"""Change of a prediction, as a share of its standard error, below which a number has no part in it."""


class Knob(NamedTuple):
    """One adjustable number of a scenario.

    Attributes
    ----------
    table, field
        Where it stands.
    informed_by
        Measured quantities without which it is left alone.
    doubt
        How far it may be off before anything is measured: standard deviation as a share of it [1]. Judgement of
        practice, no source.
    low, high
        Bounds of the schema.
    """

    table: str
    field: str
    informed_by: tuple[str, ...]
    doubt: float
    low: float
    high: float


KNOBS: Final = (
    Knob("land", "site_index_ft", ("dominant_height_ft",), 0.12, 40.0, 110.0),
    Knob("land", "site_culture", ("quadratic_mean_dbh_in", "basal_area_ft2_ac"), 0.12, 0.5, 1.5),
    Knob("trees", "crown_width_multiplier", ("light_warm", "light_cool", "canopy_cover"), 0.15, 0.5, 1.5),
    Knob("pasture", "yield_multiplier", ("forage_lb_ac", "hay_ton_ac"), 0.25, 0.3, 2.0),
)
OF_THE_STAND: Final = ("trees_per_ac", "basal_area_ft2_ac", "canopy_cover")
OWN_SITE_INDEX: Final = Knob("trees", "site_index_ft", ("dominant_height_ft",), 0.12, 20.0, 140.0)
"""Instead of the land's where the scenario states the species' own."""


class Adjusted(NamedTuple):
    """One number before and after, with its standard error."""

    table: str
    field: str
    before: float
    after: float
    standard_error: float


class Calibration(NamedTuple):
    """A fit.

    Attributes
    ----------
    adjusted
        Numbers that the measurements inform.
    before, after
        What the scenario predicts for each measurement, as it was and adjusted, (readings,).
    scenario
        The scenario with the adjusted numbers.
    left_alone
        Numbers, as table.field, that what was measured could inform but that change none of the predictions.
    """

    adjusted: tuple[Adjusted, ...]
    before: FloatArray
    after: FloatArray
    scenario: Scenario
    left_alone: tuple[str, ...]


def calibrated(scenario: Scenario, readings: Readings, beside: Path | None = None) -> Calibration:
    """Adjust a scenario to measurements by least squares, held back by how well each number was known before.

    Parameters
    ----------
    scenario
        The plan as it was carried out.
    readings
        What was measured.
    beside
        Folder of the scenario file.

    Returns
    -------
    Calibration
        Each number before and after in its own unit, and its standard error.

    Raises
    ------
    InputError
        Where nothing measured informs any number, or none of those that it could inform changes a prediction.

    Notes
    -----
    Gauss-Newton on the logarithms of the numbers; the sum of squares holds, besides measurements over their standard
    errors, each number's change over its prior doubt, so that one reading cannot carry a number far. The standard
    error of a number is that of the linearised fit; it knows nothing of faults in the model itself.

    References
    ----------
    Least squares with a prior, Gauss-Newton steps: common practice; re-derived. The doubts are judgement.
    """
    knobs, dead = _felt(scenario, _informed(scenario, readings), readings, beside)
    start = np.array([_value(scenario, knob) for knob in knobs])
    doubt = np.array([knob.doubt for knob in knobs])
    low, high = (np.array([getattr(knob, end) for knob in knobs]) for end in ("low", "high"))
    shift = np.zeros(len(knobs))
    before = _predicted([scenario], readings, beside)[0]
    for _ in range(ROUNDS):
        predicted, slope = _felt_out(scenario, knobs, start * np.exp(shift), readings, beside)
        scaled = slope / readings.standard_error[:, None]
        misfit = (readings.value - predicted) / readings.standard_error
        square = scaled.T @ scaled + np.diag(doubt**-2.0)
        step = np.linalg.solve(square, scaled.T @ misfit - shift / doubt**2)
        moved = np.log(np.clip(start * np.exp(shift + step), low, high) / start)
        shift, change = moved, float(np.abs(moved - shift).max())
        if change < CLOSE_ENOUGH:
            break
    values = start * np.exp(shift)
    final = _with(scenario, knobs, values)
    _, slope = _felt_out(scenario, knobs, values, readings, beside)
    scaled = slope / readings.standard_error[:, None]
    error = np.sqrt(np.diag(np.linalg.inv(scaled.T @ scaled + np.diag(doubt**-2.0)))) * values
    adjusted = tuple(
        Adjusted(knob.table, knob.field, float(was), float(now), float(spread))
        for knob, was, now, spread in zip(knobs, start, values, error, strict=True)
    )
    return Calibration(adjusted, before, _predicted([final], readings, beside)[0], final, tuple(dead))


def _informed(scenario: Scenario, readings: Readings) -> list[Knob]:
    measured = set(readings.quantity)
    own = scenario.trees is not None and scenario.trees.site_index_ft is not None
    all_knobs = [OWN_SITE_INDEX if own and knob.field == "site_index_ft" else knob for knob in KNOBS]
    knobs = [
        knob for knob in all_knobs if measured & set(knob.informed_by) and (knob.table == "pasture" or scenario.trees)
    ]
    if not knobs:
        remedy = "Measure heights, diameters, light or forage; counts of trees alone adjust nothing."
        raise InputError([Problem("quantity", "nothing measured informs any number of the scenario", "", remedy)])
    return knobs


def _felt(
    scenario: Scenario, knobs: list[Knob], readings: Readings, beside: Path | None
) -> tuple[list[Knob], list[str]]:
    """Numbers that change a prediction, and the names of those that change none."""
    start = np.array([_value(scenario, knob) for knob in knobs])
    _, slope = _felt_out(scenario, knobs, start, readings, beside)
    moved = np.abs(slope / readings.standard_error[:, None]).max(axis=0) > NO_EFFECT
    dead = [f"{knob.table}.{knob.field}" for knob, felt in zip(knobs, moved, strict=True) if not felt]
    if not moved.any():
        rule = f"changes with none of the numbers that it could inform: {', '.join(dead)}"
        remedy = "Measure later years, or what the plan really has: forage needs grass, light needs trees."
        raise InputError([Problem("quantity", rule, "", remedy)])
    return [knob for knob, felt in zip(knobs, moved, strict=True) if felt], dead


def _value(scenario: Scenario, knob: Knob) -> float:
    value = getattr(getattr(scenario, knob.table), knob.field)
    if value is not None:
        return float(value)
    # only the site culture has a default that the species decides
    culture = load_tree(scenario.trees.species if scenario.trees else "loblolly").site_culture
    return float(culture.pasture if scenario.land.former_use == "pasture" else culture.cutover)


def _with(scenario: Scenario, knobs: list[Knob], values: FloatArray) -> Scenario:
    changes: dict[str, dict[str, float]] = {}
    for knob, value in zip(knobs, values, strict=True):
        changes.setdefault(knob.table, {})[knob.field] = float(value)
    parts: Mapping[str, object] = {
        table: getattr(scenario, table).model_copy(update=fields) for table, fields in changes.items()
    }
    return scenario.model_copy(update=dict(parts))


def _felt_out(
    scenario: Scenario, knobs: list[Knob], values: FloatArray, readings: Readings, beside: Path | None
) -> tuple[FloatArray, FloatArray]:
    """Predictions, and their change with the logarithm of each number.

    Parameters
    ----------
    scenario
        The plan.
    knobs
        Numbers that are adjusted.
    values
        Their values, each in its unit, (knobs,).
    readings
        What was measured.
    beside
        Folder of the scenario file.

    Returns
    -------
    tuple of FloatArray
        Predictions in the unit of each reading, (readings,), and slopes, (readings, knobs).

    References
    ----------
    Central difference: common practice.
    """
    plans = [_with(scenario, knobs, values)]
    for place in range(len(knobs)):
        for way in (STEP, -STEP):
            stepped = values.copy()
            stepped[place] *= np.exp(way)
            plans.append(_with(scenario, knobs, stepped))
    found = _predicted(plans, readings, beside)
    return found[0], ((found[1::2] - found[2::2]) / (2.0 * STEP)).T


def _predicted(plans: list[Scenario], readings: Readings, beside: Path | None) -> FloatArray:
    """What each plan predicts for each reading, (plans, readings), all on the exact light path."""
    outcomes = run_batch(plans, beside, precision="exact")
    places = list(zip(readings.quantity, readings.year.tolist(), strict=True))
    return np.array([[_among_rows(outcome, name)[year] for name, year in places] for outcome in outcomes])


def _among_rows(outcome: Outcome, quantity: str) -> FloatArray:
    """A quantity by year as plots find it: trees are measured where the rows are, not over ponds and headlands."""
    share = shares_of_field(outcome.scenario).rows if quantity in OF_THE_STAND else 1.0
    return np.asarray(outcome.states[quantity] / share)
