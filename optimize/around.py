"""How flat the optimum is, what each decision is worth, and what lies a little off the grid."""

from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Final, NamedTuple

import numpy as np

from optimize.best import BestPlan
from optimize.grid import LEAST_YEARS_BEFORE_HARVEST
from optimize.growing import worth_of
from optimize.levels import earliest_harvest
from optimize.objective import Objective
from optimize.space import Space
from optimize.verdicts import CAN_BE_DONE, VERDICTS
from simulator.result import Outcome, run
from simulator.scenario.model import Scenario
from simulator.scenario.trees import Harvest, Thinning
from simulator.units import FloatArray

ROUNDS: Final = 12
TREES_MOVED: Final = 0.1
LEAST_TREES_MOVED: Final = 3.0
LATEST_YEAR: Final = 119


class Step(NamedTuple):
    """One decision moved a little.

    Attributes
    ----------
    decision
        In words, such as "first thinning".
    move
        In words, such as "a year later".
    plan
        The plan with it.
    """

    decision: str
    move: str
    plan: Scenario


class Flatness(NamedTuple):
    """What moving one decision of the best plan does to its value; NaN where the plan cannot be done so."""

    decision: str
    move: str
    change: float


class Marginal(NamedTuple):
    """What one decision is worth: the best plan with it against the best without, all else chosen anew.

    Attributes
    ----------
    decision
        In words.
    taken
        Whether the best plan takes it.
    with_it, without_it
        Value of the best plan of the same use of the land either way; NaN where there is none.
    """

    decision: str
    taken: bool
    with_it: float
    without_it: float


class Refined(NamedTuple):
    """The best plan found a little off the grid, run exactly.

    Attributes
    ----------
    outcome
        The plan; the best of the grid itself where nothing near it is better.
    value
        Of the objective.
    gain
        Against the best of the grid.
    tried
        Plans tried.
    """

    outcome: Outcome
    value: float
    gain: float
    tried: int


def flatness(found: BestPlan, beside: Path | None = None) -> list[Flatness]:
    """What a year earlier or later, and a few trees fewer or more, cost the best plan.

    Parameters
    ----------
    found
        A search that is done.
    beside
        Folder of the scenario file, for its own price table.

    Returns
    -------
    list of Flatness
        On the fast light path, both sides alike; a change above 0 lies off the grid.
    """
    plan = found.best.outcome.scenario
    steps = list(steps_round(plan))
    values = _values([plan, *(step.plan for step in steps)], found.objective, beside)
    return [
        Flatness(step.decision, step.move, float(value - values[0]))
        for step, value in zip(steps, values[1:], strict=True)
    ]


def refined(found: BestPlan, beside: Path | None = None) -> Refined:
    """Climb from the best of the grid by single steps of a year or a few trees, as long as one gains.

    Parameters
    ----------
    found
        A search that is done.
    beside
        Folder of the scenario file, for its own price table.

    Returns
    -------
    Refined
        No proof: a better plan may lie two steps away.
    """
    plan, tried = found.best.outcome.scenario, 0
    here = float(_values([plan], found.objective, beside)[0])
    for _ in range(ROUNDS):
        near = [step.plan for step in steps_round(plan)]
        values = _values(near, found.objective, beside) if near else np.array([])
        tried += len(near)
        if not np.isfinite(values).any() or np.nanmax(values) <= here + abs(here) * 1e-9:
            break
        here, plan = float(np.nanmax(values)), near[int(np.nanargmax(values))]
    outcome = run(plan, beside)
    value = found.objective.of_outcome(outcome)
    if not value > found.best.value:
        return Refined(found.best.outcome, found.best.value, 0.0, tried)
    return Refined(outcome, value, value - found.best.value, tried)


def marginals(found: BestPlan) -> list[Marginal]:
    """What each decision is worth, from the values of the whole grid.

    Parameters
    ----------
    found
        A search that is done; for rates of return, which are not reckoned for all, nothing can be said.
    """
    space = found.spaces[found.best.system]
    return [] if found.objective.goal == "irr" else list(_marginals(space, found.best.outcome.scenario))


def _marginals(space: Space, best: Scenario) -> Iterator[Marginal]:
    asked: list[tuple[str, Callable[[Scenario], bool]]] = [
        ("any thinning", lambda plan: len(plan.thinning) >= 1),
        ("a second thinning", lambda plan: len(plan.thinning) >= 2),
        ("a third thinning", lambda plan: len(plan.thinning) >= 3),
        ("pruning", lambda plan: bool(plan.pruning)),
        ("hay", lambda plan: plan.use.hay_years is not None),
        ("grazing", lambda plan: plan.use.first_grazing_year is not None),
        ("pine straw", lambda plan: plan.straw.market),
    ]
    for decision, has in asked:
        taken = np.array([has(plan) for plan in space.plans])
        if taken.any() and not taken.all():
            yield Marginal(decision, has(best), _most(space.value[taken]), _most(space.value[~taken]))


def _most(values: FloatArray) -> float:
    return float(np.nanmax(values)) if np.isfinite(values).any() else float("nan")


