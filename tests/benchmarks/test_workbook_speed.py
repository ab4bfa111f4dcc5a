"""How long the accountant's workbook of the example takes beside the comparison it shows."""

import time
from collections.abc import Callable

import pytest

from plans import example
from simulator.comparison import compare
from workbench.workbook import workbook_bytes

pytestmark = pytest.mark.benchmark

OF_A_COMPARISON = 1.5
MOST_S = 2.0


def best_of(times: int, work: Callable[[], object]) -> float:
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return min(taken)


def test_a_workbook_takes_little_beside_its_comparison() -> None:
    comparison = compare(example())
    ours, theirs = best_of(3, lambda: workbook_bytes([comparison])), best_of(2, lambda: compare(example()))
    print(f"\nworkbook of the example: {ours:.2f} s, {ours / theirs:.2f} of its comparison")  # noqa: T201
    assert ours < OF_A_COMPARISON * theirs
    assert ours < MOST_S
