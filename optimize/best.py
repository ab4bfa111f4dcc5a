"""The best plan for one piece of land on a declared grid, each use of the land at its own best."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final, NamedTuple

import numpy as np

from optimize.grid import grass_ways, idle_ways, tree_ways, use_ways, ways_of, with_ways
from optimize.growing import CAN_BE_DONE, NOT_REACHED, VERDICTS, Progress, Tell, Worth, worth_of, years_to_grow
from optimize.objective import Objective
from simulator.alternatives import systems_of
from simulator.comparison import Comparison, compare_plans
from simulator.errors import InputError, Problem
from simulator.result import Outcome, run_batch
from simulator.scenario.lapses import is_let_go
from simulator.scenario.model import Scenario
from simulator.scenario.search import Search
from simulator.units import FloatArray, IntArray

RUNNERS_UP: Final = 10
RUN_EXACTLY: Final = {"silvopasture": RUNNERS_UP + 1, "plantation": 3, "pasture": 3}
"""How many of the best of each system are run again under exact light, which then decides among them."""


@dataclass(frozen=True)
class Space:
    """All plans of one use of the land on the grid, and what they are worth.

    Attributes
    ----------
    base
        What they vary.
    plans
        The plans; the first is the base itself.
    worth
        Their worth on the fast light path.
    trees, uses
        Ways with the trees, and with the ground, that were combined.
    value
        Of the objective, (plans,); NaN where a plan cannot be done, or has none.
    """

    base: Scenario
    plans: tuple[Scenario, ...]
    worth: Worth
    trees: int
    uses: int
    value: FloatArray

    @property
    def can_be_done(self) -> IntArray:
        """Places of the plans that can be done."""
        return np.flatnonzero(self.worth.verdict == VERDICTS.index(CAN_BE_DONE))

    def dropped(self) -> dict[str, int]:
        """Plans that were dropped, by reason."""
        counts = Counter(VERDICTS[verdict] for verdict in self.worth.verdict)
        return {reason: count for reason, count in sorted(counts.items()) if reason != CAN_BE_DONE}

    def dominated(self) -> int:
        """Plans that can be done and are beaten by another use of the ground under the same trees."""
        return len(self.can_be_done) - len({_trees_of(self.plans[i]) for i in self.can_be_done})


class Member(NamedTuple):
    """One plan of the ranking, run exactly.

    Attributes
    ----------
    system
        Use of the land: silvopasture, plantation or pasture.
    place
        Among the plans of its space.
    outcome
        Under exact light.
    value, searched_value
        Of the objective, exactly and as the search saw it.
    """

    system: str
    place: int
    outcome: Outcome
    value: float
    searched_value: float


@dataclass(frozen=True)
class BestPlan:
    """What a search found.

    Attributes
    ----------
    objective
        What was maximised.
    spaces
        By use of the land.
    ranking
        Plans run exactly, best first, from all uses together.
    file
        The plan of the file.
    proven_gap
        How much better than the best a plan of the grid could still be, were fast light as wrong for it as it was at
        most for the plans run exactly, as a share of the best value.
    years_grown, years_alone
        Years of plans that were grown, and that growing each by itself would have taken.
    """

    objective: Objective
    spaces: Mapping[str, Space]
    ranking: tuple[Member, ...]
    file: Member
    proven_gap: float
    years_grown: int
    years_alone: int

    @property
    def best(self) -> Member:
        """The best plan of all uses together."""
        return self.ranking[0]

    @property
    def complete(self) -> bool:
        """Whether every plan of the grid was reached."""
        return not any((space.worth.verdict == NOT_REACHED).any() for space in self.spaces.values())

    def best_of(self, system: str) -> Member | None:
        """The best plan of one use of the land; None where none of it can be done or has a value."""
        return next((member for member in self.ranking if member.system == system), None)

    @property
    def best_of_both(self) -> Member | None:
        """The best plan with trees whose grass is grazed or cut; None where there is none."""
        both = (
            member for member in self.ranking if member.system == "silvopasture" and uses_both(member.outcome.scenario)
        )
        return next(both, None)

    @property
    def runners_up(self) -> list[Member]:
        """The next best plans; of plans worth exactly the same only one."""
        seen, others = {(self.best.system, self.best.value)}, []
        for member in self.ranking[1:]:
            if (member.system, member.value) not in seen:
                seen.add((member.system, member.value))
                others.append(member)
        return others[:RUNNERS_UP]


def uses_both(plan: Scenario) -> bool:
    """Whether a plan has trees and uses the grass under them."""
    used = plan.use.first_grazing_year is not None or plan.use.hay_years is not None
    return plan.trees is not None and used


def best_plan(
    scenario: Scenario,
    objective: Objective,
    beside: Path | None = None,
    *,
    workers: int = 1,
    tell: Tell | None = None,
) -> BestPlan:
    """Search the grid of plans for one piece of land.

    Parameters
    ----------
    scenario
        The plan of the file; its ``[search]`` states the grid, its baselines the other uses of the land.
    objective
        What is maximised.
    beside
        Folder of the scenario file, for its own price table.
    workers
        Processes.
    tell
        Called with the progress of the whole search.

    Returns
    -------
    BestPlan
        The joint search holds both single uses, the plan of the file, never grazing and no trees, so that its best
        is at least the best of either.

    Raises
    ------
    InputError
        If the plan is let go, or the objective has no meaning at its rate.
    """
    _check(scenario, objective)
    plans = {name: _plans_of(name, base, scenario) for name, base in bases_of(scenario, beside).items()}
    everything = [plan for space, _, _ in plans.values() for plan in space]
    worth = worth_of(everything, beside, workers=workers, tell=tell)
    spaces, first = {}, 0
    for name, (members, trees, uses) in plans.items():
        part = _part(worth, first, first + len(members))
        spaces[name] = Space(members[0], members, part, trees, uses, _values(objective, part))
        first += len(members)
    ranking, file = _run_exactly(spaces, objective, beside)
    shared, alone = years_to_grow(everything)
    return BestPlan(objective, spaces, ranking, file, _gap(spaces, ranking, objective), shared, alone)


def compared(found: BestPlan, beside: Path | None = None) -> Comparison:
    """Best against best: the best plan beside the best of trees alone and of grass alone."""
    single = {name: found.best_of(name) or found.best for name in ("plantation", "pasture")}
    plans = {"silvopasture": found.best.outcome.scenario}
    return compare_plans(plans | {name: member.outcome.scenario for name, member in single.items()}, beside)


def bases_of(scenario: Scenario, beside: Path | None = None) -> dict[str, Scenario]:
    """The three uses of the land that are searched, by name, each with the grid meant for it."""
    systems = systems_of(scenario, beside)
    plantation = Search.model_validate(scenario.baseline.plantation.get("search", {}))
    return {
        "silvopasture": systems["silvopasture"],
        "plantation": systems["plantation"].model_copy(update={"search": plantation}),
        "pasture": systems["pasture"],
    }


def _check(scenario: Scenario, objective: Objective) -> None:
    if is_let_go(scenario):
        remedy = "Take [neglect] out: a search plans for an owner who does what the plan says."
        raise InputError([Problem("neglect", "has no place in a search for the best plan", "", remedy)])
    if objective.goal == "land-expectation" and scenario.money.discount_rate <= 0:
        remedy = "Maximise npv, or state a rate above 0."
        rule = "leaves income without end without a sum"
        raise InputError([Problem("money.discount_rate", rule, f"{scenario.money.discount_rate:g}", remedy)])
    if objective.goal == "irr" and scenario.stand is not None:
        remedy = "Maximise npv or land-expectation."
        rule = "has no rate of return: nobody paid for it in this plan"
        raise InputError([Problem("stand", rule, "", remedy)])


def _plans_of(name: str, base: Scenario, file: Scenario) -> tuple[tuple[Scenario, ...], int, int]:
    """Plans of one use of the land, its base first; and the ways combined."""
    if base.trees is None:
        grass = grass_ways(base)
        return (base, *(with_ways(base, None, way) for way in grass)), 0, len(grass)
    if name == "pasture":  # a stand that is cleared: what comes after it follows from the file
        return (base,), 1, 1
    trees, uses = tree_ways(base), idle_ways(base) if name == "plantation" else use_ways(base)
    own = ways_of(file) if name == "silvopasture" else ways_of(base)
    # plans of the same use stand together: they share the most years
    return (
        (base, *(with_ways(base, tree, use) for use in uses for tree in trees if (tree, use) != own)),
        len(trees),
        len(uses),
    )


def _trees_of(plan: Scenario) -> object:
    return ways_of(plan)[0]


def _part(worth: Worth, first: int, last: int) -> Worth:
    rows = slice(first, last)
    return Worth(
        worth.npv[rows], worth.land_expectation[rows], worth.annual_income[rows], worth.cash[rows], worth.verdict[rows]
    )


def _values(objective: Objective, worth: Worth) -> FloatArray:
    if objective.goal == "irr":  # a rate is reckoned for the few that lead
        return np.full(len(worth.npv), np.nan)
    return np.where(worth.verdict == VERDICTS.index(CAN_BE_DONE), objective.of_worth(worth), np.nan)


def _run_exactly(
    spaces: Mapping[str, Space], objective: Objective, beside: Path | None
) -> tuple[tuple[Member, ...], Member]:
    chosen = [
        (name, int(place))
        for name, space in spaces.items()
        for place in dict.fromkeys([*_leaders(name, space, objective), 0])
    ]
    outcomes = run_batch([spaces[name].plans[place] for name, place in chosen], beside, "exact")
    searched = [float(objective.of_worth(_part(spaces[name].worth, place, place + 1))[0]) for name, place in chosen]
    members = [
        Member(name, place, outcome, objective.of_outcome(outcome), seen)
        for (name, place), outcome, seen in zip(chosen, outcomes, searched, strict=True)
    ]
    file = next(member for member in members if member.system == "silvopasture" and member.place == 0)
    valued = [member for member in members if np.isfinite(member.value) and _doable(spaces, member)]
    if not valued:
        rule = "has no plan on the grid that can be done and has a value"
        raise InputError([Problem("search", rule, "", "Widen the grid, or maximise npv.")])
    return tuple(sorted(valued, key=lambda member: -member.value)), file


def _leaders(name: str, space: Space, objective: Objective) -> list[int]:
    """Places of the best plans of a space, the best that uses its grass among them."""
    everyone = np.ones(len(space.plans), bool)
    best = objective.order(space.worth, everyone, RUN_EXACTLY[name]).tolist()
    if name != "silvopasture":
        return [int(place) for place in best]
    both = np.array([uses_both(plan) for plan in space.plans])
    return [int(place) for place in [*best, *objective.order(space.worth, both, 1).tolist()]]


def _doable(spaces: Mapping[str, Space], member: Member) -> bool:
    """The file's own plan is always a member: its owner may carry it out as best it goes."""
    return member.place == 0 or spaces[member.system].worth.verdict[member.place] == 0


def _gap(spaces: Mapping[str, Space], ranking: Sequence[Member], objective: Objective) -> float:
    """How far above the best, as a share of it, a plan that was not run exactly could lie."""
    if objective.goal == "irr":
        return 0.0
    off = max(member.value - member.searched_value for member in ranking)
    exact = {(member.system, member.place) for member in ranking}
    others = [
        float(np.nanmax(np.where([(name, i) in exact for i in range(len(space.plans))], np.nan, space.value)))
        for name, space in spaces.items()
        if len(space.plans) > sum(system == name for system, _ in exact)
        and np.isfinite(np.where([(name, i) in exact for i in range(len(space.plans))], np.nan, space.value)).any()
    ]
    best = ranking[0].value
    return max(0.0, max(others, default=best) + max(off, 0.0) - best) / max(abs(best), 1e-9)


__all__ = ["BestPlan", "Member", "Progress", "Space", "bases_of", "best_plan"]
