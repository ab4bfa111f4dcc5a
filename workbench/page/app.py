"""The routes of the page: thin, for everything that needs numbers is asked of the computing process."""

import asyncio
import contextlib
from collections.abc import AsyncIterator, Awaitable, Callable
from pathlib import Path
from typing import Any, Final

import jinja2
from markupsafe import Markup
from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, PlainTextResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from workbench.look import css_variables
from workbench.page.bodies import Unreadable, plan_of, read_object
from workbench.page.computing import Computing
from workbench.page.guard import Guard, Rules
from workbench.page.jobs import Jobs
from workbench.page.messages import OK, Asked, Reply, message_reply
from workbench.page.opened_first import First

HERE: Final = Path(__file__).parent
DOWNLOADS: Final = ("report", "pdf", "workbook", "csv", "pictures")
NO_COMPUTING: Final = "The computing process does not start. Stop the page and start it again."
Answering = Callable[[Request], Awaitable[Response]]


class Page:
    """What the routes share.

    Attributes
    ----------
    rules
        Who may speak to the page.
    computing
        The computing process.
    carrying
        Makes the files to take along, in a process that ends with each: they need much that the page does not, and
        take seconds in which the page goes on.
    jobs
        Long work.
    first
        What the page opens with.
    """

    def __init__(self, rules: Rules, computing: Computing) -> None:
        self.rules = rules
        self.computing = computing
        self.carrying = Computing(computing.settings, lasting=False)
        self.jobs = Jobs(computing.settings)
        self.first = First(computing)
        self._templates = jinja2.Environment(loader=jinja2.FileSystemLoader(HERE / "templates"), autoescape=True)

    def stop(self) -> None:
        """End everything that the page has started."""
        self.jobs.stop()
        self.carrying.stop()
        self.computing.stop()

    async def shell(self, _: Request) -> Response:
        """The page itself, with its first version in it where that is there already; it waits for nothing."""
        version = self.first.version_if_ready()
        given = {
            "token": self.rules.token,
            "title": self.first.title,
            "css_variables": css_variables(),
            "first_json": _inside_a_script(version) if version is not None else None,
        }
        return HTMLResponse(self._templates.get_template("page.html").render(given))

    async def palette(self, _: Request) -> Response:
        """The palette as a style sheet, for a strict policy allows no style inside the page."""
        return PlainTextResponse(f":root {{\n{css_variables()}\n}}\n", media_type="text/css")

    async def start(self, _: Request) -> Response:
        """What the page needs first."""
        return _response(await self.first.start())

    async def plan(self, request: Request) -> Response:
        """A version of a plan."""
        return await self._asked("plan", plan_of(read_object(await request.body())))

    async def open(self, request: Request) -> Response:
        """A version of the text of a scenario file."""
        try:
            text = (await request.body()).decode("utf-8-sig")
        except UnicodeDecodeError:
            return _response(message_reply("This is not UTF-8 text. Save it again as UTF-8.", 400))
        return await self._asked("open", text)

    async def example(self, request: Request) -> Response:
        """A version of a packaged example."""
        return await self._asked("example", read_object(await request.body()).get("id"))

    async def toml(self, request: Request) -> Response:
        """A plan as a scenario file."""
        return await self._asked("toml", plan_of(read_object(await request.body())))

    async def download(self, request: Request) -> Response:
        """Files of a plan."""
        kind = request.path_params["kind"]
        if kind not in DOWNLOADS:
            return _response(message_reply(f"There is no such download. There are: {', '.join(DOWNLOADS)}.", 404))
        plan = plan_of(read_object(await request.body()))
        return _response(await self.carrying.ask(Asked("download", {"kind": kind, "plan": plan})))

    async def layout(self, request: Request) -> Response:
        """A plan's rows on a field."""
        document = read_object(await request.body())
        plan_of(document)
        return await self._asked("layout", document)

    async def ground(self, request: Request) -> Response:
        """Rows, stakes and planting card as files."""
        document = read_object(await request.body())
        plan_of(document)
        return await self._asked("ground", document)

    async def new_job(self, request: Request) -> Response:
        """Start long work, or say why not."""
        document = read_object(await request.body())
        plan = plan_of(document)
        wanted = self.jobs.wanted(document)
        if isinstance(wanted, Reply):
            return _response(wanted)
        checked = await self.computing.ask(Asked("check", plan))
        return _response(checked if checked.status != OK else self.jobs.add(wanted))

    async def job(self, request: Request) -> Response:
        """How far long work is."""
        return _response(self.jobs.told(request.path_params["number"]))

    async def cancel(self, request: Request) -> Response:
        """Stop long work."""
        return _response(await self.jobs.cancel(request.path_params["number"]))

    async def _asked(self, what: str, given: Any) -> Response:  # noqa: ANN401 - what the page sent
        return _response(await self.computing.ask(Asked(what, given)))


