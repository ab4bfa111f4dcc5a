"""Sweeps on the cores there are: ten thousand different fields beside one by one, a million prices beside a product."""

from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

import numpy as np

from benchmarks.figures import Figure, Said, figure, projected
from benchmarks.stopwatch import Spent, most_memory_gb, paired, spent
from optimize.processes import cores
from optimize.sweeps.run import Sweep, sweep
from plans import example
from simulator.result import run
from sweeping import written

PHYSICS: Final = """
format = 1
design = "latin hypercube"
samples = {samples}
outputs = ["npv", "equal annual income", "light at 20", "total hay", "tons of sawtimber"]
[[factor]]
field = "trees.layout.alley_ft"
low = 25
high = 70
[[factor]]
field = "land.site_index_ft"
low = 55
high = 80
[[factor]]
field = "thinning[1].year"
low = 13
high = 19
linked = [{{ field = "thinning[2].year", plus = 8 }}]
[[factor]]
field = "thinning[1].residual_trees_per_ac"
low = 80
high = 110
"""
MONEY: Final = """
format = 1
design = "latin hypercube"
samples = {samples}
outputs = ["npv", "land expectation", "equal annual income"]
[[factor]]
field = "money.discount_rate"
low = 0.03
high = 0.07
[[factor]]
price = "sawtimber"
[[factor]]
price = "calf"
[[factor]]
price = "wage"
"""
FIELDS, PRICES = 10_000, 1_000_000
MOST_GB: Final = 1.5
ALONE: Final = 10
"""Scenarios run one by one to know what one of them costs."""
DIFFERENT: Final = Said(
    "sweep",
    "a sweep of 10,000 different fields, files written",
    "one by one on exact light, from a share",
    1.0 / 20.0,
    120.0,
)
REPRICED: Final = Said(
    "sweep-prices",
    "a sweep of 1,000,000 sets of prices and rates, files written",
    "the product of as many prices and amounts alone",
    None,
    20.0,
)


def different_fields(quick: bool) -> Iterator[Figure]:  # noqa: FBT001 - every benchmark is asked this one question
    """Layout, site and thinning, forty years with light."""
    samples, alone = (10, 1) if quick else (FIELDS, ALONE)
    run(example())
    before = spent(lambda: [run(example()) for _ in range(alone)])
    taken = _swept(PHYSICS.format(samples=samples), 1 if quick else cores())
    after = spent(lambda: [run(example()) for _ in range(alone)])
    pair = paired([taken.work_s], [(before.work_s + after.work_s) / (2 * alone)])
    yield figure(DIFFERENT, projected(pair, FIELDS / samples, FIELDS), 1, "work", *_seen(taken, quick=quick))


def many_prices(quick: bool) -> Iterator[Figure]:  # noqa: FBT001
    """Prices and rates only: nothing is grown anew, what is left is arithmetic and writing."""
    samples = 2_000 if quick else PRICES
    taken = _swept(MONEY.format(samples=samples), 1 if quick else cores())
    quantity = run(example(), precision="fast").flows.quantity
    draws = np.random.default_rng(1).uniform(0.5, 1.5, (samples // 100, quantity.shape[1]))
    product = spent(lambda: [draws @ quantity.T for _ in range(100)])
    pair = paired([taken.work_s], [product.work_s])
    yield figure(REPRICED, projected(pair, PRICES / samples, PRICES / samples), 1, "work", *_seen(taken, quick=quick))


def _seen(taken: Spent, *, quick: bool) -> tuple[str, str]:
    """What else there is to tell: a process that has grown more for something else would be blamed for it."""
    if quick:
        return "", ""
    memory = most_memory_gb()
    note = f"{taken.clock_s:.1f} s by the clock on {cores()} cores; at most {memory:.1f} GB a process"
    return note, "" if memory < MOST_GB else f"more than {MOST_GB} GB"


def _swept(factors: str, workers: int) -> Spent:
    """Time of a sweep that answered for every scenario."""
    with TemporaryDirectory() as folder:
        files, found = written(Path(folder), factors), list[Sweep]()
        taken = spent(lambda: found.append(sweep(*files, Path(folder) / "out", workers=workers)), processes=workers > 1)
        assert found[0].failures_counted() == 0
    return taken
