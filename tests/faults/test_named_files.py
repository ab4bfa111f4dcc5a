"""What a person may name that is no ordinary file, for every command that takes one; and where no output can go."""

import os
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from cut_short import stopped_short
from promises import REFUSAL_S, ask, broken, lay_out
from seeds import SEEDS

pytestmark = pytest.mark.skipif(os.name != "posix", reason="pipes, devices and links as POSIX has them")

BAD = "bad.toml"
OUT = ("--out", "o")
CALLS: dict[str, tuple[str, ...]] = {
    "check": ("check", BAD),
    "run": ("run", BAD, *OUT),
    "compare": ("compare", BAD, *OUT),
    "optimize": ("optimize", BAD, *OUT),
    "odds": ("odds", BAD, *OUT),
    "wait": ("wait", BAD, *OUT),
    "report": ("report", BAD, *OUT),
    "report, outline": ("report", "field.toml", "--field", BAD, *OUT),
    "sweep": ("sweep", BAD, "factors.toml", *OUT),
    "sweep, factors": ("sweep", "field.toml", BAD, *OUT),
    "sensitivity": ("sensitivity", BAD, *OUT),
    "cruise": ("cruise", BAD, "--plot-acres", "0.1", *OUT),
    "mark": ("mark", BAD, "--leave-trees", "100", *OUT),
    "calibrate": ("calibrate", BAD, "read.csv", *OUT),
    "calibrate, readings": ("calibrate", "field.toml", BAD, *OUT),
    "layout": ("layout", BAD, *OUT),
    "layout, outline": ("layout", "--field", BAD, *OUT),
    "layout, heights": ("layout", "--elevation", BAD, *OUT),
    "property": ("property", BAD, *OUT),
    "value": ("value", BAD, "--rate", "0.05", *OUT),
    "stem, prices": ("stem", "--dbh", "9", "--height", "60", "--prices", BAD),
    "page, password": ("page", "--address", "0.0.0.0", "--password-file", BAD, "--no-browser"),  # noqa: S104 - refused
}
"""Every argument and option of a command that names a file to read; the page's own file is read by its worker."""


def _huge(path: Path) -> None:
    with path.open("wb") as stream:
        stream.write(b"format = 1\n")
        stream.truncate(60_000_000)  # a hole, which takes no room on most disks and is read all the same


BADLY: dict[str, Callable[[Path], object]] = {
    "absent": lambda _: None,
    "a folder": lambda path: path.mkdir(),
    "a pipe": os.mkfifo,
    "an endless device": lambda path: path.symlink_to("/dev/zero"),
    "a link to itself": lambda path: path.symlink_to(path.name),
    "a link to nothing": lambda path: path.symlink_to("nowhere"),
    "UTF-16": lambda path: path.write_bytes("format = 1\n".encode("utf-16")),
    "UTF-16 without a mark": lambda path: path.write_bytes("format = 1\n".encode("utf-16-le")),
    "Latin-1": lambda path: path.write_bytes(b'format = 1\ntitle = "caf\xe9"\n'),
    "60 MB": _huge,
    "no bytes at all": lambda path: path.touch(),
    "unreadable": lambda path: path.symlink_to("/proc/self/mem"),
}
LINUX_ONLY = ("an endless device", "unreadable")


