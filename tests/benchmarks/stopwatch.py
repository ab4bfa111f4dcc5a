"""One way to time a thing: what it and the thing beside it take, turn by turn, as medians with their spread."""

import resource
import statistics
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from multiprocessing import active_children
from typing import Final, Literal, NamedTuple

Work = Callable[[], object]
Kind = Literal["clock", "work"]
_BYTES: Final = 1 if sys.platform == "darwin" else 1024
"""Of the unit in which the system counts memory."""
PATIENCE_S: Final = 60.0
"""Processes that have just been let go count only when they have gone."""


class Spent(NamedTuple):
    """What one piece of work took.

    Attributes
    ----------
    clock_s
        By the clock [s].
    work_s
        Processor time of this process and of those it started that have ended, all cores together [s].
    """

    clock_s: float
    work_s: float

    def of(self, kind: Kind) -> float:
        """One of the two [s]."""
        return self.clock_s if kind == "clock" else self.work_s


class Middle(NamedTuple):
    """Several turns of one thing: median, least and most."""

    median: float
    least: float
    most: float

    def times(self, factor: float) -> "Middle":
        """Each of the three times a factor."""
        return Middle(*(factor * each for each in self))


class Pair(NamedTuple):
    """A thing and its baseline, timed in turns.

    Attributes
    ----------
    ours, baseline
        What each took [s].
    ratio
        Ours / baseline [1], turn by turn, so that what else the machine does in a turn weighs on both alike.
    """

    ours: Middle
    baseline: Middle
    ratio: Middle


def spent(work: Work, *, processes: bool = False) -> Spent:
    """Time one piece of work; `processes` says that it hires others, which are waited for."""
    start, before = time.perf_counter(), _work_s()
    work()
    clock = time.perf_counter() - start
    if processes:
        _until_alone()
    return Spent(clock, _work_s() - before)


def middle(taken: Sequence[float]) -> Middle:
    """Median, least and most of some turns."""
    return Middle(statistics.median(taken), min(taken), max(taken))


def rounds(works: Mapping[str, Work], turns: int, kind: Kind = "work") -> dict[str, list[float]]:
    """Time several things in turns: all of them once, then all of them again.

    Parameters
    ----------
    works
        By name.
    turns
        How often each is timed.
    kind
        ``work`` counts processor time, which a machine that has other things to do hardly moves.

    Returns
    -------
    dict of str to list of float
        What each took in each turn [s].
    """
    taken: dict[str, list[float]] = {name: [] for name in works}
    for _ in range(turns):
        for name, work in works.items():
            taken[name].append(spent(work).of(kind))
    return taken


def paired(ours: Sequence[float], baseline: Sequence[float]) -> Pair:
    """Turns of a thing and of its baseline that were timed in rounds [s]."""
    ratios = [one / other for one, other in zip(ours, baseline, strict=True)]
    return Pair(middle(ours), middle(baseline), middle(ratios))


def in_turns(ours: Work, baseline: Work, turns: int) -> Pair:
    """Work of a thing and of its baseline in turns; of several, after each has been done once for nothing."""
    if turns > 1:
        ours()
        baseline()
    taken = rounds({"ours": ours, "baseline": baseline}, turns)
    return paired(taken["ours"], taken["baseline"])


def most_memory_gb() -> float:
    """Most memory that this process or any that it started and saw end has held [GB]."""
    return max(used.ru_maxrss for used in _used()) * _BYTES / 1e9


def _until_alone() -> None:
    end = time.perf_counter() + PATIENCE_S
    while active_children():  # asking buries those that have ended, and then they count
        if time.perf_counter() > end:
            raise TimeoutError("processes that were let go do not end, so that their work cannot be counted")
        time.sleep(0.05)


def _work_s() -> float:
    return sum(used.ru_utime + used.ru_stime for used in _used())


def _used() -> list[resource.struct_rusage]:
    return [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
