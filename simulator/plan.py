"""A scenario turned into arrays by candidate, row and age: what the yearly loop reads and nothing else does."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from simulator.scenario.model import Scenario, Thinning
from simulator.scenario.rows import period_ft, row_removal
from simulator.units import SQUARE_FEET_PER_ACRE, BoolArray, FloatArray, IntArray

NEVER = 10_000


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


@dataclass(frozen=True)
class Calendar:
    """What is due at which age of the tree cycle, (candidates, ages); ages count from planting.

    Attributes
    ----------
    thin_rows, thin_below
        A thinning of that kind is due at the end of the year.
    residual_trees, residual_basal_area
        What it leaves [1/ac], [ft2/ac]; NaN where not stated.
    harvest_age
        Final harvest at the end of this year, ``NEVER`` if none, (candidates,).
    prune_ft, prune_trees
        Height pruned to [ft], 0 if none; trees pruned [1/ac], NaN for all.
    hay
        Hay is cut this year.
    graze_from
        First year of grazing by the plan, ``NEVER`` if none, (candidates,).
    nitrogen_lb_ac
        Nitrogen on the grass ground [lb/ac].
    """

    thin_rows: BoolArray
    thin_below: BoolArray
    residual_trees: FloatArray
    residual_basal_area: FloatArray
    harvest_age: IntArray
    prune_ft: FloatArray
    prune_trees: FloatArray
    hay: BoolArray
    graze_from: IntArray
    nitrogen_lb_ac: FloatArray


@dataclass(frozen=True)
class Plan:
    """A batch of scenarios of one species, grass, animal and horizon, ready to grow."""

    scenarios: tuple[Scenario, ...]
    geometry: Geometry
    calendar: Calendar
    horizon: int

    @property
    def last_year(self) -> int:
        """Last row simulated: the horizon, or the longest first tree cycle if that ends later."""
        cycles = self.calendar.harvest_age[self.calendar.harvest_age < NEVER]
        return max(self.horizon, int(cycles.max(initial=0)))

    @property
    def candidates(self) -> int:
        """Number of scenarios in the batch."""
        return len(self.scenarios)

    def column(self, *path: str) -> FloatArray:
        """One numeric field of every scenario, such as ``column("land", "acres")``; NaN for None [(candidates,)]."""
        return np.array([_field(scenario, path) for scenario in self.scenarios], float)

    def flags(self, *path: str, equals: object = True) -> BoolArray:
        """Where a field of the scenario equals a value [(candidates,)]."""
        return np.array([_field(scenario, path) == equals for scenario in self.scenarios])


def _field(scenario: Scenario, path: tuple[str, ...]) -> float | str | bool | None:
    value: object = scenario
    for name in path:
        value = getattr(value, name)
    return value  # type: ignore[return-value]


def compile_plan(scenarios: Sequence[Scenario], *, strip_width_ft: float, points: int) -> Plan:
    """Turn scenarios that share a horizon into the arrays of the yearly loop.

    Parameters
    ----------
    scenarios
        One or many; all with the same horizon.
    strip_width_ft
        Width of the vegetation-free strip along each row [ft].
    points
        Ground points across the grass ground at which light is measured.

    Returns
    -------
    Plan

    Raises
    ------
    ValueError
        If horizons differ.
    """
    horizons = {scenario.money.horizon_years for scenario in scenarios}
    if len(horizons) != 1:
        raise ValueError(f"scenarios of one batch share a horizon, got {sorted(horizons)}")
    horizon = horizons.pop()
    geometry = _geometry(scenarios, strip_width_ft, points)
    return Plan(tuple(scenarios), geometry, _calendar(scenarios, horizon), horizon)


def _row_removal(scenario: Scenario) -> int | None:
    rowwise = [thinning for thinning in scenario.thinning if "rows" in thinning.method]
    if scenario.trees is None or not rowwise:
        return None
    stated = next((thinning.remove_every_row for thinning in rowwise if thinning.remove_every_row), None)
    return row_removal(scenario.trees.layout.rows_in_set, stated)


def _rows(scenario: Scenario) -> tuple[list[float], list[bool], float]:
    if scenario.trees is None:
        return [0.0], [False], 1.0
    layout = scenario.trees.layout
    every = _row_removal(scenario)
    sets = math.lcm(every, layout.rows_in_set) // layout.rows_in_set if every else 1
    period = period_ft(layout.rows_in_set, layout.row_gap_ft, layout.alley_ft)
    offsets = [period * s + layout.row_gap_ft * r for s in range(sets) for r in range(layout.rows_in_set)]
    taken = [every is not None and index % every == every // 2 for index in range(len(offsets))]
    return offsets, taken, period * sets


def rows_of_cell(scenario: Scenario) -> int:
    """Rows in the repeating cell; plans of one batch have alike many, so that none is padded to an odd one's."""
    return len(_rows(scenario)[0])


