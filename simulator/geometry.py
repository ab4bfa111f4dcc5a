"""Rows and ground points of a batch as arrays: where trees stand, where light is measured, what of a field they take.

An acre of land is an acre of the ground that the rows take with their alleys. What goes with other ground of the field
is counted per such acre too; the book and the history take it all to an acre of the whole field (``rows_share``).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from simulator.scenario.ground import Shares, shares_of
from simulator.scenario.model import Scenario
from simulator.scenario.rows import period_ft, row_removal, takes_rows
from simulator.units import SQUARE_FEET_PER_ACRE, BoolArray, FloatArray


@dataclass(frozen=True)
class Geometry:
    """Rows in one repeating cell across the field; first axis candidate, second row.

    Attributes
    ----------
    offset_ft
        Place of each row across the cell [ft], (candidates, rows).
    planted
        True where the row exists (cells are padded to the widest), (candidates, rows).
    removable
        True where a row thinning takes the row, (candidates, rows).
    cell_ft
        Width after which the pattern repeats [ft], (candidates,).
    in_row_ft
        Planting distance along the row [ft], (candidates,).
    spots_per_ac
        Planting spots of one row per acre of land [1/ac], (candidates,).
    points_ft
        Ground points spread evenly over the grass ground [ft], (candidates, points).
    grass_share
        Share of the land that is grass ground, neither strip nor row set [1], (candidates,).
    azimuth_deg
        Row direction, 0 = north-south [degrees], (candidates,).
    rows_share
        Share of the whole field that the rows take with their alleys, or open pasture [1], (candidates,).
    headland
        Open grass beside the rows for each acre that they take [ac/ac], (candidates,).
    edge_share
        Share of the rows' length that is an outermost row with open ground beyond [1], (candidates,).
    """

    offset_ft: FloatArray
    planted: BoolArray
    removable: BoolArray
    cell_ft: FloatArray
    in_row_ft: FloatArray
    spots_per_ac: FloatArray
    points_ft: FloatArray
    grass_share: FloatArray
    azimuth_deg: FloatArray
    rows_share: FloatArray
    headland: FloatArray
    edge_share: FloatArray

    @property
    def grass_ground(self) -> FloatArray:
        """Grass between the rows and on the headlands, for each acre that the rows take [ac/ac], (candidates,)."""
        return self.grass_share + self.headland

    @property
    def usable(self) -> FloatArray:
        """Ground that bears anything, for each acre that the rows take [ac/ac], (candidates,)."""
        return 1.0 + self.headland

    @property
    def whole_field(self) -> FloatArray:
        """The whole field, ponds and rock with it, for each acre that the rows take [ac/ac], (candidates,)."""
        return 1.0 / self.rows_share


def _row_removal(scenario: Scenario) -> tuple[int, frozenset[int]]:
    """Rows after which a removal by rows or strips repeats, 1 if there is none, and which of them go."""
    rowwise = [thinning for thinning in scenario.thinning if takes_rows(thinning.method)]
    if scenario.trees is None or not rowwise:
        return 1, frozenset()
    gone, left = rowwise[0].strip_rows_removed, rowwise[0].strip_rows_left
    if gone is not None and left is not None:
        return gone + left, frozenset(range(gone))
    stated = next((thinning.remove_every_row for thinning in rowwise if thinning.remove_every_row), None)
    every = row_removal(scenario.trees.layout.rows_in_set, stated)
    return every, frozenset({every // 2})


def _rows(scenario: Scenario) -> tuple[list[float], list[bool], float]:
    """Places of the rows of the repeating cell [ft], which of them a row thinning takes, and the cell's width [ft]."""
    if scenario.trees is None:
        return [0.0], [False], 1.0
    layout = scenario.trees.layout
    every, gone = _row_removal(scenario)
    sets = math.lcm(every, layout.rows_in_set) // layout.rows_in_set
    period = period_ft(layout.rows_in_set, layout.row_gap_ft, layout.alley_ft)
    offsets = [period * s + layout.row_gap_ft * r for s in range(sets) for r in range(layout.rows_in_set)]
    taken = [index % every in gone for index in range(len(offsets))]
    return offsets, taken, period * sets


