"""How long draws of hazards take; a limit of the issue, printed."""

import time

import pytest

from optimize.processes import cores
from optimize.risk.found import Asked
from optimize.risk.odds import odds_of
from plans import example

pytestmark = pytest.mark.benchmark

DRAWS = 5_000
LIMIT_S = 60.0


def test_five_thousand_draws_of_three_systems_take_less_than_a_minute() -> None:
    """Three systems through the same draws, each hazard alone among them, on the cores there are."""
    start = time.perf_counter()
    odds = odds_of(example(), Asked(DRAWS, 1, workers=cores()))
    taken = time.perf_counter() - start
    print(  # noqa: T201
        f"\nodds: {DRAWS:,} draws of {len(odds.systems)} systems in {taken:.1f} s on {cores()} cores,"
        f" {1e3 * taken / DRAWS / len(odds.systems):.2f} ms a plan"
    )
    assert odds.complete
    assert taken < LIMIT_S
