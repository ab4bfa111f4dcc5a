"""Work on one process or on several, in portions whose borders never depend on how many."""

import contextlib
import os
import signal
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Executor, Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from multiprocessing import active_children, get_context, parent_process
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Final, TypeVar

from simulator.errors import InputError, Problem

Portion = TypeVar("Portion")
Result = TypeVar("Result")
THREADS: Final = ("OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "OMP_NUM_THREADS")


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

    Raises
    ------
    InputError
        Where a process was killed from outside.
    """
    workers = min(workers, len(portions))
    if workers <= 1:
        for number, portion in enumerate(portions):
            yield number, work(portion)
        return
    with pool_of(workers) as pool:
        try:
            jobs = {hand_out(pool, work, portion): number for number, portion in enumerate(portions)}
            for job in as_completed(jobs):
                yield jobs[job], job.result()
        except BrokenProcessPool as error:
            raise killed(workers, "Run the same command again with fewer workers.") from error


@contextmanager
def pool_of(workers: int) -> Iterator[ProcessPoolExecutor]:
    """Processes that leave Ctrl-C to this one and do not outlive it.

    Who stops the work, or meets a fault in it, does not wait for portions that nobody will read.
    """
    others = set(active_children())
    with one_thread_each():
        pool = ProcessPoolExecutor(workers, mp_context=get_context("spawn"), initializer=_follow_the_parent)
        try:
            yield pool
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            # a process that was being started while another was killed is overlooked by the pool, which waits for it
            # for ever
            for worker in set(active_children()) - others:
                worker.terminate()
            raise
        pool.shutdown()


def hand_out(pool: Executor, work: Callable[..., Result], *given: object) -> Future[Result]:
    """Give a pool something to do.

    Raises
    ------
    BrokenProcessPool
        Where a process was killed, also where that is noticed only in handing out: the pool then says no more than
        that a handle is closed, or that a pipe is, which would pass for a reader of our output that went away.
    """
    try:
        return pool.submit(work, *given)
    except OSError as error:
        if error.errno is not None and not isinstance(error, BrokenPipeError):  # the system refuses a process
            raise
        raise BrokenProcessPool("a process was killed while work was handed out") from error


def process_of(work: Callable[[Connection], None], name: str) -> tuple[BaseProcess, Connection]:
    """Start one process that answers over a connection; it leaves Ctrl-C to this one and does not outlive it.

    Parameters
    ----------
    work
        A function of a module, given the other end of the connection.
    name
        What to call the process.

    Returns
    -------
    tuple of (BaseProcess, Connection)
        The connection ends when the process does.
    """
    here, there = get_context("spawn").Pipe()
    with one_thread_each():
        process = get_context("spawn").Process(target=_alone, args=(work, there), name=name)
        process.start()
    there.close()
    return process, here


def _alone(work: Callable[[Connection], None], connection: Connection) -> None:
    _follow_the_parent()
    with contextlib.suppress(EOFError, BrokenPipeError, ConnectionResetError):  # whoever asked is gone
        work(connection)


def killed(workers: int, remedy: str) -> InputError:
    """What to say where a process went without a word."""
    rule = "a process was killed, most likely for want of memory"
    return InputError([Problem("--workers", rule, str(workers), remedy)])


@contextmanager
def one_thread_each() -> Iterator[None]:
    """Processes started inside use one thread each: there are as many of them as processors."""
    before: Mapping[str, str | None] = {name: os.environ.get(name) for name in THREADS}
    os.environ.update(dict.fromkeys(THREADS, "1"))
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value


def _follow_the_parent() -> None:
    """Leave stopping to the parent, and go when it is gone: a killed parent can tell nobody."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_leave_with_the_parent, daemon=True).start()


def _leave_with_the_parent() -> None:
    parent = parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)
