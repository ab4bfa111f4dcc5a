"""Disks that fill, readers that leave, limits of files and memory, searches that run late; see docs/reliability.md."""

import errno
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from hardship import FLOWS, command, contents, done, said, surroundings
from made_tracts import RATE, large_tracts
from optimize.property.couplings import Budget, Couplings
from optimize.property.plan import best_plan
from paging import served
from reliability import keeps
from sweeping import ALLEY, factors_text, written
from workbench.stopping import refusal

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="limits are others there")
SMALL_FILES = "import resource\nresource.setrlimit(resource.RLIMIT_FSIZE, (100, 100))\n"
FEW_FILES = "import resource\nresource.setrlimit(resource.RLIMIT_NOFILE, ({most}, {most}))\n"
LITTLE_MEMORY = """
import resource
import optimize.sweeps.run
from pathlib import Path
has = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
resource.setrlimit(resource.RLIMIT_AS, (has + 30_000_000, has + 30_000_000))
"""
SHELL = shutil.which("sh") or "sh"
STEM = ("stem", "--species", "loblolly", "--dbh", "14", "--height", "75")


@pytest.fixture
def full_disk(tmp_path: Path) -> Iterator[tuple[Path, str]]:
    """A folder in which files find no room, and lines to run before: a full disk, or a limit where none can be had."""
    folder = tmp_path / "disk"
    folder.mkdir()
    mounted = False
    if sys.platform == "linux":
        mount = ["mount", "-t", "tmpfs", "-o", "size=16k", "none", str(folder)]
        try:
            mounted = subprocess.run(mount, capture_output=True, check=False).returncode == 0
        except FileNotFoundError:
            mounted = False
    try:
        yield folder, "" if mounted else SMALL_FILES
    finally:
        if mounted:
            subprocess.run(["umount", str(folder)], capture_output=True, check=True)  # noqa: S607


@keeps("A full disk")
def test_no_room_is_a_message_and_the_old_file_stays(full_disk: tuple[Path, str], tmp_path: Path) -> None:
    disk, before = full_disk
    (tmp_path / "flows.csv").write_text(FLOWS, encoding="utf-8")
    (disk / "out").mkdir()
    (disk / "out" / "value.json").write_bytes(b"old")
    if not before:
        room = disk / "much"
        with pytest.raises(OSError, match="No space"):
            room.write_bytes(b"x" * 65_536)
    ended = done(tmp_path, "value", "flows.csv", "--rate", "0.05", "--out", disk / "out", before=before)
    assert ended.returncode == 2, said(ended)
    assert "cannot be written: " in said(ended)
    assert "Make room and give the same command again." in said(ended)
    assert contents(disk / "out") == {"value.json": b"old"}


@keeps("A full disk")
@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_printed_output_that_finds_no_room_is_a_message(tmp_path: Path) -> None:
    with Path("/dev/full").open("wb") as full:
        ended = subprocess.run(
            command(*STEM), cwd=tmp_path, env=surroundings(), stdout=full, stderr=subprocess.PIPE, check=False
        )
    assert ended.returncode == 2
    assert b"cannot write: the disk is full. Make room" in ended.stderr
    assert b"Traceback" not in ended.stderr


