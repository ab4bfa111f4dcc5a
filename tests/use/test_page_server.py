"""The landowner's page as its browser meets it, and as somebody meets it who means no good."""

import json
import signal
import socket
import subprocess
import sys
import time
import zipfile
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from io import BytesIO
from pathlib import Path
from typing import Any, NoReturn

import httpx
import pytest

from paging import ROOT, TOKEN, Served, command_of, family_of, lives, served
from simulator.scenario.file import load_text
from workbench.examples import example_text

BASE = {"Cache-Control", "Content-Security-Policy", "X-Content-Type-Options", "Referrer-Policy"}
OPENERS = {"Cross-Origin-Opener-Policy", "Cross-Origin-Resource-Policy"}
OVER = ("done", "failed", "cancelled")


@pytest.fixture(scope="module")
def page() -> Iterator[Served]:
    with served() as started:
        yield started


def _with(plan: dict[str, Any], table: str, **fields: object) -> dict[str, Any]:
    return plan | {table: {**plan.get(table, {}), **fields}}


def _told(page: Served, job: str) -> dict[str, Any]:
    return dict(page.client.get(f"/api/jobs/{job}").json())


def _until(page: Served, job: str, ready: Callable[[dict[str, Any]], bool]) -> dict[str, Any]:
    deadline = time.monotonic() + 120.0
    while time.monotonic() < deadline:
        told = _told(page, job)
        if ready(told) or told["state"] in OVER:
            return told
        time.sleep(0.1)
    raise AssertionError(f"still {told['state']}")


# What the page asks for


def test_the_page_opens_with_its_form_its_version_and_the_examples(page: Served) -> None:
    start = page.start
    assert start["file"] is None
    assert {"land", "thinning", "prices"} <= {group["id"] for group in start["form"]}
    assert "standing-pines" in {example["id"] for example in start["examples"]}
    version = start["version"]
    assert set(version) >= {"plan", "comparison", "scene", "words", "problems", "seconds"}
    assert list(version["comparison"]["systems"]) == ["silvopasture", "plantation", "pasture"]
    assert version["words"]["answer"].startswith("On this land and at these prices")
    assert any("Felling" in caution for caution in version["words"]["cautions"])


def test_the_first_picture_is_small_enough_to_send_whole(page: Served) -> None:
    version = page.start["version"]
    assert len(json.dumps(version["scene"], separators=(",", ":"))) < 250_000
    assert len(version["scene"]["systems"]["silvopasture"]["years"]) == 41


def test_a_changed_thinning_changes_the_plan_and_leaves_the_single_uses(page: Served) -> None:
    start, plan = page.start["version"], page.plan
    later = plan | {"thinning": [{**plan["thinning"][0], "year": 18}, *plan["thinning"][1:]]}
    found = page.client.post("/api/plan", json={"plan": later}).json()
    incomes = [
        {name: system["equal_annual_income_per_ac"] for name, system in version["comparison"]["systems"].items()}
        for version in (start, found)
    ]
    assert incomes[0]["silvopasture"] != incomes[1]["silvopasture"]
    assert incomes[0]["plantation"] == incomes[1]["plantation"]
    assert incomes[0]["pasture"] == incomes[1]["pasture"]
    events = found["scene"]["systems"]["silvopasture"]["years"][18]["events"]
    assert events == ["thinned to 100 trees/ac"]
    assert "thinning.0.year" in {handle["path"] for handle in found["scene"]["timeline"]}


def test_a_file_is_opened_and_saved_as_the_same_plan(page: Served) -> None:
    opened = page.client.post("/api/open", content=example_text().encode())
    assert opened.status_code == 200
    saved = page.client.post("/api/toml", json={"plan": opened.json()["plan"]})
    assert saved.headers["content-disposition"] == 'attachment; filename="north-field.toml"'
    assert load_text(saved.text, "saved") == load_text(example_text(), "packaged")


def test_examples_open_by_their_id_only(page: Served) -> None:
    found = page.client.post("/api/example", json={"id": "standing-pines"}).json()
    assert "open_later" in found["comparison"]["systems"]
    lives_of = found["scene"]["systems"]["silvopasture"]["lives"]
    assert len(lives_of) == 2
    refused = page.client.post("/api/example", json={"id": "../north-field"})
    assert refused.status_code == 422


