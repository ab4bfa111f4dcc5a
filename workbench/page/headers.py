"""The headers with which every answer leaves, also those that no route has made."""

from typing import Final

from starlette.datastructures import MutableHeaders
from starlette.responses import JSONResponse, Response
from starlette.types import Message, Send

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
NOT_KEPT: Final = ("Cache-Control", "no-store")


def refusal(message: str, status: int) -> Response:
    """One sentence for the person who is turned away; the connection ends with it."""
    return JSONResponse({"message": message}, status, {"Connection": "close"})


def with_headers(send: Send) -> Send:
    """Send on, with the headers of every answer.

    Parameters
    ----------
    send
        To the client.

    Returns
    -------
    Send
    """

    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers[name] = value
            headers.setdefault(*NOT_KEPT)
        await send(message)

    return sending