class Surface(NamedTuple):
    """The best value that each pair of choices allows, all else chosen for it; NaN where none can be done."""

    across: tuple[float, ...]
    up: tuple[float, ...]
    value: FloatArray


def thinning_surface(space: Space) -> Surface:
    """Best value by year of the first thinning (across) and trees that it leaves (up), (up, across)."""
    cuts = [plan.thinning[0] if plan.thinning else None for plan in space.plans]
    pairs = [(cut.year, cut.residual_trees_per_ac) if cut and cut.residual_trees_per_ac else None for cut in cuts]
    years = sorted({pair[0] for pair in pairs if pair})
    trees = sorted({pair[1] for pair in pairs if pair})
    value = np.full((len(trees), len(years)), np.nan)
    for pair, worth in zip(pairs, space.value, strict=True):
        if pair is not None:
            at = trees.index(pair[1]), years.index(pair[0])
            value[at] = np.fmax(value[at], worth)
    return Surface(tuple(map(float, years)), tuple(trees), value)


def by_grazing_start(space: Space) -> list[tuple[int | None, float]]:
    """Best value by first year of grazing, ``None`` for never; in the order of the years."""
    firsts = [plan.use.first_grazing_year for plan in space.plans]
    order = sorted(set(firsts), key=lambda first: (first is None, first or 0))
    values = {first: _most(space.value[[other == first for other in firsts]]) for first in order}
    return [(first, value) for first, value in values.items() if np.isfinite(value)]


def steps_round(plan: Scenario) -> Iterator[Step]:
    """Every plan one step away: a year in one decision, or a tenth of the trees a thinning leaves."""
    names = ("first", "second", "third") if len(plan.thinning) > 1 else ("",)
    for number, cut in enumerate(plan.thinning):
        name = f"{names[number]} thinning".strip()
        for by, move in ((-1, "a year earlier"), (1, "a year later")):
            yield from _if_sound(name, move, _cut_moved(plan, number, {"year": cut.year + by}))
        if cut.residual_trees_per_ac is not None:
            by_trees = max(LEAST_TREES_MOVED, round(TREES_MOVED * cut.residual_trees_per_ac))
            for trees, move in (
                (-by_trees, f"{by_trees:g} trees fewer left"),
                (by_trees, f"{by_trees:g} trees more left"),
            ):
                left = {"residual_trees_per_ac": cut.residual_trees_per_ac + trees}
                yield from _if_sound(name, move, _cut_moved(plan, number, left))
    for by, move in ((-1, "a year earlier"), (1, "a year later")):
        if plan.trees is not None and plan.harvest is not None:
            moved = plan.model_copy(update={"harvest": Harvest.model_construct(year=plan.harvest.year + by)})
            yield from _if_sound("final harvest", move, moved)
        if plan.use.first_grazing_year is not None and plan.trees is not None:
            yield from _if_sound(
                "first grazing", move, _used(plan, "first_grazing_year", plan.use.first_grazing_year + by)
            )
        if plan.use.hay_years is not None and plan.trees is not None:
            first, last = plan.use.hay_years
            yield from _if_sound("end of hay", move, _used(plan, "hay_years", (first, last + by)))


def _cut_moved(plan: Scenario, number: int, changes: Mapping[str, object]) -> Scenario:
    cuts = list(plan.thinning)
    cuts[number] = Thinning.model_construct(**{**cuts[number].model_dump(), **changes})
    return plan.model_copy(update={"thinning": tuple(cuts)})


def _used(plan: Scenario, field: str, value: object) -> Scenario:
    return plan.model_copy(update={"use": plan.use.model_copy(update={field: value})})


def _if_sound(decision: str, move: str, plan: Scenario) -> Iterator[Step]:
    if _sound(plan):
        yield Step(decision, move, plan)


def _sound(plan: Scenario) -> bool:
    """Whether a plan moved by a step still keeps the order of its years and of its residuals."""
    years = [cut.year for cut in plan.thinning]
    left = [cut.residual_trees_per_ac for cut in plan.thinning if cut.residual_trees_per_ac is not None]
    harvest = plan.harvest.year if plan.harvest is not None and plan.trees is not None else LATEST_YEAR
    first, hay, earliest = plan.use.first_grazing_year, plan.use.hay_years, 0 if plan.stand is not None else 1
    return (
        years == sorted(set(years))
        and left == sorted(set(left), reverse=True)
        and earliest <= (years[0] if years else earliest)
        and (not years or years[-1] + LEAST_YEARS_BEFORE_HARVEST <= harvest)
        and max(earliest, earliest_harvest(plan) if plan.trees is not None else 0) <= harvest <= LATEST_YEAR
        and all(lift.year < harvest for lift in plan.pruning)
        and (first is None or 1 <= first <= harvest)
        and (hay is None or 1 <= hay[0] <= hay[1] < (first or LATEST_YEAR))
    )


def _values(plans: list[Scenario], objective: Objective, beside: Path | None) -> FloatArray:
    worth = worth_of(plans, beside)
    can = worth.verdict == VERDICTS.index(CAN_BE_DONE)
    return np.where(can, objective.of_worth(worth), np.nan)
