"""Commands that work for minutes, made to end in this process within a second: stopped short, or given little to do."""

import contextlib
import json
import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from multiprocessing import Pipe
from multiprocessing.connection import Connection
from typing import Any, Final, NoReturn
from unittest import mock

import click

from workbench.page import computing, connection, serve
from workbench.page.answers import first_reply
from workbench.page.form import form_reply
from workbench.page.messages import OK, Settings
from workbench.page.opening import text_of_start
from workbench.page.plans import opened_text

MOST_DRAWN: Final = 20_000
"""Scenarios of a sweep above which its design is not drawn here."""
MOST_COMPUTED: Final = 24
"""Scenarios of a sweep above which none is run where the others are run to the end."""
LONGEST_SEARCH_S: Final = 1.0
SHORT_YEARS: Final = 20
NOT_COMPUTED: Final = "{}\n"
"""What a command that was stopped short has printed."""


def _enough(*_: object, **__: object) -> NoReturn:
    click.echo(NOT_COMPUTED, nl=False)
    raise click.exceptions.Exit(0)


def _drawn(most: int) -> Callable[..., Any]:
    """Draw a design that is not too large; end where it has more scenarios than are run."""
    from optimize.sweeps import designs  # noqa: PLC0415 - what only reads a table does not wait for it

    def drawn(design: Any, factors: Any, samples: Any, seed: Any) -> Any:  # noqa: ANN401 - passed through
        count = designs.scenarios_in(design, factors, samples)
        codes = designs.codes_of(design, factors, samples, seed) if count <= MOST_DRAWN else None
        return codes if codes is not None and count <= most else _enough()

    return drawn


@contextmanager
def stopped_short() -> Iterator[None]:
    """Let commands that search for minutes read all they are given, and end where the search begins."""
    with ExitStack() as stack:
        stack.enter_context(mock.patch("optimize.property.whole.plan_property", _enough))
        stack.enter_context(mock.patch("optimize.sweeps.run.codes_of", _drawn(0)))
        stack.enter_context(mock.patch("simulator.inventory.calibrate.calibrated", _enough))
        stack.enter_context(page_not_served())
        yield


@contextmanager
def computed() -> Iterator[None]:
    """Let them come to their end in little time, beside the short horizon of the sound files.

    Pathways of a tract seen before are taken as they were grown then, the solver stops after a second, readings are
    fitted on the fast light path, and of large designs nothing is run.
    """
    from optimize.property import whole  # noqa: PLC0415 - see above
    from simulator.inventory import calibrate  # noqa: PLC0415

    grow, search, run = whole.tract_columns, whole.best_plan, calibrate.run_batch
    known: dict[tuple[str, object], Any] = {}

    def grown(scenario: Any, beside: Any, objective: Any) -> Any:  # noqa: ANN401 - passed through
        key = (scenario.model_dump_json(), objective)
        if key not in known:
            known[key] = grow(scenario, beside, objective)
        return known[key]

    def searched(*given: Any, search_for: tuple[float, float, int], **named: Any) -> Any:  # noqa: ANN401
        return search(*given, search_for=(min(search_for[0], LONGEST_SEARCH_S), *search_for[1:]), **named)

    with ExitStack() as stack:
        stack.enter_context(mock.patch.object(whole, "tract_columns", grown))
        stack.enter_context(mock.patch.object(whole, "best_plan", searched))
        stack.enter_context(mock.patch.object(calibrate, "run_batch", lambda plans, beside, **_: run(plans, beside)))
        stack.enter_context(mock.patch("optimize.sweeps.run.codes_of", _drawn(MOST_COMPUTED)))
        stack.enter_context(page_not_served(grows=True))
        yield


class _Thread:
    """A computing process of the page that is a thread of this process: started, asked and ended the same way."""

    pid = 0

    def __init__(self, work: Callable[[Connection], None], there: Connection) -> None:
        self._thread = threading.Thread(target=self._until_left_alone, args=(work, there), daemon=True)
        self._there = there
        self.killed = False
        self._thread.start()

    @staticmethod
    def _until_left_alone(work: Callable[[Connection], None], there: Connection) -> None:
        with contextlib.suppress(EOFError, OSError, TypeError):  # the ends are closed: TypeError is of a closed one
            work(there)

    def is_alive(self) -> bool:
        return self._thread.is_alive()

    def kill(self) -> None:
        """Told to end: it does when the connection does, and what it then still has at hand it finishes alone."""
        self.killed = True

    join = close = kill


class _Pages:
    """Pages that start all that they start, and make what they open with where they would begin to serve.

    Attributes
    ----------
    grows
        Whether a plan of few years is grown too, and not only read as the opened page does.
    """

    def __init__(self, *, grows: bool) -> None:
        self.grows = grows
        self._bound, self._told = serve.listen, computing.Computing.tell
        self._settings: list[Settings] = []
        self._started: list[Any] = []

    def process_of(self, work: Callable[[Connection], None], _name: str) -> tuple[_Thread, Connection]:
        here, there = Pipe()
        self._started.append(_Thread(work, there))
        return self._started[-1], here

    def listen(self, place: serve.Place) -> Any:  # noqa: ANN401 - a socket
        self.are_gone()
        self._started[:] = [self._bound(place)]
        return self._started[0]

    def tell(self, here: computing.Computing, settings: Settings) -> None:
        self._settings.append(settings)
        self._told(here, settings)

    def serve_on(self, listening: Any, _app: object) -> None:  # noqa: ANN401 - a socket
        assert listening.getsockname()[1] > 0
        settings = self._settings.pop()
        assert form_reply(None, settings).status == OK
        opened = opened_text(text_of_start(settings), settings)
        if self.grows and opened.scenario.money.horizon_years <= SHORT_YEARS:
            document = first_reply(None, settings).body.decode()
            json.loads(document)
            click.echo(document, nl=False)

    def are_gone(self) -> None:
        """No socket and no computing process outlives its page."""
        assert all(each.killed if isinstance(each, _Thread) else each.fileno() == -1 for each in self._started)


@contextmanager
def page_not_served(*, grows: bool = False) -> Iterator[None]:
    """Let the page start all but its server, see `_Pages`."""
    pages = _Pages(grows=grows)
    with ExitStack() as stack:
        stack.enter_context(mock.patch.object(serve, "listen", pages.listen))
        stack.enter_context(mock.patch.object(computing, "process_of", pages.process_of))
        stack.enter_context(
            mock.patch.object(computing.Computing, "tell", autospec=True, side_effect=pages.tell)  # which is told whose
        )
        stack.enter_context(mock.patch.object(connection, "serve_on", pages.serve_on))
        yield
    pages.are_gone()
