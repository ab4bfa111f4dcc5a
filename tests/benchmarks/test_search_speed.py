"""How long a search takes, and what growing common years once saves; each a ratio or a limit of the issue, printed."""

import time

import pytest

from optimize.grid import tree_ways, use_ways, with_ways
from optimize.growing import worth_of, years_to_grow
from optimize.processes import cores
from plans import example
from simulator.result import run

pytestmark = pytest.mark.benchmark

PATHWAYS = 5_000
SEARCH_S = 20.0
CHEAPER_THAN_A_RUN = 20.0
ALONE = 6


def test_five_thousand_pathways_are_valued_in_twenty_seconds() -> None:
    """Grown, priced and ranked on the cores there are, and at least twenty times cheaper each than single runs."""
    base = example()
    plans = [with_ways(base, tree, use) for use in use_ways(base) for tree in tree_ways(base)][:PATHWAYS]
    start = time.perf_counter()
    worth = worth_of(plans, workers=cores())
    order = worth.land_expectation.argsort()
    taken = time.perf_counter() - start
    start = time.perf_counter()
    for plan in plans[:: PATHWAYS // ALONE][:ALONE]:
        run(plan, precision="fast").measures  # noqa: B018 - the measures are what takes time
    alone = (time.perf_counter() - start) / ALONE
    shared, whole = years_to_grow(plans)
    print(  # noqa: T201
        f"\nsearch: {PATHWAYS:,} pathways in {taken:.1f} s on {cores()} cores, {1e3 * taken / PATHWAYS:.2f} ms each;"
        f" a single fast run {1e3 * alone:.0f} ms: {alone * PATHWAYS / taken:.0f} times cheaper;"
        f" years grown {shared:,} of {whole:,}"
    )
    assert len(order) == PATHWAYS
    assert taken < SEARCH_S
    assert alone * PATHWAYS / taken > CHEAPER_THAN_A_RUN