def shares_of_field(scenario: Scenario) -> Shares:
    """What of its field a plan's rows, or its open pasture, and its headlands take."""
    return shares_of(scenario.land.ground, trees=scenario.trees is not None)


def rows_of_cell(scenario: Scenario) -> int:
    """Rows in the repeating cell; plans of one batch have alike many, so that none is padded to an odd one's."""
    return len(_rows(scenario)[0])


def _grass_points(
    scenario: Scenario, cell_ft: float, strip_ft: float, points: int, stumps_share: float
) -> tuple[list[float], float]:
    """Where light is measured across the grass ground, and what share of the land that ground is.

    Parameters
    ----------
    scenario
        The plan.
    cell_ft
        Width after which its pattern repeats [ft].
    strip_ft
        Width kept free of grass along a row [ft].
    points
        Ground points [1].
    stumps_share
        Share of the land under stumps, stems and landings of a stand that stands already [1].

    Returns
    -------
    tuple
        Places across the cell [ft], and the share of the land that is grass ground [1]: all of open pasture, all but
        stumps of a stand that stands already.

    References
    ----------
    Definition; that strips are kept clear in plantings and not under trees that are up: assumed for this project.
    """
    steps = (np.arange(points) + 0.5) / points
    if scenario.trees is None:
        return list(steps * cell_ft), 1.0
    if scenario.stand is not None:
        # nobody keeps strips clear under trees that are up: grass comes wherever no stem or stump is
        return list(steps * cell_ft), 1.0 - stumps_share
    layout = scenario.trees.layout
    period = period_ft(layout.rows_in_set, layout.row_gap_ft, layout.alley_ft)
    open_ft = max(layout.alley_ft - strip_ft, 0.2)
    along = steps * open_ft * round(cell_ft / period)
    first = (layout.rows_in_set - 1) * layout.row_gap_ft + strip_ft / 2.0
    places = first + (along // open_ft) * period + along % open_ft
    return list(places), open_ft / period


def geometry_of(scenarios: Sequence[Scenario], strip_ft: float, points: int, stumps_share: float = 0.0) -> Geometry:
    """Lay out the rows of every scenario.

    Parameters
    ----------
    scenarios
        One or many.
    strip_ft
        Width of the vegetation-free strip along each row [ft].
    points
        Ground points across the grass ground at which light is measured.
    stumps_share
        Share of the land under stumps, stems and landings of a stand that stands already [1].

    Returns
    -------
    Geometry
    """
    rows = [_rows(scenario) for scenario in scenarios]
    count = max(len(offsets) for offsets, _, _ in rows)
    offset, taken = np.zeros((len(rows), count)), np.zeros((len(rows), count), bool)
    planted = np.zeros((len(rows), count), bool)
    for i, (offsets, removable, _) in enumerate(rows):
        offset[i, : len(offsets)] = offsets
        taken[i, : len(offsets)] = removable
        planted[i, : len(offsets)] = scenarios[i].trees is not None
    cell = np.array([width for _, _, width in rows])
    layouts = [scenario.trees.layout if scenario.trees else None for scenario in scenarios]
    in_row = np.array([layout.in_row_ft if layout else 10.0 for layout in layouts])
    grass = [
        _grass_points(scenario, width, strip_ft, points, stumps_share)
        for scenario, width in zip(scenarios, cell, strict=True)
    ]
    field = [shares_of_field(scenario) for scenario in scenarios]
    return Geometry(
        offset_ft=offset,
        planted=planted,
        removable=taken,
        cell_ft=cell,
        in_row_ft=in_row,
        spots_per_ac=SQUARE_FEET_PER_ACRE / (cell * in_row),
        points_ft=np.array([places for places, _ in grass]),
        grass_share=np.array([share for _, share in grass]),
        azimuth_deg=np.array([layout.row_azimuth_deg if layout else 0.0 for layout in layouts]),
        rows_share=np.array([shares.rows for shares in field]),
        headland=np.array([shares.headland / shares.rows for shares in field]),
        edge_share=np.array([shares.edge for shares in field]),
    )
