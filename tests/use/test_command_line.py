"""What every command shares: help, version, messages, exit codes, plain output, whole files."""

import importlib
import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import click
import numpy as np
import pytest
from click.testing import CliRunner, Result

from optimize import whole_files
from simulator.errors import InputError, MissingExtraError, Problem
from workbench import output

Halfshade = Callable[..., "subprocess.CompletedProcess[str]"]
main = importlib.import_module("workbench.main")  # the module, whose command is called main too
HEAVY = ("numpy", "scipy", "pandas", "matplotlib", "pydantic", "rich", "tomlkit")


def test_help_lists_every_command(halfshade: Halfshade) -> None:
    done = halfshade("--help")
    assert done.returncode == 0
    assert done.stderr == ""
    for name in main.COMMANDS:
        assert f"\n  {name} " in done.stdout


@pytest.mark.parametrize("arguments", [("--help",), *((name, "--help") for name in main.COMMANDS)])
def test_help_imports_nothing_heavy(halfshade: Halfshade, arguments: tuple[str, ...]) -> None:
    done = halfshade(*arguments, environment={"PYTHONPROFILEIMPORTTIME": "1"})
    assert done.returncode == 0
    imported = {line.rpartition("|")[2].strip().partition(".")[0] for line in done.stderr.splitlines()}
    assert "click" in imported
    assert imported.isdisjoint(HEAVY)


def test_no_argument_shows_the_help(halfshade: Halfshade) -> None:
    assert halfshade().stdout == halfshade("--help").stdout


def test_version_is_one_line(halfshade: Halfshade) -> None:
    done = halfshade("--version")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("halfshade")
    assert done.stdout.count("\n") == 1


@pytest.mark.parametrize(
    "arguments", [("vlaue",), ("--colour",), ("value",), ("value", "a.csv", "b.csv", "--rate", "1")]
)
def test_wrong_use_ends_in_two_with_messages_on_standard_error(
    halfshade: Halfshade, arguments: tuple[str, ...]
) -> None:
    done = halfshade(*arguments)
    assert (done.returncode, done.stdout) == (2, "")
    assert all(line.startswith("halfshade: ") for line in done.stderr.splitlines())
    assert "--help" in done.stderr


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("odds", "--draws", "1"), "--draws: must be a whole number from 2 to 1,000,000 (received 1)."),
        (("page", "--port", "abc"), "--port: must be a whole number from 0 to 65,535 (received abc)."),
        (("optimize", "--least-outlay", "-5"), "--least-outlay: must be a number from 1 to 100,000 (received -5.0)."),
        (("stem", "--dbh", "thick", "--height", "75"), "--dbh: must be a number (received thick)."),
        (("stem", "--dbh", "14"), "Missing option '--height'."),
    ],
)
def test_numbers_of_options_are_refused_without_signs_of_inequality(
    halfshade: Halfshade, arguments: tuple[str, ...], words: str
) -> None:
    done = halfshade(*arguments)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.splitlines()[0] == f"halfshade: {words}"


def run_command_that(raises: BaseException, monkeypatch: pytest.MonkeyPatch) -> Result:
    @click.command()
    def fail() -> None:
        raise raises

    monkeypatch.setattr(main, "fail", fail, raising=False)
    monkeypatch.setitem(main.COMMANDS, "fail", main.LazyCommand("workbench.main:fail", "Fail."))
    return CliRunner().invoke(main.main, ["fail"])


def test_every_problem_has_its_own_line(monkeypatch: pytest.MonkeyPatch) -> None:
    problems = [
        Problem("year", "must be whole", '"1.5"', "Write 1.", "flows.csv", 2),
        Problem("amount", "must be a number", '"\x1b[2Jx\ny"', "Write 5.", "flows.csv", 3),
    ]
    done = run_command_that(InputError(problems), monkeypatch)
    assert (done.exit_code, done.stdout) == (2, "")
    assert done.stderr.splitlines() == [
        'halfshade: flows.csv:2: year: must be whole (received "1.5"). Write 1.',
        'halfshade: flows.csv:3: amount: must be a number (received "\\x1b[2Jx y"). Write 5.',
    ]


def test_very_many_problems_are_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    done = run_command_that(InputError([Problem("year", f"wrong {each}") for each in range(500)]), monkeypatch)
    assert len(done.stderr.splitlines()) == main.MOST_PROBLEMS_SHOWN + 1
    assert "and 450 more" in done.stderr


