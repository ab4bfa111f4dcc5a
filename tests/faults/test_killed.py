"""What is left when a command is killed, stopped or loses a process; promises of docs/reliability.md."""

import errno
import os
import signal
import sys
import time
from concurrent.futures import Executor, Future
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path

import pytest

from hardship import FLOWS, SMALL_GRID, at_step, contents, done, said
from optimize.processes import hand_out
from optimize.sweeps.parts import RESULTS
from optimize.sweeps.run import open_sweep
from optimize.whole_files import UNFINISHED
from reliability import keeps
from sweeping import ALLEY, factors_text, written
from workbench.examples import example_text
from workbench.output import KEPT_UNFINISHED_S, prepare_folder

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="signals are others there")
DRAWN = factors_text(ALLEY, design="latin hypercube", more="samples = 6\nseed = 4\n")
FEW_PLANS = "import optimize.sweeps.job\noptimize.sweeps.job.PLANS_IN_A_TASK = 2\n"
KILLS_THE_FIRST_WORKER = """
import multiprocessing.context, os, signal, time
start, started = multiprocessing.context.SpawnProcess.start, []
def start_and_kill(self):
    start(self)
    started.append(self.pid)
    if len(started) == 1:
        os.kill(self.pid, signal.SIGKILL)
        time.sleep(0.5)
multiprocessing.context.SpawnProcess.start = start_and_kill
"""
"""Killed while the second is not there yet: a pool of processes overlooks the second and waits for it for ever."""
ASKED_TO_END_ONCE_TWO_WORK = """
import multiprocessing.context, os, signal, threading
start, started = multiprocessing.context.SpawnProcess.start, []
def start_and_ask(self):
    start(self)
    started.append(self.pid)
    if len(started) == 2:
        threading.Timer(1.0, os.kill, (os.getpid(), signal.SIGTERM)).start()
multiprocessing.context.SpawnProcess.start = start_and_ask
"""
"""Counted from the start of the work and not of the program, which on a busy machine takes as long as it takes."""


@pytest.fixture
def flows(tmp_path: Path) -> Path:
    """A table of cash, whose worth is quickly written."""
    path = tmp_path / "flows.csv"
    path.write_text(FLOWS, encoding="utf-8")
    return path


@keeps("Files are whole")
def test_killed_at_every_step_of_writing_files_are_old_or_new(flows: Path, tmp_path: Path) -> None:
    assert done(tmp_path, "value", flows, "--rate", "0.05", "--out", "out").returncode == 0
    old = contents(tmp_path / "out")
    assert done(tmp_path, "value", flows, "--rate", "0.06", "--out", "new").returncode == 0
    new = contents(tmp_path / "new")
    assert old.keys() == new.keys()
    steps = 0
    while True:
        steps += 1
        ended = done(tmp_path, "value", flows, "--rate", "0.06", "--out", "out", before=at_step(steps))
        left = contents(tmp_path / "out")
        assert all(left[name] in {old[name], new[name]} for name in old), steps
        assert all(Path(name).match(UNFINISHED) for name in left.keys() - old.keys()), steps
        if ended.returncode == 0:
            break
        assert ended.returncode == -signal.SIGKILL, said(ended)
    assert steps > 3 * len(old)  # a probe, and a creation and a renaming of each file at least
    assert {name: left[name] for name in new} == new
    assert len(left) > len(new)  # some were killed between the two, and that did no harm


@keeps("Leftovers do no harm")
def test_leftovers_are_not_read_and_are_cleared_when_nobody_can_be_writing_them(tmp_path: Path) -> None:
    young, old = tmp_path / ".halfshade-1f.part", tmp_path / ".halfshade-2e.part"
    mine = tmp_path / "mine.part"
    for path in (young, old, mine):
        path.write_bytes(b"PAR1")
    for path in (old, mine):
        past = time.time() - KEPT_UNFINISHED_S - 60.0
        os.utime(path, (past, past))
    prepare_folder(tmp_path)
    assert sorted(contents(tmp_path)) == [young.name, mine.name]


