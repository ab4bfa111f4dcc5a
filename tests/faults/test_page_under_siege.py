"""Who may speak to the page, and what every answer must and must not carry: asked over bare sockets."""

import hmac
import itertools
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import workbench.page.guard as guarding
from besieging import Besieger, Heard
from paging import TOKEN, served
from running import PACKAGES
from workbench.page.guard import Rules
from workbench.page.headers import HEADERS


@pytest.fixture(scope="module")
def siege() -> Iterator[Besieger]:
    with served() as page:
        yield Besieger(page)


# Names under which the page does not answer: a foreign name may be made to resolve to this machine


FOREIGN = [
    "rebound.example:{port}", "127.0.0.1.example:{port}", "localhost.example:{port}", "127.0.0.1", "localhost", "[::1]",
    "127.0.0.1:{other}", "127.0.0.1:0{port}", "127.0.0.1:{port}0", "127.0.0.1:+{port}", "127.0.0.1:{port}:{port}",
    "owner@127.0.0.1:{port}", "127.0.0.1:{port}@rebound.example", "owner:word@127.0.0.1:{port}", "127.1:{port}",
    "2130706433:{port}", "0x7f.0.0.1:{port}", "0.0.0.0:{port}", "[::]:{port}", "[::ffff:127.0.0.1]:{port}",
    "[::1%25lo]:{port}", "::1:{port}", "127.0.0.1.:{port}", "localhost.:{port}", "127.0.0.1:{port}/", "10.0.0.1:{port}",
    "127.0.0.1:{port} rebound.example", "127.0.0.1:{port},rebound.example", "",
]  # fmt: skip


@pytest.mark.parametrize("name", FOREIGN, ids=repr)
def test_a_foreign_name_is_turned_away(siege: Besieger, name: str) -> None:
    answer = siege.asks("GET /", host=name.format(port=siege.port, other=siege.port - 1))
    assert answer.status == 400
    assert siege.token.encode() not in answer.body


@pytest.mark.parametrize("name", ["127.0.0.1:{port}", "localhost:{port}", "[::1]:{port}"], ids=str)
def test_this_machines_own_names_are_answered(siege: Besieger, name: str) -> None:
    assert siege.asks("GET /palette.css", host=name.format(port=siege.port)).status == 200


def test_a_missing_or_a_second_name_is_turned_away(siege: Besieger) -> None:
    assert siege.says(b"GET / HTTP/1.1\r\nConnection: close\r\n\r\n").status == 400
    assert siege.says(b"GET / HTTP/1.0\r\n\r\n").status == 400
    assert siege.asks("GET /", "Host: rebound.example").status == 400
    assert siege.asks("GET /", f"Host: {siege.host}").status == 400
    assert siege.asks(f"GET http://rebound.example:{siege.port}/").status == 404
    assert siege.asks("GET /", "X-Forwarded-Host: rebound.example", "Forwarded: host=rebound.example").status == 200


# Origin and token


@pytest.mark.parametrize(
    "origin",
    ["http://rebound.example", "null", "", "https://{host}", "http://{host}/", "http://{host}.example", "{host}",
     "http://127.0.0.1", "http://owner@{host}", "file://", "HTTP://{host}"],
    ids=repr,
)  # fmt: skip
def test_what_another_site_sends_is_turned_away_even_with_the_token(siege: Besieger, origin: str) -> None:
    said = f"Origin: {origin.format(host=siege.host)}"
    for answer in (siege.posts("/api/plan", said), siege.asks("GET /", said)):
        assert answer.status == 403
        assert "another site" in answer.message


def test_without_an_origin_the_token_decides_and_two_origins_decide_nothing(siege: Besieger) -> None:
    assert siege.posts("/api/plan").status == 400  # the plan is missing: it was read
    own = f"Origin: http://{siege.host}"
    assert siege.posts("/api/plan", own).status == 400
    both = siege.posts("/api/plan", own, "Origin: http://rebound.example")
    assert (both.status, both.message) == (400, "This request says two things at once.")


