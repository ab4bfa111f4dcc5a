"""Bodies that are too much: a gigabyte, packed, malformed, or a plan that lies. What each costs the page is bounded."""

import gzip
import json
import random
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, Final, NoReturn

import pytest

from besieging import Besieger, Heard, heard, places_of, resident_mb, with_value
from paging import TOKEN, served
from workbench.examples import example_text
from workbench.page.arriving import LINGER_BYTES, MOST_BYTES

GIGABYTE: Final = 1_000_000_000
PIECE: Final = b"#" * 100_000
MEANWHILE_MB: Final = 40.0
"""What the page may grow by over a body it does not want; it reads 5 MB of it at most."""
ON_THEIR_WAY: Final = 12_000_000
"""Bytes that the system takes from a sender before it learns that nobody reads on."""


@pytest.fixture(scope="module")
def siege() -> Iterator[Besieger]:
    with served() as page:
        assert page.plan  # the first version is there, so that memory stands still
        yield Besieger(page)


# A gigabyte


def _poured(siege: Besieger, *headers: str, chunked: bool) -> tuple[Heard, int, float]:
    """Send as much of a gigabyte as is taken; the answer, the bytes taken, and the most memory meanwhile [MB]."""
    lines = ["POST /api/open HTTP/1.1", f"Host: {siege.host}", f"{TOKEN}: {siege.token}", *headers, "", ""]
    framed = b"%x\r\n%b\r\n" % (len(PIECE), PIECE) if chunked else PIECE
    sent, most, begun = 0, 0.0, time.monotonic()
    with siege.open() as raw:
        raw.sendall("\r\n".join(lines).encode())
        try:
            while sent < GIGABYTE:
                raw.sendall(framed)
                sent += len(PIECE)
                most = max(most, resident_mb(siege.page.process.pid)) if sent % 1_000_000 == 0 else most
        except ConnectionError:
            pass
        return heard(raw, begun), sent, most


@pytest.mark.parametrize("chunked", [False, True], ids=["by its length", "in chunks"])
def test_a_gigabyte_is_cut_off_early_and_takes_no_memory(
    siege: Besieger,
    absent: Callable[[str], NoReturn],
    chunked: bool,  # noqa: FBT001 - a parameter of the test
) -> None:
    if not Path("/proc/self/status").is_file():
        absent("there is no /proc here that tells what a process takes")
    before = resident_mb(siege.page.process.pid)
    framing = "Transfer-Encoding: chunked" if chunked else f"Content-Length: {GIGABYTE}"
    answer, sent, most = _poured(siege, framing, chunked=chunked)
    print(f"{sent / 1e6:.1f} MB taken in {answer.seconds:.2f} s, memory {before:.0f} to {most:.0f} MB")  # noqa: T201
    assert answer.status in {413, 0}  # 0: cut before the answer was read
    assert sent <= MOST_BYTES + LINGER_BYTES + ON_THEIR_WAY
    assert most < before + MEANWHILE_MB
    assert siege.asks("GET /palette.css").status == 200


@pytest.mark.parametrize("line", ["GET /", "POST /api/plan", "DELETE /api/jobs/x", "OPTIONS /"], ids=str)
def test_a_body_nobody_asked_for_is_not_read_on_either(siege: Besieger, line: str) -> None:
    """With any method, and without the token; the answer is a refusal and the connection ends with it."""
    answer = siege.asks(line, "Transfer-Encoding: chunked", body=(b"%x\r\n%b\r\n" % (len(PIECE), PIECE)) * 80)
    assert answer.status in {413, 403, 0}
    assert "connection: close" in answer.head or answer.status == 0


def test_who_asks_before_sending_is_refused_before_sending(siege: Besieger) -> None:
    begun = time.monotonic()
    with siege.open() as raw:
        lines = [
            f"Host: {siege.host}",
            f"{TOKEN}: {siege.token}",
            "Expect: 100-continue",
            f"Content-Length: {GIGABYTE}",
        ]
        raw.sendall("\r\n".join(["POST /api/open HTTP/1.1", *lines, "", ""]).encode())
        answer = heard(raw, begun)
    assert answer.status == 413
    assert answer.seconds < 10.0


@pytest.mark.parametrize(
    "length",
    ["-1", "+2", "0x2", "2.0", "2 2", "1e3", "9" * 30, "", "２"],
    ids=repr,
)
def test_a_length_that_is_no_length_is_refused(siege: Besieger, length: str) -> None:
    head = f"POST /api/plan HTTP/1.1\r\nHost: {siege.host}\r\n{TOKEN}: {siege.token}\r\n"
    answer = siege.says(f"{head}Content-Length: {length}\r\nConnection: close\r\n\r\n{{}}".encode())
    assert answer.status in {400, 413}


# Packed bodies


@pytest.mark.parametrize("packing", ["gzip", "deflate", "br", "zstd", "x-gzip", "identity, gzip", "GZIP"], ids=str)
def test_nothing_packed_is_unpacked(siege: Besieger, packing: str) -> None:
    bomb = gzip.compress(b"0" * 50_000_000, mtime=0)
    assert len(bomb) < 100_000
    answer = siege.posts("/api/open", f"Content-Encoding: {packing}", body=bomb)
    assert answer.status == 415
    assert siege.posts("/api/open", body=bomb).status == 400
    assert siege.posts("/api/plan", "Content-Encoding: identity").status == 400  # read, and found to hold no plan