@keeps("A sweep goes on where it stopped")
def test_a_sweep_gone_on_with_is_that_of_one_never_stopped(tmp_path: Path) -> None:
    field, factors = written(tmp_path, DRAWN)
    asked = ("sweep", field, factors, "--workers", "1", "--out")
    assert done(tmp_path, *asked, "whole", before=FEW_PLANS).returncode == 0
    whole = contents(tmp_path / "whole")
    killed = done(tmp_path, *asked, "out", before=FEW_PLANS + at_step(2, among="results/.halfshade"))
    assert killed.returncode == -signal.SIGKILL, said(killed)
    left = contents(tmp_path / "out")
    assert all(whole[name] == content for name, content in left.items() if not Path(name).match(UNFINISHED))
    assert not any(name.endswith(".parquet") for name in left)
    (tmp_path / "out" / RESULTS / ".halfshade-torn.part").write_bytes(b"PAR1")
    resumed = done(tmp_path, *asked, "out", before=FEW_PLANS)
    assert resumed.returncode == 0, said(resumed)
    assert contents(tmp_path / "out") == whole
    assert len(open_sweep(tmp_path / "out").frame()) == 6


@keeps("Stopping is clean")
@pytest.mark.parametrize(("name", "code"), [("SIGINT", 130), ("SIGTERM", 143), ("SIGHUP", 129)])
def test_asked_to_end_in_the_middle_of_writing_it_tidies_up(flows: Path, tmp_path: Path, name: str, code: int) -> None:
    ended = done(tmp_path, "value", flows, "--rate", "0.05", "--out", "out", before=at_step(4, name))
    words = said(ended)
    assert ended.returncode == code, words
    assert (f"stopped by the system ({name}); the files that are there are whole" in words) == (name != "SIGINT")
    assert not contents(tmp_path / "out")


@keeps("Stopping is clean")
def test_what_was_asked_to_be_ignored_stays_ignored(flows: Path, tmp_path: Path) -> None:
    nohup = "import signal\nsignal.signal(signal.SIGHUP, signal.SIG_IGN)\n"
    ended = done(tmp_path, "value", flows, "--rate", "0.05", "--out", "out", before=nohup + at_step(4, "SIGHUP"))
    assert ended.returncode == 0, said(ended)


@keeps("Stopping is clean")
def test_asked_to_end_it_takes_its_processes_along(tmp_path: Path) -> None:
    """The end of the output says that nobody is left who could write into it."""
    ended = done(tmp_path, "odds", "--draws", "20000", "--workers", "2", before=ASKED_TO_END_ONCE_TWO_WORK)
    assert ended.returncode in {0, 143}, said(ended)  # 0 where so much was done that there was an answer
    assert bool(ended.stdout) == (ended.returncode == 0)


@keeps("A process that dies is said")
@pytest.mark.parametrize("name", ["sweep", "odds", "optimize"])
def test_a_worker_that_is_killed_is_said(name: str, tmp_path: Path) -> None:
    field, factors = written(tmp_path, DRAWN, example_text() + SMALL_GRID)
    asked = {
        "sweep": ("sweep", field, factors, "--out", "out"),
        "odds": ("odds", field, "--draws", "600", "--out", "out"),
        "optimize": ("optimize", field, "--out", "out"),
    }[name]
    before = KILLS_THE_FIRST_WORKER + (FEW_PLANS if name == "sweep" else "")
    ended = done(tmp_path, *asked, "--workers", "2", before=before)
    words = said(ended)
    assert ended.returncode == 2, words
    assert "a process was killed, most likely for want of memory (received 2)" in words
    assert "fewer workers" in words
    left = contents(tmp_path / "out")
    assert not any(Path(file).match(UNFINISHED) for file in left)
    assert {"manifest.json"} <= left.keys() if name == "sweep" else not left


@keeps("A process that dies is said")
def test_a_worker_killed_while_work_is_handed_out_is_no_fault_of_ours() -> None:
    """What the standard library's pool says then was met in these tests; a refusal of the system stays one."""

    class Closing(Executor):
        def __init__(self, error: OSError) -> None:
            self.error = error

        def submit(self, *_given: object, **_named: object) -> Future[int]:
            raise self.error

    for error in (OSError("handle is closed"), BrokenPipeError(errno.EPIPE, "killed before it was told what to do")):
        with pytest.raises(BrokenProcessPool):
            hand_out(Closing(error), int)
    with pytest.raises(BlockingIOError):
        hand_out(Closing(BlockingIOError(errno.EAGAIN, "no more processes")), int)
