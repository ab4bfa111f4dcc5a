"""Pathways of a tract that states a grid: of its thousands of plans those that a property might want."""

from collections.abc import Iterator
from pathlib import Path
from typing import Final

import numpy as np

from optimize.growing import worth_of
from optimize.objective import Objective
from optimize.processes import cores
from optimize.space import bases_of, plans_of
from optimize.verdicts import CAN_BE_DONE, VERDICTS
from simulator.scenario.model import Scenario
from simulator.units import FloatArray

MOST_KEPT: Final = 300
"""Pathways of one tract; more make the property's problem larger and hardly ever better."""


def searched_pathways(scenario: Scenario, beside: Path | None, objective: Objective) -> list[Scenario]:
    """Search the grid of a tract and keep the best plan of every rhythm of cuts and use.

    Parameters
    ----------
    scenario
        The tract's own plan with its ``[search]``; it is always the first member.
    beside
        Folder of its file.
    objective
        What a plan is worth by.

    Returns
    -------
    list of Scenario
        The own plan, the single uses, and for each pair of harvest and first thinning, end of hay and start of grazing
        the best, most valuable first: limits on money, hours, wood and animals ask for other years, not for other
        densities.
    """
    plans = [plan for name, base in bases_of(scenario, beside).items() for plan in plans_of(name, base, scenario)[0]]
    worth = worth_of(plans, beside, workers=cores())
    values = np.where(worth.verdict == VERDICTS.index(CAN_BE_DONE), objective.of_worth(worth), -np.inf)
    singles = [base for name, base in bases_of(scenario, beside).items() if name != "silvopasture"]
    return [plans[0], *singles, *(plans[i] for i in _best_of_each_rhythm(plans, values))]


def _best_of_each_rhythm(plans: list[Scenario], values: FloatArray) -> Iterator[int]:
    seen: set[object] = set()
    for i in np.argsort(-values, kind="stable"):
        if not np.isfinite(values[i]) or len(seen) >= MOST_KEPT:
            return
        rhythm = _rhythm(plans[i])
        if rhythm not in seen:
            seen.add(rhythm)
            yield int(i)


def _rhythm(plan: Scenario) -> object:
    harvest = plan.harvest.year if plan.harvest is not None and plan.trees is not None else None
    first = plan.thinning[0].year if plan.thinning else None
    layout = plan.trees.layout if plan.trees is not None else None
    return harvest, first, plan.use.hay_years, plan.use.first_grazing_year, plan.straw.market, layout
