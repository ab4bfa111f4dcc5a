"""The search: a relaxation that bounds every plan, then whole pathways among those near it, until the gap is proven.

The relaxation is solved on few pathways; with its prices every other pathway is valued, and those that would better
it are let in, until none is left. From then on a plan that uses a pathway cannot be worth more than the relaxation
less what that pathway lacks (its reduced cost), which is what proves that pathways left out do not matter.
"""

from collections.abc import Callable
from typing import Final, Literal, NamedTuple, TypeAlias

import numpy as np

from optimize.property.elastic import softened
from optimize.property.solve import Answer, Asked, Stopwatch, solve
from optimize.property.system import System
from simulator.units import BoolArray, FloatArray, IntArray

Tell: TypeAlias = Callable[[str], None]
Ending: TypeAlias = Literal["proven", "stopped", "infeasible", "nothing found"]

BEST_AT_START: Final = 10
LET_IN_AT_ONCE: Final = 6
FIRST_ROUND: Final = 15
"""Pathways of each tract in the first round with whole pathways."""
WIDER: Final = 3
SMALL: Final = 2500
"""So many pathways are all taken at once."""
NO_BETTER: Final = 1e-7
"""Share of the worth below which a pathway does not better the relaxation."""
CENT: Final = 1e-5
"""A cent, in thousands of dollars."""


class Relaxation(NamedTuple):
    """The best plan if tracts could be split.

    Attributes
    ----------
    feasible
        False where not even split tracts keep within the limits; None where the time was too short to know.
    bound
        What no plan exceeds [1,000 $].
    lacks
        What each pathway lacks to be part of that plan [1,000 $], <= 0, (n,).
    row_price
        What a unit more on the right-hand side of a row adds [1,000 $], (m,).
    columns
        Pathways that were let in.
    """

    feasible: bool | None
    bound: float
    lacks: FloatArray
    row_price: FloatArray
    columns: IntArray


class Found(NamedTuple):
    """What a search ends with.

    Attributes
    ----------
    ending
        ``proven`` within the gap asked for; ``stopped`` by time or person before that; ``infeasible``;
        ``nothing found``.
    chosen
        Pathway of each tract, (tracts,); empty where there is no plan.
    extras
        The other quantities, (k,).
    value, bound
        Worth of the plan, and what no plan exceeds [1,000 $].
    row_price
        Prices of the relaxation, (m,); empty where it was not finished.
    """

    ending: Ending
    chosen: IntArray
    extras: FloatArray
    value: float
    bound: float
    row_price: FloatArray

    @property
    def gap(self) -> float:
        """How far the plan may be from the best, as a share of its worth."""
        return gap_of(self.value, self.bound)


def gap_of(value: float, bound: float) -> float:
    """How far a value may be below the best, as a share; 0 to the cent."""
    short = bound - value
    if short <= CENT:
        return 0.0
    return float(short / max(abs(value), CENT)) if np.isfinite(short) else np.inf


def search(system: System, gap: float, seed: int, watch: Stopwatch, tell: Tell) -> Found:
    """Find the plan that is worth most, and prove how near it is.

    Parameters
    ----------
    system
        The problem.
    gap
        Share of the worth at which the search may stop.
    seed
        Of the solver.
    watch
        When it has to stop.
    tell
        Is told how far it is.

    Returns
    -------
    Found
    """
    start = _at_start(system)
    relaxation = relax(system, start, Asked(gap, seed), watch, tell)
    nothing = Found("nothing found", np.zeros(0, np.int64), np.zeros(0), -np.inf, relaxation.bound, np.zeros(0))
    if relaxation.feasible is None:
        return nothing
    if not relaxation.feasible:
        return nothing._replace(ending="infeasible")
    tell(f"no plan is worth more than ${1000.0 * relaxation.bound:,.0f}")
    return _whole(system, relaxation, Asked(gap, seed), watch, tell)


def _at_start(system: System) -> IntArray:
    """All pathways of a small problem, or those worth most of each tract."""
    if len(system.value) <= SMALL:
        return np.arange(len(system.value))
    return _best(system, system.value, BEST_AT_START, np.ones(len(system.value), bool))


def _best(system: System, score: FloatArray, count: int, allowed: BoolArray) -> IntArray:
    """The so many best pathways of each tract."""
    order = np.lexsort((np.arange(len(score)), -score, system.tract))
    first = np.searchsorted(system.tract[order], np.arange(system.tracts))
    rank = np.arange(len(order)) - first[system.tract[order]]
    return np.sort(order[(rank < count) & allowed[order]])