def test_tables_and_pictures_are_downloaded_as_archives(page: Served) -> None:
    plan = {"plan": page.plan}
    tables = page.client.post("/api/download/csv", json=plan)
    assert set(zipfile.ZipFile(BytesIO(tables.content)).namelist()) == {"ledger.csv", "years.csv", "comparison.json"}
    assert page.client.post("/api/download/csv", json=plan).content == tables.content
    pictures = zipfile.ZipFile(BytesIO(page.client.post("/api/download/pictures", json=plan).content))
    assert pictures.read("income.png").startswith(b"\x89PNG")
    assert {"cross_section.svg", "stand.png"} <= set(pictures.namelist())
    assert page.client.post("/api/download/shell", json=plan).status_code == 404


@pytest.mark.parametrize(
    ("kind", "begins"), [("report", b"<!doctype html"), ("pdf", b"%PDF"), ("workbook", b"PK")], ids=str
)
def test_report_and_workbook_are_downloaded_or_said_to_be_missing(page: Served, kind: str, begins: bytes) -> None:
    answer = page.client.post(f"/api/download/{kind}", json={"plan": page.plan})
    if answer.status_code == 501:
        assert answer.json()["message"].endswith(".")
    else:
        assert answer.status_code == 200, answer.text
        assert answer.content[:20].lower().startswith(begins.lower())


# What is wrong in a plan


def test_problems_name_the_field_as_the_form_does(page: Served) -> None:
    plan = page.plan
    narrow = plan | {"trees": {**plan["trees"], "layout": {**plan["trees"]["layout"], "alley_ft": 2}}}
    narrow["thinning"] = [{**plan["thinning"][0], "year": 60}]
    answer = page.client.post("/api/plan", json={"plan": narrow})
    assert answer.status_code == 422
    problems = {problem["field"]: problem["message"] for problem in answer.json()["problems"]}
    assert set(problems) == {"trees.layout.alley_ft", "thinning.0.year"}
    assert problems["trees.layout.alley_ft"].startswith("Must be a number from 5 to 200 ft (received 2).")
    assert page.client.post("/api/toml", json={"plan": narrow}).status_code == 422


def test_problems_of_a_text_name_its_lines(page: Served) -> None:
    lines = example_text().splitlines()
    where = next(number for number, line in enumerate(lines) if line.startswith("site_index_ft"))
    lines[where] = "site_index_ft = 6"
    answer = page.client.post("/api/open", content="\n".join(lines).encode())
    assert answer.status_code == 422
    assert [(each["field"], each["line"]) for each in answer.json()["problems"]] == [("land.site_index_ft", where + 1)]


def test_every_line_that_cannot_be_read_is_told_with_what_is_wrong_elsewhere(page: Served) -> None:
    text = example_text().replace("site_index_ft = 68", "site_index_ft = 6").replace("fenced = true", "fenced = True")
    fields = {each["field"] for each in page.client.post("/api/open", content=text.encode()).json()["problems"]}
    assert fields == {"land.site_index_ft", "land.fenced"}


def test_an_override_that_makes_no_plan_is_told_at_the_override(page: Served) -> None:
    text = example_text() + "\n[baseline.plantation.harvest]\nyear = 10\n"
    problems = page.client.post("/api/open", content=text.encode()).json()["problems"]
    assert all(problem["field"].startswith("baseline.plantation") for problem in problems)
    assert all(problem["line"] is not None for problem in problems)


@pytest.mark.parametrize("name", ["/etc/passwd", "../../secret.toml", "own.toml"], ids=str)
def test_no_price_table_is_read_because_a_page_names_it(page: Served, name: str) -> None:
    answer = page.client.post("/api/plan", json={"plan": _with(page.plan, "money", price_table=name)})
    assert answer.status_code == 422
    assert [each["field"] for each in answer.json()["problems"]] == ["money.price_table"]
    assert "not read" in answer.json()["problems"][0]["message"]


