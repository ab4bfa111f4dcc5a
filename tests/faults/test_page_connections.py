"""Clients that hold a connection and do nothing with it, and requests that could be read in two ways."""

import os
import socket
import time
from collections.abc import Iterator
from typing import Final

import pytest

from besieging import Besieger, heard
from paging import TOKEN, served
from workbench.page.connection import MOST_CONNECTIONS

SHORT: Final = """
import workbench.page.arriving as arriving, workbench.page.connection as connection
connection.LONGEST_ASKING_S, connection.LONGEST_LISTENING_S, connection.LOOK_EVERY_S = 2.0, 3.0, 0.2
arriving.LONGEST_BODY_S = 2.0
"""
"""The same page with shorter patience."""
WHOLE: Final = os.environ.get("HALFSHADE_WHOLE_PATIENCE") == "1"
"""Whether to wait as long as the page really does, which takes four minutes."""
GONE_S: Final = 120.0 if WHOLE else 30.0


@pytest.fixture(scope="module")
def siege() -> Iterator[Besieger]:
    with served(before="" if WHOLE else SHORT) as page:
        yield Besieger(page)


def _is_cut(raw: socket.socket, within_s: float = GONE_S, drip: bytes = b"") -> bool:
    """Whether the server ends a connection to which a byte is sent now and then."""
    raw.settimeout(0.3)
    deadline = time.monotonic() + within_s
    while time.monotonic() < deadline:
        try:
            if drip:
                raw.sendall(drip)
            if raw.recv(65_536) == b"":
                return True
        except TimeoutError:
            continue
        except ConnectionError:
            return True
    return False


# Slow clients


@pytest.mark.parametrize("begun", ["", "GET", "GET / HTTP/1.1\r\n", "GET / HTTP/1.1\r\nHost: {host}\r\n"], ids=repr)
def test_who_does_not_finish_asking_is_cut_off(siege: Besieger, begun: str) -> None:
    with siege.open() as raw:
        raw.sendall(begun.format(host=siege.host).encode())
        assert _is_cut(raw)


def test_a_header_a_second_does_not_keep_a_connection(siege: Besieger) -> None:
    with siege.open() as raw:
        raw.sendall(f"GET / HTTP/1.1\r\nHost: {siege.host}\r\n".encode())
        assert _is_cut(raw, drip=b"X: y\r\n")


def test_a_second_request_may_not_be_slower_than_a_first(siege: Besieger) -> None:
    with siege.open() as raw:
        raw.sendall(f"GET /palette.css HTTP/1.1\r\nHost: {siege.host}\r\n\r\n".encode())
        assert raw.recv(65_536).startswith(b"HTTP/1.1 200")
        assert _is_cut(raw, drip=b"G")


def test_a_body_that_drips_is_answered_and_cut_off(siege: Besieger) -> None:
    begun = time.monotonic()
    with siege.open() as raw:
        head = (
            f"POST /api/open HTTP/1.1\r\nHost: {siege.host}\r\n{TOKEN}: {siege.token}\r\nContent-Length: 1000\r\n\r\n"
        )
        raw.sendall(head.encode())
        for _ in range(4):
            raw.sendall(b"#")
            time.sleep(0.2)
        answer = heard(raw, begun)
    assert (answer.status, answer.message) == (408, "The request took too long to come.")


def test_who_never_listens_is_cut_off(siege: Besieger) -> None:
    """The chart library, asked for a hundred times over one connection, is more than the system holds for a socket."""
    with socket.socket() as raw:
        raw.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        raw.connect(("127.0.0.1", siege.port))
        raw.sendall(f"GET /static/vendor/echarts/echarts.min.js HTTP/1.1\r\nHost: {siege.host}\r\n\r\n".encode() * 100)
        time.sleep(75.0 if WHOLE else 7.0)
        raw.settimeout(GONE_S)
        taken = 0
        while piece := raw.recv(1_000_000):
            taken += len(piece)
    assert taken < 20_000_000  # what the system held already, of the hundred million that were asked for


def test_many_who_only_hold_connections_do_not_shut_out_the_owner_for_long(siege: Besieger) -> None:
    held = [siege.open() for _ in range(2 * MOST_CONNECTIONS)]
    try:
        crowded = siege.asks("GET /palette.css")
        assert (crowded.status, crowded.message) == (503, "Too many ask at once. Wait a moment and try again.")
        assert "content-security-policy" in crowded.head
        deadline = time.monotonic() + GONE_S
        while siege.asks("GET /palette.css").status != 200:
            assert time.monotonic() < deadline
            time.sleep(0.2)
    finally:
        for each in held:
            each.close()


def test_a_browser_that_thinks_for_long_is_not_cut_off_while_its_answer_is_worked_out() -> None:
    """The patience is with the client, not with the page's own work."""
    script = f"{SHORT}\nimport workbench.page.computing as computing\n"
    script += "import asyncio\nreally = computing.Computing.ask\n"
    script += "async def late(self, asked):\n    await asyncio.sleep(4.0)\n    return await really(self, asked)\n"
    script += "computing.Computing.ask = late\n"
    with served(before=script) as page:
        answer = Besieger(page).posts("/api/toml", body=b'{"plan": {}}')
    assert answer.status == 422
    assert answer.seconds > 3.9


