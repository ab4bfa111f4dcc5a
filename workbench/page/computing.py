"""The computing process as the server sees it: one thing at a time, a short queue, started again when it dies."""

import asyncio
import contextlib
import threading
import time
from collections.abc import Callable
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Final

from optimize.processes import process_of
from workbench.page.messages import JSON, TAKEN, Asked, Reply, Settings, message_reply, spliced
from workbench.page.worker import answer_all

QUEUE: Final = 4
"""Requests that may wait for the one being computed."""
LONGEST_S: Final = 180.0
"""No answer takes so long; a process that does is stopped."""
IDLE_S: Final = 300.0
"""After so long without a question the process is stopped, so that an open page costs little memory."""
BUSY: Final = "The page is still working on what was asked before. Wait a moment and try again."
STOPPED: Final = "The computing process stopped; it has been started again. Try once more."
STARTED_AGAIN: Final = "The computing process had stopped; it was started again."
ENDED: Final = "The page was stopped."
TOO_LONG: Final = "This took too long and was stopped. Try a plan with fewer years."


class Computing:
    """Asks the computing process, one question at a time.

    Attributes
    ----------
    settings
        What each process is told when it starts.
    lasting
        Whether the process stays for the next question. One that makes files grows by what it imports, so it ends.
    """

    def __init__(
        self,
        settings: Settings,
        *,
        idle_s: float = IDLE_S,
        work: Callable[[Connection], None] = answer_all,
        lasting: bool = True,
    ) -> None:
        self.settings = settings
        self.lasting = lasting
        self._work = work
        self._idle_s = idle_s
        self._process: BaseProcess | None = None
        self._connection: Connection | None = None
        self._turn = asyncio.Lock()
        self._waiting = 0
        self._last_asked = time.monotonic()
        self._died = False
        self._closed = False
        self._in_use = threading.RLock()

    def start(self) -> None:
        """Start the process unless it runs; once the page is stopped there is none any more."""
        if self._closed:
            raise EOFError
        if self._process is not None and self._process.is_alive():
            return
        self._died = self._died or self._process is not None
        self._end()
        self._process, self._connection = process_of(self._work, "halfshade-page")
        if self._closed:  # while it was being started
            self._end()
            raise EOFError
        self._connection.send(self.settings)

    def stop(self) -> None:
        """Stop the process for good, whatever it does; whoever waits for its answer is told so first."""
        self._closed = True
        process = self._process
        if process is not None:
            with contextlib.suppress(ValueError):  # it was ended meanwhile
                process.kill()
        self._end()

    def _end(self) -> None:
        with self._in_use:
            process, self._process = self._process, None
            if process is not None:
                process.kill()
                process.join()
                process.close()
            if self._connection is not None:
                self._connection.close()
                self._connection = None

    def tell(self, settings: Settings) -> None:
        """Give this process, and those that may follow it, other settings."""
        self.settings = settings
        if self._connection is not None:
            self._connection.send(settings)

    def ask_now(self, asked: Asked) -> Reply:
        """Ask before the server runs."""
        return self._exchange(asked)

    @property
    def process_id(self) -> int | None:
        """Of the process, where one runs."""
        return self._process.pid if self._process is not None else None

    async def ask(self, asked: Asked) -> Reply:
        """Ask and wait for the answer.

        Parameters
        ----------
        asked
            The question.

        Returns
        -------
        Reply
            429 where too many wait already; 503 where the process died over it.
        """
        if self._waiting > QUEUE:
            return message_reply(BUSY, 429)
        self._waiting += 1
        try:
            async with self._turn:
                return await self._ask_alone(asked)
        finally:
            self._waiting -= 1
            self._last_asked = time.monotonic()

    async def _ask_alone(self, asked: Asked) -> Reply:
        asking = asyncio.ensure_future(asyncio.to_thread(self._exchange, asked))
        try:
            # a browser that went away must not leave an answer in the connection for the next question
            return await asyncio.shield(asking)
        except asyncio.CancelledError:
            with contextlib.suppress(Exception):
                await asking
            raise

    def _exchange(self, asked: Asked) -> Reply:
        with self._in_use:  # nobody takes the connection away from whoever reads it
            reply = self._answer_to(asked)
            if not self.lasting:
                self._end()
        return reply

    def _answer_to(self, asked: Asked) -> Reply:
        try:
            self.start()
            if not self._takes(asked):  # it was dead before it knew of the question, which is then not to blame
                self._died = True
                self._end()
                self.start()
                if not self._takes(asked):
                    return self._again(STOPPED)
            reply = self._reply()
        except (EOFError, OSError):
            return self._again(STOPPED)
        if reply is None:
            return self._again(TOO_LONG)
        died, self._died = self._died, False
        if died and reply.kind == JSON:
            return reply._replace(body=spliced({"notice": STARTED_AGAIN}, reply.body))
        return reply

    def _takes(self, asked: Asked) -> bool:
        """Whether the process has taken the question."""
        try:
            if self._connection is None:
                return False
            self._connection.send(asked)
            return self._connection.poll(LONGEST_S) and self._connection.recv() == TAKEN
        except (EOFError, OSError):
            return False

    def _reply(self) -> Reply | None:
        if self._connection is None or not self._connection.poll(LONGEST_S):
            return None
        reply: Reply = self._connection.recv()
        return reply

    def _again(self, why: str) -> Reply:
        """Start anew after a process died or was given up, which this answer tells."""
        self._end()
        self._died = False
        if self.lasting and not self._closed:
            self.start()
        return message_reply(ENDED if self._closed else why, 503)

    async def rest_when_idle(self) -> None:
        """Stop the process whenever nobody has asked for a while; the next question starts it again."""
        while True:
            await asyncio.sleep(min(self._idle_s / 4.0, 15.0))
            async with self._turn:
                if self._process is not None and time.monotonic() - self._last_asked > self._idle_s:
                    self._end()
