"""Who may speak to the page: the own browser on this machine, under its own name, with the page's token.

Everything passes here before any route sees it: name of the host, origin, token, password, size; and every answer
leaves with the same headers.
"""

import asyncio
import base64
import binascii
import hmac
import ipaddress
from collections.abc import Callable
from typing import Final, NamedTuple

from starlette.datastructures import Headers
from starlette.responses import JSONResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from workbench.page.arriving import Arriving, replayed
from workbench.page.headers import refusal, with_headers
from workbench.page.neighbours import is_anothers

TOKEN_HEADER: Final = "X-Halfshade-Token"  # noqa: S105 - a name, no secret
AFTER_A_WRONG_PASSWORD_S: Final = 0.5
CHANGING: Final = ("POST", "DELETE", "PUT", "PATCH")
ONLY_ONCE: Final = ("origin", "authorization", TOKEN_HEADER)
"""Headers that decide; of two that say different things nobody can say which was meant."""
OWNER_ONLY: Final = (
    "This page belongs to another user of this machine. Whoever shares it starts it with --password-file."
)


class Rules(NamedTuple):
    """What is let through.

    Attributes
    ----------
    port
        On which the page listens.
    token
        Without it nothing is changed or computed.
    address
        Where the page listens beside the loopback names; empty on loopback.
    password
        Asked of everyone; empty on loopback.
    """

    port: int
    token: str
    address: str = ""
    password: str = ""

    def knows(self, host: str) -> bool:
        """Whether a Host header names this page: a foreign name may be a trap that resolves to this machine."""
        named = host if host.endswith(f":{self.port}") else f"{host}:80"  # browsers leave out the web's own port
        name, _, port = named.rpartition(":")
        if port != str(self.port):
            return False
        return name in {"127.0.0.1", "localhost", "[::1]"} or self._by_address(name)

    def _by_address(self, name: str) -> bool:
        if not self.address:
            return False
        if name.strip("[]") == self.address:
            return True
        try:
            # on all addresses of the machine any of its numbers will do, but no name
            return ipaddress.ip_address(self.address).is_unspecified and bool(ipaddress.ip_address(name.strip("[]")))
        except ValueError:
            return False

    def is_let_in(self, authorization: str) -> bool:
        """Whether a password, if one is asked, is the right one."""
        if not self.password:
            return True
        scheme, _, coded = authorization.partition(" ")
        try:
            given = base64.b64decode(coded.strip(), validate=True).partition(b":")[2]
        except (binascii.Error, ValueError):
            return False
        return scheme.lower() == "basic" and hmac.compare_digest(given, self.password.encode())

    def has_token(self, given: str) -> bool:
        """Whether a request carries the page's token."""
        return hmac.compare_digest(given.encode(), self.token.encode())


class Guard:
    """Lets through what the rules allow.

    Attributes
    ----------
    app
        What is guarded.
    rules
        What is let through.
    stop
        Ends what the page works on, so that whoever waits for it is told before the server goes.
    """

    def __init__(self, app: ASGIApp, rules: Rules, stop: Callable[[], None]) -> None:
        self.app = app
        self.stop = stop
        self.rules = rules
        self._guessing = asyncio.Lock()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or let it through."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            return  # no web sockets here: the connection ends unanswered
        arriving, guarded = Arriving(receive), with_headers(send)
        refused = await self._refused(scope)
        if refused is None:
            body = await arriving.whole(Headers(scope=scope))
            if not isinstance(body, Response):
                await self.app(_whole_only(scope), replayed(body, receive), guarded)
                return
            refused = body
        await _turned_away(refused, scope, arriving, guarded)

    async def _refused(self, scope: Scope) -> Response | None:
        headers = Headers(scope=scope)
        if not self.rules.knows(headers.get("host", "")):
            return refusal("This page answers only under its own address on this machine.", 400)
        if any(len(headers.getlist(name)) > 1 for name in ONLY_ONCE):
            return refusal("This request says two things at once.", 400)
        if headers.get("origin", own := f"http://{headers['host']}") != own:
            return refusal("This page takes nothing from another site.", 403)
        if "\0" in scope["path"]:
            return refusal("There is nothing here.", 404)
        return await self._keyless(headers, scope)

    async def _keyless(self, headers: Headers, scope: Scope) -> Response | None:
        if not self.rules.password and is_anothers(scope.get("client"), scope.get("server")):
            return refusal(OWNER_ONLY, 403)
        if not await self._is_let_in(headers.get("authorization")):
            asked = {"WWW-Authenticate": 'Basic realm="Halfshade", charset="UTF-8"', "Connection": "close"}
            return JSONResponse({"message": "Type the password of this page."}, 401, asked)
        if scope["method"] in CHANGING and not self.rules.has_token(headers.get(TOKEN_HEADER, "")):
            return refusal("This request did not come from the open page. Load the page again.", 403)
        return None

    async def _is_let_in(self, authorization: str | None) -> bool:
        """Whether the password is right; a wrong one holds up every other guess, so that many at once gain nothing."""
        if not self.rules.password:
            return True
        if authorization is None:
            return False  # a browser that has not asked its person yet: no guess
        async with self._guessing:
            if self.rules.is_let_in(authorization):
                return True
            await asyncio.sleep(AFTER_A_WRONG_PASSWORD_S)
            return False


def _whole_only(scope: Scope) -> Scope:
    """A request without the header that asks for parts, which a server may pass over (RFC 9110, section 14.2)."""
    return {**scope, "headers": [(name, value) for name, value in scope["headers"] if name != b"range"]}


async def _turned_away(refused: Response, scope: Scope, arriving: Arriving, send: Send) -> None:
    """Answer first and end then, with a moment between for what the client has sent already."""

    async def going_on(message: Message) -> None:
        await send({**message, "more_body": True} if message["type"] == "http.response.body" else message)

    await refused(scope, _nothing, going_on)
    await arriving.run_out()
    await send({"type": "http.response.body", "body": b"", "more_body": False})


async def _nothing() -> Message:
    return {"type": "http.disconnect"}