def test_neither_a_wrong_nor_another_pages_nor_a_second_token_lets_in(siege: Besieger) -> None:
    right = siege.token
    with served() as other:
        foreign = str(other.client.headers[TOKEN])
    assert len(right) >= 43  # 256 random bits, six a letter
    assert foreign != right
    for wrong in ("", right[:-1], right + "x", right.swapcase(), foreign, "*", "\xff" * 40):
        answer = siege.asks("POST /api/plan", f"{TOKEN}: {wrong}", "Content-Length: 2", body=b"{}")
        assert answer.status == 403, wrong
    assert siege.asks("POST /api/plan", "Content-Length: 2", body=b"{}").status == 403
    assert siege.posts("/api/plan", f"{TOKEN}: {right}").status == 400
    assert siege.asks(f"POST /api/plan?{TOKEN}={right}", "Content-Length: 2", body=b"{}").status == 403
    assert siege.asks("POST /api/plan", f"Cookie: {TOKEN}={right}", "Content-Length: 2", body=b"{}").status == 403


def test_token_and_password_are_compared_in_constant_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """A comparison that stops at the first wrong letter would tell how many are right (documentation of `hmac`)."""
    compared: list[tuple[bytes, bytes]] = []
    really = hmac.compare_digest

    def comparing(one: bytes, other: bytes) -> bool:
        compared.append((one, other))
        return really(one, other)

    monkeypatch.setattr(guarding.hmac, "compare_digest", comparing)
    rules = Rules(80, "a token", password="a long green meadow")  # noqa: S106 - invented
    assert rules.has_token("a token")
    assert not rules.has_token("a tokem")
    assert rules.is_let_in("Basic b3duZXI6YSBsb25nIGdyZWVuIG1lYWRvdw==")
    assert [pair[1] for pair in compared] == [b"a token", b"a token", b"a long green meadow"]


# Methods, paths, ranges

METHODS = ("OPTIONS", "TRACE", "PUT", "PATCH", "PROPFIND", "DELETE", "POST", "get", "CONNECT")


@pytest.mark.parametrize("method", METHODS)
def test_other_methods_do_nothing(siege: Besieger, method: str) -> None:
    answer = siege.asks(f"{method} /", f"{TOKEN}: {siege.token}", "X-Secret: do-not-echo")
    assert answer.status == 405
    assert b"do-not-echo" not in answer.body
    assert "access-control" not in answer.head


def test_a_method_in_a_header_or_in_the_address_is_none(siege: Besieger) -> None:
    for named in ("X-HTTP-Method-Override: POST", "X-Method-Override: DELETE", "X-HTTP-Method: POST"):
        assert siege.asks("GET /api/plan", named, f"{TOKEN}: {siege.token}").status == 405
    assert siege.asks("GET /api/plan?_method=POST").status == 405
    for odd in ("OPTIONS *", f"CONNECT {siege.host}", "PRI *"):
        assert siege.asks(odd).status in {400, 404, 405}


def test_head_tells_no_more_than_get(siege: Besieger) -> None:
    for path in ("/", "/palette.css", "/static/js/main.js", "/api/jobs/none"):
        head, get = siege.asks(f"HEAD {path}"), siege.asks(f"GET {path}")
        assert (head.status, head.body) == (get.status, b"")
        assert head.head == get.head


TRAVERSALS = [
    "../labels.toml", "%2e%2e/labels.toml", "..%2flabels.toml", "%2e%2e%2flabels.toml", "%252e%252e%252flabels.toml",
    "..%5clabels.toml", "..\\labels.toml", "..%5c..%5cguard.py", "....//labels.toml", "..;/labels.toml",
    "js/../../labels.toml", "js/%2e%2e/%2e%2e/guard.py", "%2fetc%2fpasswd", "/etc/passwd", "//etc/passwd",
    "%00", "js/main.js%00", "js/main.js%00.css", "..%00/labels.toml", "%c0%ae%c0%ae/labels.toml", "..%c0%aflabels.toml",
    "%u002e%u002e/labels.toml", "file:///etc/passwd", "~/x", "C:%5cwindows%5cwin.ini", "js", "", ".", "%2e", "x" * 9000,
]  # fmt: skip


