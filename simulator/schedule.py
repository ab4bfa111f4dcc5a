"""What is due at which age of the tree cycle, as arrays of a batch."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from simulator.scenario.model import Scenario
from simulator.scenario.rows import takes_rows
from simulator.scenario.trees import Thinning
from simulator.units import BoolArray, FloatArray, IntArray

NEVER = 10_000
MOST_SHIFT_YR = 40
"""Room for a plan that is carried out later than its file says."""


@dataclass(frozen=True)
class Calendar:
    """What is due at which age of the tree cycle, (candidates, ages); ages count from planting.

    Years of a plan that starts from a standing stand count from today, so they are entered at the stand's age
    plus the year: the yearly loop then knows only ages.

    Attributes
    ----------
    thin_rows, thin_below
        A thinning of that kind is due at the end of the year; rows stands for strips too, below for marked.
    thin_marked
        That thinning is marked stem by stem, poorest first.
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
    thin_marked: BoolArray
    residual_trees: FloatArray
    residual_basal_area: FloatArray
    harvest_age: IntArray
    prune_ft: FloatArray
    prune_trees: FloatArray
    hay: BoolArray
    graze_from: IntArray
    nitrogen_lb_ac: FloatArray


def calendar_of(scenarios: Sequence[Scenario], horizon: int) -> Calendar:
    """Enter what every scenario asks for into one calendar.

    Parameters
    ----------
    scenarios
        One or many.
    horizon
        Years simulated [yr].

    Returns
    -------
    Calendar
    """
    oldest = max((_start(scenario) for scenario in scenarios), default=0)
    shape = (len(scenarios), max(horizon, 120) + 2 + (oldest + MOST_SHIFT_YR if oldest else 0))
    calendar = Calendar(
        thin_rows=np.zeros(shape, bool),
        thin_below=np.zeros(shape, bool),
        thin_marked=np.zeros(shape, bool),
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


def _start(scenario: Scenario) -> int:
    """Age of the trees in year 0 of the plan."""
    return scenario.stand.age if scenario.stand is not None else 0


def _enter_trees(calendar: Calendar, i: int, scenario: Scenario) -> None:
    start = _start(scenario)
    for thinning in scenario.thinning:
        _enter_thinning(calendar, i, start, thinning)
    for pruning in scenario.pruning:
        calendar.prune_ft[i, start + pruning.year] = pruning.height_ft
        if pruning.trees_per_ac is not None:
            calendar.prune_trees[i, start + pruning.year] = pruning.trees_per_ac
    if scenario.harvest is not None and scenario.trees is not None:
        calendar.harvest_age[i] = start + scenario.harvest.year


def _enter_thinning(calendar: Calendar, i: int, start: int, thinning: Thinning) -> None:
    age = start + thinning.year
    calendar.thin_rows[i, age] = takes_rows(thinning.method)
    calendar.thin_below[i, age] = "below" in thinning.method or thinning.method == "marked"
    calendar.thin_marked[i, age] = thinning.method == "marked"
    if thinning.residual_trees_per_ac is not None:
        calendar.residual_trees[i, age] = thinning.residual_trees_per_ac
    if thinning.residual_basal_area_ft2_ac is not None:
        calendar.residual_basal_area[i, age] = thinning.residual_basal_area_ft2_ac


def _enter_use(calendar: Calendar, i: int, scenario: Scenario) -> None:
    use, rate, start = scenario.use, scenario.pasture.nitrogen_lb_ac, _start(scenario)
    if use.hay_years is not None:
        calendar.hay[i, start + use.hay_years[0] : start + use.hay_years[1] + 1] = True
    if use.first_grazing_year is not None and use.animals != "none":
        calendar.graze_from[i] = start + use.first_grazing_year
    if isinstance(rate, dict):
        for year in sorted(rate, key=int):
            calendar.nitrogen_lb_ac[i, start + int(year) :] = rate[year]
    else:
        calendar.nitrogen_lb_ac[i, 1:] = rate
