"""Work on one process or on several, in portions whose borders never depend on how many."""

import os
import signal
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from multiprocessing import active_children, get_context
from typing import TypeVar

Portion = TypeVar("Portion")
Result = TypeVar("Result")


def cores() -> int:
    """Processors this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def side_by_side(
    work: Callable[[Portion], Result], portions: Sequence[Portion], workers: int
) -> Iterator[tuple[int, Result]]:
    """Do every portion of a work, several at once.

    Parameters
    ----------
    work
        A function of a module, so that other processes find it.
    portions
        What it is given, one after the other.
    workers
        Processes at most; with one the work is done here.

    Yields
    ------
    tuple
        Place of a portion and its result, in the order in which they are done. Ctrl-C reaches only this process.
    """
    workers = min(workers, len(portions))
    if workers <= 1:
        for number, portion in enumerate(portions):
            yield number, work(portion)
        return
    others = set(active_children())
    with ProcessPoolExecutor(
        workers, mp_context=get_context("spawn"), initializer=_leave_stopping_to_the_parent
    ) as pool:
        jobs = {pool.submit(work, portion): number for number, portion in enumerate(portions)}
        try:
            for job in as_completed(jobs):
                yield jobs[job], job.result()
        except (KeyboardInterrupt, GeneratorExit):
            # who stops the work does not wait for portions that nobody will read
            for worker in set(active_children()) - others:
                worker.terminate()
            raise
        finally:
            pool.shutdown(wait=False, cancel_futures=True)


def _leave_stopping_to_the_parent() -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