def test_the_price_table_beside_the_file_is_read_and_no_other(tmp_path: Path) -> None:
    table = 'title = "Own (invented)"\ncurrency_year = 2025\nextends = "demo-2025"\n[sources]\nme = "invented"\n'
    table += '[sale]\nhay = { value = 222.0, unit = "$/ton", source = "me" }\n'
    for name in ("own.toml", "other.toml"):
        (tmp_path / name).write_text(table, encoding="utf-8")
    file = tmp_path / "field.toml"
    text = example_text().replace('price_table = "demo-2025"', 'price_table = "own.toml"')
    file.write_text(text, encoding="utf-8")
    with served(str(file)) as page:
        start = page.start
        assert start["file"] == "field.toml"
        assert start["version"]["comparison"]["price_table"] == "Own (invented)"
        prices = next(group for group in start["form"] if group["id"] == "prices")["fields"]
        assert next(field for field in prices if field["path"] == "money.prices.hay")["default"] == 222.0
        other = _with(page.plan, "money", price_table="other.toml")
        assert page.client.post("/api/plan", json={"plan": other}).status_code == 422
        assert str(tmp_path) not in json.dumps(start)


# Who may ask, and what


def test_every_answer_carries_the_headers_that_keep_others_out(page: Served) -> None:
    answers = [page.client.get(path) for path in ("/", "/api/jobs/none", "/static/none.js", "/palette.css")]
    answers.append(page.client.post("/api/plan", content=b"{"))
    for answer in answers:
        assert set(answer.headers) >= {name.lower() for name in BASE | OPENERS}, answer.url
        policy = answer.headers["content-security-policy"]
        assert policy.startswith("default-src 'none'; script-src 'self'; style-src 'self'")
        assert "unsafe" not in policy
        assert "server" not in answer.headers


@pytest.mark.parametrize(
    "host", ["example.test", "127.0.0.1", "127.0.0.1:1", "localhost.example.test:80", ""], ids=repr
)
def test_a_foreign_host_is_turned_away(page: Served, host: str) -> None:
    assert page.client.get("/", headers={"Host": host}).status_code == 400


def test_this_machines_other_names_are_answered(page: Served) -> None:
    assert (
        page.client.get("/palette.css", headers={"Host": f"localhost:{page.client.base_url.port}"}).status_code == 200
    )


@pytest.mark.parametrize("origin", ["http://example.test", "null", "https://127.0.0.1", "http://127.0.0.1:1"], ids=str)
def test_a_foreign_origin_is_turned_away(page: Served, origin: str) -> None:
    answer = page.client.post("/api/plan", json={"plan": {}}, headers={"Origin": origin})
    assert answer.status_code == 403
    own = f"http://127.0.0.1:{page.client.base_url.port}"
    assert page.client.post("/api/plan", json={"plan": {}}, headers={"Origin": own}).status_code == 422


@pytest.mark.parametrize("token", ["", "wrong", "ü"], ids=repr)
def test_nothing_is_computed_without_the_token(page: Served, token: str) -> None:
    headers = {TOKEN: token.encode()}
    for path in ("/api/plan", "/api/open", "/api/example", "/api/toml", "/api/download/csv", "/api/jobs"):
        assert page.client.post(path, json={}, headers=headers).status_code == 403
    assert page.client.delete("/api/jobs/none", headers=headers).status_code == 403


@pytest.mark.parametrize(
    "path", ["/static/../page.html", "/static/%2e%2e/labels.toml", "/static/..%2flabels.toml", "/static//etc/passwd"]
)
def test_nothing_outside_the_static_folder_is_served(page: Served, path: str) -> None:
    with socket.create_connection(("127.0.0.1", page.client.base_url.port or 0)) as raw:
        host = f"127.0.0.1:{page.client.base_url.port}"
        raw.sendall(f"GET {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n".encode())
        assert b" 404 " in raw.makefile("rb").readline()


def test_a_body_of_two_megabytes_is_refused_before_it_is_whole(page: Served) -> None:
    assert page.client.post("/api/open", content=b"#" * 2_000_000).status_code == 413
    pieces = (b"#" * 100_000 for _ in range(20))
    assert page.client.post("/api/open", content=pieces).status_code == 413


