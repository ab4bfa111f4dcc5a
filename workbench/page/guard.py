"""Who may speak to the page: the own browser on this machine, under its own name, with the page's token.

Everything passes here before any route sees it: name of the host, origin, token, password, size; and every answer
leaves with the same headers.
"""

import asyncio
import base64
import binascii
import hmac
import ipaddress
from typing import Final, NamedTuple

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import JSONResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

TOKEN_HEADER: Final = "X-Halfshade-Token"  # noqa: S105 - a name, no secret
MOST_BYTES: Final = 1_000_000
LONGEST_BODY_S: Final = 30.0
"""A body that takes longer to come is not waited for."""
AFTER_A_WRONG_PASSWORD_S: Final = 0.5
CHANGING: Final = ("POST", "DELETE", "PUT", "PATCH")
POLICY: Final = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data: blob:",
        "connect-src 'self'",
        "form-action 'none'",
        "frame-ancestors 'none'",
        "base-uri 'none'",
    )
)
HEADERS: Final = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
}


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
    """

    def __init__(self, app: ASGIApp, rules: Rules) -> None:
        self.app = app
        self.rules = rules

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or let it through."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            return  # no web sockets here: the connection ends unanswered
        guarded = _with_headers(send)
        refusal = await self._refused(scope)
        if refusal is None and scope["method"] in CHANGING:
            body = await _body_of(Headers(scope=scope), receive)
            refusal = body if isinstance(body, Response) else None
            receive = receive if isinstance(body, Response) else _replayed(body, receive)
        await (self.app if refusal is None else refusal)(scope, receive, guarded)

    async def _refused(self, scope: Scope) -> Response | None:
        headers = Headers(scope=scope)
        host, origin = headers.get("host", ""), headers.get("origin")
        if not self.rules.knows(host):
            return _refusal("This page answers only under its own address on this machine.", 400)
        if origin is not None and origin != f"http://{host}":
            return _refusal("This page takes nothing from another site.", 403)
        if not self.rules.is_let_in(headers.get("authorization", "")):
            await asyncio.sleep(AFTER_A_WRONG_PASSWORD_S)
            asked = {"WWW-Authenticate": 'Basic realm="Halfshade", charset="UTF-8"'}
            return JSONResponse({"message": "Type the password of this page."}, 401, asked)
        if scope["method"] in CHANGING and not self.rules.has_token(headers.get(TOKEN_HEADER, "")):
            return _refusal("This request did not come from the open page. Load the page again.", 403)
        return None


def _refusal(message: str, status: int) -> Response:
    return JSONResponse({"message": message}, status)


def _with_headers(send: Send) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers[name] = value
            headers.setdefault("Cache-Control", "no-store")
        await send(message)

    return sending


async def _body_of(headers: Headers, receive: Receive) -> bytes | Response:
    """The whole body, or the refusal of one that is too large or does not come."""
    too_large = _refusal(f"That is larger than {MOST_BYTES / 1e6:g} MB, which no plan is.", 413)
    length = headers.get("content-length", "0")
    if not length.isascii() or not length.isdigit() or len(length) > 12 or int(length) > MOST_BYTES:
        return too_large
    body = bytearray()
    try:
        async with asyncio.timeout(LONGEST_BODY_S):
            while True:
                message = await receive()
                if message["type"] == "http.disconnect":
                    return _refusal("The request ended early.", 400)
                body += message.get("body", b"")
                if len(body) > MOST_BYTES:
                    return too_large
                if not message.get("more_body", False):
                    return bytes(body)
    except TimeoutError:
        return _refusal("The request took too long to come.", 408)


def _replayed(body: bytes, receive: Receive) -> Receive:
    given = False

    async def receiving() -> Message:
        nonlocal given
        if given:
            return await receive()
        given = True
        return {"type": "http.request", "body": body, "more_body": False}

    return receiving
