"""Long work as the server sees it: one at a time in its own process, with progress, time left and a way to stop."""

import asyncio
import json
import secrets
import time
from collections import OrderedDict
from dataclasses import dataclass, field
from multiprocessing.process import BaseProcess
from typing import Any, Final

from optimize.processes import process_of
from workbench.page.long_work import KINDS, Order, Step, do_long_work
from workbench.page.messages import OK, UNPROCESSABLE, Reply, Settings, json_reply, message_reply

WAITING: Final = 4
"""Jobs that may wait for the one that runs."""
REMEMBERED: Final = 12
"""Finished jobs whose results are kept."""
DRAWS: Final = (2, 20_000)
USUAL_DRAWS: Final = 500
PATIENCE_S: Final = 3.0
"""Between asking a process to end and ending it."""
FORGOTTEN_S: Final = 150.0
"""Work that nobody has asked about for so long is stopped: its tab is closed. A hidden tab asks once a minute."""
OVER: Final = ("done", "failed", "cancelled")
CANCELLED: Final = "Stopped."
FORGOTTEN: Final = "Stopped, because the page was closed or did not ask for a while. Start it again."
DIED: Final = "The process that worked on this stopped. Start it again, with fewer draws or a smaller search."


@dataclass
class Job:
    """One piece of long work.

    Attributes
    ----------
    order
        What is to be done.
    state
        queued, running, done, failed or cancelled.
    done, of
        How much of it is done; ``of`` is 0 where nobody can say.
    started, told, asked
        When it began, when it last said how much is done, and when somebody last asked about it, by a clock that only
        runs forward [s].
    result, version
        JSON of what was found, and of the version of the best plan.
    message
        What it is at, or why it ended.
    """

    order: Order
    state: str = "queued"
    done: int = 0
    of: int = 0
    started: float = 0.0
    told: float = 0.0
    asked: float = field(default_factory=time.monotonic)
    result: bytes = b"null"
    version: bytes = b"null"
    message: str = ""
    process: BaseProcess | None = field(default=None, repr=False)

    @property
    def seconds_left(self) -> float | None:
        """At the speed so far [s]; None where that cannot be said."""
        if self.state != "running" or not 0 < self.done <= self.of:
            return None
        whole = (self.told - self.started) * self.of / self.done
        return round(max(self.started + whole - time.monotonic(), 0.0), 1)


class Jobs:
    """Long work in the order in which it was asked for.

    Attributes
    ----------
    settings
        What each process is told.
    """

    def __init__(self, settings: Settings, *, forgotten_s: float = FORGOTTEN_S) -> None:
        self.settings = settings
        self._forgotten_s = forgotten_s
        self._jobs: OrderedDict[str, Job] = OrderedDict()
        self._come = asyncio.Event()

    def wanted(self, document: dict[str, Any]) -> Order | Reply:
        """What the page asks for, or why it cannot be had."""
        kind, draws = document.get("kind"), document.get("draws", USUAL_DRAWS)
        problems = []
        if kind not in KINDS:
            problems.append({"field": "kind", "message": f"Must be one of {', '.join(KINDS)}."})
        if not isinstance(draws, int) or isinstance(draws, bool) or not DRAWS[0] <= draws <= DRAWS[1]:
            problems.append({"field": "draws", "message": f"Must be a whole number from {DRAWS[0]} to {DRAWS[1]:,}."})
        if problems:
            return json_reply({"problems": problems}, UNPROCESSABLE)
        if sum(job.state == "queued" for job in self._jobs.values()) >= WAITING:
            return message_reply("Too much is waiting already. Let it finish, or stop some of it.", 429)
        return Order(str(kind), document["plan"], draws, self.settings)

    def add(self, order: Order) -> Reply:
        """Put work at the end of the queue."""
        number = secrets.token_hex(6)
        self._jobs[number] = Job(order)
        for old in [key for key, job in self._jobs.items() if job.state in OVER][:-REMEMBERED]:
            del self._jobs[old]
        self._come.set()
        return json_reply({"job": number}, 202)

    def told(self, number: str) -> Reply:
        """How far a job is, and what it found."""
        job = self._jobs.get(number)
        if job is None:
            return message_reply("There is no such work; it may have been forgotten. Start it again.", 404)
        job.asked = time.monotonic()
        head = {
            "state": job.state,
            "kind": job.order.kind,
            "done": job.done,
            "of": job.of,
            "seconds_left": job.seconds_left,
            "message": job.message,
        }
        body = json.dumps(head, separators=(",", ":")).encode()[:-1]
        return Reply(OK, body + b',"result":' + job.result + b',"version":' + job.version + b"}")

    async def cancel(self, number: str) -> Reply:
        """Stop a job: its process and what that has started."""
        job = self._jobs.get(number)
        if job is not None and job.state not in OVER:
            await _stopped(job, CANCELLED)
        return self.told(number)

    async def run(self) -> None:
        """Do one job after the other, as long as the page lives."""
        while True:
            await self._come.wait()
            job = next((job for job in self._jobs.values() if job.state == "queued"), None)
            if job is None:
                self._come.clear()
                continue
            await self._one(job)

    async def forget(self) -> None:
        """Stop whatever nobody asks about any more, so that it does not hold up what others wait for."""
        while True:
            await asyncio.sleep(self._forgotten_s / 10.0)
            for job in [job for job in self._jobs.values() if job.state not in OVER]:
                if time.monotonic() - job.asked > self._forgotten_s:
                    await _stopped(job, FORGOTTEN)

    def stop(self) -> None:
        """End what runs."""
        for job in list(self._jobs.values()):  # the server may take one more meanwhile
            _end(job)

    async def _one(self, job: Job) -> None:
        job.state, job.started = "running", time.monotonic()
        process, connection = await asyncio.to_thread(process_of, do_long_work, "halfshade-job")
        job.process = process
        try:
            connection.send(job.order)
            while job.state == "running":
                step: Step = await asyncio.to_thread(connection.recv)
                _take(job, step)
            if job.state == "done":  # it leaves by itself, and tidies up behind it
                await asyncio.to_thread(process.join, PATIENCE_S)
        except (EOFError, OSError):
            if job.state == "running":
                job.state, job.message = "failed", DIED
        finally:
            await asyncio.to_thread(_end, job)
            connection.close()


async def _stopped(job: Job, why: str) -> None:
    job.state, job.message = "cancelled", why
    await asyncio.to_thread(_end, job)


def _take(job: Job, step: Step) -> None:
    """Note what the process says, unless the job was stopped meanwhile."""
    if job.state != "running":
        return
    if step.of and step.done != job.done:
        job.done, job.of, job.told = step.done, step.of, time.monotonic()
    job.message = step.message
    if step.ends:
        job.state, job.result, job.version = step.ends, step.result, step.version


def _end(job: Job) -> None:
    process, job.process = job.process, None
    if process is None:
        return
    process.terminate()
    process.join(PATIENCE_S)
    if process.is_alive():
        process.kill()
        process.join()
    process.close()