@pytest.mark.parametrize("path", TRAVERSALS, ids=lambda path: repr(path[:24]))
def test_nothing_outside_the_static_folder_is_read(siege: Besieger, path: str) -> None:
    answer = siege.asks(f"GET /static/{path}")
    assert answer.status == 404
    assert answer.message == "There is nothing here."


def test_a_link_out_of_the_static_folder_is_not_followed(tmp_path: Path) -> None:
    secret, folder = tmp_path / "secret.txt", tmp_path / "page"
    secret.write_text("not for the page\n", encoding="utf-8")
    (folder / "static").mkdir(parents=True)
    (folder / "static" / "plain.txt").write_text("for the page\n", encoding="utf-8")
    (folder / "static" / "link.txt").symlink_to(secret)
    (folder / "static" / "linked").symlink_to(tmp_path)
    found = _asked_of(folder, ["plain.txt", "link.txt", "linked/secret.txt"])
    assert found == [200, 404, 404]


def _asked_of(folder: Path, names: list[str]) -> list[int]:
    """Statuses of files of a page with another folder, in a process of its own: it needs no computing."""
    script = (
        "import sys; from pathlib import Path; from starlette.testclient import TestClient;"
        "import workbench.page.app as app; from workbench.page.computing import Computing;"
        "from workbench.page.guard import Rules; from workbench.page.messages import Settings;"
        "app.HERE = Path(sys.argv[1]); rules = Rules(80, 'x');"
        "visit = TestClient(app.application(rules, Computing(Settings())), base_url='http://127.0.0.1');"
        "print(*[visit.get('/static/' + name).status_code for name in sys.argv[2:]])"
    )
    command = [sys.executable, "-P", "-W", "ignore", "-c", script, str(folder), *names]
    environment = {**os.environ, "PYTHONPATH": PACKAGES}
    said = subprocess.run(command, capture_output=True, text=True, check=True, timeout=60, env=environment)
    return [int(each) for each in said.stdout.split()]


def test_parts_of_a_file_are_not_served_and_thousands_of_parts_cost_nothing(siege: Besieger) -> None:
    """A server may pass over ranges (RFC 9110, section 14.2); cutting out many takes seconds with older libraries."""
    path = "GET /static/vendor/echarts/echarts.min.js"
    whole = siege.asks(path)
    many = ",".join(f"{at}-{at + 1}" for at in range(0, 30_000, 4))
    odd = ("0-1", many, "9999999999-", "5-1", "-", "0-0,-1,abc", f"0-{'9' * 400}")
    for ranges in (f"bytes={each}" for each in odd):
        answer = siege.asks(path, f"Range: {ranges}")
        assert (answer.status, answer.body) == (200, whole.body), ranges[:40]
        assert answer.seconds < 10.0


# Every answer


def _answers(siege: Besieger) -> Iterator[Heard]:
    job = "/api/jobs/0123456789ab"
    for path in ("/", "/palette.css", "/api/start", "/static/js/main.js", "/static/none", "/none", job, "/api/plan"):
        yield siege.asks(f"GET {path}")
    yield siege.asks("GET /", host="rebound.example")
    yield siege.asks("GET /", "Origin: null")
    yield siege.asks("TRACE /")
    yield siege.asks("GET /api/start/")
    yield siege.asks(f"DELETE {job}", f"{TOKEN}: {siege.token}")
    yield siege.asks("POST /api/plan")
    yield siege.asks("POST /api/plan", f"{TOKEN}: {siege.token}", "Content-Length: 99999999999")
    for body in (b"{", b'{"plan": {}}', b'{"plan": {"format": 1}}'):
        yield siege.posts("/api/plan", body=body)
    yield siege.posts("/api/open", body=b"\xff")
    yield siege.posts("/api/download/csv", body=b'{"plan": {}}')
    yield siege.says(b"this is no HTTP\r\n\r\n")
    yield siege.says(b"GET / HTTP/1.1\r\nHost: \x00\r\n\r\n")
    yield siege.says(b"GET / HTTP/1.1\r\n" + b"X: y\r\n" * 20_000)