@keeps("Readers that leave")
def test_a_reader_that_leaves_early_hears_and_says_nothing(tmp_path: Path) -> None:
    with subprocess.Popen(
        command(*STEM, "--json"), cwd=tmp_path, env=surroundings(), stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as running:
        assert running.stdout is not None
        assert running.stderr is not None
        running.stdout.close()
        assert running.stderr.read() == b""
    assert running.returncode == 141


@keeps("Readers that leave")
@pytest.mark.parametrize("closing", ["import os; os.dup2(os.open('/dev/full', os.O_WRONLY), 2)", "", "stdout"])
def test_messages_that_nobody_can_read_stop_nothing(closing: str, tmp_path: Path) -> None:
    """Standard error full, standard error closed before the start, standard output closed before the start."""
    (tmp_path / "flows.csv").write_text(FLOWS, encoding="utf-8")
    if "full" in closing and not Path("/dev/full").exists():
        closing = ""
    asked = command(
        "value", "flows.csv", "--rate", "0.05", "--out", "out", "--json", before=closing.partition("std")[0]
    )
    shut = {"stdout": ">&-", "": "2>&-"}.get(closing, "")
    ended = subprocess.run(
        [SHELL, "-c", f'"$@" {shut}', "sh", *asked], cwd=tmp_path, env=surroundings(), capture_output=True, check=False
    )
    assert ended.returncode == 0, ended.stderr
    assert (tmp_path / "out" / "value.json").read_bytes().startswith(b"{")
    assert ended.stdout == (b"" if closing == "stdout" else (tmp_path / "out" / "value.json").read_bytes())


@keeps("Readers that leave")
def test_a_message_never_goes_where_the_results_go(tmp_path: Path) -> None:
    ended = subprocess.run(
        [SHELL, "-c", '"$@" 2>&-', "sh", *command("value", "absent.csv", "--rate", "0.05", "--json")],
        cwd=tmp_path,
        env=surroundings(),
        capture_output=True,
        check=False,
    )
    assert (ended.returncode, ended.stdout) == (2, b"")


@keeps("Few files, little memory")
def test_few_open_files_are_enough_or_a_message(tmp_path: Path) -> None:
    assert done(tmp_path, "run", "--out", "out", before=FEW_FILES.format(most=64)).returncode == 0
    ended = done(tmp_path, *STEM, before=f"import workbench.main\n{FEW_FILES.format(most=3)}")
    assert ended.returncode == 2, said(ended)
    assert "too many files are open" in said(ended)


@keeps("Few files, little memory")
def test_the_page_opens_with_few_open_files() -> None:
    """Other commands are tried in test_every_command.py; this one has a process beside it, which has as few."""
    with served(before=FEW_FILES.format(most=64)) as page:
        assert page.plan["land"]


@keeps("Few files, little memory")
@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="needs to know how much memory it has")
def test_a_sweep_too_large_for_the_memory_is_a_message(tmp_path: Path) -> None:
    drawn = factors_text(ALLEY, design="latin hypercube", more="samples = 5_000_000\nseed = 4\n")
    field, factors = written(tmp_path, drawn)
    ended = done(tmp_path, "sweep", field, factors, "--out", "out", "--workers", "1", before=LITTLE_MEMORY)
    assert ended.returncode == 2, said(ended)
    assert "not enough memory" in said(ended)


@keeps("Few files, little memory")
@pytest.mark.parametrize(
    ("error", "words"),
    [
        (MemoryError(), "not enough memory"),
        (OSError(errno.ENOMEM, "x"), "not enough memory"),
        (ImportError("lib.so: failed to map segment from shared object"), "not enough memory"),
        (OSError(errno.EMFILE, "x"), "ulimit -n"),
        (BlockingIOError(errno.EAGAIN, "x"), "fewer --workers"),
        (RuntimeError("can't start new thread"), "fewer --workers"),
        (FileNotFoundError(errno.ENOENT, "No usable temporary directory found in ['.']"), "Set TMPDIR"),
        (OSError("Matplotlib requires ... a temporary directory could not be created"), "Set TMPDIR"),
    ],
)
def test_what_the_machine_refuses_is_said_and_what_is_our_fault_is_not_blamed_on_it(
    error: Exception, words: str
) -> None:
    assert words in (refusal(error) or "")
    assert refusal(type(error)("something else")) is None or isinstance(error, MemoryError)


@keeps("A solver that is late or finds nothing")
def test_a_search_without_time_ends_with_what_it_has() -> None:
    """Far too little time for the problem, which with minutes is planned to a small gap elsewhere in these tests."""
    made = large_tracts(8, 60)
    acres = sum(tract.acres for tract in made)
    couplings = Couplings(budget=Budget(start=30 * acres, added_per_year=2 * acres, credit=10 * acres))
    began = time.monotonic()
    plan = best_plan(made, couplings, groups=[tract.name for tract in made], rate=RATE, search_for=(0.0, 0.0, 1))
    assert plan.ending != "proven"
    assert time.monotonic() - began < 30.0
    assert not plan.tracts or plan.bound >= plan.value
