"""Rows of a plan's sets and alleys across a field, cut where the ground ends, and how many trees they hold."""

from typing import Any, Final, NamedTuple

import numpy as np
import shapely

from simulator.ground.net import Ground, turned_back
from simulator.ground.options import Margins
from simulator.parameters.field_work import load_field_layout
from simulator.scenario.rows import period_ft
from simulator.scenario.trees import Layout as Pattern
from simulator.units import SQUARE_FEET_PER_ACRE, FloatArray, IntArray

STEPS: Final = 16
"""Places of the first row that are tried, evenly over one period, beside those that fit the field's edges."""
NUDGE_FT: Final = 0.001
"""Ground reaches this far beyond its edge for a row, because on the edge itself rounding would decide."""


class Rows(NamedTuple):
    """Rows without a gap, one entry each, from west to east where they run north; the frame is turned, rows run north.

    Attributes
    ----------
    azimuth_deg
        Direction of the rows [degrees].
    line
        Number of the line on which the row lies; a pond cuts a line into several rows.
    set_number, in_set
        Set and place in it, from 0.
    x_ft
        Place across [ft].
    start_ft, end_ft
        Where the row begins, with its first tree, and where its ground ends, up to a spacing beyond the last [ft].
    trees
        Trees in the row.
    in_row_ft
        Planting distance [ft].
    """

    azimuth_deg: float
    line: IntArray
    set_number: IntArray
    in_set: IntArray
    x_ft: FloatArray
    start_ft: FloatArray
    end_ft: FloatArray
    trees: IntArray
    in_row_ft: float

    @property
    def length_ft(self) -> FloatArray:
        """Length of each row [ft]."""
        return self.end_ft - self.start_ft

    @property
    def lines_on_map(self) -> Any:  # noqa: ANN401 - shapes of shapely
        """One line a row as it lies on the map, from its first tree on, (rows,)."""
        ends = np.stack([self.x_ft, self.start_ft, self.x_ft, self.end_ft], axis=1).reshape(-1, 2, 2)
        whole = shapely.multilinestrings(list(shapely.linestrings(ends)))
        return shapely.get_parts(turned_back(whole, self.azimuth_deg))


class _Lines(NamedTuple):
    x_ft: FloatArray
    set_number: IntArray
    in_set: IntArray


def best_rows(ground: Ground, pattern: Pattern, margins: Margins, azimuth_deg: float) -> Rows:
    """Lay rows where they hold the most trees; among equals, the fewest rows.

    Parameters
    ----------
    ground
        The field, turned.
    pattern
        Sets, gaps, spacing and alley of the plan.
    margins
        Least row and end margin [ft].
    azimuth_deg
        Direction of the rows [degrees].

    Returns
    -------
    Rows
        Empty where no row fits.
    """
    # first drawn in, so that no sliver grows into ground
    reach = ground.workable.buffer(-NUDGE_FT, join_style="mitre").buffer(2.0 * NUDGE_FT, join_style="mitre")
    if reach.is_empty:
        return _cut(reach, _lines(pattern, 0.0, -1.0, 0.0), pattern, (margins, azimuth_deg))
    west, _, east, _ = shapely.bounds(reach)
    laid = [
        _cut(reach, _lines(pattern, west, east, first), pattern, (margins, azimuth_deg))
        for first in _firsts(pattern, west + NUDGE_FT, east - NUDGE_FT)
    ]
    return max(laid, key=lambda rows: (int(rows.trees.sum()), -len(rows.trees)))


def _firsts(pattern: Pattern, west_ft: float, east_ft: float) -> list[float]:
    """Places of a set's first row to try: at the west edge, the east edge, between both, and evenly over a period."""
    period = period_ft(pattern.rows_in_set, pattern.row_gap_ft, pattern.alley_ft)
    width = (pattern.rows_in_set - 1) * pattern.row_gap_ft
    whole = (east_ft - west_ft - width + NUDGE_FT) // period
    slack = east_ft - west_ft - width - whole * period
    even = west_ft + period * (np.arange(STEPS) + 0.5) / STEPS
    return [west_ft + slack / 2.0, west_ft, east_ft - width, *(float(first) for first in even)]


def trees_in_rows(length_ft: FloatArray, in_row_ft: float) -> IntArray:
    """Trees that rows hold, one at either end where the distance goes into the length.

    Parameters
    ----------
    length_ft
        From the first tree to the last place for one [ft], (rows,).
    in_row_ft
        Distance between trees along a row [ft], above 0.

    Returns
    -------
    IntArray
        Trees of each row [1], (rows,).

    References
    ----------
    Definition.
    """
    return (np.floor(length_ft / in_row_ft + 1e-9) + 1.0).astype(np.int64)


def _lines(pattern: Pattern, west_ft: float, east_ft: float, first_ft: float) -> _Lines:
    """Lines of rows across the field from the place of the first, each with its set and its place in the set."""
    period = period_ft(pattern.rows_in_set, pattern.row_gap_ft, pattern.alley_ft)
    lowest = int(np.floor((west_ft - first_ft) / period)) - 1
    sets = np.arange(lowest, int(np.ceil((east_ft - first_ft) / period)) + 1)
    number, place = (grid.ravel() for grid in np.meshgrid(sets, np.arange(pattern.rows_in_set), indexing="ij"))
    x = first_ft + number * period + place * pattern.row_gap_ft
    inside = (x > west_ft) & (x < east_ft)
    return _Lines(x[inside], number[inside], place[inside])


