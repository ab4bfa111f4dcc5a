"""What holds for rows on any field, in any direction."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import rotate, translate

from fields import feature, field, plan, trees_on_map
from simulator.errors import InputError
from simulator.ground import Layout, Options, lay_out
from simulator.ground.rows import NUDGE_FT
from simulator.scenario.rows import period_ft

OUTLINES = st.lists(st.floats(350.0, 1100.0), min_size=5, max_size=9)
AZIMUTHS = st.floats(0.0, 179.0)
PATTERNS = st.fixed_dictionaries(
    {
        "rows_in_set": st.integers(1, 3),
        "row_gap_ft": st.sampled_from([6.0, 8.0, 10.0]),
        "in_row_ft": st.sampled_from([6.0, 8.0, 12.0]),
        "alley_ft": st.sampled_from([20.0, 42.0, 60.0]),
    }
)


def outline(reaches: list[float]) -> shapely.Polygon:
    """A star-shaped field: every corner is seen from its middle, so no side crosses another."""
    angles = np.linspace(0.0, 2.0 * np.pi, len(reaches), endpoint=False)
    return shapely.Polygon(np.column_stack([np.cos(angles), np.sin(angles)]) * np.array(reaches)[:, None])


def laid_on(shape: shapely.Polygon, azimuth: float, pattern: dict[str, float], *, hole: bool = True) -> Layout:
    rings = [shapely.get_coordinates(shape).tolist()]
    if hole:
        rings.append(shapely.get_coordinates(shape.centroid.buffer(60.0, quad_segs=3)).tolist())
    return lay_out(field(feature(rings)), plan(**pattern), Options(azimuth_deg=azimuth, paddocks=2))


@settings(max_examples=25)
@given(reaches=OUTLINES, azimuth=AZIMUTHS, pattern=PATTERNS)
def test_rows_lie_on_their_ground(reaches: list[float], azimuth: float, pattern: dict[str, float]) -> None:
    laid = laid_on(outline(reaches), azimuth, pattern)
    ground = laid.shapes.workable.buffer(2.0 * NUDGE_FT)
    assert shapely.covers(ground, laid.rows.lines_on_map).all()
    trees = trees_on_map(laid.rows)
    assert len(trees) == laid.rows.trees.sum() == laid.order.spots
    assert shapely.covers(ground, shapely.points(trees)).all()
    field_edge = laid.field.outline.boundary
    assert shapely.distance(field_edge, shapely.points(trees)).min() >= laid.margins.setback_ft - 0.05


@settings(max_examples=25)
@given(reaches=OUTLINES, azimuth=AZIMUTHS, pattern=PATTERNS)
def test_spacing_is_kept(reaches: list[float], azimuth: float, pattern: dict[str, float]) -> None:
    laid = laid_on(outline(reaches), azimuth, pattern)
    rows = laid.rows
    spots = np.split(trees_on_map(rows), np.cumsum(rows.trees)[:-1])
    steps = np.concatenate([np.hypot(*np.diff(row, axis=0).T) for row in spots])
    assert steps == pytest.approx(pattern["in_row_ft"], abs=1e-6)
    apart = np.diff(np.unique(rows.x_ft.round(6)))
    kinds = {pattern["alley_ft"]} | ({pattern["row_gap_ft"]} if pattern["rows_in_set"] > 1 else set())
    near = apart[apart <= max(kinds) + 1e-3]  # a wider step is a line without a row that is long enough
    assert all(min(abs(step - kind) for kind in kinds) < 1e-3 for step in near)
    assert (rows.length_ft >= laid.margins.least_row_ft).all()
    for row in spots:
        off = math.degrees(math.atan2(*(row[-1] - row[0]))) - azimuth
        assert abs(math.sin(math.radians(off))) < 1e-6


@settings(max_examples=25)
@given(reaches=OUTLINES, azimuth=AZIMUTHS, pattern=PATTERNS)
def test_areas_and_lengths_add_up(reaches: list[float], azimuth: float, pattern: dict[str, float]) -> None:
    laid = laid_on(outline(reaches), azimuth, pattern)
    document = laid.document()
    parts = [document[name] for name in ("tree_strip_ac", "alley_ac", "headland_ac", "unusable_ac")]
    assert all(part >= 0.0 for part in parts)
    assert sum(parts) == pytest.approx(document["field_ac"], rel=1e-9)
    assert document["fence"]["perimeter_ft"] == pytest.approx(laid.field.outline.length, rel=1e-9)
    assert 0.0 <= document["edge_row_share"] <= 1.0
    whole = laid.field.outline.difference(laid.field.holes).area / 43560.0
    assert sum(document["paddocks"]["acres"]) == pytest.approx(whole, rel=1e-6)
    # no more trees than the pattern holds on the field and a period around it
    period = period_ft(pattern["rows_in_set"], pattern["row_gap_ft"], pattern["alley_ft"])
    reach = laid.field.outline.buffer(period)
    assert document["trees"] <= pattern["rows_in_set"] * reach.area / (period * pattern["in_row_ft"])


@settings(max_examples=15)
@given(reaches=OUTLINES, azimuth=st.floats(0.0, 89.0), turn=st.floats(1.0, 89.0))
def test_a_field_turned_with_its_rows_holds_the_same(reaches: list[float], azimuth: float, turn: float) -> None:
    shape = outline(reaches)
    other = laid_on(rotate(shape, -turn, origin=(0.0, 0.0)), azimuth + turn, {}, hole=False).document()
    one = laid_on(shape, azimuth, {}, hole=False).document()
    _alike(one, other)


@settings(max_examples=15)
@given(reaches=OUTLINES, azimuth=AZIMUTHS, east=st.floats(-3000.0, 3000.0), north=st.floats(-3000.0, 3000.0))
def test_a_field_moved_holds_the_same(reaches: list[float], azimuth: float, east: float, north: float) -> None:
    shape = outline(reaches)
    _alike(laid_on(shape, azimuth, {}).document(), laid_on(translate(shape, east, north), azimuth, {}).document())


def _alike(one: dict[str, float], other: dict[str, float]) -> None:
    """Within a tree or two a row: the map is laid anew around the field, and a last tree may just fit or just not."""
    assert other["field_ac"] == pytest.approx(one["field_ac"], rel=1e-5)
    assert other["trees"] == pytest.approx(one["trees"], rel=0.01)
    assert other["headland_ac"] == pytest.approx(one["headland_ac"], rel=0.02, abs=0.02)
    assert other["alley_ac"] == pytest.approx(one["alley_ac"], rel=0.01)


@settings(max_examples=30)
@given(width=st.floats(10.0, 130.0), length=st.floats(20.0, 3000.0))
def test_a_small_field_holds_rows_or_says_why_not(width: float, length: float) -> None:
    ring = [[0.0, 0.0], [width, 0.0], [width, length], [0.0, length], [0.0, 0.0]]
    small = width < 42.0 + 20.0 or length < 50.0 + 80.0  # an alley or the least row, and the margins on both sides
    if small:
        with pytest.raises(InputError) as refused:
            lay_out(field(feature([ring])), plan())
        assert all(problem.remedy for problem in refused.value.problems)
    else:
        assert len(lay_out(field(feature([ring])), plan()).rows.trees) >= 1
