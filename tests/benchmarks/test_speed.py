"""Times held against their baselines: the very functions that `tests/benchmarks/measure.py` runs, figure by figure."""

import tracemalloc
from collections.abc import Callable
from typing import NoReturn

import numpy as np
import pytest

from benchmarks.figures import Figure
from benchmarks.prices import ACCOUNTS, DRAWS, RATE, YEARS, moving
from benchmarks.roster import NAMES, measured
from benchmarks.tables import curve_row, figure_row
from optimize.prices.draws import Draws
from optimize.prices.repricing import Repricing, present_values

pytestmark = pytest.mark.benchmark

MOST_BYTES = 1.5e9


@pytest.mark.parametrize("name", NAMES)
def test_times_keep_what_is_asked_of_them(name: str, absent: Callable[[str], NoReturn]) -> None:
    missed = []
    for each in measured(name, absent):
        row = figure_row(each) if isinstance(each, Figure) else curve_row(each)
        print(f"\n{row}", end="")  # noqa: T201 - the figure is what a benchmark is for
        missed += [] if each.held else [each.name]
    assert not missed


def test_a_million_draws_need_little_memory() -> None:
    """Drawn and repriced block by block: a part of the draws needs as much, but for 8 bytes of each result."""
    plan = Repricing(np.zeros(YEARS), np.ones((YEARS, ACCOUNTS)))
    series = Draws(moving(), YEARS, 1)
    tracemalloc.start()
    present_values(plan, series, DRAWS // 10, RATE)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    peak += 2 * 8 * DRAWS
    print(f"\na million draws, drawn and repriced, take {peak / 1e6:.0f} MB at most")  # noqa: T201
    assert peak < MOST_BYTES
