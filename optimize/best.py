"""The best plan for one piece of land on a declared grid, each use of the land at its own best."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final, NamedTuple

import numpy as np

from optimize.growing import Tell, worth_of, years_to_grow
from optimize.objective import Objective
from optimize.space import Space, bases_of, not_tried_of, part_of, plans_of, uses_both, values_of_plans
from optimize.verdicts import NOT_REACHED
from simulator.comparison import Comparison, compare_plans
from simulator.errors import InputError, Problem
from simulator.measures import real_discount_rate
from simulator.result import Outcome, run_batch
from simulator.scenario.lapses import is_let_go
from simulator.scenario.model import Scenario

RUNNERS_UP: Final = 10
RUN_EXACTLY: Final = {"silvopasture": RUNNERS_UP + 1, "plantation": 3, "pasture": 3}
"""How many of the best of each system are run again at least under exact light, which then decides among them."""


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
    plans = {name: plans_of(name, base, scenario) for name, base in bases_of(scenario, beside).items()}
    everything = [plan for space, _, _ in plans.values() for plan in space]
    worth = worth_of(everything, beside, workers=workers, tell=tell)
    spaces, first = {}, 0
    for name, (members, trees, uses) in plans.items():
        part = part_of(worth, first, first + len(members))
        value, none = values_of_plans(objective, part), not_tried_of(name, members[0])
        spaces[name] = Space(members[0], members, part, trees, uses, value, none)
        first += len(members)
    ranking, file = _run_exactly(spaces, objective, beside)
    shared, alone = years_to_grow(everything)
    return BestPlan(objective, spaces, ranking, file, _gap(spaces, ranking, objective), shared, alone)


def compared(found: BestPlan, beside: Path | None = None) -> Comparison:
    """Best against best: the best plan beside the best of trees alone and of grass alone."""
    members = {name: found.best_of(name) for name in ("plantation", "pasture")}
    # a use without a plan that has a value, such as a rate of return, is shown as it is derived
    single = {name: member.outcome.scenario if member else found.spaces[name].base for name, member in members.items()}
    return compare_plans({"silvopasture": found.best.outcome.scenario} | single, beside)


def _check(scenario: Scenario, objective: Objective) -> None:
    if is_let_go(scenario):
        remedy = "Take [neglect] out: a search plans for an owner who does what the plan says."
        raise InputError([Problem("neglect", "has no place in a search for the best plan", "", remedy)])
    if objective.goal == "land-expectation" and real_discount_rate(scenario.money) <= 0:
        remedy = "Maximise npv, or state a rate above 0, above inflation where it is nominal."
        rule = "leaves income without end without a sum"
        raise InputError([Problem("money.discount_rate", rule, f"{scenario.money.discount_rate:g}", remedy)])
    if objective.goal == "irr" and scenario.stand is not None:
        remedy = "Maximise npv or land-expectation."
        rule = "has no rate of return: nobody paid for it in this plan"
        raise InputError([Problem("stand", rule, "", remedy)])


def _run_exactly(
    spaces: Mapping[str, Space], objective: Objective, beside: Path | None
) -> tuple[tuple[Member, ...], Member]:
    chosen = [
        (name, int(place))
        for name, leaders in _leaders_of_all(spaces, objective).items()
        for place in dict.fromkeys([*leaders, 0])
    ]
    outcomes = run_batch([spaces[name].plans[place] for name, place in chosen], beside, "exact")
    searched = [float(objective.of_worth(part_of(spaces[name].worth, place, place + 1))[0]) for name, place in chosen]
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


def _leaders_of_all(spaces: Mapping[str, Space], objective: Objective) -> dict[str, list[int]]:
    """Places of the best plans of every space: some of each, and all that are among the next best of the land."""
    leaders = {name: _leaders(space, objective) for name, space in spaces.items()}
    values = {
        (name, place): float(objective.of_worth(part_of(spaces[name].worth, place, place + 1))[0])
        for name, places in leaders.items()
        for place in places
    }
    first = set(sorted(values, key=lambda each: -values[each])[: RUNNERS_UP + 1])
    kept = {
        name: [place for rank, place in enumerate(places) if rank < RUN_EXACTLY[name] or (name, place) in first]
        for name, places in leaders.items()
    }
    both = np.array([uses_both(plan) for plan in spaces["silvopasture"].plans])
    kept["silvopasture"] += objective.order(spaces["silvopasture"].worth, both, 1).tolist()
    return kept


def _leaders(space: Space, objective: Objective) -> list[int]:
    """Places of the best plans of a space, as many as the next best of the land could all come from."""
    everyone = np.ones(len(space.plans), bool)
    return [int(place) for place in objective.order(space.worth, everyone, RUNNERS_UP + 1)]


def _doable(spaces: Mapping[str, Space], member: Member) -> bool:
    """The file's own plan is always a member: its owner may carry it out as best it goes."""
    return member.place == 0 or spaces[member.system].worth.verdict[member.place] == 0


def _gap(spaces: Mapping[str, Space], ranking: Sequence[Member], objective: Objective) -> float:
    """How far above the best, as a share of it, a plan that was not run exactly could lie.

    Parameters
    ----------
    spaces
        What was searched.
    ranking
        Plans run exactly, best first, with their values as searched.
    objective
        What is maximised.

    Returns
    -------
    float
        Share [1]; 0 where no other plan could lead.

    References
    ----------
    That fast light errs for no plan more than it did at most for those run exactly: assumed for this project.
    """
    moved = [member.value - member.searched_value for member in ranking]
    off = max([change for change in moved if np.isfinite(change)], default=0.0)
    exact = {(member.system, member.place) for member in ranking}
    best = ranking[0].value
    other = max(_best_not_run(name, space, exact, objective) for name, space in spaces.items())
    return max(0.0, other + max(off, 0.0) - best) / max(abs(best), 1e-9)


def _best_not_run(name: str, space: Space, exact: set[tuple[str, int]], objective: Objective) -> float:
    others = np.array([(name, place) not in exact for place in range(len(space.plans))])
    leader = objective.order(space.worth, others, 1)
    if not len(leader):
        return -np.inf
    return float(objective.of_worth(part_of(space.worth, int(leader[0]), int(leader[0]) + 1))[0])
