"""One connection to the page: how long a client may take to ask and to listen, and how many there may be."""

import asyncio
import json
import socket
from typing import Final

import h11
import uvicorn
from starlette.types import Receive, Scope, Send
from uvicorn.protocols.http.h11_impl import H11Protocol

from workbench.page.guard import Guard
from workbench.page.headers import HEADERS, NOT_KEPT, refusal, with_headers

MOST_CONNECTIONS: Final = 64
"""At once; a browser opens six."""
LONGEST_ASKING_S: Final = 10.0
"""For the first line and the headers of a request, however many bytes come meanwhile."""
LONGEST_LISTENING_S: Final = 60.0
"""For taking an answer; the longest has some megabytes."""
LOOK_EVERY_S: Final = 1.0
CROWDED: Final = "Too many ask at once. Wait a moment and try again."
NOT_HTTP: Final = "This is no request that can be understood."


class Serving(uvicorn.Server):
    """A server that first ends what it works on, so that nobody is cut off in the middle of an answer."""

    def __init__(self, guard: Guard) -> None:
        config = uvicorn.Config(
            guard, log_level="error", access_log=False, server_header=False, date_header=False,
            timeout_graceful_shutdown=2, http=Patient, ws="none", proxy_headers=False,
        )  # fmt: skip
        super().__init__(config)
        self._guard = guard

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """Stop the page's work, then the server."""
        await asyncio.to_thread(self._guard.stop)
        await super().shutdown(sockets)


def serve_on(listening: socket.socket, guard: Guard) -> None:
    """Serve until Ctrl-C or a request to end.

    Parameters
    ----------
    listening
        Bound already.
    guard
        The whole application.
    """
    Serving(guard).run(sockets=[listening])


async def crowded(scope: Scope, receive: Receive, send: Send) -> None:
    """Answer what comes over one connection too many."""
    await refusal(CROWDED, 503)(scope, receive, with_headers(send))


class Patient(H11Protocol):
    """A connection that is cut when its client keeps it and neither asks nor listens."""

    _stage: tuple[object, bool, bool] | None = None
    _since = 0.0
    _next_look: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to watch; one connection too many is answered once, with a refusal."""
        super().connection_made(transport)
        if len(self.connections) > MOST_CONNECTIONS:
            self.app = crowded
        self._look()

    def connection_lost(self, exc: Exception | None) -> None:
        """Stop watching."""
        if self._next_look is not None:
            self._next_look.cancel()
        super().connection_lost(exc)

    def send_400_response(self, msg: str) -> None:  # noqa: ARG002 - the library's words name no reason
        """Refuse what is no HTTP, with the headers of every other answer."""
        if self.conn.our_state in {h11.IDLE, h11.SEND_RESPONSE}:
            body = json.dumps({"message": NOT_HTTP}).encode()
            headers = {**HEADERS, **dict([NOT_KEPT]), "Content-Type": "application/json", "Connection": "close"}
            head = h11.Response(status_code=400, headers=[*headers.items(), ("Content-Length", str(len(body)))])
            for event in (head, h11.Data(data=body), h11.EndOfMessage()):
                self.transport.write(self.conn.send(event) or b"")
        self.transport.close()

    def _look(self) -> None:
        """Cut the connection if it has stood too long at the same stage for which its client alone is to blame."""
        now = self.loop.time()
        asking = self.conn.their_state in {h11.IDLE, h11.ERROR}
        listening = self.transport.get_write_buffer_size() > 0
        stage = (self.cycle, asking, listening)
        if stage != self._stage:
            self._stage, self._since = stage, now
        longest = LONGEST_LISTENING_S if listening else LONGEST_ASKING_S
        if (asking or listening) and now - self._since > longest:
            self.transport.abort()
            return
        self._next_look = self.loop.call_later(LOOK_EVERY_S, self._look)