@pytest.mark.parametrize(
    "body",
    [b"", b"{", b"[]", b"{}", b'{"plan": 3}', b'{"plan": {"land": {"acres": NaN}}}', b"[" * 100_000,
     b'{"plan": ' + b'{"a":' * 30 + b"1" + b"}" * 31, b'{"plan": {"a": ' + b"9" * 10_000 + b"}}", b"\xff\xfe"],
    ids=lambda body: repr(body[:16]),
)  # fmt: skip
def test_what_is_no_plan_in_json_is_refused(page: Served, body: bytes) -> None:
    answer = page.client.post("/api/plan", content=body)
    assert answer.status_code == 400
    assert answer.json()["message"].endswith(".")


@pytest.mark.parametrize(
    ("more", "said"),
    [("a." * 5_000 + "a = 1", "dots"), ("x" * 30_000 + " = 1", "longer than"), ("x = 1\n" * 12_000, "lines")],
    ids=["dotted key", "long line", "many lines"],
)
def test_a_text_that_would_keep_the_reader_for_minutes_is_refused_at_once(page: Served, more: str, said: str) -> None:
    begun = time.monotonic()
    answer = page.client.post("/api/open", content=f"{example_text()}\n{more}".encode())
    assert answer.status_code == 422
    assert said in answer.json()["problems"][0]["message"]
    assert time.monotonic() - begun < 20.0


def test_thousands_of_problems_are_not_all_told(page: Served) -> None:
    answer = page.client.post("/api/open", content=(example_text() + "\n[[thinning]]\nyear = 1\n" * 2000).encode())
    problems = answer.json()["problems"]
    assert len(problems) == 41
    assert problems[-1]["message"].endswith("more of the kind. Mend these first.")


def test_a_title_that_is_html_and_a_quote_makes_no_header_and_no_element(page: Served) -> None:
    plan = page.plan | {"title": '</title><script>alert(1)</script>"; filename="x.exe'}
    answer = page.client.post("/api/download/report", json={"plan": plan})
    assert answer.headers["content-disposition"] == (
        'attachment; filename="title-script-alert-1-script-filename-x-exe-report.html"'
    )
    assert "<script>alert" not in answer.text
    injected = page.client.post("/api/plan", json={"plan": page.plan | {"title": "a\r\nSet-Cookie: b=c"}})
    assert injected.status_code == 422


def test_text_that_is_no_text_is_refused(page: Served) -> None:
    assert page.client.post("/api/open", content=b"\xff\xfe\x00").status_code == 400


def test_other_methods_are_refused(page: Served) -> None:
    assert page.client.get("/api/plan").status_code == 405
    assert page.client.put("/api/plan", json={}).status_code == 405
    assert page.client.get("/nothing").status_code == 404


# One thing at a time


def test_the_page_costs_little_while_nobody_asks(page: Served, absent: Callable[[str], NoReturn]) -> None:
    """Under 150 MB in proportional shares, server and computing process, also after files were made.

    What drawing and printing import stays in a process that ends with its file.
    """
    if not Path("/proc/self/smaps_rollup").is_file():
        absent("there is no /proc here that tells what a process takes")
    assert page.client.post("/api/download/pictures", json={"plan": page.plan}).status_code == 200
    taken = sum(map(_taken_mb, family_of(page.process.pid) | {page.process.pid}))
    assert taken < 150.0


def _taken_mb(process_id: int) -> float:
    """Proportional share of memory of a process [MB]; nothing once it is gone."""
    try:
        said = Path(f"/proc/{process_id}/smaps_rollup").read_text(encoding="ascii")
    except OSError:
        return 0.0
    return sum(float(line.split()[1]) for line in said.splitlines() if line.startswith("Pss:")) / 1024.0


def test_too_many_questions_at_once_are_sent_away(page: Served) -> None:
    plan = page.plan
    plans = [_with(plan, "land", site_index_ft=60 + number / 4) for number in range(12)]
    with ThreadPoolExecutor(12) as pool:
        answers = list(pool.map(lambda each: page.client.post("/api/plan", json={"plan": each}), plans))
    codes = [answer.status_code for answer in answers]
    assert set(codes) == {200, 429}
    assert codes.count(200) >= 5
    assert "try again" in next(answer for answer in answers if answer.status_code == 429).json()["message"]


