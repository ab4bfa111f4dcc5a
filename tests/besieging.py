"""Requests as no client library would send them, byte for byte, and what comes back."""

import json
import re
import socket
import time
from pathlib import Path
from typing import Any, NamedTuple

from paging import TOKEN, Served, family_of

STATUS = re.compile(rb"HTTP/1\.1 (\d{3})")
FOR_A_WHILE_S = 60.0
"""Longer than any answer here takes on a machine that has other things to do."""


class Heard(NamedTuple):
    """What came back over one connection.

    Attributes
    ----------
    status
        Of the first answer; 0 where none came.
    head
        Its lines before the body, in small letters.
    body
        What followed them.
    seconds
        Until the server ended the connection.
    """

    status: int
    head: str
    body: bytes
    seconds: float

    @property
    def message(self) -> str:
        """The sentence in it."""
        return str(json.loads(self.body)["message"])


class Besieger(NamedTuple):
    """Somebody who can open a socket to a page.

    Attributes
    ----------
    page
        The page.
    """

    page: Served

    @property
    def port(self) -> int:
        """Of the page."""
        return self.page.client.base_url.port or 80

    @property
    def host(self) -> str:
        """Right Host header."""
        return f"127.0.0.1:{self.port}"

    @property
    def token(self) -> str:
        """Right token."""
        return str(self.page.client.headers[TOKEN])

    def open(self) -> socket.socket:
        """A connection."""
        return socket.create_connection(("127.0.0.1", self.port), timeout=FOR_A_WHILE_S)

    def says(self, content: bytes) -> Heard:
        """Send bytes and listen until the server ends the connection."""
        with self.open() as raw:
            begun = time.monotonic()
            send_what_is_taken(raw, content)
            return heard(raw, begun)

    def asks(self, line: str, *headers: str, body: bytes = b"", host: str | None = None) -> Heard:
        """Send one request with its Host, as its last."""
        named = [f"Host: {self.host if host is None else host}"]
        lines = [f"{line} HTTP/1.1", *named, "Connection: close", *headers, "", ""]
        return self.says("\r\n".join(lines).encode("latin-1") + body)

    def posts(self, path: str, *headers: str, body: bytes = b"{}") -> Heard:
        """Send a body with the page's token and its length."""
        return self.asks(f"POST {path}", f"{TOKEN}: {self.token}", f"Content-Length: {len(body)}", *headers, body=body)


def send_what_is_taken(raw: socket.socket, content: bytes) -> None:
    """Send, and think nothing of a server that has heard enough."""
    try:
        raw.sendall(content)
    except (ConnectionError, TimeoutError):
        return


def heard(raw: socket.socket, begun: float) -> Heard:
    """Listen until the server ends the connection."""
    got = bytearray()
    try:
        while piece := raw.recv(65_536):
            got += piece
    except ConnectionError:
        pass
    head, _, body = bytes(got).partition(b"\r\n\r\n")
    found = STATUS.match(head)
    return Heard(int(found[1]) if found else 0, head.decode("latin-1").lower(), body, time.monotonic() - begun)


def resident_mb(process_id: int) -> float:
    """Memory of a process and of all that it started [MB]."""
    return sum(_resident_mb(each) for each in {process_id} | family_of(process_id))


def _resident_mb(process_id: int) -> float:
    try:
        said = Path(f"/proc/{process_id}/status").read_text(encoding="ascii")
    except OSError:
        return 0.0
    found = re.search(r"VmRSS:\s+(\d+) kB", said)
    return float(found[1]) / 1000.0 if found else 0.0


def with_value(document: Any, path: tuple[Any, ...], value: object) -> Any:  # noqa: ANN401 - any part of a plan
    """A copy of a plan with another value at one place."""
    if not path:
        return value
    copy = list(document) if isinstance(document, list) else dict(document)
    copy[path[0]] = with_value(copy[path[0]], path[1:], value)
    return copy


def places_of(document: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:  # noqa: ANN401 - any part of a plan
    """Every place of a plan, tables and lists among them."""
    inside = document.items() if isinstance(document, dict) else enumerate(document)
    found = []
    for key, item in inside if isinstance(document, dict | list) else ():
        found += [(*path, key), *places_of(item, (*path, key))] if isinstance(item, dict | list) else [(*path, key)]
    return found
