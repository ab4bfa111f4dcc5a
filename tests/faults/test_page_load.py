"""The page under load: two hundred at once, a computing process that hangs or dies, and an end while work goes on."""

import asyncio
import json
import os
import signal
import statistics
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from multiprocessing import active_children
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Any, Final, NoReturn

import pytest

import workbench.page.computing as computing_module
from besieging import Besieger, Heard, resident_mb
from optimize.processes import process_of
from paging import command_of, echo, family_of, lives, served
from workbench.page.computing import Computing
from workbench.page.messages import Asked, Settings, message_reply

AT_ONCE: Final = 200
SENT_AWAY: Final = {429, 503}


@pytest.fixture(scope="module")
def siege(absent: Callable[[str], NoReturn]) -> Iterator[Besieger]:
    if not Path("/proc").is_dir():
        absent("there is no /proc here to find a process in")
    with served() as page:
        assert page.plan
        yield Besieger(page)


def _body(siege: Besieger, acres: float) -> bytes:
    plan = siege.page.plan
    return json.dumps({"plan": plan | {"land": {**plan["land"], "acres": acres}}}).encode()


def _figures(answer: Heard) -> Any:  # noqa: ANN401 - a document
    return json.loads(answer.body)["comparison"]["systems"]


def test_two_hundred_at_once_get_right_numbers_or_are_told_to_wait(siege: Besieger) -> None:
    bodies = [_body(siege, 40.0), _body(siege, 55.0)]
    right = [_figures(siege.posts("/api/plan", body=body)) for body in bodies]
    assert right[0] != right[1]
    before = resident_mb(siege.page.process.pid)
    with ThreadPoolExecutor(AT_ONCE) as pool:
        answers = list(pool.map(lambda number: siege.posts("/api/plan", body=bodies[number % 2]), range(AT_ONCE)))
    statuses = [answer.status for answer in answers]
    assert set(statuses) <= {200} | SENT_AWAY
    assert statuses.count(200) >= 2
    for number, answer in enumerate(answers):
        if answer.status == 200:
            assert _figures(answer) == right[number % 2]
        else:
            assert answer.message.endswith("ry again.")
            assert "content-security-policy" in answer.head
    after = resident_mb(siege.page.process.pid)
    times = sorted(answer.seconds for answer in answers)
    served_ones = statuses.count(200)
    print(f"{served_ones} answered, {AT_ONCE - served_ones} sent away; median {statistics.median(times):.2f} s, "  # noqa: T201
          f"longest {times[-1]:.2f} s; memory {before:.0f} to {after:.0f} MB")  # fmt: skip
    assert after < before + 100.0
    assert _figures(siege.posts("/api/plan", body=bodies[0])) == right[0]


def test_two_hundred_readers_at_once_are_served_or_told_to_wait(siege: Besieger) -> None:
    with ThreadPoolExecutor(AT_ONCE) as pool:
        answers = list(pool.map(lambda _: siege.asks("GET /"), range(AT_ONCE)))
    assert {answer.status for answer in answers} <= {200, 503}
    assert sum(answer.status == 200 for answer in answers) > 20
    assert siege.asks("GET /").status == 200


def _computing(siege: Besieger) -> int:
    found = [child for child in family_of(siege.page.process.pid) if "spawn_main" in command_of(child)]
    assert len(found) == 1
    return found[0]


def test_while_the_computing_process_hangs_the_page_answers_and_nothing_is_lost(siege: Besieger) -> None:
    body = _body(siege, 41.0)
    siege.posts("/api/plan", body=body)
    hung = _computing(siege)
    os.kill(hung, signal.SIGSTOP)
    try:
        with ThreadPoolExecutor(12) as pool:
            asked = [pool.submit(siege.posts, "/api/plan", body=body) for _ in range(12)]
            deadline = time.monotonic() + 30.0
            while sum(each.done() for each in asked) < 7 and time.monotonic() < deadline:
                time.sleep(0.05)
            assert siege.asks("GET /").status == 200
            assert siege.asks("GET /api/jobs/none").status == 404
            assert [each.result().status for each in asked if each.done()] == [429] * 7
            os.kill(hung, signal.SIGCONT)
            answers = [each.result() for each in asked]
    finally:
        os.kill(hung, signal.SIGCONT)
    assert sorted(answer.status for answer in answers) == [200] * 5 + [429] * 7
    assert len({json.dumps(_figures(answer)) for answer in answers if answer.status == 200}) == 1


def test_a_computing_process_killed_under_load_is_started_again(siege: Besieger) -> None:
    bodies = [_body(siege, 60.0 + number) for number in range(12)]
    with ThreadPoolExecutor(12) as pool:
        asked = [pool.submit(siege.posts, "/api/plan", body=body) for body in bodies]
        time.sleep(0.1)
        os.kill(_computing(siege), signal.SIGKILL)
        statuses = {each.result().status for each in asked}
    assert statuses <= {200} | SENT_AWAY
    again = siege.posts("/api/plan", body=bodies[0])
    assert again.status == 200