@pytest.fixture(scope="module", autouse=True)
def folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Every sound file in one folder, in which the commands work."""
    before = Path.cwd()
    here = tmp_path_factory.mktemp("named")
    os.chdir(here)
    lay_out(here)
    for seed in SEEDS.values():
        (here / seed.name).write_text(seed.text, encoding="utf-8")
    with stopped_short():
        yield here
    os.chdir(before)


def _away(path: Path) -> None:
    if path.is_dir() and not path.is_symlink():
        path.rmdir()
    else:
        path.unlink(missing_ok=True)


@pytest.mark.parametrize("how", BADLY)
def test_what_is_no_ordinary_text_file_is_refused_at_once_by_every_command(how: str) -> None:
    if how in LINUX_ONLY and sys.platform != "linux":
        pytest.skip("needs a Linux device")
    for name, arguments in CALLS.items():
        _away(Path(BAD))
        BADLY[how](Path(BAD))
        answer = ask(arguments)
        assert answer.code == 2, (name, answer.stderr)
        assert not broken(arguments, answer, BAD, None), (name, answer)
        assert not Path("o").exists(), name
    _away(Path(BAD))


def test_a_pipe_is_not_waited_for() -> None:
    # waiting takes no time of the processor, so that each command is held to the clock on the wall
    _away(Path(BAD))
    os.mkfifo(BAD)
    ask(CALLS["report"])  # imports what a first call has to import
    for name, arguments in CALLS.items():
        # whoever opened the pipe is let go after a while, so that a fault ends in a failure and not in silence
        rescue = threading.Timer(20.0, _let_go)
        rescue.start()
        started = time.perf_counter()
        ask(arguments)
        spent = time.perf_counter() - started
        rescue.cancel()
        assert spent < 10.0, name
    _away(Path(BAD))


def _let_go() -> None:
    os.close(os.open(BAD, os.O_WRONLY | os.O_NONBLOCK))


def test_a_name_that_no_file_can_have_is_refused() -> None:
    name = "n" * 300
    for what, arguments in CALLS.items():
        answer = ask([name if part == BAD else part for part in arguments])
        assert answer.code == 2, (what, answer.stderr)
        assert not broken(arguments, answer, "", None), (what, answer)
        assert answer.seconds < REFUSAL_S


@pytest.mark.parametrize("kind", SEEDS)
def test_a_byte_order_mark_the_line_ends_of_windows_and_a_link_change_nothing(kind: str) -> None:
    seed = SEEDS[kind]
    path, arguments = Path(seed.name), seed.commands[0]
    before = ask(arguments)
    path.write_bytes(seed.text.replace("\n", "\r\n").encode("utf-8-sig"))
    windows = ask(arguments)
    path.rename("elsewhere")
    path.symlink_to("elsewhere")
    linked = ask(arguments)
    path.unlink()
    Path("elsewhere").unlink()
    path.write_text(seed.text, encoding="utf-8")
    assert (before.code, before.stderr) == (0, windows.stderr)
    assert before.stdout == windows.stdout == linked.stdout
    assert (windows.code, linked.code) == (0, 0)


WRITING: dict[str, tuple[str, ...]] = {
    "run": ("run", "field.toml"),
    "compare": ("compare", "field.toml"),
    "optimize": ("optimize", "field.toml"),
    "odds": ("odds", "field.toml"),
    "wait": ("wait", "st.toml"),
    "report": ("report", "field.toml"),
    "sweep": ("sweep", "field.toml", "factors.toml"),
    "cruise": ("cruise", "tally.csv", "--plot-acres", "0.1"),
    "mark": ("mark", "stems.csv", "--leave-trees", "100"),
    "calibrate": ("calibrate", "field.toml", "read.csv"),
    "layout": ("layout", "field.toml"),
    "property": ("property", "property.toml"),
    "value": ("value", "flows.csv", "--rate", "0.05"),
}


@pytest.mark.parametrize("how", ["a file", "below a file", "a link to nothing", "where nobody may write"])
def test_output_that_cannot_go_there_is_refused_before_anything_is_computed(how: str, folder: Path) -> None:
    path = folder / "out"
    if how == "where nobody may write":
        path = Path("/proc/self/none") if sys.platform == "linux" else folder / "shut" / "out"
        if sys.platform != "linux":
            path.parent.mkdir(mode=0o500)
    elif how == "a link to nothing":
        path.symlink_to("nowhere at all")
    else:
        path.write_text("kept", encoding="utf-8")
    target = path / "in it" if how == "below a file" else path
    for name, arguments in WRITING.items():
        if name in {"sweep", "property", "calibrate"}:
            continue  # stopped short in this file; tests of these commands have their own
        answer = ask([*arguments, "--out", str(target)])
        assert answer.code == 2, (name, answer)
        assert not broken(arguments, answer, "out" if "none" not in str(path) else "none", None), (name, answer)
    if how in {"a file", "below a file"}:
        assert path.read_text(encoding="utf-8") == "kept"
    if path.parent == folder:
        path.unlink()


def test_output_through_a_link_to_a_folder_is_written_there(folder: Path) -> None:
    (folder / "real").mkdir()
    (folder / "link").symlink_to("real")
    # a result of the same name that is a link is replaced, and what it led to is left alone
    (folder / "mine.json").write_text("mine", encoding="utf-8")
    (folder / "real" / "value.json").symlink_to(folder / "mine.json")
    answer = ask(["value", "flows.csv", "--rate", "0.05", "--out", "link"])
    assert answer.code == 0, answer.stderr
    assert not (folder / "real" / "value.json").is_symlink()
    assert (folder / "mine.json").read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize("option", [("init", "--out"), ("layout", "--write-plan")], ids=["init", "layout"])
def test_one_file_is_written_to_no_folder_and_over_no_other_file(option: tuple[str, str], folder: Path) -> None:
    command, name = option
    (folder / "there.toml").write_text("kept", encoding="utf-8")
    for target in ("there.toml", ".", "no such folder/x.toml", "there.toml/x.toml", "n" * 300):
        answer = ask([command, name, target])
        assert answer.code == 2, (target, answer)
        assert not broken((command,), answer, "", None), (target, answer)
    assert (folder / "there.toml").read_text(encoding="utf-8") == "kept"
