"""The body of a request as it arrives: so much of it, for so long, and no more."""

import asyncio
from typing import Final

from starlette.datastructures import Headers
from starlette.responses import Response
from starlette.types import Message, Receive

from workbench.page.headers import refusal

MOST_BYTES: Final = 1_000_000
LONGEST_BODY_S: Final = 30.0
"""A body that takes longer to come is not waited for."""
LINGER_S: Final = 1.0
LINGER_BYTES: Final = 4_000_000
"""So long and so much is read and thrown away behind a refusal: a connection closed over bytes that were not read may
lose the answer on its way."""
TOO_LARGE: Final = f"That is larger than {MOST_BYTES / 1e6:g} MB, which no plan is."


class Arriving:
    """The body of one request.

    Attributes
    ----------
    ended
        Whether all of it has come, or nothing more will.
    """

    def __init__(self, receive: Receive) -> None:
        self._receive = receive
        self.ended = False

    async def whole(self, headers: Headers) -> bytes | Response:
        """The whole body, or the refusal of one that is too large, packed, ambiguous, or does not come."""
        wrong = _wrong_in(headers)
        if wrong is not None:
            return wrong
        body = bytearray()
        try:
            async with asyncio.timeout(LONGEST_BODY_S):
                while not self.ended:
                    message = await self._next()
                    if message["type"] == "http.disconnect":
                        return refusal("The request ended early.", 400)
                    body += message.get("body", b"")
                    if len(body) > MOST_BYTES:
                        return refusal(TOO_LARGE, 413)
        except TimeoutError:
            return refusal("The request took too long to come.", 408)
        return bytes(body)

    async def run_out(self) -> None:
        """Throw away what still comes, for a moment."""
        thrown = 0
        try:
            async with asyncio.timeout(LINGER_S):
                while not self.ended and thrown < LINGER_BYTES:
                    thrown += len((await self._next()).get("body", b""))
        except TimeoutError:
            return

    async def _next(self) -> Message:
        message = await self._receive()
        self.ended = message["type"] == "http.disconnect" or not message.get("more_body", False)
        return message


def _wrong_in(headers: Headers) -> Response | None:
    """What the headers already say against a body."""
    length = headers.get("content-length", "0")
    if not length.isascii() or not length.isdigit() or len(length) > 12 or int(length) > MOST_BYTES:
        return refusal(TOO_LARGE, 413)
    if "content-length" in headers and "transfer-encoding" in headers:
        return refusal("This request gives its length in two ways.", 400)
    if headers.get("content-encoding", "identity").lower() != "identity":
        return refusal("This page takes nothing packed: send it as it is.", 415)
    return None


def replayed(body: bytes, receive: Receive) -> Receive:
    """Give a body that was read once more, to whoever reads it next.

    Parameters
    ----------
    body
        As it came.
    receive
        For what comes after it.

    Returns
    -------
    Receive
    """
    given = False

    async def receiving() -> Message:
        nonlocal given
        if given:
            return await receive()
        given = True
        return {"type": "http.request", "body": body, "more_body": False}

    return receiving
