"""Rows on shapes whose rows can be counted by hand: rectangle, circle, L, hole; every expectation is plane geometry."""

import math

import numpy as np
import pytest

from fields import SQUARE_FEET_PER_ACRE, feature, field, plan, rectangle
from simulator.ground import Layout, Options, lay_out, magnetic_deg
from simulator.ground.elevation import Heights, slope_of
from simulator.ground.order import order_of
from simulator.ground.passes import passes_of
from simulator.ground.rows import Rows

BARE = Options(headland_ft=0.0, setback_ft=0.0, stream_buffer_ft=0.0, least_row_ft=0.0, end_margin_ft=0.0)
SINGLE = {"rows_in_set": 1, "in_row_ft": 8.0, "alley_ft": 20.0}
STRIP_FT = 5.0
"""Vegetation-free strip of loblolly; see docs/numbers.md."""


def by_line(rows: Rows) -> dict[int, list[float]]:
    lines: dict[int, list[float]] = {}
    for line, length in zip(rows.line, rows.length_ft, strict=True):
        lines.setdefault(int(line), []).append(float(length))
    return lines


def acres_of(laid: Layout) -> float:
    return sum(laid.areas)


def test_rectangle_with_margins() -> None:
    """660 by 1320 ft: 640 ft between the setbacks hold 33 rows 20 ft apart, each 1320 - 2 (10 + 30) = 1240 ft."""
    options = Options(headland_ft=30.0, setback_ft=10.0)
    laid = lay_out(field(feature([rectangle(660.0, 1320.0)])), plan(**SINGLE), options)
    assert len(laid.rows.trees) == 33
    assert laid.rows.length_ft == pytest.approx(1240.0, abs=0.01)
    assert (laid.rows.trees == 156).all()
    assert laid.field.acres == pytest.approx(20.0, abs=1e-6)
    feet2 = np.array(laid.areas) * SQUARE_FEET_PER_ACRE
    strips = (31 * STRIP_FT + 2 * STRIP_FT / 2) * 1240.0  # the outer two lie half in the setback
    headland, setback = 2 * 30.0 * 640.0, 660.0 * 1320.0 - 640.0 * 1300.0
    assert feet2 == pytest.approx([strips, 640.0 * 1240.0 - strips, headland, setback], abs=15.0)
    assert laid.edge_row_share == pytest.approx(2.0 / 33.0, abs=1e-6)


def test_rows_across_the_rectangle_are_the_rows_along_it_turned() -> None:
    along = lay_out(field(feature([rectangle(660.0, 1320.0)])), plan(**SINGLE))
    across = lay_out(field(feature([rectangle(1320.0, 660.0)])), plan(**SINGLE), Options(azimuth_deg=90.0))
    assert across.rows.trees.tolist() == along.rows.trees.tolist()
    assert tuple(across.areas) == pytest.approx(tuple(along.areas), abs=1e-3)


@pytest.mark.parametrize("rows_in_set", [1, 2, 3])
@pytest.mark.parametrize("alley_ft", [20.0, 42.0, 61.5])
def test_sets_that_fit_a_width(rows_in_set: int, alley_ft: float) -> None:
    """No placing of the first row holds more rows than the one taken, tried at every quarter of a foot."""
    width, gap = 700.0, 8.0
    pattern = {"rows_in_set": rows_in_set, "row_gap_ft": gap, "in_row_ft": 8.0, "alley_ft": alley_ft}
    laid = lay_out(field(feature([rectangle(width, 900.0)])), plan(**pattern), BARE)
    period = alley_ft + (rows_in_set - 1) * gap
    most = 0
    for first in np.arange(0.0, period, 0.25):
        x = first + (np.arange(-2, 60)[:, None] * period + np.arange(rows_in_set) * gap).ravel()
        most = max(most, int(((x >= 0.0) & (x <= width)).sum()))
    assert len(laid.rows.trees) == most
    assert laid.rows.length_ft == pytest.approx(900.0, abs=0.01)