def relax(system: System, start: IntArray, asked: Asked, watch: Stopwatch, tell: Tell) -> Relaxation:
    """Solve the relaxation over all pathways, letting in only those that better it.

    Parameters
    ----------
    system
        The problem.
    start
        Pathways to begin with, some of each tract.
    asked
        Seed of the solver.
    watch
        When to stop.
    tell
        Is told how far it is.

    Returns
    -------
    Relaxation
    """
    columns, everything = start, len(system.value)
    relaxation = Relaxation(None, np.inf, np.zeros(0), np.zeros(0), columns)
    while True:
        answer = solve(system, columns, asked, watch, relaxed=True)
        if answer.status == "infeasible":
            if len(columns) == everything:
                return relaxation._replace(feasible=False, bound=-np.inf)
            makes_room = _room(system, columns, asked, watch, tell)
            if makes_room.feasible is not True:
                return makes_room
            columns = makes_room.columns
            continue
        if answer.value is None:
            return relaxation
        lacks = _lacks(system, answer)
        bound = answer.value + float(_best_of_tracts(system, lacks).clip(min=0.0).sum())
        feasible = None if relaxation.feasible is None and watch.over else True
        if bound <= relaxation.bound:
            relaxation = Relaxation(feasible, bound, lacks, answer.row_price, columns)
        better = lacks > NO_BETTER * max(1.0, abs(answer.value))
        better[columns] = False
        if not better.any() or watch.over:
            return _settled(relaxation._replace(columns=columns))
        columns = np.union1d(columns, _best(system, lacks, LET_IN_AT_ONCE, better))
        tell(f"relaxation ${1000.0 * answer.value:,.0f} on {len(columns):,} of {everything:,} pathways")


def _settled(relaxation: Relaxation) -> Relaxation:
    """What a pathway lacks is never below nothing: what the tolerance left over stands in the bound already."""
    return relaxation._replace(lacks=np.minimum(relaxation.lacks, 0.0))


def _lacks(system: System, answer: Answer) -> FloatArray:
    return np.asarray(
        system.value - answer.row_price @ system.on_pathways - answer.tract_price[system.tract], dtype=np.float64
    )


def _best_of_tracts(system: System, score: FloatArray) -> FloatArray:
    best = np.full(system.tracts, -np.inf)
    np.maximum.at(best, system.tract, score)
    return best


def _room(system: System, columns: IntArray, asked: Asked, watch: Stopwatch, tell: Tell) -> Relaxation:
    """Let pathways in until the limits can be kept, or it is sure that they cannot."""
    soft = softened(system, system.families)
    relaxation = relax(soft.system, columns, asked, watch, tell)
    if relaxation.feasible is True:
        missed = -relaxation.bound > CENT
        return relaxation._replace(feasible=not missed, bound=-np.inf if missed else np.inf)
    return relaxation


def _whole(system: System, relaxation: Relaxation, asked: Asked, watch: Stopwatch, tell: Tell) -> Found:
    """Choose whole pathways among those that lack least, wider each time, until the gap is proven."""
    found = Found(
        "nothing found", np.zeros(0, np.int64), np.zeros(0), -np.inf, relaxation.bound, relaxation.row_price
    )
    count = FIRST_ROUND if len(system.value) > SMALL else len(system.value)
    while not watch.over:
        could_better = relaxation.lacks >= found.value - relaxation.bound - CENT
        columns = _best(system, relaxation.lacks, count, could_better | _top(system, relaxation.lacks))
        left_out = np.setdiff1d(np.flatnonzero(could_better), columns)
        target = relaxation.bound - asked.gap * abs(relaxation.bound)
        last = len(left_out) == 0
        tell(f"choosing among {len(columns):,} pathways")
        answer = solve(
            system,
            columns,
            asked._replace(target=target, share_of_time=1.0 if last else HALF),
            watch,
            relaxed=False,
        )
        found = _with(found, answer, columns, relaxation, left_out)
        if gap_of(found.value, found.bound) <= asked.gap:
            return found._replace(ending="proven")
        if last and answer.status == "infeasible" and not len(found.chosen):
            return found._replace(ending="infeasible", bound=-np.inf)
        if last and answer.status != "late":
            break
        count = count * WIDER
    return found._replace(ending="stopped" if len(found.chosen) else "nothing found")


HALF: Final = 0.5


def _top(system: System, lacks: FloatArray) -> BoolArray:
    """The pathway of each tract that lacks least, so that each tract has one."""
    top = np.zeros(len(lacks), bool)
    top[_best(system, lacks, 1, ~top)] = True
    return top


def _with(found: Found, answer: Answer, columns: IntArray, relaxation: Relaxation, left_out: IntArray) -> Found:
    """Take over what a round found and what it proves."""
    if answer.value is not None and answer.value > found.value:
        picked = columns[answer.pathways > HALF]  # in the order of the tracts, as pathways are
        found = found._replace(chosen=picked, extras=answer.extras, value=answer.value)
    beyond = relaxation.bound + float(relaxation.lacks[left_out].max()) if len(left_out) else -np.inf
    bound = max(answer.bound, beyond, found.value)
    return found._replace(bound=min(found.bound, bound))
