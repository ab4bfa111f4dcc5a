"""The search for whole plans under the bound of the relaxation, until the gap is proven or the time is over.

First the tracts that the relaxation does not split keep its pathway but for some, which leaves a small problem; then
some tracts at a time are planned anew while the others stay; then all tracts at once among the pathways that lack
least, wider each time. Only the bound decides when a plan is near enough.
"""

from typing import Final, Literal, NamedTuple, TypeAlias

import numpy as np

from optimize.property.relaxation import CENT, SMALL, Relaxation, Tell, at_start, best, relax
from optimize.property.solve import Answer, Asked, Stopwatch, solve
from optimize.property.system import System
from simulator.units import BoolArray, FloatArray, IntArray

Ending: TypeAlias = Literal["proven", "stopped", "infeasible", "nothing found"]

FIRST_ROUND: Final = 15
"""Pathways of each tract in the first round with whole pathways."""
WIDER: Final = 3
FREE_TRACTS: Final = 40
"""Tracts that are not held to the relaxation's pathway in the first small problem."""
ANEW_TRACTS: Final = 8
"""Tracts planned anew at a time."""
ANEW_PATHWAYS: Final = 60
"""Pathways of each of them."""
ANEW_S: Final = 4.0
"""Longest time for planning some tracts anew [s]."""
SHARE_FOR_SMALL_PROBLEMS: Final = 0.5
"""Share of the time that may go by before all tracts are planned at once."""
IDLE_ROUNDS: Final = 12
"""After so many rounds that found nothing better, tracts are no longer planned anew a few at a time."""
WHOLE: Final = 0.5
"""A 0-1 quantity above this is 1."""
UNSPLIT: Final = 0.999


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
    """How far a value may be below the best, as a share.

    Parameters
    ----------
    value
        Worth of a plan [1,000 $].
    bound
        What no plan exceeds [1,000 $].

    Returns
    -------
    float
        Share [1]; 0 to the cent.

    References
    ----------
    Definition.
    """
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
        Of the solver and of the order in which tracts are planned anew.
    watch
        When it has to stop.
    tell
        Is told how far it is.

    Returns
    -------
    Found
    """
    asked = Asked(gap, seed)
    relaxation = relax(system, at_start(system), asked, watch, tell)
    nothing = Found("nothing found", NOTHING, np.zeros(0), -np.inf, relaxation.bound, relaxation.row_price)
    if relaxation.feasible is None:
        return nothing
    if not relaxation.feasible:
        return nothing._replace(ending="infeasible")
    tell(f"no plan is worth more than ${1000.0 * relaxation.bound:,.0f}")
    target = relaxation.bound - gap * max(abs(relaxation.bound), CENT)
    rounds = Rounds(system, relaxation, asked._replace(target=target), watch, tell)
    if len(system.value) > SMALL:
        rounds.near_the_relaxation()
        rounds.some_anew()
    return rounds.all_at_once()


NOTHING: Final[IntArray] = np.zeros(0, np.int64)


class Rounds:
    """Rounds of choosing whole pathways; the best plan so far is kept between them.

    Attributes
    ----------
    found
        The best plan so far, and what is proven.
    """

    def __init__(self, system: System, relaxation: Relaxation, asked: Asked, watch: Stopwatch, tell: Tell) -> None:
        self.system, self.relaxation, self.asked, self.watch, self.tell = system, relaxation, asked, watch, tell
        self.found = Found("nothing found", NOTHING, np.zeros(0), -np.inf, relaxation.bound, relaxation.row_price)

    @property
    def near_enough(self) -> bool:
        """Whether the gap asked for is proven."""
        return self.found.gap <= self.asked.gap

    def near_the_relaxation(self) -> None:
        """Choose for the tracts that are split, and for those that lose least by another pathway."""
        system, lacks = self.system, self.relaxation.lacks
        largest = _of_tracts(system, self.relaxation.shares)
        unsplit = np.flatnonzero(largest >= UNSPLIT)
        few = min(FIRST_ROUND, len(lacks))
        spread = _of_tracts(
            system, np.where(np.isin(np.arange(len(lacks)), best(system, lacks, few, lacks <= 0)), -lacks, 0)
        )
        held = unsplit[np.argsort(-spread[unsplit])][: max(0, system.tracts - FREE_TRACTS)]
        free = ~np.isin(system.tract, held)
        columns = np.union1d(best(system, lacks, FIRST_ROUND, free), np.flatnonzero(self.relaxation.shares > UNSPLIT))
        self._round(columns, share_of_time=SHARE_FOR_SMALL_PROBLEMS / 2.0)

    def some_anew(self) -> None:
        """Plan some tracts anew while the others stay, again and again while there is time for it."""
        system, order = self.system, np.random.default_rng(self.asked.seed)
        until, idle = self.watch.left_s * SHARE_FOR_SMALL_PROBLEMS, 0
        if not len(self.found.chosen) or system.tracts <= ANEW_TRACTS:
            return  # nothing to hold the others to, or no others
        while not (self.near_enough or self.watch.over or idle == IDLE_ROUNDS) and self.watch.left_s > until:
            before = self.found.value
            some = order.choice(system.tracts, min(ANEW_TRACTS, system.tracts), replace=False)
            free = np.isin(system.tract, some)
            columns = np.union1d(best(system, self.relaxation.lacks, ANEW_PATHWAYS, free), self.found.chosen)
            self._round(columns, share_of_time=min(1.0, ANEW_S / self.watch.left_s))
            idle = idle + 1 if self.found.value <= before else 0

    def all_at_once(self) -> Found:
        """Choose among the pathways that lack least, wider each time, until the gap is proven."""
        system, lacks = self.system, self.relaxation.lacks
        count = FIRST_ROUND if len(lacks) > SMALL else len(lacks)
        while not self.watch.over and not self.near_enough:
            could_better = lacks >= self.found.value - self.relaxation.bound - CENT
            columns = np.union1d(best(system, lacks, count, could_better | _top(system, lacks)), self.found.chosen)
            left_out = np.setdiff1d(np.flatnonzero(could_better), columns)
            last = len(left_out) == 0
            self.tell(f"choosing among {len(columns):,} pathways of all tracts")
            answer = self._round(columns, share_of_time=1.0 if last else SHARE_FOR_SMALL_PROBLEMS)
            beyond = self.relaxation.bound + float(lacks[left_out].max()) if len(left_out) else -np.inf
            bound = max(answer.bound, beyond, self.found.value)
            self.found = self.found._replace(bound=min(self.found.bound, bound))
            if last and answer.status != "late":
                break
            count = count * WIDER
        return self._ended()

    def _round(self, columns: IntArray, share_of_time: float) -> Answer:
        """One round: the best plan among some pathways, kept where it is better."""
        asked = self.asked._replace(share_of_time=share_of_time)
        answer = solve(self.system, columns, asked, self.watch, relaxed=False)
        if answer.value is not None and answer.value > self.found.value + CENT:
            picked = columns[answer.pathways > WHOLE]  # in the order of the tracts, as pathways are
            self.found = self.found._replace(chosen=picked, extras=answer.extras, value=answer.value)
            gap = f", at most {100.0 * self.found.gap:,.1f} % below the best" if np.isfinite(self.found.gap) else ""
            self.tell(f"a plan worth {1000.0 * answer.value:,.0f} dollars{gap}")
        return answer

    def _ended(self) -> Found:
        found = self.found
        if not len(found.chosen):
            impossible = found.bound == -np.inf
            return found._replace(ending="infeasible" if impossible else "nothing found")
        return found._replace(ending="proven" if self.near_enough else "stopped")


def _top(system: System, lacks: FloatArray) -> BoolArray:
    """The pathway of each tract that lacks least, so that each tract has one."""
    top = np.zeros(len(lacks), bool)
    top[best(system, lacks, 1, ~top)] = True
    return top


def _of_tracts(system: System, score: FloatArray) -> FloatArray:
    """Greatest score of each tract, (tracts,)."""
    greatest = np.full(system.tracts, -np.inf)
    np.maximum.at(greatest, system.tract, score)
    return greatest