def application(rules: Rules, computing: Computing, ready: Callable[[], None] = lambda: None) -> Guard:
    """The whole application.

    Parameters
    ----------
    rules
        Who may speak to it.
    computing
        The computing process, which may have been started already.
    ready
        Called once the page answers.

    Returns
    -------
    Guard
    """
    page = Page(rules, computing)

    @contextlib.asynccontextmanager
    async def living(_: Starlette) -> AsyncIterator[None]:
        tasks = [
            asyncio.create_task(work)
            for work in (page.first.fetch(), computing.rest_when_idle(), page.jobs.run(), page.jobs.forget())
        ]
        ready()
        yield
        for task in tasks:
            task.cancel()
        page.stop()

    static = StaticFiles(directory=HERE / "static", check_dir=False)
    handlers: dict[Any, Any] = {Unreadable: _unreadable, HTTPException: _refused, Exception: _fault}
    return Guard(
        Starlette(routes=[*_routes(page), Mount("/static", static)], exception_handlers=handlers, lifespan=living),
        rules,
        page.stop,
    )


def _routes(page: Page) -> list[Route]:
    reads: dict[str, Answering] = {"/": page.shell, "/palette.css": page.palette, "/api/start": page.start}
    posts: dict[str, Answering] = {
        "/api/plan": page.plan,
        "/api/open": page.open,
        "/api/example": page.example,
        "/api/toml": page.toml,
        "/api/layout": page.layout,
        "/api/download/ground": page.ground,
        "/api/download/{kind}": page.download,
        "/api/jobs": page.new_job,
    }
    return [
        *(Route(path, answer, methods=["GET"]) for path, answer in reads.items()),
        *(Route(path, answer, methods=["POST"]) for path, answer in posts.items()),
        Route("/api/jobs/{number}", page.job, methods=["GET"]),
        Route("/api/jobs/{number}", page.cancel, methods=["DELETE"]),
    ]


def _response(reply: Reply) -> Response:
    attached = {"Content-Disposition": f'attachment; filename="{reply.name}"'} if reply.name else {}
    return Response(reply.body, reply.status, attached, reply.kind)


def _inside_a_script(body: bytes) -> Markup:
    """JSON that cannot end the script element it stands in."""
    text = body.decode()
    for letter in "<>&\u2028\u2029":
        text = text.replace(letter, f"\\u{ord(letter):04x}")
    return Markup(text)  # noqa: S704 - just escaped


async def _unreadable(_: Request, error: Exception) -> Response:
    return _response(error.reply) if isinstance(error, Unreadable) else await _fault(_, error)


async def _refused(_: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 500
    said = {404: "There is nothing here.", 405: "This cannot be done here.", 503: NO_COMPUTING}
    return JSONResponse({"message": said.get(status, "This cannot be done.")}, status)


async def _fault(_: Request, error: Exception) -> Response:
    return JSONResponse({"message": f"A fault of ours: {type(error).__name__}. The page goes on."}, 500)
