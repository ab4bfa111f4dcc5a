"""Why there is no plan: which couplings stand in each other's way, and by how much one of them would have to give."""

from collections.abc import Iterator
from itertools import combinations
from typing import Final, NamedTuple

import numpy as np

from optimize.property.elastic import Soft, softened
from optimize.property.relaxation import Tell
from optimize.property.search import search
from optimize.property.solve import Stopwatch
from optimize.property.system import Row, System

NEAR: Final = 0.01
"""How near to the least miss the search has to come, as a share of it."""
LEAST_TOLD: Final = 1e-4
"""Misses below this share of a unit are the solver's tolerance."""
SHARE_OF_TIME: Final = 0.5


class Miss(NamedTuple):
    """One limit that is missed.

    Attributes
    ----------
    row
        The limit.
    by
        How much, in its own unit.
    """

    row: Row
    by: float


class Way(NamedTuple):
    """A way out: couplings that give, while all others hold.

    Attributes
    ----------
    families
        The couplings that give.
    misses
        The least by which their limits have to be missed, greatest first.
    """

    families: tuple[str, ...]
    misses: tuple[Miss, ...]


def ways_out(system: System, seed: int, watch: Stopwatch, tell: Tell) -> tuple[Way, ...]:
    """Find which couplings have to give so that there is a plan.

    Parameters
    ----------
    system
        A problem without a plan.
    seed
        Of the solver.
    watch
        When to stop.
    tell
        Is told how far it is.

    Returns
    -------
    tuple of Way
        Every single coupling that is enough; where none is, every pair; where none is, all together. Empty where
        the time was too short.
    """
    families = system.families
    for count in dict.fromkeys((1, 2, len(families))):
        found = tuple(_ways(system, count, seed, watch, tell))
        if found or watch.over:
            return found
    return ()


def _ways(system: System, count: int, seed: int, watch: Stopwatch, tell: Tell) -> Iterator[Way]:
    for families in combinations(system.families, count):
        if watch.over:
            return
        tell(f"is there a plan if {' and '.join(families)} may give?")
        soft = softened(system, families)
        mine = Stopwatch(SHARE_OF_TIME * watch.left_s)
        with watch.sharing(mine):
            found = search(soft.system, NEAR, seed, mine, _quiet)
        if len(found.chosen):
            yield Way(families, _misses(system, soft, found.extras))


def _quiet(_: str) -> None:
    """What is searched here is no plan, so that nothing is told of it."""


def _misses(
    system: System, soft: Soft, extras: "np.ndarray[tuple[int, ...], np.dtype[np.float64]]"
) -> tuple[Miss, ...]:
    by = soft.missed(extras)
    order = np.argsort(-by, kind="stable")
    return tuple(Miss(system.rows[soft.limits[i]], float(by[i])) for i in order if by[i] > LEAST_TOLD)