def _cut(reach: Any, lines: _Lines, pattern: Pattern, kept: tuple[Margins, float]) -> Rows:  # noqa: ANN401
    margins, azimuth = kept
    _, low, _, high = shapely.bounds(reach)
    x = lines.x_ft
    ends = np.stack([x, np.full(len(x), low - 1.0), x, np.full(len(x), high + 1.0)], axis=1).reshape(-1, 2, 2)
    whole = shapely.multilinestrings(list(shapely.linestrings(ends))) if len(x) else shapely.MultiLineString()
    parts = shapely.get_parts(shapely.line_merge(shapely.intersection(whole, reach)))
    parts = parts[shapely.get_type_id(parts) == shapely.GeometryType.LINESTRING]
    box = shapely.bounds(parts).reshape(-1, 4)
    start, end = box[:, 1] + margins.end_margin_ft, box[:, 3] - margins.end_margin_ft
    fits = (end - start >= max(margins.least_row_ft, pattern.in_row_ft)) & (end > start)
    start, end, across = start[fits], end[fits], box[fits, 0]
    # the cut may move a line by a rounding error: the nearest of the lines it came from is meant
    line = np.array([int(np.abs(x - place).argmin()) for place in across], dtype=np.int64)
    order = np.lexsort((start, line))
    line, start, end = line[order], start[order], end[order]
    trees = trees_in_rows(end - start, pattern.in_row_ft)
    sets = lines.set_number[line]
    number = np.unique(sets, return_inverse=True)[1].astype(np.int64)
    return Rows(azimuth, line, number, lines.in_set[line], x[line], start, end, trees, pattern.in_row_ft)


class Areas(NamedTuple):
    """Acres of a field that share nothing and add up to it [ac]."""

    tree_strip_ac: float
    alley_ac: float
    headland_ac: float
    unusable_ac: float


def areas_of(ground: Ground, rows: Rows, pattern: Pattern, strip_ft: float) -> tuple[Areas, Any]:
    """Measure what rows make of a field.

    Parameters
    ----------
    ground
        The field, turned.
    rows
        Rows on it.
    pattern
        Sets and gaps.
    strip_ft
        Width kept free of grass along a row; within a set all ground is strip [ft].

    Returns
    -------
    Areas
        Acres [ac] that add up to the field.
    shape
        The tree strips, turned.

    References
    ----------
    Definition.
    """
    last = pattern.rows_in_set - 1
    half, inner = strip_ft / 2.0, pattern.row_gap_ft / 2.0
    west = rows.x_ft - np.where(rows.in_set == 0, half, inner)
    east = rows.x_ft + np.where(rows.in_set == last, half, inner)
    boxes = shapely.box(west, rows.start_ft, east, rows.end_ft)
    strips = shapely.intersection(shapely.union_all(boxes), ground.workable)
    acres = np.array([strips.area, ground.workable.area - strips.area, ground.headland.area, ground.unusable.area])
    return Areas(*(float(each) for each in acres / SQUARE_FEET_PER_ACRE)), strips


def edge_row_share(rows: Rows, pattern: Pattern) -> float:
    """Share of the rows' length that has no row beside it on one side.

    Parameters
    ----------
    rows
        Rows on a field.
    pattern
        Their sets and alleys.

    Returns
    -------
    float
        Share [1]. Open ground beyond a set is the same alley as between sets only as far as another set stands across
        it:
        along the field's sides, and beside ponds and short rows, the outer row is an edge.

    References
    ----------
    Definition of this project, no source.
    """
    if not len(rows.x_ft):
        return 0.0
    lines, first = np.unique(rows.line, return_index=True)
    x = rows.x_ft[first]
    # every row on one axis, so that what stands beside it is an overlap
    flat = [
        shapely.union_all(
            [shapely.LineString([(0.0, start), (0.0, end)]) for start, end in zip(*_of(rows, line), strict=True)]
        )
        for line in lines
    ]
    reach = max(pattern.alley_ft, pattern.row_gap_ft) + 1.0
    none = shapely.LineString()
    near = np.diff(x) <= reach
    west = [none, *(line if close else none for line, close in zip(flat[:-1], near, strict=True))]
    east = [*(line if close else none for line, close in zip(flat[1:], near, strict=True)), none]
    inside = shapely.length(shapely.intersection(shapely.intersection(flat, west), east)).sum()
    whole = float(shapely.length(flat).sum())
    return max(0.0, 1.0 - float(inside) / whole)


def _of(rows: Rows, line: int) -> tuple[FloatArray, FloatArray]:
    on = rows.line == line
    return rows.start_ft[on], rows.end_ft[on]


def short_rows(rows: Rows) -> int:
    """How many rows are shorter than is worth the turning."""
    return int((rows.length_ft < load_field_layout().short_row_ft).sum())
