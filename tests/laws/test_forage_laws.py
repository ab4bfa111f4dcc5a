"""Laws that grass, herds and straw obey whatever the numbers."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from simulator.errors import ParameterError
from simulator.parameters.pasture import load_animals, load_grass, load_hay, load_straw
from simulator.physics.animals import breeding_year, carrying_head, whole_herd
from simulator.physics.forage import (
    establishment_share,
    light_response,
    litter_response,
    monthly_growth_lb,
    next_stand_share,
    open_yield_lb_ac,
    root_response,
)
from simulator.physics.grazing import grazing_tree_loss_share, monthly_grazing
from simulator.physics.hay import hay_ton_ac
from simulator.physics.straw import straw_yield_lb_ac
from simulator.units import FloatArray

GRASS = load_grass("bahiagrass")
CATTLE = load_animals("cattle")
SHARES = st.floats(0.0, 1.0)
POUNDS = st.floats(0.0, 1.0e4)


def _months(candidates: int) -> st.SearchStrategy[FloatArray]:
    return arrays(np.float64, (candidates, 12), elements=POUNDS)


@given(SHARES, SHARES)
def test_more_light_never_grows_less(one: float, other: float) -> None:
    low, high = sorted((one, other))
    dim, bright = light_response(np.array([low, high]), GRASS.shade)
    assert 0.0 <= dim <= bright <= 1.0 + 1e-12


def test_light_ends() -> None:
    compensation = GRASS.shade.compensation_light
    np.testing.assert_allclose(light_response(np.array([0.0, compensation, 1.0]), GRASS.shade), [0.0, 0.0, 1.0])


@given(arrays(np.float64, 9, elements=st.floats(0.2, 1.0)))
def test_uneven_light_grows_less_than_its_mean(light: FloatArray) -> None:
    """Jensen: above the compensation point the response bends down, so the profile must be averaged last."""
    profile = light_response(light, GRASS.shade).mean()
    assert profile <= light_response(light.mean(), GRASS.shade) + 1e-12


@given(st.floats(0.0, 3.0), st.floats(0.0, 1.0e4))
def test_roots_and_litter_only_take(crowding: float, needles: float) -> None:
    assert 1.0 - GRASS.shade.root_loss - 1e-12 <= root_response(crowding, GRASS.shade) <= 1.0
    assert 1.0 - GRASS.litter.most_loss - 1e-12 <= litter_response(needles, GRASS.litter) <= 1.0


@given(st.floats(0.0, 400.0), st.floats(0.1, 100.0))
def test_nitrogen_pays_less_and_less(nitrogen: float, step: float) -> None:
    low, middle, high = open_yield_lb_ac(nitrogen + step * np.arange(3), GRASS.open_yield)
    assert low < middle < high
    assert high - middle < middle - low


@given(SHARES, SHARES)
def test_stand_stays_in_bounds_and_follows_the_light(stand: float, light: float) -> None:
    least = GRASS.persistence.least_share
    left, sown = next_stand_share(stand, light, GRASS.persistence, reseeded=np.array([False, True]))
    assert least <= left <= sown <= 1.0
    if light < GRASS.persistence.threshold_light:
        assert left == sown <= max(stand, least)
    else:
        assert left >= stand


@given(SHARES, st.floats(0.0, 0.95), st.floats(0.001, 0.05))
def test_a_little_more_light_never_moves_a_sward_by_much(stand: float, light: float, more: float) -> None:
    """Neither a cliff just under the threshold nor a miracle just above: the whole range of rates takes a distance."""
    grass = load_grass("bermudagrass").persistence
    one, other = next_stand_share(stand, [light, light + more], grass)  # type: ignore[arg-type]
    assert one <= other + 1e-12
    steepest = (grass.yearly_thinning + grass.yearly_recovery) / grass.full_rate_distance
    assert other - one <= steepest * more + 1e-9


def test_three_dark_years_lose_the_stand_and_light_brings_it_back() -> None:
    stand = np.ones(2)
    for _ in range(3):
        stand = next_stand_share(stand, np.array([0.10, 0.60]), GRASS.persistence)
    assert stand[0] < 1.0 / 3.0
    assert stand[1] == 1.0
    years = 0
    while stand[0] < 1.0:
        stand = next_stand_share(stand, 0.60, GRASS.persistence)
        years += 1
    assert 3 <= years <= 8


@given(arrays(np.float64, (3,), elements=POUNDS))
def test_months_add_up_to_the_year(yearly: FloatArray) -> None:
    months = monthly_growth_lb(yearly, GRASS.season)
    assert months.shape == (3, 12)
    np.testing.assert_allclose(months.sum(axis=-1), yearly, atol=1e-9)


def test_sowing_takes_a_year() -> None:
    shares = establishment_share(np.array([0.0, 1.0, 2.0, 1.0e6]), GRASS.establishment)
    np.testing.assert_allclose(shares, [0.0, GRASS.establishment.yearly_share[0], 1.0, 1.0])


@given(_months(3), _months(1), SHARES, SHARES, POUNDS, SHARES)
def test_grown_is_cut_eaten_standing_or_lost(
    growth: FloatArray, demand: FloatArray, utilisation: float, kept: float, standing: float, hay_share: float
) -> None:
    cut = growth * hay_share
    year = monthly_grazing(growth - cut, demand, utilisation, kept, standing)
    assert year.eaten_lb.shape == year.short_lb.shape == (3, 12)
    for part in year:
        assert np.all(part >= -1e-6)
    np.testing.assert_allclose(
        cut.sum(axis=-1) + year.eaten_lb.sum(axis=-1) + year.standing_lb + year.lost_lb,
        growth.sum(axis=-1) + standing,
        atol=1e-6,
    )
    np.testing.assert_allclose(year.eaten_lb + year.short_lb, np.broadcast_to(demand, (3, 12)), atol=1e-9)


@given(_months(1), _months(1), st.floats(0.1, 0.9), st.floats(0.0, 0.8))
def test_what_is_eaten_was_usable(growth: FloatArray, demand: FloatArray, utilisation: float, kept: float) -> None:
    year = monthly_grazing(growth, demand, utilisation, kept)
    assert np.all(np.cumsum(year.eaten_lb, axis=-1) <= utilisation * np.cumsum(growth, axis=-1) + 1e-6)
    better = monthly_grazing(growth, demand, utilisation, kept + 0.2)
    assert better.eaten_lb.sum() >= year.eaten_lb.sum() - 1e-6


@given(st.floats(0.0, 500.0), st.integers(0, 400), st.integers(0, 20), st.integers(20, 400), SHARES)
def test_herds_are_whole_and_change_slowly(
    target: float, previous: int, minimum: int, maximum: int, change: float
) -> None:
    herd = float(whole_herd(target, previous, minimum, maximum, change))
    assert herd == int(herd)
    assert herd == 0.0 or minimum <= herd <= maximum
    step = max(1, int(change * previous))
    if 0 < previous <= maximum and herd > 0.0:
        assert abs(herd - previous) <= step
    if previous == 0:
        stocked = min(int(target), maximum)
        assert herd == (stocked if stocked >= minimum else 0)


def test_herds_of_many_candidates_at_once() -> None:
    herd = whole_herd(np.array([10.7, 30.0, 0.0]), np.array([0.0, 20.0, 5.0]), 2.0, 40.0, 0.25)
    np.testing.assert_array_equal(herd, [10.0, 25.0, 4.0])


@given(st.floats(1.0, 500.0))
def test_a_steady_herd_replaces_itself(cows: float) -> None:
    assert CATTLE.herd is not None
    year = breeding_year(cows, CATTLE.herd)
    assert year.young_kept == pytest.approx(float(year.females_culled + year.females_lost))
    assert year.males >= cows / CATTLE.herd.females_per_male


@given(st.floats(100.0, 6000.0), st.floats(1.0, 500.0), st.floats(3.0, 12.0))
def test_carried_head_eat_what_is_usable(usable: float, acres: float, months: float) -> None:
    head = carrying_head(usable, acres, months, 790.0)
    assert head * months * 790.0 == pytest.approx(usable * acres)


@given(st.integers(1, 10), SHARES)
def test_harm_to_young_trees_falls_with_age(year: int, utilisation: float) -> None:
    open_gate = np.array([False, False])
    now, later = grazing_tree_loss_share(np.array([year, year + 1.0]), open_gate, utilisation, CATTLE.tree_damage)
    assert 0.0 <= later <= now <= 1.0
    assert grazing_tree_loss_share(year, np.array([True]), utilisation, CATTLE.tree_damage) == (
        CATTLE.tree_damage.passed_gate_loss
    )


@given(st.floats(0.0, 200.0), st.floats(0.0, 60.0))
def test_straw_never_passes_its_ceiling(basal_area: float, age: float) -> None:
    yearly = load_straw("loblolly").yearly
    straw = straw_yield_lb_ac(basal_area, age, yearly)
    assert 0.0 <= straw <= min(yearly.ceiling_lb_ac, yearly.slope_lb_ft2 * basal_area) + 1e-6


@given(st.floats(0.0, 12000.0))
def test_hay_is_less_than_the_grass(forage: float) -> None:
    chain = load_hay().chain
    assert hay_ton_ac(forage, chain) * 2000.0 * chain.dry_matter_share <= forage


def test_unknown_grass_is_named() -> None:
    with pytest.raises(ParameterError, match="bahiagrass"):
        load_grass("moss")