def test_an_answer_that_takes_too_long_is_given_up_and_the_next_one_comes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(computing_module, "LONGEST_S", 15.0)
    computing = Computing(Settings(), work=echo)

    async def asked() -> tuple[int, int]:
        await computing.ask(Asked("ready"))  # started: what follows is timed without that
        monkeypatch.setattr(computing_module, "LONGEST_S", 0.5)
        given_up = await computing.ask(Asked("dawdle", 30.0))
        monkeypatch.setattr(computing_module, "LONGEST_S", 15.0)
        return given_up.status, (await computing.ask(Asked("ready"))).status

    try:
        assert asyncio.run(asked()) == (503, 200)
    finally:
        computing.stop()


# The end


class Dawdling:
    """The end of a connection whose reader is held up between hearing that there is something and reading it."""

    def __init__(self, real: Connection) -> None:
        self.real, self.send, self.recv, self.close = real, real.send, real.recv, real.close

    def poll(self, seconds: float) -> bool:
        """Hear, and be held up."""
        there = self.real.poll(seconds)
        time.sleep(0.3)
        return there


def test_an_end_between_hearing_and_reading_an_answer_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    def dawdling(work: Callable[[Connection], None], name: str) -> tuple[BaseProcess, Dawdling]:
        process, connection = process_of(work, name)
        return process, Dawdling(connection)

    monkeypatch.setattr(computing_module, "process_of", dawdling)
    computing = Computing(Settings(), work=echo)
    assert computing.ask_now(Asked("ready")).status == 200
    with ThreadPoolExecutor(1) as pool:
        asked = pool.submit(computing.ask_now, Asked("dawdle", 30.0))
        time.sleep(0.6)  # it waits for the answer now, or will in a moment
        computing.stop()
        assert asked.result(timeout=20.0) == message_reply(computing_module.ENDED, 503)


def test_an_end_while_the_computing_process_is_started_leaves_none(monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[BaseProcess] = []

    def interrupted(work: Callable[[Connection], None], name: str) -> tuple[BaseProcess, Connection]:
        process, connection = process_of(work, name)
        made.append(process)
        ending.start()
        ending.join(timeout=0.3)
        return process, connection

    monkeypatch.setattr(computing_module, "process_of", interrupted)
    computing = Computing(Settings(), work=echo)
    ending = threading.Thread(target=computing.stop)
    assert computing.ask_now(Asked("ready")).status == 503
    ending.join(timeout=20.0)
    assert not ending.is_alive()
    assert computing.process_id is None
    assert not set(made) & set(active_children())


def _all_gone(mine: set[int]) -> bool:
    deadline = time.monotonic() + 20.0
    while any(map(lives, mine)) and time.monotonic() < deadline:
        time.sleep(0.05)
    return not any(map(lives, mine))


@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM, signal.SIGKILL], ids=lambda how: how.name)
def test_an_end_while_work_goes_on_leaves_no_process_behind(
    how: signal.Signals, absent: Callable[[str], NoReturn]
) -> None:
    """A search on all cores, a plan being computed, a file being made, and a computing process that hangs."""
    if not Path("/proc").is_dir():
        absent("there is no /proc here to find a process in")
    with served() as page:
        siege = Besieger(page)
        job = page.client.post("/api/jobs", json={"kind": "optimize", "plan": page.plan}).json()["job"]
        assert page.client.get(f"/api/jobs/{job}").json()["state"] in {"queued", "running"}
        deadline = time.monotonic() + 60.0
        while len(family_of(page.process.pid)) < 3 and time.monotonic() < deadline:
            time.sleep(0.05)
        hung = next(child for child in family_of(page.process.pid) if "spawn_main" in command_of(child))
        if how != signal.SIGKILL:  # a process that is halted cannot notice that its parent was killed
            os.kill(hung, signal.SIGSTOP)
        with ThreadPoolExecutor(2) as pool:
            body = _plan_body(page.client.get("/api/start").json())
            waiting = [pool.submit(siege.posts, path, body=body) for path in ("/api/plan", "/api/download/report")]
            time.sleep(0.5)
            mine = family_of(page.process.pid)
            assert len(mine) >= 3
            page.process.send_signal(how)
            page.process.wait(timeout=60)
            assert all(each.result().status in {0, 200, 500, 503} for each in waiting)
        rest = page.process.stderr.read() if page.process.stderr else ""
        assert "Traceback" not in rest, rest
        assert _all_gone(mine)


def _plan_body(start: dict[str, Any]) -> bytes:
    return json.dumps({"plan": start["version"]["plan"]}).encode()
