"""How long a comparison takes, and what a batch saves; each a ratio or a limit of the design, printed."""

import os
import subprocess
import sys
import time
from collections.abc import Callable
from itertools import product
from pathlib import Path

import pytest

import workbench
from plans import changed, example, laid_out, scheduled
from simulator.comparison import compare
from simulator.result import run, run_batch
from simulator.scenario.model import Scenario
from simulator.scenario.trees import Thinning

pytestmark = pytest.mark.benchmark

COMPARE_AFTER_IMPORTS_S = 1.5
HELP_S = 0.4
CHEAPER_IN_A_BATCH = 20.0
ALONE = 8
"""Scenarios run one by one to know what one of them costs."""


def best_of(times: int, work: Callable[[], object]) -> float:
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return min(taken)


def command(*arguments: str) -> None:
    variables = {**os.environ, "PYTHONPATH": str(Path(workbench.__file__).parents[1])}
    done = subprocess.run(
        [sys.executable, "-m", "workbench", *arguments], env=variables, capture_output=True, timeout=120, check=False
    )
    assert done.returncode == 0, done.stderr


def test_a_comparison_takes_less_than_a_second_and_a_half_after_imports() -> None:
    imports = "import simulator.comparison, workbench.documents, workbench.reports, rich.table, rich.console"
    variables = {**os.environ, "PYTHONPATH": str(Path(workbench.__file__).parents[1])}
    importing = best_of(
        3, lambda: subprocess.run([sys.executable, "-c", imports], env=variables, check=True, timeout=60)
    )
    whole = best_of(3, lambda: command("compare"))
    warm = best_of(3, lambda: compare(example()))
    print(f"\ncompare: {whole:.2f} s, of which imports {importing:.2f} s; in a warm process {warm:.2f} s")  # noqa: T201
    assert whole - importing < COMPARE_AFTER_IMPORTS_S


def test_help_answers_at_once() -> None:
    taken = best_of(5, lambda: command("--help"))
    print(f"\n--help: {taken:.2f} s")  # noqa: T201
    assert taken < HELP_S


def thousand() -> list[Scenario]:
    """Scenarios that differ in what grows: site index, spacing, years of the thinnings."""
    plans = []
    for site_index, in_row, alley, first, later in product(
        (56.0, 60.0, 64.0, 68.0, 72.0, 76.0, 80.0, 84.0, 70.0, 66.0), (6.0, 8.0, 10.0, 12.0, 14.0),
        (30.0, 36.0, 42.0, 48.0, 54.0), (14, 16), (22, 25),
    ):  # fmt: skip
        plan = laid_out(example(), rows_in_set=2, row_gap_ft=8.0, in_row_ft=in_row, alley_ft=alley)
        cuts = (
            Thinning(year=first, residual_basal_area_ft2_ac=50.0),
            Thinning(year=later, residual_basal_area_ft2_ac=55.0),
        )
        plans.append(changed(scheduled(plan, 35, *cuts), "land", site_index_ft=site_index))
    return plans


def test_a_thousand_stands_in_one_batch_cost_a_twentieth_of_one_by_one() -> None:
    plans = thousand()
    assert len(plans) == 1000
    run(plans[0])  # tables and skies are read once, for both
    run_batch(plans[:2])
    start = time.perf_counter()
    for plan in plans[:: len(plans) // ALONE]:
        run(plan)
    alone = (time.perf_counter() - start) / len(plans[:: len(plans) // ALONE])
    batch = best_of(2, lambda: run_batch(plans)) / len(plans)
    each = f"one by one, exact: {1000 * alone:.0f} ms; in a batch of 1,000: {1000 * batch:.2f} ms"
    print(f"\n{each}: {alone / batch:.0f} times")  # noqa: T201
    assert alone / batch >= CHEAPER_IN_A_BATCH
