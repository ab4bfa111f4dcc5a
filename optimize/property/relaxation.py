"""The relaxation: the best plan if tracts could be split, which bounds every plan and prices every limit.

It is solved on few pathways; with its prices every other pathway is valued, and those that would better it are let
in, until none is left. From then on a plan that uses a pathway cannot be worth more than the relaxation less what
that pathway lacks (its reduced cost), which is what proves that pathways left out do not matter.
"""

from collections.abc import Callable
from typing import Final, NamedTuple, TypeAlias

import numpy as np

from optimize.property.elastic import softened
from optimize.property.solve import Answer, Asked, Stopwatch, solve
from optimize.property.system import System
from simulator.units import BoolArray, FloatArray, IntArray

Tell: TypeAlias = Callable[[str], None]

BEST_AT_START: Final = 10
LET_IN_AT_ONCE: Final = 6
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
    shares
        Share of each pathway in that plan, (n,).
    """

    feasible: bool | None
    bound: float
    lacks: FloatArray
    row_price: FloatArray
    columns: IntArray
    shares: FloatArray


def at_start(system: System) -> IntArray:
    """All pathways of a small problem, or those worth most of each tract."""
    if len(system.value) <= SMALL:
        return np.arange(len(system.value))
    return best(system, system.value, BEST_AT_START, np.ones(len(system.value), dtype=bool))


def best(system: System, score: FloatArray, count: int, allowed: BoolArray) -> IntArray:
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
        With what no plan exceeds [1,000 $].

    References
    ----------
    Columns let in by their reduced costs, and the bound that follows: common practice, re-derived.
    """
    columns, everything = start, len(system.value)
    nothing = np.zeros(0)
    relaxation = Relaxation(None, np.inf, nothing, nothing, columns, nothing)
    while True:
        answer = solve(system, columns, asked, watch, relaxed=True)
        if answer.status == "infeasible":
            makes_room = _room(system, columns, asked, watch, tell)
            if makes_room.feasible is not True:
                return makes_room
            columns = makes_room.columns
            continue
        if answer.value is None:
            return relaxation
        lacks = _lacks(system, answer)
        bound = answer.value + float(_best_of_tracts(system, lacks).clip(min=0.0).sum())
        if bound <= relaxation.bound:
            shares = np.zeros(everything)
            shares[columns] = answer.pathways
            relaxation = relaxation._replace(
                feasible=True, bound=bound, lacks=lacks, row_price=answer.row_price, shares=shares
            )
        better = lacks > NO_BETTER * max(1.0, abs(answer.value))
        better[columns] = False
        if not better.any() or watch.over:
            return _settled(relaxation._replace(columns=columns))
        columns = np.union1d(columns, best(system, lacks, LET_IN_AT_ONCE, better))
        tell(f"relaxation ${1000.0 * answer.value:,.0f} on {len(columns):,} of {everything:,} pathways")


def _settled(relaxation: Relaxation) -> Relaxation:
    """What a pathway lacks is never below nothing: what the tolerance left over stands in the bound already."""
    return relaxation._replace(lacks=np.minimum(relaxation.lacks, 0.0))


def _lacks(system: System, answer: Answer) -> FloatArray:
    """What each pathway would add to the relaxation at its prices, below zero what it lacks: its reduced cost.

    Parameters
    ----------
    system
        The problem.
    answer
        Prices of rows and tracts.

    Returns
    -------
    FloatArray
        Reduced costs [1,000 $], (pathways,).

    References
    ----------
    Duality of linear programs; common practice.
    """
    return np.asarray(
        system.value - answer.row_price @ system.on_pathways - answer.tract_price[system.tract], dtype=np.float64
    )


def _best_of_tracts(system: System, score: FloatArray) -> FloatArray:
    best = np.full(system.tracts, -np.inf)
    np.maximum.at(best, system.tract, score)
    return best


def _room(system: System, columns: IntArray, asked: Asked, watch: Stopwatch, tell: Tell) -> Relaxation:
    """Let pathways in until the limits can be kept, or it is sure that they cannot, or the time is over."""
    everything, nothing = np.arange(len(system.value)), np.zeros(0)
    if len(columns) == len(everything):
        return Relaxation(False, -np.inf, nothing, nothing, columns, nothing)  # noqa: FBT003 - its first field
    found = relax(softened(system, system.families).system, columns, asked, watch, tell)
    if found.feasible is not True:
        return found
    if -found.bound > CENT:
        return found._replace(feasible=False, bound=-np.inf)
    if watch.over:
        return found._replace(feasible=None, bound=np.inf)
    # where there is room by the tolerance only, all pathways decide
    stuck = len(found.columns) == len(columns)
    return found._replace(columns=everything if stuck else found.columns)