# Bombs of headers


@pytest.mark.parametrize(
    "head",
    ["X: " + "y" * 10_000_000, "X: y\r\n" * 200_000, "X" * 5_000_000, "X: y\r\n z\r\n" * 100_000, "C: a=b; " * 90_000],
    ids=["a long one", "many", "a long name", "folded", "cookies"],
)  # fmt: skip
def test_headers_without_end_are_refused(siege: Besieger, head: str) -> None:
    answer = siege.says(f"GET / HTTP/1.1\r\nHost: {siege.host}\r\n{head}\r\n\r\n".encode())
    assert answer.status in {400, 0}
    assert siege.asks("GET /palette.css").status == 200


def test_an_address_without_end_is_refused(siege: Besieger) -> None:
    assert siege.asks("GET /" + "a" * 1_000_000).status in {400, 0}
    assert siege.asks("GET /?" + "a=b&" * 10_000).status == 200


# Requests within requests

INNER: Final = "GET /palette.css HTTP/1.1\r\nHost: {host}\r\n\r\n"
SHAPES: Final = {
    "length and chunks": ("Content-Length: {n}", "Transfer-Encoding: chunked"),
    "chunks and length": ("Transfer-Encoding: chunked", "Content-Length: {n}"),
    "no length and chunks": ("Content-Length: 0", "Transfer-Encoding: chunked"),
    "two lengths": ("Content-Length: 5", "Content-Length: {n}"),
    "two lengths in one": ("Content-Length: 5, {n}",),
    "chunks in disguise": ("Transfer-Encoding: xchunked", "Content-Length: 5"),
    "chunks after a blank": ("Transfer-Encoding : chunked", "Content-Length: 5"),
    "chunks after a tab": ("Transfer-Encoding:\tchunked", "Content-Length: 5"),
    "chunks twice": ("Transfer-Encoding: chunked", "Transfer-Encoding: identity"),
    "a folded header": ("Transfer-Encoding:\r\n chunked", "Content-Length: 5"),
    "a bare line end": ("X: y\nTransfer-Encoding: chunked", "Content-Length: 5"),
    "a bare return": ("X: y\rTransfer-Encoding: chunked", "Content-Length: 5"),
}


@pytest.mark.parametrize("headers", SHAPES.values(), ids=SHAPES.keys())
def test_a_request_that_could_be_read_in_two_ways_is_read_in_none(siege: Besieger, headers: tuple[str, ...]) -> None:
    inner = INNER.format(host=siege.host)
    body = f"0\r\n\r\n{inner}"
    lines = [f"Host: {siege.host}", f"{TOKEN}: {siege.token}", *(each.format(n=len(body)) for each in headers)]
    answer = siege.says("\r\n".join(["POST /api/plan HTTP/1.1", *lines, "", body]).encode())
    assert answer.status in {400, 501}
    assert b"HTTP/1.1" not in answer.body  # the inner one got no answer of its own
    assert b":root" not in answer.body


@pytest.mark.parametrize("chunk", [b"2\r\n{}XX0\r\n\r\n", b"-2\r\n{}\r\n0\r\n\r\n", b"0x2\r\n{}\r\n0\r\n\r\n",
                                   b"2;" + b"x" * 100_000 + b"\r\n{}\r\n0\r\n\r\n", b"f" * 30 + b"\r\n{}\r\n0\r\n\r\n",
                                   b" 2\r\n{}\r\n0\r\n\r\n"], ids=lambda chunk: repr(chunk[:12]))  # fmt: skip
def test_a_chunk_that_is_none_is_refused(siege: Besieger, chunk: bytes) -> None:
    """Two letters of any kind once passed for the end of a chunk (h11 before 0.16; from memory)."""
    answer = siege.asks("POST /api/plan", f"{TOKEN}: {siege.token}", "Transfer-Encoding: chunked", body=chunk)
    assert answer.status in {400, 413, 0}


def test_requests_in_a_row_are_answered_in_their_order(siege: Besieger) -> None:
    one = f"GET /palette.css HTTP/1.1\r\nHost: {siege.host}\r\n"
    answer = siege.says(f"{one}\r\n{one}Connection: close\r\n\r\n".encode())
    assert answer.status == 200
    assert answer.body.count(b"HTTP/1.1 200") == 1


@pytest.mark.parametrize("protocol", ["websocket", "h2c", "TLS/1.2"], ids=str)
def test_nothing_is_switched_to_another_protocol(siege: Besieger, protocol: str) -> None:
    answer = siege.asks("GET /palette.css", "Connection: Upgrade", f"Upgrade: {protocol}", "Sec-WebSocket-Version: 13")
    assert answer.status == 200
    assert siege.says(b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n").status == 400
    assert siege.says(b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03").status in {400, 0}
