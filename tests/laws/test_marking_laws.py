"""Marking a mapped stand: what must hold for any map, and point patterns with known answers."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from simulator.events.light import WARM_MONTHS
from simulator.inventory.map_light import COARSE, MapSite, box_of, free_crown_radius_ft, light_without
from simulator.inventory.marking import (
    clark_evans_index,
    marked_to_basal_area,
    marked_to_light,
    marked_to_trees,
    taking_order,
)
from simulator.inventory.stem_map import StemMap
from simulator.parameters.growth import load_light, load_season
from simulator.physics.light import (
    Cell,
    LightCoefficients,
    MappedCrowns,
    OverRows,
    RowCrowns,
    light_profile,
    mapped_light,
    slopes,
)
from simulator.physics.sun import season_rays
from simulator.units import FloatArray

CODES = ("", "", "", "pole", "sawtimber", "chip-and-saw", "pulpwood", "cull")


def _map(x: FloatArray, y: FloatArray, dbh: FloatArray, codes: list[str]) -> StemMap:
    names = [str(i + 1) for i in range(len(x))]
    return StemMap(names, x, y, dbh, 30.0 + 2.5 * dbh, codes, "loblolly")


@st.composite
def maps(draw: st.DrawFn) -> StemMap:
    count = draw(st.integers(5, 60))
    rng = np.random.default_rng(draw(st.integers(0, 10_000)))
    x, y = rng.uniform(0.0, 120.0, (2, count))
    return _map(x, y, rng.uniform(4.0, 16.0, count), [CODES[i] for i in rng.integers(0, len(CODES), count)])


@given(maps())
def test_every_tree_stands_once_in_the_order_and_has_a_reason(stems: StemMap) -> None:
    order = taking_order(stems, free_crown_radius_ft(stems))
    assert sorted(step.tree for step in order) == list(range(len(stems.tree)))
    assert all(step.reason for step in order)


@given(maps())
def test_no_sound_tree_goes_before_a_defective_one(stems: StemMap) -> None:
    order = [stems.code[step.tree] for step in taking_order(stems, free_crown_radius_ft(stems))]
    defects = sum(code in ("cull", "pulpwood") for code in order)
    assert all(code in ("cull", "pulpwood") for code in order[:defects])
    assert order[: order.count("cull")] == ["cull"] * order.count("cull")


@given(maps(), st.integers(0, 60))
def test_so_many_trees_are_left_as_asked(stems: StemMap, leave: int) -> None:
    marking = marked_to_trees(taking_order(stems, free_crown_radius_ft(stems)), leave)
    assert len(stems.tree) - len(marking.taken) == min(leave, len(stems.tree))


@given(maps(), st.floats(0.0, 60.0))
def test_the_least_cut_leaves_no_more_basal_area_than_asked(stems: StemMap, leave_ft2: float) -> None:
    order = taking_order(stems, free_crown_radius_ft(stems))
    taken = marked_to_basal_area(order, stems, leave_ft2).taken
    area = 0.005454154 * stems.dbh_in**2
    assert area.sum() - area[taken].sum() <= leave_ft2 + 1e-6
    if len(taken):
        assert area.sum() - area[taken[:-1]].sum() > leave_ft2


@settings(max_examples=15)
@given(maps(), st.floats(0.1, 0.95))
def test_the_fewest_trees_that_let_the_light_through(stems: StemMap, least: float) -> None:
    site = MapSite(31.0, 18.0, box_of(stems))
    order = taking_order(stems, free_crown_radius_ft(stems))
    taken = marked_to_light(order, lambda gone: light_without(stems, site, gone).mean, least).taken
    assert light_without(stems, site, taken).mean >= least
    if len(taken):
        assert light_without(stems, site, taken[:-1]).mean < least


def test_of_two_that_crowd_the_poorer_goes_then_the_smaller() -> None:
    x, y = np.array([0.0, 3.0, 60.0, 63.0, 120.0]), np.zeros(5)
    dbh = np.array([9.0, 8.0, 9.0, 8.0, 5.0])
    order = taking_order(stems := _map(x, y, dbh, ["", "", "chip-and-saw", "", ""]), free_crown_radius_ft(stems))
    first = {step.tree: step.reason for step in order[:2]}
    assert set(first) == {1, 2}
    assert first[1] == "crowds tree 1, 3 ft off, and is the smaller"
    assert first[2] == "crowds tree 4, 3 ft off, and is the poorer"
    free = "smallest of those that stand free"
    assert [(step.tree, step.reason) for step in order[2:]] == [(4, free), (3, free), (0, free)]


def test_marking_a_random_stand_leaves_it_evenly_spaced() -> None:
    rng = np.random.default_rng(5)
    x, y = rng.uniform(0.0, 400.0, (2, 1500))
    stems = _map(x, y, rng.normal(9.0, 0.5, 1500), [""] * 1500)
    marking = marked_to_trees(taking_order(stems, free_crown_radius_ft(stems)), 300)
    kept = np.delete(np.arange(1500), marking.taken)
    assert clark_evans_index(x, y, (400.0, 400.0)) == pytest.approx(1.0, abs=0.05)
    assert clark_evans_index(x[kept], y[kept], (400.0, 400.0)) > 1.35


def test_the_index_of_evenness_on_patterns_with_known_answers() -> None:
    # Clark & Evans 1954: 2 on a square grid, by its definition, 2.1491 on a triangular one (from memory)
    square = np.arange(20) * 10.0
    x, y = (axis.ravel() for axis in np.meshgrid(square, square))
    assert clark_evans_index(x, y, (200.0, 200.0)) == pytest.approx(2.0)
    row = 10.0 * 3**0.5 / 2.0
    x, y = (axis.ravel() for axis in np.meshgrid(square, np.arange(20) * row))
    shifted = x + np.where(np.round(y / row) % 2 == 1, 5.0, 0.0)
    assert clark_evans_index(shifted, y, (200.0, 20 * row)) == pytest.approx(2.1491, abs=1e-3)


def test_mapped_crowns_on_a_grid_light_the_ground_as_rows_do() -> None:
    # the same trees twice: as rows by the row kernel, which is itself held against a lattice tracer, and as a map
    across, along, radius, height, base, leaves = 20.0, 12.0, 5.5, 50.0, 25.0, 700.0
    sky = season_rays(31.0, WARM_MONTHS, load_season().clearness, COARSE)
    plain = LightCoefficients(*load_light())._replace(trunk_floor=1.0)
    half = np.array([radius])
    rows = RowCrowns(
        np.array([0.0]), half, half, np.array([(height - base) / 2]), np.array([(height + base) / 2]),
        np.array([leaves]), np.array([1.0]), np.array([0.0]), np.array([base]),
    )  # fmt: skip
    points = (np.arange(16) + 0.5) / 16 * across
    by_row = light_profile(
        rows, Cell(np.array(across), np.array(along)), points, OverRows(sky, 0.0), plain, precision="exact"
    )
    x, y = (axis.ravel() for axis in np.meshgrid(np.arange(8) * across, np.arange(12) * along))
    fill = np.ones(len(x))
    crowns = MappedCrowns(x, y, radius * fill, height * fill, base * fill, leaves * fill)
    places = np.array([(px, py) for px in points for py in (np.arange(8) + 0.5) / 8 * along])
    light = mapped_light(crowns, places, (8 * across, 12 * along), slopes(sky, 0.0), plain)
    assert light.mean() == pytest.approx(float(np.mean(by_row)), abs=0.02)


@given(maps())
@settings(max_examples=10)
def test_light_is_a_share_and_open_ground_is_open(stems: StemMap) -> None:
    site = MapSite(31.0, 18.0, box_of(stems))
    everything = np.arange(len(stems.tree))
    assert light_without(stems, site, everything).mean == 1.0
    assert 0.0 <= light_without(stems, site, everything[:0]).mean < 1.0
