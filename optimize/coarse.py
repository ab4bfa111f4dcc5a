"""A coarse search of one plantation, to see how near its derived schedule is to the best of its kind."""

from collections.abc import Iterable
from typing import NamedTuple

from simulator.baselines import plantation_of
from simulator.result import run_batch
from simulator.scenario.model import Scenario
from simulator.scenario.trees import Harvest, Thinning

ROTATIONS_YR = (25, 28, 30, 33, 35, 38, 40)
FIRST_THINNINGS_YR = (12, 13, 14, 15, 16, 18)
SECOND_THINNING_AFTER_YR = 7
LEAST_YEARS_BEFORE_HARVEST = 5


class Schedule(NamedTuple):
    """One schedule of the grid and what it earns.

    Attributes
    ----------
    first_thinning, harvest
        Years since planting.
    equal_annual_income
        Equal annual income [$/ac/yr].
    """

    first_thinning: int
    harvest: int
    equal_annual_income: float


def plantation_schedules(
    scenario: Scenario,
    rotations: Iterable[int] = ROTATIONS_YR,
    first_thinnings: Iterable[int] = FIRST_THINNINGS_YR,
) -> list[Schedule]:
    """Value the plantation of a piece of land on a grid of rotations and first thinnings.

    Parameters
    ----------
    scenario
        Land, money and species; its plantation is derived as in a comparison.
    rotations, first_thinnings
        Years of the grid [yr]; residuals are those of the derived plantation, the second thinning follows
        seven years after the first where the rotation leaves room.

    Returns
    -------
    list of Schedule
        Best first; on the fast light path, whose error is far below the differences that matter.
    """
    plantation = plantation_of(scenario)
    grid = [
        (first, harvest)
        for harvest in rotations
        for first in first_thinnings
        if first < harvest - LEAST_YEARS_BEFORE_HARVEST
    ]
    outcomes = run_batch([_scheduled(plantation, first, harvest) for first, harvest in grid])
    schedules = [
        Schedule(first, harvest, outcome.measures.equal_annual_income)
        for (first, harvest), outcome in zip(grid, outcomes, strict=True)
    ]
    return sorted(schedules, key=lambda schedule: -schedule.equal_annual_income)


def _scheduled(plantation: Scenario, first: int, harvest: int) -> Scenario:
    early, late = plantation.thinning
    second = first + SECOND_THINNING_AFTER_YR
    thinnings: tuple[Thinning, ...] = (early.model_copy(update={"year": first}),)
    if second <= harvest - LEAST_YEARS_BEFORE_HARVEST:
        thinnings += (late.model_copy(update={"year": second}),)
    return plantation.model_copy(update={"thinning": thinnings, "harvest": Harvest(year=harvest)})
