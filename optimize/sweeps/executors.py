"""Where tasks are worked: processes of this machine, or the workers of a Dask scheduler, behind one interface.

The only module that may import Dask.
"""

from collections.abc import Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Executor, Future, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from itertools import islice
from typing import Any, Final, NamedTuple

from optimize import editions
from optimize.processes import hand_out, killed, pool_of
from optimize.sweeps.job import Job, Task
from optimize.sweeps.work import Done, worked
from simulator.errors import InputError, MissingExtraError, Problem

WAITING_FOR_EACH: Final = 2
"""Tasks handed out for each process, so that none waits and memory does not grow with their number."""
ANSWER_S: Final = 10


class Crew(NamedTuple):
    """Who works tasks: an executor, or nobody but this process, and how many at once."""

    pool: Executor | None
    width: int


@contextmanager
def crew(workers: int, scheduler: str | None) -> Iterator[Crew]:
    """Hire workers for a sweep and let them go after it.

    Parameters
    ----------
    workers
        Processes of this machine; with one the work is done in this process.
    scheduler
        Address of a Dask scheduler, such as ``tcp://10.0.0.5:8786``, whose workers are taken instead.

    Yields
    ------
    Crew

    Raises
    ------
    MissingExtraError
        Where Dask is not installed.
    InputError
        Where no scheduler answers, it has no workers, or they run another edition of the program.
    """
    if scheduler is not None:
        with _cluster(scheduler) as found:
            yield found
    elif workers <= 1:
        yield Crew(None, 1)
    else:
        with pool_of(workers) as pool:
            yield Crew(pool, workers)


def all_done(hired: Crew, job: Job, tasks: Iterable[Task]) -> Iterator[Done]:
    """Work tasks and hand over each as it is done, in any order.

    Raises
    ------
    InputError
        Where a process was killed from outside.
    """
    if hired.pool is None:
        yield from (worked(job, task) for task in tasks)
        return
    left = iter(tasks)
    pending: set[Future[Done]] = set()
    try:
        pending.update(_handed_out(hired, job, islice(left, hired.width * WAITING_FOR_EACH)))
        while pending:
            done, pending = wait(pending, return_when=FIRST_COMPLETED)
            results = [future.result() for future in done]
            pending.update(_handed_out(hired, job, islice(left, len(done))))
            yield from results
    except BrokenProcessPool as error:
        raise killed(hired.width, "What is done is kept; run the same command again with fewer workers.") from error
    finally:
        for future in pending:
            future.cancel()


def _handed_out(hired: Crew, job: Job, tasks: Iterable[Task]) -> list[Future[Done]]:
    if hired.pool is None:
        return []
    return [hand_out(hired.pool, worked, job, task) for task in tasks]


@contextmanager
def _cluster(address: str) -> Iterator[Crew]:
    try:
        from distributed import Client  # noqa: PLC0415 - an extra, and slow to import
    except ImportError as error:
        raise MissingExtraError(
            "--scheduler needs Dask, which is not installed: python -m pip install 'halfshade[cluster]'"
        ) from error
    try:
        client: Any = Client(address, timeout=ANSWER_S, set_as_default=False)  # type: ignore[no-untyped-call]
    except (OSError, ValueError) as error:
        remedy = "Start one with 'dask scheduler' and name the address it prints, such as tcp://10.0.0.5:8786."
        raise InputError([Problem("--scheduler", "no Dask scheduler answers there", address, remedy)]) from error
    with client:
        width = sum(client.ncores().values())
        if not width:
            remedy = f"Start some with 'dask worker {address}'."
            raise InputError([Problem("--scheduler", "has no workers", address, remedy)])
        other = [name for name, theirs in client.run(editions.code_hash).items() if theirs != editions.code_hash()]
        if other:
            rule = f"has workers that run another edition of Halfshade: {', '.join(map(str, other))}"
            raise InputError([Problem("--scheduler", rule, address, "Install the same version on every machine.")])
        yield Crew(client.get_executor(), width)