def test_a_killed_computing_process_is_reported_and_the_page_lives(
    page: Served, absent: Callable[[str], NoReturn]
) -> None:
    if not Path("/proc").is_dir():
        absent("there is no /proc here to find a process in")
    plan = {"plan": page.plan}
    for process_id in _computing(page):
        Path(f"/proc/{process_id}").stat()
        _kill(process_id)
    answer = page.client.post("/api/plan", json=plan)
    assert answer.status_code == 200
    assert answer.json()["notice"] == "The computing process had stopped; it was started again."
    assert "notice" not in page.client.post("/api/plan", json=plan).json()


def test_a_process_killed_over_its_work_is_reported_at_once(page: Served, absent: Callable[[str], NoReturn]) -> None:
    if not Path("/proc").is_dir():
        absent("there is no /proc here to find a process in")
    plans = [{"plan": _with(page.plan, "land", site_index_ft=value)} for value in (50.5, 51.5)]
    with ThreadPoolExecutor(1) as pool:
        answer = pool.submit(lambda: page.client.post("/api/plan", json=plans[0]))
        time.sleep(0.15)
        for process_id in _computing(page):
            _kill(process_id)
        stopped = answer.result()
    assert stopped.status_code == 503
    assert stopped.json()["message"].startswith("The computing process stopped")
    assert page.client.post("/api/plan", json=plans[1]).status_code == 200


def _computing(page: Served) -> list[int]:
    found = [child for child in family_of(page.process.pid) if "spawn_main" in command_of(child)]
    assert found
    return found


def _kill(process_id: int) -> None:
    import os  # noqa: PLC0415 - only here, so that no other test kills anything

    os.kill(process_id, signal.SIGKILL)
    deadline = time.monotonic() + 10.0
    while lives(process_id) and time.monotonic() < deadline:
        time.sleep(0.02)


# Long work


def test_a_search_is_done_beside_the_page_and_gives_a_version(page: Served) -> None:
    plan = _with(page.plan, "money", horizon_years=18) | {"harvest": {"year": 16}}
    plan["thinning"] = [plan["thinning"][0] | {"year": 11}]
    plan["search"] = {
        "most_thinnings": 1, "first_thinning_years": [11], "first_residuals_trees_per_ac": [100.0],
        "harvest_years": [16], "hay_until_years": [4], "first_grazing_years": [5], "pasture_nitrogen_lb_ac": [80.0],
    }  # fmt: skip
    plan["baseline"] = {"plantation": {"search": plan["search"]}}
    answer = page.client.post("/api/jobs", json={"kind": "optimize", "plan": plan})
    assert answer.status_code == 202
    told = _until(page, answer.json()["job"], lambda told: told["state"] == "done")
    assert told["state"] == "done", told["message"]
    assert told["done"] == told["of"] > 0
    assert told["result"]["objective"] == "land-expectation"
    income = told["version"]["comparison"]["systems"]["silvopasture"]["equal_annual_income_per_ac"]
    assert income == pytest.approx(told["result"]["best"]["equal_annual_income_per_ac"])


def test_a_search_is_stopped_with_all_its_processes(page: Served, absent: Callable[[str], NoReturn]) -> None:
    if not Path("/proc").is_dir():
        absent("there is no /proc here to find a process in")
    before = family_of(page.process.pid)
    job = page.client.post("/api/jobs", json={"kind": "optimize", "plan": page.plan}).json()["job"]
    told = _until(page, job, lambda told: told["message"] != "" and len(family_of(page.process.pid) - before) > 1)
    assert told["state"] == "running"
    assert page.client.post("/api/plan", json={"plan": page.plan}).status_code == 200
    mine = family_of(page.process.pid) - before
    answer = page.client.delete(f"/api/jobs/{job}")
    assert answer.json()["state"] == "cancelled"
    deadline = time.monotonic() + 20.0
    while any(map(lives, mine)) and time.monotonic() < deadline:
        time.sleep(0.05)
    assert not [process_id for process_id in mine if lives(process_id)]
    assert _told(page, job)["state"] == "cancelled"