def test_every_answer_carries_every_header_and_tells_nothing_of_what_runs_here(siege: Besieger) -> None:
    folder = str(Path(guarding.__file__).parents[2]).encode()
    statuses = set()
    for answer in _answers(siege):
        statuses.add(answer.status)
        for name, value in HEADERS.items():
            assert f"\r\n{name}: {value}".lower() in answer.head, (answer.head, name)
        assert "\r\ncache-control: no-store" in answer.head
        assert "frame-ancestors 'none'" in answer.head
        assert not re.search(r"\r\n(server|x-powered-by|date|via|set-cookie|access-control-\S+):", answer.head)
        for word in (b"Traceback", b"site-packages", folder, b"uvicorn", b"starlette", b"pydantic", b'File "'):
            assert word not in answer.body, answer.body[:300]
        told = b'"message"' in answer.body or b'"problems"' in answer.body
        assert told or answer.status // 100 in {2, 3}, answer.body[:100]
    assert statuses >= {200, 307, 400, 403, 404, 405, 413, 422}


def test_the_way_to_the_same_place_leads_to_no_other_machine(siege: Besieger) -> None:
    for path in ("/api/start/", "//rebound.example/", "/\\rebound.example/", "/static", "//rebound.example/%2e%2e"):
        answer = siege.asks(f"GET {path}")
        assert "rebound" not in "".join(re.findall(r"location: (\S*)", answer.head))


# Jobs of others


def test_jobs_cannot_be_guessed_nor_stopped_without_the_token(siege: Besieger) -> None:
    order = {"kind": "odds", "plan": siege.page.plan, "draws": 20_000}
    jobs = [siege.page.client.post("/api/jobs", json=order).json()["job"] for _ in range(2)]
    assert all(re.fullmatch(r"[0-9a-f]{12}", job) for job in jobs)  # 48 random bits
    assert sum(one != other for one, other in zip(*jobs, strict=True)) > 2
    try:
        near = f"{int(jobs[0], 16) ^ 1:012x}"
        for guess, method in itertools.product(
            (near, "0" * 12, "1", "..", "%00", jobs[0].upper() + "0"), ("GET", "DELETE")
        ):
            answer = siege.asks(f"{method} /api/jobs/{guess}", f"{TOKEN}: {siege.token}")
            assert answer.status == 404, guess
        for headers in ([], [f"{TOKEN}: wrong"], [f"{TOKEN}: {siege.token}", "Origin: http://rebound.example"]):
            assert siege.asks(f"DELETE /api/jobs/{jobs[0]}", *headers).status == 403
        told = siege.page.client.get(f"/api/jobs/{jobs[0]}").json()
        assert told["state"] in {"queued", "running"}
    finally:
        for job in reversed(jobs):
            assert siege.page.client.delete(f"/api/jobs/{job}").json()["state"] == "cancelled"


# Names of files


@pytest.mark.parametrize(
    "title",
    [
        'x"; filename="y.exe',
        "../../etc/passwd",
        "a%0d%0aSet-Cookie: b=c",
        "\u202egpj.exe",
        "nul",
        "é" * 60,
        "..",
        "a/b\\c",
    ],
    ids=repr,
)
def test_a_title_makes_a_plain_file_name(siege: Besieger, title: str) -> None:
    answer = siege.page.client.post("/api/toml", json={"plan": siege.page.plan | {"title": title}})
    if answer.status_code == 422:
        assert answer.json()["problems"][0]["field"] == "title"
    else:
        assert re.fullmatch(r'attachment; filename="[a-z0-9-]{1,60}\.toml"', answer.headers["content-disposition"])
        assert "set-cookie" not in answer.headers


def test_a_title_with_a_line_break_is_no_title(siege: Besieger) -> None:
    for letter in ("\r\n", "\n", "\x00", "\x85", "\u2028"):
        plan = siege.page.plan | {"title": f"a{letter}Set-Cookie: b=c"}
        assert siege.page.client.post("/api/toml", json={"plan": plan}).status_code == 422, repr(letter)
