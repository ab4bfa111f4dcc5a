"""How long sweeps take on the cores there are, and in how much memory; limits of the issue, printed."""

import resource
import sys
import time
from pathlib import Path
from typing import NamedTuple

import pytest

from optimize.processes import cores
from optimize.sweeps.file import load_question
from optimize.sweeps.run import Sweep, sweep
from simulator.result import run
from sweeping import written

pytestmark = pytest.mark.benchmark

PHYSICS = """
format = 1
design = "latin hypercube"
samples = 10000
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
linked = [{ field = "thinning[2].year", plus = 8 }]
[[factor]]
field = "thinning[1].residual_trees_per_ac"
low = 80
high = 110
"""
MONEY = """
format = 1
design = "latin hypercube"
samples = 1000000
outputs = [{}]
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
PHYSICS_S, MONEY_S, MOST_GB = 60.0, 10.0, 1.5
YEARS = 40
ALONE = 5


class Taken(NamedTuple):
    """Seconds by the clock, and seconds of work on each core: the clock of a machine that does nothing else."""

    clock_s: float
    work_s: float

    def __str__(self) -> str:
        return f"{self.clock_s:.1f} s on {cores()} cores ({self.work_s:.1f} s of work on each)"


def _timed(folder: Path, text: str) -> tuple[Sweep, Taken]:
    files = written(folder, text)
    start, before = time.perf_counter(), _worked_s()
    found = sweep(*files, folder / "out", workers=cores())
    return found, Taken(time.perf_counter() - start, (_worked_s() - before) / cores())


def _worked_s() -> float:
    time.sleep(0.5)  # workers that have just been let go are counted when they have gone
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(each.ru_utime + each.ru_stime for each in used)


def _gb() -> float:
    """Most memory of this process or of any it started [GB]."""
    unit = 1e9 if sys.platform == "darwin" else 1e6
    return max(resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)) / unit


def test_ten_thousand_scenarios_of_different_physics(tmp_path: Path) -> None:
    """Layout, site and thinning, forty years with light; against single runs on either light path."""
    found, taken = _timed(tmp_path, PHYSICS)
    samples = int(found.manifest["scenarios"])
    question = load_question(*written(tmp_path, PHYSICS))
    alone = {}
    for precision in ("fast", "exact"):
        start = time.perf_counter()
        for _ in range(ALONE):
            run(question.scenario, precision=precision)  # type: ignore[arg-type]
        alone[precision] = (time.perf_counter() - start) / ALONE
    each = 1e6 / YEARS
    print(  # noqa: T201
        f"\nsweep: {samples:,} different scenarios in {taken}, "
        f"{each * taken.work_s / samples:.0f} microseconds a scenario and year; one by one "
        f"{each * alone['fast']:,.0f} with fast light and {each * alone['exact']:,.0f} with exact light; {_gb():.2f} GB"
    )
    assert found.failures_counted() == 0
    assert taken.work_s < PHYSICS_S
    assert _gb() < MOST_GB


@pytest.mark.parametrize(
    ("outputs", "limit_s"),
    [('"npv", "land expectation", "equal annual income"', MONEY_S), ('"irr of one cycle"', None)],
    ids=["income", "rate of return"],
)
def test_a_million_scenarios_of_money(tmp_path: Path, outputs: str, limit_s: float | None) -> None:
    found, taken = _timed(tmp_path, MONEY.format(outputs))
    print(f"\nsweep: a million money scenarios ({outputs}) in {taken}; {_gb():.2f} GB")  # noqa: T201
    assert found.manifest["scenarios"] == 1_000_000
    assert limit_s is None or taken.work_s < limit_s
    assert _gb() < MOST_GB