def test_circle_rows_are_chords() -> None:
    """A row at distance x from the middle of a circle of radius r is 2 sqrt(r^2 - x^2) long."""
    radius, angle = 700.0, np.linspace(0.0, 2.0 * np.pi, 1441)
    ring = np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])
    laid = lay_out(field(feature([ring.tolist()])), plan(**SINGLE), BARE)
    chord = 2.0 * np.sqrt(radius**2 - laid.rows.x_ft**2)
    assert len(chord) == 2 * radius / 20.0  # 70 rows between edges that are points
    assert laid.rows.length_ft == pytest.approx(chord, abs=0.35)
    assert laid.field.acres == pytest.approx(np.pi * radius**2 / SQUARE_FEET_PER_ACRE, rel=1e-5)


def test_el_has_long_and_short_rows() -> None:
    ring = [[-500, -500], [500, -500], [500, 0], [0, 0], [0, 500], [-500, 500], [-500, -500]]
    laid = lay_out(field(feature([ring])), plan(**SINGLE), BARE)
    middle = step_ft(laid)
    expected = np.where(laid.rows.x_ft <= middle + 0.01, 1000.0, 500.0)
    assert laid.rows.length_ft == pytest.approx(expected, abs=0.01)
    assert len(laid.rows.trees) == 51


def step_ft(laid: Layout) -> float:
    """East end of the outline less its 500 ft arm."""
    return float(laid.field.outline.bounds[2]) - 500.0


def test_a_hole_cuts_its_rows_in_two() -> None:
    """A square hole of 200 ft cuts the rows that meet it; each loses its 200 ft and the setback on both sides."""
    rings = [rectangle(1000.0, 1000.0), rectangle(200.0, 200.0)[::-1]]
    options = BARE._replace(setback_ft=10.0)
    laid = lay_out(field(feature(rings)), plan(**SINGLE), options)
    across = {int(line): float(x) for line, x in zip(laid.rows.line, laid.rows.x_ft, strict=True)}
    for line, lengths in by_line(laid.rows).items():
        off = abs(across[line])
        if off <= 100.0:
            assert lengths == pytest.approx([380.0, 380.0], abs=0.01)
        elif off >= 110.0:
            assert lengths == pytest.approx([980.0], abs=0.01)
    hole, ring = 200.0**2 + 4 * 200.0 * 10.0 + np.pi * 100.0, 1000.0**2 - 980.0**2
    assert laid.areas.unusable_ac * SQUARE_FEET_PER_ACRE == pytest.approx(hole + ring, abs=5.0)
    assert acres_of(laid) == pytest.approx(1e6 / SQUARE_FEET_PER_ACRE, rel=1e-9)


def test_a_hole_is_the_same_as_a_ring_or_as_a_feature() -> None:
    outer, inner = rectangle(1000.0, 1000.0), rectangle(200.0, 200.0)
    ring = lay_out(field(feature([outer, inner])), plan()).document()
    own = lay_out(field(feature([outer]), feature([inner], use="pond")), plan()).document()
    assert {key: own[key] for key in ("trees", "rows", "unusable_ac")} == pytest.approx(
        {key: ring[key] for key in ("trees", "rows", "unusable_ac")}
    )


def test_a_lane_and_a_deck_take_their_ground() -> None:
    plain = lay_out(field(feature([rectangle(1000.0, 1000.0)])), plan(), BARE)
    lane = feature([[-600.0, 0.0], [600.0, 0.0]], "LineString", use="lane", width_ft=20.0)
    deck = feature([0.0, 250.0], "Point", use="deck", acres=0.5)
    laid = lay_out(field(feature([rectangle(1000.0, 1000.0)]), lane, deck), plan(), BARE)
    lost = laid.areas.unusable_ac - plain.areas.unusable_ac
    assert lost == pytest.approx(20.0 * 1000.0 / SQUARE_FEET_PER_ACRE + 0.5, abs=0.002)
    assert laid.rows.trees.sum() < plain.rows.trees.sum()


def test_a_stream_has_its_buffer() -> None:
    stream = feature([[-600.0, 0.0], [600.0, 0.0]], "LineString", use="stream", width_ft=6.0)
    laid = lay_out(field(feature([rectangle(1000.0, 1000.0)]), stream), plan(), BARE._replace(stream_buffer_ft=50.0))
    assert laid.areas.unusable_ac * SQUARE_FEET_PER_ACRE == pytest.approx(106.0 * 1000.0, abs=1.0)