def test_long_work_waits_its_turn_and_only_so_much_of_it(page: Served) -> None:
    order = {"kind": "optimize", "plan": page.plan}
    answers = [page.client.post("/api/jobs", json=order) for _ in range(6)]
    jobs = [answer.json()["job"] for answer in answers if answer.status_code == 202]
    assert answers[-1].status_code == 429
    assert _told(page, jobs[-1])["state"] == "queued"
    assert _told(page, jobs[-1])["seconds_left"] is None
    for job in reversed(jobs):
        assert page.client.delete(f"/api/jobs/{job}").json()["state"] == "cancelled"


def test_long_work_that_makes_no_sense_is_refused_or_says_why(page: Served) -> None:
    plan = page.plan
    assert page.client.post("/api/jobs", json={"kind": "everything", "plan": plan}).status_code == 422
    assert page.client.post("/api/jobs", json={"kind": "odds", "plan": plan, "draws": 10**9}).status_code == 422
    bad = page.client.post("/api/jobs", json={"kind": "odds", "plan": _with(plan, "land", acres=-1)})
    assert [each["field"] for each in bad.json()["problems"]] == ["land.acres"]
    assert page.client.get("/api/jobs/none").status_code == 404
    job = page.client.post("/api/jobs", json={"kind": "wait", "plan": plan}).json()["job"]
    told = _until(page, job, lambda told: told["state"] == "failed")
    assert "stand" in told["message"]


# Starting and stopping


def test_ctrl_c_stops_the_page_and_everything_it_started() -> None:
    with served() as page:
        page.start  # noqa: B018 - asked for, so that the computing process is at work
        mine = family_of(page.process.pid)
        assert "Ctrl-C stops it" in page.said
        page.process.send_signal(signal.SIGINT)
        page.process.wait(timeout=20)
        rest = page.process.stderr.read() if page.process.stderr else ""
        assert page.process.returncode == 130
        assert "Traceback" not in rest
    deadline = time.monotonic() + 10.0
    while any(map(lives, mine)) and time.monotonic() < deadline:
        time.sleep(0.05)
    assert not any(map(lives, mine))


def _refused(*arguments: str) -> str:
    command = [sys.executable, "-m", "workbench", "page", "--no-browser", *arguments]
    done = subprocess.run(command, capture_output=True, text=True, timeout=60, check=False, cwd=ROOT)
    assert done.returncode == 2, done.stderr
    assert "Traceback" not in done.stderr
    return done.stderr


def test_another_address_needs_a_password(tmp_path: Path) -> None:
    assert "--password-file" in _refused("--address", "0.0.0.0")  # noqa: S104 - refused
    short = tmp_path / "short"
    short.write_text("abc\n", encoding="utf-8")
    assert "at least 12" in _refused("--address", "0.0.0.0", "--password-file", str(short))  # noqa: S104 - refused
    assert "cannot be read" in _refused("--password-file", str(tmp_path / "none"))


def test_a_page_with_a_password_lets_nobody_in_without_it(tmp_path: Path) -> None:
    file = tmp_path / "word"
    file.write_text("a long green meadow\n", encoding="utf-8")
    with served("--address", "0.0.0.0", "--password-file", str(file), password="a long green meadow") as page:  # noqa: S104, S106
        assert page.client.get("/palette.css").status_code == 200
        without = httpx.get(page.client.base_url, trust_env=False)
        assert without.status_code == 401
        assert without.headers["www-authenticate"].startswith("Basic")
        assert httpx.get(page.client.base_url, auth=("owner", "a long green valley")).status_code == 401
        assert page.client.get("/", headers={"Host": f"example.test:{page.client.base_url.port}"}).status_code == 400


def test_a_bad_file_ends_the_command_with_its_problems(tmp_path: Path) -> None:
    file = tmp_path / "field.toml"
    file.write_text(example_text().replace("acres = 40", "acres = -40"), encoding="utf-8")
    said = _refused("--port", "0", str(file))
    assert f"{file}:" in said
    assert "land.acres" in said
    assert "does not exist" in _refused("--port", "0", str(tmp_path / "none.toml"))


def test_a_port_that_was_asked_for_and_is_taken_is_an_error() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        assert "another --port" in _refused("--port", str(taken.getsockname()[1]))
