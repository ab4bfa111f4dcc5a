"""Odd machines, terminals, clocks and folders change no byte; promises of docs/reliability.md."""

import locale
import sys
from pathlib import Path

import pytest

from hardship import FLOWS, contents, done, said
from reliability import keeps
from workbench.examples import example_text

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="folders and terminals are others there")
OUTLINE = Path(__file__).parents[2] / "examples" / "north-field.geojson"
CLOCK_STEPS_BACK = """
import time
since = [4e9]
def earlier():
    since[0] -= 3600.0
    return since[0]
time.time = earlier
"""
DECIMAL_COMMA = """
import locale
for name in ("de_DE.UTF-8", "fr_FR.UTF-8", "de_DE", "fr_FR"):
    try:
        locale.setlocale(locale.LC_ALL, name)
        break
    except locale.Error:
        pass
"""
ONLY_BELOW = """
import errno, os, sys
allowed = {allowed!r}
def guard(event, args):
    if event == "open":
        changed = args[:1] if args[2] & (os.O_WRONLY | os.O_RDWR | os.O_CREAT) else ()
    else:
        changed = args[: {{"os.rename": 2, "os.link": 2, "os.mkdir": 1}}.get(event, 0)]
    for path in changed:
        if isinstance(path, str | bytes | os.PathLike):
            path = os.path.abspath(os.fsdecode(path))
            if path != os.devnull and not any(path.startswith(folder) for folder in allowed):
                raise OSError(errno.EROFS, "Read-only file system", path)
    if event == "os.rename" and os.path.dirname(args[0]) != os.path.dirname(args[1]):
        raise OSError(errno.EXDEV, "Invalid cross-device link")
sys.dont_write_bytecode = True
sys.addaudithook(guard)
"""
"""As on a machine where all else is read-only and every folder is a disk of its own; it binds root too."""
DELETED_FOLDER = """
import os, tempfile
gone = tempfile.mkdtemp()
os.chdir(gone)
os.rmdir(gone)
"""
OWN_DRAWING_SETTINGS = "font.size: 30\naxes.grid: True\nlines.linewidth: 9\nsavefig.dpi: 30\nfont.family: serif\n"


@pytest.fixture(scope="module")
def usual(tmp_path_factory: pytest.TempPathFactory) -> tuple[dict[str, bytes], bytes]:
    """Files and output of a command that draws and counts, where nothing is odd."""
    folder = tmp_path_factory.mktemp("usual")
    ended = done(folder, "layout", "--field", OUTLINE, "--out", "out")
    assert ended.returncode == 0, said(ended)
    return contents(folder / "out"), ended.stdout


@keeps("The same bytes anywhere")
@keeps("Nothing is written elsewhere")
@keeps("No display, no home folder, no list of fonts")
@pytest.mark.parametrize("zone", ["Pacific/Kiritimati", "America/Los_Angeles"])
def test_everything_odd_at_once_changes_no_byte(
    usual: tuple[dict[str, bytes], bytes], tmp_path: Path, zone: str
) -> None:
    """All at once, because each alone takes as long; take lines out to find which one it was."""
    scratch, settings = tmp_path / "scratch", tmp_path / "settings"
    scratch.mkdir()
    settings.mkdir()
    (settings / "matplotlibrc").write_text(OWN_DRAWING_SETTINGS, encoding="utf-8")
    odd = {
        "TZ": zone,
        "LC_ALL": "de_DE.UTF-8",
        "COLUMNS": "17",
        "LINES": "0",
        "TERM": "dumb",
        "DISPLAY": ":4711",
        "WAYLAND_DISPLAY": None,
        "MPLBACKEND": "TkAgg" if zone.startswith("Pacific") else "none-such",
        "MATPLOTLIBRC": str(settings),
        "MPLCONFIGDIR": None,
        "HOME": "/nowhere/at/all" if zone.startswith("Pacific") else None,
        "XDG_CACHE_HOME": None,
        "XDG_CONFIG_HOME": None,
        "TMPDIR": str(scratch),
        "PYTHONHASHSEED": "7",
    }
    before = CLOCK_STEPS_BACK + DECIMAL_COMMA + DELETED_FOLDER
    before += ONLY_BELOW.format(allowed=[str(tmp_path / "out"), str(scratch)])
    ended = done(tmp_path, "layout", "--field", OUTLINE, "--out", tmp_path / "out", before=before, environment=odd)
    assert ended.returncode == 0, said(ended)
    assert contents(tmp_path / "out") == usual[0]
    assert ended.stdout == usual[1]


@keeps("The same bytes anywhere")
def test_a_decimal_comma_stays_out_of_numbers(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where no such locale is installed its rules are put in place of this one's."""
    import numpy as np  # noqa: PLC0415
    import pandas as pd  # noqa: PLC0415

    from workbench.files import csv_text  # noqa: PLC0415
    from workbench.output import json_text  # noqa: PLC0415

    monkeypatch.setattr(locale, "localeconv", lambda: {"decimal_point": ",", "thousands_sep": ".", "grouping": [3, 3]})
    assert csv_text(pd.DataFrame({"a": [1234.5]})) == "a\n1234.5\n"
    assert "1234.5" in json_text({"a": np.float64(1234.5)})


@keeps("Nothing is written elsewhere")
def test_a_current_folder_that_was_deleted_or_is_read_only_is_a_message_where_it_is_written_to(tmp_path: Path) -> None:
    flows = tmp_path / "flows.csv"
    flows.write_text(FLOWS, encoding="utf-8")
    asked = ("value", flows, "--rate", "0.05", "--out", "out")
    for before in (DELETED_FOLDER, ONLY_BELOW.format(allowed=["/nowhere"])):
        ended = done(tmp_path, *asked, before=before)
        assert ended.returncode == 2, said(ended)
        assert "--out: out cannot be written: " in said(ended)
        assert not (tmp_path / "out").exists()


@keeps("Any letters")
@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "utf-8"])
def test_letters_that_the_terminal_lacks_become_question_marks(encoding: str, tmp_path: Path) -> None:
    field = tmp_path / "Fläche.toml"
    text = example_text()
    title = next(line for line in text.splitlines() if line.startswith("title"))
    field.write_text(text.replace(title, 'title = "Nordfläche 林"'), encoding="utf-8")
    bare = {"PYTHONIOENCODING": encoding, "PYTHONUTF8": "0", "LC_ALL": "C", "PYTHONCOERCECLOCALE": "0"}
    ended = done(tmp_path, "check", field, environment=bare)
    assert ended.returncode == 0, said(ended)
    shown = ended.stdout.decode(encoding)
    assert "Nordfl" in shown
    assert ("林" in shown) == (encoding == "utf-8")
    absent = done(tmp_path, "check", tmp_path / "Wäldchen.toml", environment=bare)
    assert absent.returncode == 2
    assert "does not exist" in said(absent)


@keeps("Any letters")
@pytest.mark.parametrize("columns", ["1", "0", "-5", "wide"])
def test_any_width_is_a_width(columns: str, tmp_path: Path) -> None:
    ended = done(tmp_path, "stem", "--help", environment={"COLUMNS": columns})
    assert ended.returncode == 0, said(ended)
    assert b"dbh" in ended.stdout