def test_paddocks_of_a_square() -> None:
    """Water in the middle of a square: the farthest walk is half its diagonal; half of it: from fence to corner."""
    square = field(feature([rectangle(1000.0, 1000.0)]))
    one = lay_out(square, plan(), Options(paddocks=1)).paddocks
    assert one.paddocks[0].walk_ft == pytest.approx(500.0 * math.sqrt(2.0), abs=1.0)
    two = lay_out(square, plan(), Options(paddocks=2, paddock_lines="across")).paddocks
    assert [each.acres for each in two.paddocks] == pytest.approx([11.478, 11.478], abs=0.001)
    assert two.fences[0].length == pytest.approx(1000.0, abs=0.01)
    assert max(each.walk_ft for each in two.paddocks) == pytest.approx(500.0 * math.sqrt(2.0), abs=1.0)
    assert (two.proposed, two.gates) == (1, 2)


@pytest.mark.parametrize("paddocks", [1, 4])
def test_a_ring_narrower_than_the_grid_of_troughs(paddocks: int) -> None:
    """A strip of 60 ft around a lake of 3,880 ft: from a trough anywhere in it the farthest corner is over 4,000 ft."""
    ring = field(feature([rectangle(4000.0, 4000.0), rectangle(3880.0, 3880.0)[::-1]]))
    options = Options(setback_ft=5.0, headland_ft=5.0, paddocks=paddocks, paddock_lines="across")
    walks = [each.walk_ft for each in lay_out(ring, plan(), options).paddocks.paddocks]
    assert len(walks) == paddocks
    assert all(walk > 1000.0 for walk in walks)
    assert walks[0] > 4000.0 or paddocks > 1


def test_water_that_is_there_is_used() -> None:
    trough = feature([0.0, 500.0], "Point", use="water")
    laid = lay_out(field(feature([rectangle(1000.0, 1000.0)]), trough), plan())
    assert laid.paddocks.proposed == 0
    assert laid.paddocks.paddocks[0].walk_ft == pytest.approx(math.hypot(500.0, 1000.0), abs=0.1)


def test_cross_fences_stand_in_alleys() -> None:
    laid = lay_out(field(feature([rectangle(1320.0, 1320.0)])), plan(), Options(paddocks=4))
    for fence in laid.paddocks.fences:
        off = np.abs(laid.rows.x_ft - fence.bounds[0])
        assert off.min() == pytest.approx(21.0, abs=0.1)  # half of the alley of 42 ft
    assert [each.acres for each in laid.paddocks.paddocks] == pytest.approx(
        [10.0] * 4,
        abs=2 * 25.0 * 1320.0 / SQUARE_FEET_PER_ACRE,  # each fence up to half a period off
    )


def test_a_fence_over_a_lane_has_a_gate_there_and_one_over_a_deck_is_said() -> None:
    square = feature([rectangle(1000.0, 1000.0)])
    lane = feature([[-300.0, -600.0], [-300.0, 600.0]], "LineString", use="lane")
    options = Options(paddocks=2, paddock_lines="across")
    assert lay_out(field(square), plan(), options).paddocks.gates == 2
    laid = lay_out(field(square, lane), plan(), options)
    assert laid.paddocks.gates == 3
    assert not any(code.startswith("fence") for code, _ in laid.notes)
    deck = feature([0.0, 0.0], "Point", use="deck")
    assert "fence_deck" in dict(lay_out(field(square, deck), plan(), options).notes)


def test_two_pieces_are_one_field_and_that_is_said() -> None:
    other = feature([rectangle(600.0, 300.0, 1500.0)], name="east piece")
    laid = lay_out(field(feature([rectangle(1000.0, 1000.0)]), other), plan())
    assert laid.field.acres == pytest.approx((1e6 + 600.0 * 300.0) / SQUARE_FEET_PER_ACRE, rel=1e-6)
    assert "pieces" in dict(laid.notes)
    assert laid.paddocks.gates == 2