def test_a_missing_extra_names_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    done = run_command_that(MissingExtraError("install halfshade[pdf]"), monkeypatch)
    assert (done.exit_code, done.stderr) == (2, "halfshade: install halfshade[pdf]\n")


def test_a_fault_of_ours_is_one_line_and_a_traceback_only_on_request(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(main.TRACEBACK_VARIABLE, raising=False)
    done = run_command_that(ZeroDivisionError("division\nby zero"), monkeypatch)
    assert (done.exit_code, done.stdout) == (1, "")
    assert done.stderr.count("\n") == 1
    assert "fault of ours" in done.stderr
    assert main.TRACEBACK_VARIABLE in done.stderr
    monkeypatch.setenv(main.TRACEBACK_VARIABLE, "1")
    assert "Traceback" in run_command_that(ZeroDivisionError("x"), monkeypatch).stderr


def test_stopping_it_is_quiet(monkeypatch: pytest.MonkeyPatch) -> None:
    done = run_command_that(KeyboardInterrupt(), monkeypatch)
    assert (done.exit_code, done.output.strip()) == (130, "")


def test_a_command_that_cannot_be_imported_leaves_help_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(main.COMMANDS, "gone", main.LazyCommand("workbench.commands.gone:gone", "Is not there."))
    assert "Is not there." in CliRunner().invoke(main.main, ["--help"]).stdout
    assert CliRunner().invoke(main.main, ["gone"]).exit_code == 1


def test_a_reader_that_goes_away_is_met_quietly() -> None:
    reading, writing = os.pipe()
    os.close(reading)
    with os.fdopen(writing, "w") as closed_pipe:
        done = subprocess.run(
            [sys.executable, "-m", "workbench", "--help"],
            cwd=Path(output.__file__).parents[1],
            stdout=closed_pipe,
            stderr=subprocess.PIPE,
            check=False,
        )
    assert (done.returncode, done.stderr) == (141, b"")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_a_full_disk_is_not_called_a_fault_of_ours() -> None:
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "workbench", "--help"],
            cwd=Path(output.__file__).parents[1],
            stdout=full,
            stderr=subprocess.PIPE,
            check=False,
        )
    assert done.returncode == 2
    assert done.stderr.startswith(b"halfshade: cannot write")


def test_a_table_that_is_not_on_a_terminal_is_plain(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("FORCE_COLOR", "1")
    output.print_table("[b]Title[/b]", ("Measure", "$/ac"), [("[red]npv[/red]", "1"), ("irr :seedling:", "20")])
    text = capsys.readouterr().out
    assert "\x1b" not in text
    assert all(literal in text for literal in ("[b]Title[/b]", "[red]npv[/red]", ":seedling:"))


def test_json_has_no_nan_and_takes_arrays(capsys: pytest.CaptureFixture[str]) -> None:
    document = {"b": np.float64("nan"), "a": np.array([1.0, np.inf]), "é": (np.int64(3), True, None, -0.0)}
    output.print_json(document)
    text = capsys.readouterr().out
    assert json.loads(text) == {"b": None, "a": [1.0, None], "é": [3, True, None, 0.0]}
    assert text.isascii()
    assert "-0" not in text
    assert list(json.loads(text)) == ["b", "a", "é"]


def test_a_file_is_replaced_whole_and_its_neighbours_stay(tmp_path: Path) -> None:
    folder = output.prepare_folder(tmp_path / "deep" / "results")
    (folder / "mine.txt").write_text("keep", encoding="utf-8")
    whole_files.write_atomically(folder / "value.json", "old é\n")
    whole_files.write_atomically(folder / "value.json", b"new")
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == {"mine.txt": b"keep", "value.json": b"new"}
    assert output.prepare_folder(folder) == folder


def test_a_failed_write_leaves_the_old_file_and_no_part(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_space(_descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    target = tmp_path / "value.json"
    target.write_text("old", encoding="utf-8")
    monkeypatch.setattr(whole_files.os, "fsync", no_space)
    with pytest.raises(InputError, match="the disk is full"):
        whole_files.write_atomically(target, "new")
    assert {path.name: path.read_text(encoding="utf-8") for path in tmp_path.iterdir()} == {"value.json": "old"}


def test_an_output_folder_that_is_a_file_or_below_one_is_the_persons_to_mend(tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.touch()
    for wrong in (file, file / "below"):
        with pytest.raises(InputError, match="is a file, not a folder"):
            output.prepare_folder(wrong)
    with pytest.raises(InputError, match="cannot be written"):
        whole_files.write_atomically(tmp_path, "a folder is in the way")
