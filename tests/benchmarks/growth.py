"""Growing plans: one, three side by side, a thousand at once; and how the time grows with years, rows and plans."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial
from itertools import product
from typing import Final

from benchmarks.figures import Curve, Expected, Figure, Said, curve, figure, projected
from benchmarks.stopwatch import in_turns, paired, rounds
from plans import changed, example, laid_out, scheduled
from simulator.comparison import compare
from simulator.result import run, run_batch
from simulator.scenario.model import Scenario
from simulator.scenario.trees import Thinning
from standing import pines, stand_of
from workbench.workbook import workbook_bytes

TURNS: Final = 3
SHARE: Final = 8
"""Scenarios run one by one to know what one of them costs."""
BATCH: Final = 1000
BESIDE_A_RUN: Final = Said(
    "compare-warm", "a comparison, in a process that is running", "one plan run on exact light", 9.0, 1.5
)
WORKBOOK: Final = Said("workbook", "the workbook of a comparison", "that comparison, in the same process", 1.5, 2.0)
AT_ONCE: Final = Said(
    "batch", "1,000 different plans in one batch", "the same one by one on exact light, from a share", 1.0 / 20.0
)
PLANS: Final = Expected(
    "plans",
    "different plans grown in one batch",
    "plans",
    1.0,
    0.15,
    "every array of the yearly loop is as long as the batch; what a year costs whatever its length bends the line down",
)
YEARS: Final = Expected(
    "years",
    "one plan cut and replanted every 20 years, exact light",
    "years",
    1.0,
    0.2,
    "one pass of the loop a year, and no year costs more than the one before; replanting adds a little, starting takes"
    " a little off",
)
ROWS: Final = Expected(
    "rows",
    "200 plans in a batch, rows in a set",
    "rows",
    0.6,
    0.25,
    "light, growth and wood are reckoned row by row; grass, herd and money do not know rows: between 0 and 1",
)
CLASSES: Final = Expected(
    "classes",
    "20 plans of a stand that was found, diameter classes of its table",
    "classes",
    0.0,
    0.1,
    "whatever the cruise tallied, the stand is carried on in ten classes of equal number",
)


def different(count: int) -> list[Scenario]:
    """So many scenarios that differ in what grows: site index, spacing, years of the thinnings."""
    plans = []
    for first, later, site_index, in_row, alley in product(
        (14, 16), (22, 25), (56.0, 60.0, 64.0, 68.0, 72.0, 76.0, 80.0, 84.0, 70.0, 66.0),
        (6.0, 7.0, 8.0, 10.0, 12.0, 14.0, 16.0, 18.0), (30.0, 33.0, 36.0, 39.0, 42.0, 45.0, 48.0, 54.0),
    ):  # fmt: skip
        plan = laid_out(example(), rows_in_set=2, row_gap_ft=8.0, in_row_ft=in_row, alley_ft=alley)
        cuts = (
            Thinning(year=first, residual_basal_area_ft2_ac=50.0),
            Thinning(year=later, residual_basal_area_ft2_ac=55.0),
        )
        plans.append(changed(scheduled(plan, 35, *cuts), "land", site_index_ft=site_index))
    # taken evenly, so that a few differ as much as many do
    return plans[:: len(plans) // count][:count]


def comparisons(quick: bool) -> Iterator[Figure]:  # noqa: FBT001
    """A comparison beside a single run, and the workbook beside a comparison."""
    turns = 1 if quick else 2 * TURNS
    comparison = compare(example())
    works = {
        "run": lambda: run(example()).measures,
        "compare": lambda: compare(example()),
        "workbook": lambda: workbook_bytes([comparison]),
    }
    for work in () if quick else works.values():
        work()
    taken = rounds(works, turns)
    yield figure(BESIDE_A_RUN, paired(taken["compare"], taken["run"]), turns)
    yield figure(WORKBOOK, paired(taken["workbook"], taken["compare"]), turns)


def batches(quick: bool) -> Iterator[Figure]:  # noqa: FBT001
    """A thousand plans at once beside one by one."""
    plans, few = (different(20), 1) if quick else (different(BATCH), SHARE)
    share = plans[:: len(plans) // few][:few]
    turns = 1 if quick else TURNS
    run_batch(plans[:2])  # tables and skies are read once, for both
    pair = in_turns(lambda: run_batch(plans), lambda: [run(plan) for plan in share], turns)
    yield figure(AT_ONCE, projected(pair, BATCH / len(plans), BATCH / len(share)), turns)


def curves(quick: bool) -> Iterator[Curve]:  # noqa: FBT001
    """How growing costs with plans, years, rows and diameter classes."""
    if quick:
        yield _growing(PLANS, {n: different(n) for n in (2, 4, 8)}, 1)
        return
    counts, few = (300, 600, 1200, 2400), 200
    yield _growing(PLANS, {n: different(n) for n in counts})
    lives = {years: scheduled(changed(example(), "money", horizon_years=years), 20) for years in (20, 40, 60, 80, 100)}
    yield fitted(YEARS, {years: partial(run, plan) for years, plan in lives.items()})
    yield _growing(ROWS, {rows: [_in_rows(plan, rows) for plan in different(few)] for rows in (1, 2, 4, 8)})
    yield _growing(CLASSES, {n: found(n, few // 10) for n in (5, 15, 30, 60)})


def found(classes: int, count: int) -> list[Scenario]:
    """So many found stands of 300 trees an acre in so many classes from 5 to 13 inches, on different sites."""
    table = [(5.0 + 8.0 * (i + 0.5) / classes, 300.0 / classes) for i in range(classes)]
    plan = pines().model_copy(update={"stand": stand_of(18, table)})
    return [changed(plan, "land", site_index_ft=55.0 + 30.0 * i / count) for i in range(count)]


def _in_rows(plan: Scenario, rows: int) -> Scenario:
    assert plan.trees is not None
    return laid_out(plan, **plan.trees.layout.model_dump() | {"rows_in_set": rows})


def _growing(expected: Expected, plans: Mapping[int, Sequence[Scenario]], turns: int = 2) -> Curve:
    return fitted(expected, {n: partial(run_batch, some) for n, some in plans.items()}, turns)


def fitted(expected: Expected, works: Mapping[int, Callable[[], object]], turns: int = 2) -> Curve:
    """The curve of works by their size; each counts with the least of its turns, which nothing has disturbed."""
    works[min(works)]()
    taken = rounds({str(size): work for size, work in works.items()}, turns)
    return curve(expected, tuple(works), tuple(min(taken[str(size)]) for size in works))
