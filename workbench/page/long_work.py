"""Long work in a process of its own: the search for the best plan, draws of hazards, thin now or wait."""

import importlib
import time
from collections.abc import Callable
from dataclasses import replace
from multiprocessing.connection import Connection
from typing import Any, Final, Literal, NamedTuple

from simulator.errors import InputError
from workbench.page.messages import Settings

KINDS: Final = ("optimize", "odds", "wait")
TELL_EVERY_S: Final = 0.2


class Order(NamedTuple):
    """What is to be done.

    Attributes
    ----------
    kind
        One of ``KINDS``.
    plan
        Nested tables.
    draws
        How many, for the odds.
    settings
        What every process of the page is told.
    """

    kind: str
    plan: dict[str, Any]
    draws: int
    settings: Settings


class Step(NamedTuple):
    """What a process says of its work.

    Attributes
    ----------
    done, of
        How much is done; ``of`` 0 leaves it as it was.
    message
        What it is at, or why it ended.
    ends
        State in which it ends; empty while it goes on.
    result, version
        JSON at the end.
    """

    done: int = 0
    of: int = 0
    message: str = ""
    ends: Literal["", "done", "failed"] = ""
    result: bytes = b"null"
    version: bytes = b"null"


class Teller:
    """Says how far work is, not more often than a person can see.

    Attributes
    ----------
    message
        What the work is at.
    """

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._last = 0.0
        self.message = ""

    def at(self, message: str) -> None:
        """Say what is begun."""
        self.message = message
        self._connection.send(Step(message=message))

    def __call__(self, done: int, of: int) -> None:
        """Say how much is done."""
        now = time.monotonic()
        if now - self._last >= TELL_EVERY_S or done == of:
            self._last = now
            self._connection.send(Step(done, of, self.message))


def do_long_work(connection: Connection) -> None:
    """Do one order and leave.

    Parameters
    ----------
    connection
        Brings the order; takes steps, the last of which ends the work.
    """
    order: Order = connection.recv()
    try:
        module = importlib.import_module("workbench.page.long_answers")
        answer: Callable[[Order, Teller], Step] = getattr(module, f"{order.kind}_step")
        connection.send(answer(order, Teller(connection)))
    except InputError as error:
        said = (str(replace(problem, file=None, line=None)) for problem in error.problems)
        connection.send(Step(message=" ".join(said), ends="failed"))
    except Exception as error:  # noqa: BLE001 - the last stop: the page lives, and says that the fault is ours
        fault = f"A fault of ours, not of your plan: {type(error).__name__}: {error}."
        connection.send(Step(message=fault, ends="failed"))