def _grass_points(scenario: Scenario, cell_ft: float, strip_ft: float, points: int) -> tuple[list[float], float]:
    steps = (np.arange(points) + 0.5) / points
    if scenario.trees is None:
        return list(steps * cell_ft), 1.0
    layout = scenario.trees.layout
    period = period_ft(layout.rows_in_set, layout.row_gap_ft, layout.alley_ft)
    open_ft = max(layout.alley_ft - strip_ft, 0.2)
    along = steps * open_ft * round(cell_ft / period)
    first = (layout.rows_in_set - 1) * layout.row_gap_ft + strip_ft / 2.0
    places = first + (along // open_ft) * period + along % open_ft
    return list(places), open_ft / period


def _geometry(scenarios: Sequence[Scenario], strip_ft: float, points: int) -> Geometry:
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
    grass = [_grass_points(scenario, width, strip_ft, points) for scenario, width in zip(scenarios, cell, strict=True)]
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
    )


def _calendar(scenarios: Sequence[Scenario], horizon: int) -> Calendar:
    shape = (len(scenarios), max(horizon, 120) + 2)
    calendar = Calendar(
        thin_rows=np.zeros(shape, bool),
        thin_below=np.zeros(shape, bool),
        residual_trees=np.full(shape, np.nan),
        residual_basal_area=np.full(shape, np.nan),
        harvest_age=np.full(shape[0], NEVER),
        prune_ft=np.zeros(shape),
        prune_trees=np.full(shape, np.nan),
        hay=np.zeros(shape, bool),
        graze_from=np.full(shape[0], NEVER),
        nitrogen_lb_ac=np.zeros(shape),
    )
    for i, scenario in enumerate(scenarios):
        _enter_trees(calendar, i, scenario)
        _enter_use(calendar, i, scenario)
    return calendar


def _enter_trees(calendar: Calendar, i: int, scenario: Scenario) -> None:
    for thinning in scenario.thinning:
        _enter_thinning(calendar, i, thinning)
    for pruning in scenario.pruning:
        calendar.prune_ft[i, pruning.year] = pruning.height_ft
        if pruning.trees_per_ac is not None:
            calendar.prune_trees[i, pruning.year] = pruning.trees_per_ac
    if scenario.harvest is not None and scenario.trees is not None:
        calendar.harvest_age[i] = scenario.harvest.year


def _enter_thinning(calendar: Calendar, i: int, thinning: Thinning) -> None:
    calendar.thin_rows[i, thinning.year] = "rows" in thinning.method
    calendar.thin_below[i, thinning.year] = "below" in thinning.method
    if thinning.residual_trees_per_ac is not None:
        calendar.residual_trees[i, thinning.year] = thinning.residual_trees_per_ac
    if thinning.residual_basal_area_ft2_ac is not None:
        calendar.residual_basal_area[i, thinning.year] = thinning.residual_basal_area_ft2_ac


def _enter_use(calendar: Calendar, i: int, scenario: Scenario) -> None:
    use, rate = scenario.use, scenario.pasture.nitrogen_lb_ac
    if use.hay_years is not None:
        calendar.hay[i, use.hay_years[0] : use.hay_years[1] + 1] = True
    if use.first_grazing_year is not None and use.animals != "none":
        calendar.graze_from[i] = use.first_grazing_year
    if isinstance(rate, dict):
        for year in sorted(rate, key=int):
            calendar.nitrogen_lb_ac[i, int(year) :] = rate[year]
    else:
        calendar.nitrogen_lb_ac[i, 1:] = rate
