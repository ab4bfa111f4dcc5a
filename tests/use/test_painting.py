"""Charts drawn by a second process are those drawn here, and a report does without it."""

import os
import pickle
import signal
import time
from functools import cache
from multiprocessing import active_children
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

import workbench.painting
from simulator.comparison import Comparison, compare
from simulator.scenario.file import load_text
from workbench.charts.files import image
from workbench.commands.report import report
from workbench.examples import example_text
from workbench.painting import painter_beside
from workbench.report.gather import CHARTS


@cache
def comparison() -> Comparison:
    return compare(load_text(example_text(), "example"), precision="fast")


def test_a_comparison_travels_to_another_process_with_what_the_land_could_be_sold_for() -> None:
    there = pickle.loads(pickle.dumps(comparison()))  # noqa: S301 - our own bytes
    assert there.ranking == comparison().ranking
    for name, outcome in comparison().systems.items():
        assert np.array_equal(there.systems[name].amount, outcome.amount)
        ours, theirs = outcome.exit_value.quantity, there.systems[name].exit_value.quantity
        assert np.array_equal(ours, theirs, equal_nan=True)


def test_whoever_draws_a_chart_it_is_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workbench.painting, "cores", lambda: 2)
    before = set(active_children())
    with painter_beside() as painter:
        svg = painter.begin(CHARTS, comparison())
        assert set(active_children()) - before, "nobody draws beside"
        for chart in CHARTS:
            assert svg(chart) == image(chart(comparison()), "svg")
    ends = time.monotonic() + 60.0
    while set(active_children()) - before and time.monotonic() < ends:
        time.sleep(0.05)
    assert not set(active_children()) - before, "it stays when nobody needs it"


def test_a_chart_is_drawn_here_when_the_other_process_was_killed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workbench.painting, "cores", lambda: 2)
    before = set(active_children())
    with painter_beside() as painter:
        svg = painter.begin(CHARTS[:1], comparison())
        for process in set(active_children()) - before:
            assert process.pid is not None
            os.kill(process.pid, signal.SIGKILL)
        assert svg(CHARTS[0]) == image(CHARTS[0](comparison()), "svg")
        again = painter.begin(CHARTS[1:2], comparison())
        assert again(CHARTS[1]) == image(CHARTS[1](comparison()), "svg")


def test_a_report_is_the_same_on_one_processor(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    written = []
    for cores in (1, 2):
        monkeypatch.setattr(workbench.painting, "cores", lambda cores=cores: cores)
        folder = tmp_path / str(cores)
        done = CliRunner().invoke(report, ["--no-pdf", "--out", str(folder)])
        assert done.exit_code == 0, done.output
        written.append((folder / "report.html").read_bytes())
    assert written[0] == written[1]