def test_no_transfer_but_chunked_is_understood(siege: Besieger) -> None:
    for coding in ("gzip", "gzip, chunked", "chunked, gzip", "identity", "xchunked", "chunked, chunked"):
        said = siege.asks(
            "POST /api/plan", f"{TOKEN}: {siege.token}", f"Transfer-Encoding: {coding}", body=b"2\r\n{}\r\n0\r\n\r\n"
        )
        assert said.status in {400, 501}, coding


# Malformed JSON

SURROGATE = r"\ud800"
MALFORMED: Final = {
    "list in list": '{"plan": ' + "[" * 200_000,
    "table in table": '{"plan":' * 100_000 + "1" + "}" * 100_000,
    "thirteen deep": '{"plan": ' + "[" * 13 + "]" * 13 + "}",
    "key twice": '{"plan": {"title": "a", "title": "b"}}',
    "plan twice": '{"plan": {}, "plan": {"title": "b"}}',
    "key twice by escape": r'{"plan": {"title": "a", "titl\u0065": "b"}}',
    "NaN": '{"plan": {"land": {"acres": NaN}}}',
    "Infinity": '{"plan": {"land": {"acres": -Infinity}}}',
    "infinite by size": '{"plan": {"land": {"acres": 1e400}}}',
    "digits": '{"plan": {"land": {"acres": ' + "9" * 4000 + "}}}",
    "more digits": '{"plan": {"land": {"acres": ' + "9" * 500_000 + "}}}",
    "exponent": '{"plan": {"land": {"acres": 1e' + "9" * 400_000 + "}}}",
    "half a pair": '{"plan": {"title": "' + SURROGATE + '"}}',
    "half a pair as key": '{"plan": {"' + SURROGATE + '": 1}}',
    "pair turned round": r'{"plan": {"title": "\udc00\ud800"}}',
    "comment": '{"plan": {} /* x */}',
    "comma": '{"plan": {},}',
    "single quotes": "{'plan': {}}",
    "two documents": '{"plan": {}}{"plan": {}}',
    "control letter": '{"plan": {"title": "\x00"}}',
    "leading zero": '{"plan": {"land": {"acres": 0040}}}',
    "hexadecimal": '{"plan": {"land": {"acres": 0x28}}}',
    "byte order": '\ufeff{"plan": {}}',
}


@pytest.mark.parametrize("text", MALFORMED.values(), ids=MALFORMED.keys())
def test_malformed_json_is_refused_at_once(siege: Besieger, text: str) -> None:
    answer = siege.posts("/api/plan", body=text.encode())
    assert answer.status == 400
    assert answer.message.endswith(".")
    assert answer.seconds < 10.0


@pytest.mark.parametrize("coding", ["utf-16", "utf-16-le", "utf-32", "cp037"], ids=str)
def test_json_is_read_as_utf_8_and_as_nothing_else(siege: Besieger, coding: str) -> None:
    assert siege.posts("/api/plan", body='{"plan": {}}'.encode(coding)).status == 400


# Plans that lie

WRONG: Final = (None, True, -1, 10**29, 1e308, -1e308, 1e-320, "", "x" * 10_000, "\u202e\u0000", "/etc/passwd", [],
                [[]], {}, {"": {}}, {"__proto__": 1}, ["a"] * 200)  # fmt: skip


