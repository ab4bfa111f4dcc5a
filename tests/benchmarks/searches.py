"""Searches: thousands of plans of one tract, a property of many, and odds; beside what a plain way would take."""

from collections.abc import Iterator
from functools import cache, partial
from itertools import islice
from typing import Final

from benchmarks.figures import Curve, Expected, Figure, Said, exponent_of, figure, projected
from benchmarks.growth import fitted
from benchmarks.stopwatch import Pair, Spent, paired, spent
from made_tracts import RATE, large_tracts
from optimize.grid import tree_ways, use_ways, with_ways
from optimize.growing import worth_of, years_to_grow
from optimize.processes import cores
from optimize.property.couplings import Budget, Couplings, Even
from optimize.property.plan import best_plan
from optimize.property.pool import Pool
from optimize.property.relaxation import at_start, relax
from optimize.property.rows import system_of
from optimize.property.solve import Asked as Solving
from optimize.property.solve import Stopwatch
from optimize.risk.found import Asked, Odds
from optimize.risk.odds import odds_of
from plans import example
from simulator.result import run
from simulator.scenario.model import Scenario

PATHWAYS: Final = 5_000
DRAWS: Final = 2_000
ALONE: Final = 10
SPLIT: Final = "the same with tracts that may be split (its relaxation)"
SEARCHED: Final = Said(
    "optimize",
    "5,000 plans of one tract grown, priced and ranked",
    "as many single runs on fast light, from a share",
    0.05,
    40.0,
)
DRAWN: Final = Said(
    "odds", "2,000 draws of hazards through three systems", "as many single runs on fast light, from a share", 0.2, 60.0
)
WHAT_GROWS: Final = (
    "counted, not assumed: the exponent of the years that are left to grow once years that plans have in common are"
    " grown once; pricing goes plan by plan"
)
THOUSANDTH: Final = 0.001
PROPERTIES: Final = (("property-20", 20, 10, 0.25, 30.0), ("property-200", 200, 5, 0.15, 120.0))
"""Name, tracts, years of a period, share by which its wood may be off, and seconds allowed.

The columns are invented: stands of all ages, so that even wood is within reach. With few tracts whole pathways cannot
follow narrow limits as closely as split ones: twenty tracts held within 15 % every 5 years end with a gap of .2 to 1 %.
"""


@cache
def _grid() -> tuple[Scenario, ...]:
    base = example()
    ways = (with_ways(base, tree, use) for use in use_ways(base) for tree in tree_ways(base))
    return tuple(islice(ways, PATHWAYS))


def pathways(count: int = PATHWAYS) -> list[Scenario]:
    """So many ways of the example's grid, taken evenly from all."""
    return list(_grid()[:: PATHWAYS // count][:count])


def one_tract(quick: bool) -> Iterator[Figure]:  # noqa: FBT001 - every benchmark is asked this one question
    """Thousands of plans grown, priced and ranked."""
    plans, alone = pathways(50 if quick else PATHWAYS), 1 if quick else ALONE
    before = spent(lambda: _alone(alone))
    workers = 1 if quick else cores()
    taken = spent(partial(_ranked, plans, workers), processes=workers > 1)
    after = spent(lambda: _alone(alone))
    shared, whole = years_to_grow(plans)
    note = f"{_clock(taken)}; {shared:,} of {whole:,} years grown"
    pair = _beside_alone(taken, before, after, alone)
    yield figure(SEARCHED, projected(pair, PATHWAYS / len(plans), PATHWAYS), 1, note=note)


def sharing(quick: bool) -> Iterator[Curve]:  # noqa: FBT001
    """How a search grows with its plans."""
    counts = (4, 8, 16) if quick else (500, 1000, 2500, 5000)
    plans = {count: pathways(count) for count in counts}
    left = exponent_of(counts, tuple(float(years_to_grow(plans[count])[0]) for count in counts))
    expected = Expected("pathways", "plans of one tract searched in one process", "plans", left, 0.2, WHAT_GROWS)
    yield fitted(expected, {count: partial(worth_of, some) for count, some in plans.items()}, 1)


def odds(quick: bool) -> Iterator[Figure]:  # noqa: FBT001
    """Three systems through the same draws of hazards, each hazard alone among them."""
    if quick:
        return  # a handful of draws takes as long as a hundred
    before, found = spent(lambda: _alone(ALONE)), list[Odds]()
    asked = Asked(DRAWS, 1, workers=cores())
    taken = spent(lambda: found.append(odds_of(example(), asked)), processes=True)
    after = spent(lambda: _alone(ALONE))
    assert found[0].complete
    pair = _beside_alone(taken, before, after, ALONE)
    yield figure(DRAWN, projected(pair, 1.0, DRAWS * len(found[0].systems)), 1, note=_clock(taken))


def properties(quick: bool) -> Iterator[Figure]:  # noqa: FBT001
    """Tracts of 400 pathways with a budget and even wood, proven to a thousandth."""
    for name, tracts, period, within, most_s in PROPERTIES[: 1 if quick else None]:
        made = large_tracts(tracts, 10 if quick else 400)
        acres = sum(tract.acres for tract in made)
        couplings = Couplings(
            budget=Budget(start=30.0 * acres, added_per_year=2.0 * acres, credit=10.0 * acres),
            even_wood=Even(period_years=period, within=within),
        )
        groups = [tract.name for tract in made]
        pool = Pool(made)
        system, found = system_of(pool, couplings, groups, RATE), []
        split = spent(lambda: relax(system, at_start(system), Solving(0.0, 1), Stopwatch(most_s), lambda _: None))  # noqa: B023
        search_for = (0.5 if quick else most_s, THOUSANDTH, 1)
        taken = spent(
            lambda: found.append(best_plan(made, couplings, groups=groups, rate=RATE, search_for=search_for))  # noqa: B023
        )
        said = Said(name, f"{tracts} tracts of 400 ways each, to a thousandth", SPLIT, None, most_s)
        missed = "" if found[0].gap <= THOUSANDTH else "not proven to a thousandth"
        note = f"proven to {100.0 * found[0].gap:.2f} %"
        yield figure(said, paired([taken.work_s], [split.work_s]), 1, note=note, missed=missed)


def _ranked(plans: list[Scenario], workers: int) -> object:
    return worth_of(plans, workers=workers).land_expectation.argsort()


def _alone(count: int) -> None:
    for plan in pathways(count):
        run(plan, precision="fast").measures  # noqa: B018 - the measures are what takes time


def _beside_alone(taken: Spent, before: Spent, after: Spent, alone: int) -> Pair:
    """Beside the mean single run of just before and just after."""
    return paired([taken.work_s], [(before.work_s + after.work_s) / (2.0 * alone)])


def _clock(taken: Spent) -> str:
    return f"{taken.clock_s:.1f} s by the clock on {cores()} cores"
