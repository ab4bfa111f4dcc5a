"""The measuring command at work, its history, and docs/performance.md as its last line says."""

import os
import platform
import subprocess
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path

import pytest
from pydantic import ValidationError

import workbench
from benchmarks.figures import Curve, Expected, Figure, Said, curve, exponent_of, figure, projected
from benchmarks.picture import PICTURE, cost_curves
from benchmarks.record import HISTORY, ROOT, Record, append, history, record_of
from benchmarks.stopwatch import paired, rounds, spent
from benchmarks.tables import PAGE, page_with, ratio_words, read_page, tables, time_words

SQUARE = Expected("square", "a made-up cost", "things", 2.0, 0.1, "it was made so")
SAID = Said("thing", "a thing", "another", 2.0, 3.0)


def _command(*arguments: str) -> "subprocess.CompletedProcess[str]":
    variables = {**os.environ, "PYTHONPATH": str(Path(workbench.__file__).parents[1])}
    script = Path(__file__).with_name("measure.py")
    command = [sys.executable, "-P", str(script), *arguments]
    return subprocess.run(command, env=variables, capture_output=True, encoding="utf-8", timeout=300, check=False)


def _written() -> list[bytes | None]:
    return [path.read_bytes() if path.exists() else None for path in (HISTORY, PAGE, PICTURE)]


def test_the_page_shows_the_last_record() -> None:
    """Run tests/benchmarks/measure.py, or with --redraw after a change of words."""
    records = history()
    assert read_page() == page_with(records[-1] if records else None, read_page())
    assert bool(records) == PICTURE.exists()


def test_no_record_says_whose_machine_it_was() -> None:
    text = record_of([_invented()], []).model_dump_json() + "".join(each.model_dump_json() for each in history())
    assert platform.node() not in text
    assert str(ROOT) not in text
    assert str(Path.home()) not in text


def test_a_record_names_each_thing_once() -> None:
    for record in history():
        names = [each.name for each in (*record.figures, *record.curves)]
        assert len(names) == len(set(names))


def test_a_quick_look_runs_everything_and_writes_nothing() -> None:
    """All but odds, which have no small size, and the page, which opens a browser."""
    before = _written()
    done = _command("--quick")
    assert done.returncode == 0, done.stderr
    runs = {line.removesuffix(" runs") for line in done.stdout.splitlines()}
    assert runs >= {"help", "compare-warm", "workbook", "batch", "light-exact", "light-tabulated", "light-batch"}
    assert runs >= {"optimize", "property-20", "reprice", "wait", "sweep", "sweep-prices"}
    assert runs >= {"plans", "pathways", "repricings", "waiting", "price-grid"}
    assert _written() == before


def test_a_name_that_nothing_bears_is_refused_with_those_there_are() -> None:
    done = _command("--only", "ploughing")
    assert done.returncode == 2
    assert "ploughing is none of sweep, sweep-prices" in done.stderr
    assert done.stdout == ""


def _invented(seconds: float = 1.5) -> Figure:
    return figure(SAID, paired([seconds], [1.0]), 1)


def test_a_record_reads_as_it_was_written(tmp_path: Path) -> None:
    made = [_invented(), curve(SQUARE, (1, 10, 100), (1.0, 100.0, 10_000.0))]
    record = record_of(made, ["page, because there is no browser"])
    append(record, tmp_path / "history.jsonl")
    append(record, tmp_path / "history.jsonl")
    assert history(tmp_path / "history.jsonl") == [record, record]
    assert record.missed == []
    assert "Not measured: page, because there is no browser." in tables(record)


def test_a_record_holds_nothing_but_what_is_known_of_it() -> None:
    text = record_of([_invented()], []).model_dump_json()
    for wrong in (
        text.replace('"turns":1', '"turns":0'),
        text.replace('"cores"', '"host"'),
        text.replace("1.5", "NaN"),
    ):
        with pytest.raises(ValidationError):
            Record.model_validate_json(wrong)


def test_what_is_missed_is_said() -> None:
    slow, late = _invented(2.5), figure(Said("thing", "a thing", "another", None, 1.0), paired([1.5], [1.0]), 1)
    for each in (slow, late, _invented().model_copy(update={"missed": "more than 2 GB"})):
        assert not each.held
        assert "**missed**" in tables(record_of([each], []))
    off = curve(SQUARE, (1, 10, 100), (1.0, 10.0, 100.0))
    assert isinstance(off, Curve)
    assert record_of([off], []).missed == ["square"]


def test_the_exponent_is_that_of_the_law() -> None:
    """A power law has one exponent; doubling every time leaves it."""
    sizes = (3, 7, 20, 64)
    for power in (0.0, 0.5, 1.0, 2.0):
        assert exponent_of(sizes, tuple(3.0 * size**power for size in sizes)) == pytest.approx(power, abs=1e-12)


def test_a_pair_is_judged_turn_by_turn() -> None:
    """A turn in which the machine is half as fast weighs on both alike."""
    pair = paired([2.0, 4.0, 2.0], [1.0, 2.0, 1.0])
    assert pair.ratio == (2.0, 2.0, 2.0)
    assert pair.ours == (2.0, 2.0, 4.0)
    whole = projected(pair, 10.0, 5.0)
    assert (whole.ours.median, whole.baseline.median, whole.ratio.median) == (20.0, 5.0, 4.0)


def test_turns_take_each_thing_once_before_any_twice() -> None:
    done: list[str] = []
    taken = rounds({"a": lambda: done.append("a"), "b": lambda: done.append("b")}, 2)
    assert done == ["a", "b", "a", "b"]
    assert [len(each) for each in taken.values()] == [2, 2]


def test_sleep_is_time_by_the_clock_and_no_work() -> None:
    slept = spent(lambda: time.sleep(0.2))
    assert slept.clock_s >= 0.2
    assert slept.work_s < 0.2


def test_work_of_hired_processes_counts() -> None:
    """Adding thirty million numbers takes another process a second; this one only waits."""

    def hired() -> None:
        with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
            pool.submit(sum, range(30_000_000)).result()

    assert spent(hired, processes=True).work_s > 0.2


@pytest.mark.parametrize(
    ("ratio", "words"), [(1.0 / 350.0, "1/350"), (0.5, "0.50"), (1.064, "1.06"), (5.9, "5.90"), (85.7, "86")]
)
def test_ratios_are_told_as_people_tell_them(ratio: float, words: str) -> None:
    assert ratio_words(ratio) == words


@pytest.mark.parametrize(
    ("seconds", "words"), [(0.00034, "340 µs"), (0.0314, "31 ms"), (2.44, "2.4 s"), (43.6, "44 s"), (4335.6, "4,340 s")]
)
def test_times_are_told_in_the_unit_that_suits(seconds: float, words: str) -> None:
    assert time_words(seconds) == words


def test_a_page_without_marks_is_refused() -> None:
    with pytest.raises(ValueError, match="lacks the marks"):
        page_with(None, "# Speed\n")


def test_equal_curves_are_equal_pictures() -> None:
    curves = [curve(SQUARE, (1, 10, 100), (1e-3, 0.1, 10.0)), curve(SQUARE, (2, 3, 4), (1e-5, 1.1e-5, 1.2e-5))]
    assert cost_curves(curves) == cost_curves(curves)