def test_sides_add_up_and_face_outward() -> None:
    fence = feature([[-330.0, -660.0], [-330.0, 660.0]], "LineString", use="fence")
    laid = lay_out(field(feature([rectangle(660.0, 1320.0)]), fence), plan())
    sides = {side.name: side for side in laid.sides}
    assert {name: round(side.length_ft) for name, side in sides.items()} == {
        "north": 660, "east": 1320, "south": 660, "west": 1320,
    }  # fmt: skip
    assert {name: round(side.bearing_deg) % 360 for name, side in sides.items()} == {
        "north": 90, "east": 180, "south": 270, "west": 0,
    }  # fmt: skip
    assert sides["west"].fenced_ft == pytest.approx(1320.0, abs=0.1)


def test_first_row_is_measured_from_a_corner() -> None:
    laid = lay_out(
        field(feature([rectangle(660.0, 1320.0)])), plan(**SINGLE), Options(headland_ft=30.0, setback_ft=10.0)
    )
    first = laid.first
    assert (first.corner.name, first.across_to, first.along_to) == ("south-west", "east", "north")
    assert (first.across_ft, first.along_ft) == pytest.approx((10.0, 40.0), abs=0.01)


@pytest.mark.parametrize(("true", "declination", "magnetic"), [(0, -5, 5), (30, 10, 20), (5, 12, 353), (350, -15, 5)])
def test_compass_bearings(true: float, declination: float, magnetic: float) -> None:
    """East declination is taken off, west is put on: the rule of compass books, from memory."""
    assert magnetic_deg(true, declination) == magnetic


def test_whole_passes() -> None:
    """42 ft less a strip of 5 are 37 ft, 4.1 passes of 9 ft; four passes and the strip are 41 ft."""
    trees = plan().trees
    assert trees is not None
    fit = passes_of(trees.layout, STRIP_FT, "mower", 9.0)
    assert (fit.grass_ft, fit.fitted_passes, fit.fitted_alley_ft) == (37.0, 4, 41.0)
    options = Options(equipment_ft=9.0, fit_alley=True)
    laid = lay_out(field(feature([rectangle(1320.0, 1320.0)])), plan(), options)
    assert laid.trees.layout.alley_ft == 41.0
    assert laid.passes[0].passes == 4.0


def test_order() -> None:
    """7,514 spots, 2 % spare rounded up, whole hundreds; gaps at 80 % survival ask for a fifth again."""
    trees = plan().trees
    assert trees is not None
    plain = order_of(7514, trees, None)
    assert (plain.spare, plain.first_order, plain.living, plain.replant_order) == (151, 7700, 6763, 0)
    filled = order_of(1000, trees.model_copy(update={"survival": 0.8, "replant_below": 0.7}), None)
    assert (filled.first_order, filled.replant_order, filled.total) == (1100, 200, 1300)


def test_slope_of_a_plane() -> None:
    """Ground that rises 3 ft in 100 toward the east falls 3 % to the west, and its contour runs north."""
    outline = field(feature([rectangle(1000.0, 1000.0)])).outline
    x, y = (axis.ravel() for axis in np.meshgrid(np.arange(-480.0, 481.0, 60.0), np.arange(-480.0, 481.0, 60.0)))
    slope = slope_of(Heights(np.column_stack([x, y]), 200.0 + 0.03 * x, "made"), outline)
    assert (slope.percent, slope.downhill_deg) == pytest.approx((3.0, 270.0), abs=1e-6)
    assert abs(slope.contour_deg - 90.0) == pytest.approx(90.0, abs=1e-6)
    assert slope.explained_share == pytest.approx(1.0)


def test_best_direction_is_the_long_side_or_the_contour() -> None:
    turn = np.radians(30.0)
    ring = np.array(rectangle(500.0, 2500.0)) @ np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    long = field(feature([ring.tolist()]))
    flat = lay_out(long, plan(), Options(best_azimuth=True))
    assert flat.rows.azimuth_deg == pytest.approx(30.0, abs=0.5)
    x, y = (axis.ravel() for axis in np.meshgrid(np.arange(-1300.0, 1301.0, 50.0), np.arange(-1300.0, 1301.0, 50.0)))
    steep = Heights(np.column_stack([x, y]), 0.08 * y, "made")
    laid = lay_out(long, plan(), Options(best_azimuth=True, heights=steep))
    assert laid.rows.azimuth_deg == pytest.approx(90.0, abs=1e-6)
    assert laid.choice is not None
    assert "contour" in laid.choice.reason