def test_a_wrong_value_at_any_place_of_a_plan_is_refused_or_computed_and_is_never_a_fault(siege: Besieger) -> None:
    """Every place of the plan with wrong values of every type: a fixed sixth of the pairs, so that it stays short."""
    plan = siege.page.plan
    pairs = [(path, value) for path in places_of(plan) for value in WRONG]
    chosen = random.Random(11).sample(pairs, len(pairs) // 6)  # noqa: S311 - no secret
    assert len(chosen) > 100
    statuses = {}
    for path, value in chosen:
        answer = siege.page.client.post(
            "/api/toml", content=json.dumps({"plan": with_value(plan, path, value)}).encode()
        )
        assert answer.status_code in {200, 422}, (path, value, answer.text[:300])
        statuses[answer.status_code] = statuses.get(answer.status_code, 0) + 1
        if answer.status_code == 422:
            assert answer.json()["problems"]
    assert statuses[422] > statuses.get(200, 0)


FLOODS: Final[dict[str, Callable[[dict[str, Any]], dict[str, Any]]]] = {
    "tables": lambda plan: plan | {"thinning": [{}] * 230_000},
    "numbers": lambda plan: plan | {"thinning": [1] * 400_000},
    "keys": lambda plan: plan | {f"k{number}": 1 for number in range(70_000)},
    "keys inside": lambda plan: with_value(plan, ("land",), {f"k{number}": 1 for number in range(70_000)}),
    "a long key": lambda plan: plan | {"k" * 900_000: 1},
    "a long title": lambda plan: plan | {"title": "x" * 900_000},
}


@pytest.mark.parametrize("flood", FLOODS.values(), ids=FLOODS.keys())
def test_a_plan_of_half_a_million_values_is_refused_in_seconds(
    siege: Besieger, flood: Callable[[dict[str, Any]], dict[str, Any]]
) -> None:
    before = resident_mb(siege.page.process.pid)
    body = json.dumps({"plan": flood(siege.page.plan)}, separators=(",", ":")).encode()
    assert 400_000 < len(body) < MOST_BYTES
    begun = time.monotonic()
    answer = siege.page.client.post("/api/plan", content=body)
    assert answer.status_code == 422
    assert time.monotonic() - begun < 20.0
    assert len(answer.content) < 1_000_000
    assert resident_mb(siege.page.process.pid) < before + 150.0


def test_a_million_entries_are_larger_than_a_body_may_be(siege: Besieger) -> None:
    body = json.dumps({"plan": {"thinning": [1] * 1_000_000}}, separators=(",", ":")).encode()
    assert siege.page.client.post("/api/plan", content=body).status_code == 413


LISTS: Final = "\n".join(f"x{row} = [{'1,' * 9_900}]" for row in range(48))


@pytest.mark.parametrize("more", [LISTS, "\n".join(["# " + "tree " * 3_000] * 20)], ids=["lists", "words"])
def test_a_text_of_nothing_but_lists_is_refused_in_seconds(siege: Besieger, more: str) -> None:
    begun = time.monotonic()
    answer = siege.page.client.post("/api/open", content=f"{example_text()}\n{more}".encode())
    assert answer.status_code == 422
    assert "longer than" in answer.json()["problems"][0]["message"]
    assert time.monotonic() - begun < 10.0


# Fields that lie


def _field(*rings: list[list[float]]) -> str:
    return json.dumps({"type": "Polygon", "coordinates": rings})


def _square(side_deg: float) -> list[list[float]]:
    west, south = -84.0, 31.0
    east, north = west + side_deg, south + side_deg
    return [[west, south], [east, south], [east, north], [west, north], [west, south]]


def _zigzag(corners: int) -> list[list[float]]:
    """Corners that lie far apart, so that every side crosses most of the others."""
    drawn = random.Random(3)  # noqa: S311 - no secret
    ring = [[-84.0 + drawn.random() / 200.0, 31.0 + drawn.random() / 200.0] for _ in range(corners)]
    return [*ring, ring[0]]


FIELDS: Final = {
    "a county": _field(_square(0.3)),
    "a continent": _field(_square(20.0)),
    "no area": _field(_square(0.0)),
    "crossings": _field(_zigzag(2_000)),
    "the same way again and again": _field(_square(0.004) * 3_000),
    "deep": "[" * 300_000,
    "deep coordinates": '{"type": "Polygon", "coordinates": ' + "[" * 900 + "]" * 900 + "}",
    "features of nothing": json.dumps({"type": "FeatureCollection", "features": [{}] * 100_000}),
    "infinite": '{"type": "Polygon", "coordinates": [[[1e999, 31], [-84, 31], [-84, 31.1], [1e999, 31]]]}',
    "a name of half a letter": json.dumps({"type": "Feature", "properties": {"name": "\ud800"}, "geometry": None}),
    "a system that is a file": _field(_square(0.004))[:-1] + ', "crs": {"type": "name", "properties": {"name": "/x"}}}',
}  # fmt: skip


@pytest.mark.parametrize("text", FIELDS.values(), ids=FIELDS.keys())
def test_an_outline_that_lies_is_refused_in_seconds(siege: Besieger, text: str) -> None:
    begun = time.monotonic()
    answer = siege.page.client.post("/api/layout", json={"plan": siege.page.plan, "field": text})
    assert answer.status_code == 422, answer.text[:300]
    assert answer.json()["problems"][0]["message"].strip().endswith(".")
    assert len(answer.content) < 100_000
    assert time.monotonic() - begun < 30.0


OPTIONS: Final = [
    {"equipment_ft": 1e-300}, {"equipment_ft": -1}, {"headland_ft": 1e11}, {"setback_ft": -1e11}, {"paddocks": 10**11},
    {"paddocks": 2.5}, {"declination": 1e11}, {"crs": "file:///etc/passwd"}, {"crs": "+proj=pipeline +init=/x"},
    {"crs": "EPSG:" + "9" * 500}, {"paddock_lines": ["along"]}, {"best_azimuth": 1}, {"x" * 10_000: 1}, {"crs": 7},
]  # fmt: skip


@pytest.mark.parametrize("options", OPTIONS, ids=lambda each: repr(each)[:40])
def test_options_that_lie_are_refused_at_their_place(siege: Besieger, options: dict[str, object]) -> None:
    answer = siege.page.client.post(
        "/api/layout", json={"plan": siege.page.plan, "field": _field(_square(0.004)), "options": options}
    )
    assert answer.status_code == 422, answer.text[:300]
    assert answer.json()["problems"][0]["field"].startswith(("options.", "field")), answer.text[:300]
