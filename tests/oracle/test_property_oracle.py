"""The property's plan against every combination of pathways tried one by one, and against simpler searches.

The oracle knows nothing of rows or solvers: it takes the couplings as they are described and adds flows up. The herd's
year is checked with `scipy.optimize.linprog` for each combination.
"""

from collections.abc import Sequence
from itertools import product
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import linprog

from made_tracts import RATE, small_tracts
from optimize.property import relaxation, search
from optimize.property.couplings import Budget, Couplings, Even, Grazing, Herd, Labour, Load, Renewal
from optimize.property.file import load_property
from optimize.property.plan import PropertyPlan, best_plan
from optimize.property.pool import Pool, undominated
from optimize.property.relaxation import at_start, relax
from optimize.property.rows import profile_of, system_of
from optimize.property.solve import Asked, Stopwatch
from optimize.property.whole import plan_property
from optimize.tracts import TractColumns
from simulator.result import run
from simulator.units import FloatArray, IntArray

SEEDS = (1, 2, 3, 4)
HOME_PLACE = Path(__file__).parents[2] / "examples" / "property" / "home-place.toml"
CENTS = 0.02
"""The search is exact to a cent; sums of it and of the oracle differ by rounding [$]."""


def planned(
    tracts: Sequence[TractColumns], couplings: Couplings, groups: Sequence[str] | None = None, gap: float = 0.0
) -> PropertyPlan:
    names = groups or [tract.name for tract in tracts]
    return best_plan(tracts, couplings, groups=names, rate=RATE, search_for=(120.0, gap, 1))


class Combinations:
    """Every way of taking one pathway for each tract, with its flows added up."""

    def __init__(self, tracts: Sequence[TractColumns]) -> None:
        self.tracts = tracts
        self.picks: IntArray = np.array(list(product(*(range(len(tract.labels)) for tract in tracts))))
        self.value = self.of_each(lambda tract: tract.value_per_ac).sum(axis=0)

    def of_each(self, what: object) -> FloatArray:
        """What each tract's picked pathway has, (tracts, combinations, ...)."""
        return np.array(
            [tract.acres * what(tract)[self.picks[:, i]] for i, tract in enumerate(self.tracts)]  # type: ignore[operator]
        )

    def total(self, flow: str) -> FloatArray:
        """Flow of all tracts together, (combinations, years)."""
        return np.asarray(sum(self.by_tract(flow)))

    def by_tract(self, flow: str) -> FloatArray:
        """Flow of each tract, (tracts, combinations, years)."""
        return self.of_each(lambda tract: tract.flows_per_ac[flow])


def keeps_budget(cash: FloatArray, budget: Budget) -> "np.ndarray[tuple[int, ...], np.dtype[np.bool_]]":
    held, kept = np.full(len(cash), budget.start), np.ones(len(cash), bool)
    for year in range(cash.shape[1]):
        if year:
            held = held * (1.0 + budget.interest) + budget.added_per_year
        held = held + cash[:, year]
        kept &= held >= -budget.credit - 1e-6
    return kept


def keeps_even(flow: FloatArray, even: Even) -> "np.ndarray[tuple[int, ...], np.dtype[np.bool_]]":
    starts = range(even.from_year, flow.shape[1] - even.period_years + 1, even.period_years)
    sums = np.array([flow[:, first : first + even.period_years].sum(axis=1) for first in starts])
    high, low = (1.0 + even.within) * sums[:-1], (1.0 - even.within) * sums[:-1]
    return np.asarray(((sums[1:] <= high + 1e-6) & (sums[1:] >= low - 1e-6)).all(axis=0))


def keeps_load(
    tons: FloatArray, groups: Sequence[str], least: float
) -> "np.ndarray[tuple[int, ...], np.dtype[np.bool_]]":
    kept = np.ones(tons.shape[1], bool)
    for name in set(groups):
        together = tons[[group == name for group in groups]].sum(axis=0)
        kept &= ((together <= 1e-9) | (together >= least - 1e-6)).all(axis=1)
    return kept


def freshly_cut(acres: FloatArray, years: int) -> FloatArray:
    """Acres of tracts harvested within the last years, (combinations, years)."""
    fresh = np.zeros_like(acres)
    for year in range(acres.shape[2]):
        fresh[:, :, year] = acres[:, :, max(0, year - years + 1) : year + 1].max(axis=2)
    return fresh.sum(axis=0)


TIED = Couplings(
    budget=Budget(start=40_000, added_per_year=1_000, credit=5_000, interest=0.02),
    labour=Labour(hours_per_year=600),
    even_wood=Even(period_years=4, within=0.5),
    renewal=Renewal(most_acres=200, within_years=3),
    grazing=Grazing(least_acres=80, from_year=6),
)


def oracle(ways: Combinations, couplings: Couplings) -> tuple[float, int]:
    """Worth of the best combination that keeps to the couplings, and how many do."""
    for name in ("budget", "labour", "even_wood", "renewal", "grazing"):
        assert getattr(couplings, name) is not None
    kept = keeps_budget(ways.total("cash"), couplings.budget)
    kept &= (ways.total("labour_h") <= couplings.labour.hours_per_year + 1e-6).all(axis=1)
    kept &= keeps_even(ways.total("wood_ton"), couplings.even_wood)
    fresh = freshly_cut(ways.by_tract("harvested"), couplings.renewal.within_years)
    kept &= (fresh <= couplings.renewal.most_acres + 1e-6).all(axis=1)
    grazed = ways.total("grazed")[:, couplings.grazing.from_year :]
    kept &= (grazed >= couplings.grazing.least_acres - 1e-6).all(axis=1)
    return (float(ways.value[kept].max()) if kept.any() else -np.inf), int(kept.sum())


@pytest.mark.parametrize("seed", SEEDS)
def test_the_plan_is_the_best_of_every_combination(seed: int) -> None:
    tracts = small_tracts(seed)
    ways = Combinations(tracts)
    best, feasible = oracle(ways, TIED)
    assert 0 < feasible < len(ways.value) / 4, "a case in which the couplings bind and leave a choice"
    plan = planned(tracts, TIED)
    assert plan.ending == "proven"
    assert plan.value == pytest.approx(best, abs=CENTS)
    assert plan.gap == 0.0
    assert best < float(ways.value.max()) - 1.0


@pytest.mark.parametrize("seed", SEEDS)
def test_letting_pathways_in_by_their_prices_changes_nothing(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """As a large property is searched: few pathways at first, the others only where the prices ask for them."""
    tracts = small_tracts(seed)
    whole = planned(tracts, TIED)
    for module in (relaxation, search):
        monkeypatch.setattr(module, "SMALL", 0)
    monkeypatch.setattr(relaxation, "BEST_AT_START", 1)
    monkeypatch.setattr(relaxation, "LET_IN_AT_ONCE", 1)
    monkeypatch.setattr(search, "FIRST_ROUND", 2)
    monkeypatch.setattr(search, "ANEW_TRACTS", 2)
    monkeypatch.setattr(search, "IDLE_ROUNDS", 2)
    priced = planned(tracts, TIED)
    assert priced.ending == "proven"
    assert priced.value == pytest.approx(whole.value, abs=CENTS)


@pytest.mark.parametrize("seed", [1, 2, 4])
def test_neighbours_sell_a_load_together_or_nothing(seed: int) -> None:
    tracts = small_tracts(seed, tracts=4, pathways=8)
    groups = ["creek", "creek", "creek", "alone"]
    load = Load(least_ton=2000.0)
    ways = Combinations(tracts)
    kept = keeps_load(ways.by_tract("wood_ton"), groups, load.least_ton)
    assert 0 < kept.sum() < len(kept) / 2
    assert not kept[ways.value.argmax()]
    plan = planned(tracts, Couplings(load=load), groups)
    assert plan.value == pytest.approx(float(ways.value[kept].max()), abs=CENTS)


HERD = Herd(
    start_head=10, need_aum_per_head=16, margin_per_head=500, raised_share=0.1, raised_price=800, bought_price=1900,
    sold_price=1600, feed_price_per_aum=40, most_feed_aum=200, open_pasture_aum=100, most_head=30,
)  # fmt: skip


def best_herd(  # noqa: PLR0915 - a herd is a page of bookkeeping
    forage: FloatArray, cash: FloatArray, herd: Herd, credit: float
) -> float:
    """Worth of the best herd on so much forage that never lets the balance fall too low; -inf where there is none."""
    last = len(forage) - 1
    names = ("head", "raised", "bought", "sold", "feed")
    at = {name: (last + 1) * i for i, name in enumerate(names)}
    width = (last + 1) * len(names)
    money = np.zeros((last + 1, width))
    equal, unequal, most = [], [], []
    for t in range(last + 1):
        money[t, at["raised"] + t], money[t, at["bought"] + t] = -herd.raised_price, -herd.bought_price
        money[t, at["sold"] + t] = herd.sold_price
        if t:
            money[t, at["head"] + t], money[t, at["feed"] + t] = herd.margin_per_head, -herd.feed_price_per_aum
            needs = np.zeros(width)
            needs[at["head"] + t], needs[at["feed"] + t] = herd.need_aum_per_head, -1.0
            unequal.append(needs)
            most.append(forage[t] + herd.open_pasture_aum)
        if t < last:
            step, raised = np.zeros(width), np.zeros(width)
            step[at["head"] + t + 1], step[at["head"] + t], step[at["sold"] + t] = 1.0, -1.0, 1.0
            step[at["raised"] + t] = step[at["bought"] + t] = -1.0
            equal.append(step)
            raised[at["raised"] + t], raised[at["head"] + t] = 1.0, -herd.raised_share
            unequal.append(raised)
            most.append(0.0)
    unequal += list(-np.cumsum(money, axis=0))
    most += list(np.cumsum(cash) + credit)
    worth = (money * (1.0 + RATE) ** -np.arange(last + 1)[:, None]).sum(axis=0)
    worth[at["head"] + last] += herd.sold_price * (1.0 + RATE) ** -last
    bounds = [(0.0, herd.most_head)] * (last + 1) + [(0.0, None)] * (4 * (last + 1))
    bounds[0] = (herd.start_head, herd.start_head)
    bounds[at["feed"] : at["feed"] + last + 1] = [(0.0, herd.most_feed_aum)] * (last + 1)
    for name in ("raised", "bought", "sold"):
        bounds[at[name] + last] = (0.0, 0.0)
    found = linprog(-worth, np.array(unequal), np.array(most), np.array(equal), np.zeros(last), bounds)
    return -float(found.fun) if found.status == 0 else -np.inf


@pytest.mark.parametrize("seed", SEEDS[:2])
def test_the_herd_is_the_best_of_every_combination(seed: int) -> None:
    tracts = small_tracts(seed, tracts=3, pathways=5, last_year=8)
    ways, credit = Combinations(tracts), 30_000.0
    forage, cash = ways.total("forage_aum"), ways.total("cash")
    best = max(
        value + best_herd(grass, money, HERD, credit)
        for value, grass, money in zip(ways.value, forage, cash, strict=True)
    )
    assert np.isfinite(best)
    plan = planned(tracts, Couplings(herd=HERD, budget=Budget(credit=credit)))
    assert plan.value == pytest.approx(best, abs=1.0)
    head = plan.herd["head"]
    moved = plan.herd["raised"] + plan.herd["bought"] - plan.herd["sold"]
    assert head[1:] == pytest.approx(head[:-1] + moved, abs=1e-5)
    assert plan.balance.min() >= -credit - 0.1


def test_without_couplings_each_tract_does_its_best() -> None:
    tracts = small_tracts(7)
    best = sum(tract.acres * tract.value_per_ac.max() for tract in tracts)
    free = planned(tracts, Couplings())
    assert free.value == pytest.approx(best)
    loose = planned(tracts, Couplings(labour=Labour(hours_per_year=1e6), budget=Budget(credit=1e8)))
    assert loose.value == pytest.approx(best, abs=CENTS)
    assert loose.shadow_prices == ()


def greedy(ways: Combinations, couplings: Couplings) -> float:
    """Change one tract at a time to what is worth most within the limits, from the first sound combination on."""
    assert couplings.budget is not None
    kept = keeps_budget(ways.total("cash"), couplings.budget)
    now = int(np.flatnonzero(kept)[0])
    while True:
        near = ((ways.picks != ways.picks[now]).sum(axis=1) <= 1) & kept
        best = int(np.flatnonzero(near)[ways.value[near].argmax()])
        if ways.value[best] <= ways.value[now]:
            return float(ways.value[now])
        now = best


@pytest.mark.parametrize("seed", SEEDS)
def test_the_relaxation_is_worth_no_less_and_a_greedy_search_no_more(seed: int) -> None:
    tracts = small_tracts(seed)
    couplings = Couplings(budget=Budget(start=30_000))
    pool = Pool(tracts)
    system = system_of(pool, couplings, [tract.name for tract in tracts], RATE)
    bound = 1000.0 * relax(system, at_start(system), Asked(0.0, 1), Stopwatch(60.0), lambda _: None).bound
    plan = planned(tracts, couplings)
    assert bound >= plan.value - CENTS
    assert plan.value >= greedy(Combinations(tracts), couplings) - CENTS
    assert plan.bound <= bound + CENTS


def test_a_shadow_price_is_what_a_little_more_money_adds() -> None:
    """In the relaxation, whose worth bends only at corners: the price is its slope."""
    tracts = small_tracts(2)

    def bound(start: float) -> tuple[float, FloatArray]:
        system = system_of(Pool(tracts), Couplings(budget=Budget(start=start)), [t.name for t in tracts], RATE)
        found = relax(system, at_start(system), Asked(0.0, 1), Stopwatch(60.0), lambda _: None)
        return 1000.0 * found.bound, found.row_price

    base, price = bound(30_000.0)
    more, _ = bound(30_001.0)
    assert more - base > 0.01
    assert price[0] == pytest.approx(more - base, rel=1e-3)


def test_what_is_left_out_is_never_missed() -> None:
    tracts = small_tracts(3, pathways=60, last_year=4)
    couplings = Couplings(budget=Budget(start=30_000), labour=Labour(hours_per_year=700))
    pool = Pool(tracts)
    keep = undominated(pool, profile_of(pool, couplings))
    assert 0 < (~keep).sum() < len(keep)
    cash, hours = np.cumsum(pool.flow("cash"), axis=1), pool.flow("labour_h")
    for out in np.flatnonzero(~keep):
        rivals = np.flatnonzero(keep & (pool.tract == pool.tract[out]))
        better = (pool.value[rivals] >= pool.value[out]) & (cash[rivals] >= cash[out] - 1e-9).all(axis=1)
        assert (better & (hours[rivals] <= hours[out]).all(axis=1)).any()


def test_of_what_has_to_be_even_only_equals_are_left_out() -> None:
    tracts = small_tracts(3)
    couplings = Couplings(even_wood=Even(period_years=4, within=0.5))
    pool = Pool(tracts)
    assert undominated(pool, profile_of(pool, couplings)).all()
    twice = [
        tract._replace(
            labels=tract.labels * 2,
            value_per_ac=np.tile(tract.value_per_ac, 2),
            flows_per_ac={name: np.tile(flow, (2, 1)) for name, flow in tract.flows_per_ac.items()},
        )
        for tract in tracts
    ]
    pool = Pool(twice)
    keep = undominated(pool, profile_of(pool, couplings))
    assert keep.sum() == len(keep) / 2


def test_limits_that_cannot_be_kept_are_named_with_what_they_lack() -> None:
    """All tracts cost money in year 0, so that a budget of nothing is missed by the cheapest start."""
    tracts = small_tracts(1)
    cheapest = sum(tract.acres * -tract.flows_per_ac["cash"][:, 0].max() for tract in tracts)
    plan = planned(tracts, Couplings(budget=Budget(), labour=Labour(hours_per_year=1e6)))
    assert plan.ending == "infeasible"
    assert plan.tracts == ()
    (way,) = plan.ways_out
    assert way.families == ("budget",)
    first = next(miss for miss in way.misses if miss.row.words.endswith("year 0"))
    assert 1000.0 * first.by >= cheapest - 1.0


def test_two_couplings_that_both_have_to_give_are_named_together() -> None:
    tracts = small_tracts(1)
    plan = planned(tracts, Couplings(budget=Budget(), labour=Labour(hours_per_year=0.0)))
    assert plan.ending == "infeasible"
    assert [way.families for way in plan.ways_out] == [("budget", "labour")]
    assert {miss.row.family for miss in plan.ways_out[0].misses} == {"budget", "labour"}


def test_the_flows_of_the_plan_are_those_of_its_scenarios() -> None:
    """Each chosen plan run by itself, on the exact light path, adds up to what is shown."""
    property_ = load_property(HOME_PLACE)
    planned_ = plan_property(property_, lambda _: None)
    assert planned_.plan.ending == "proven"
    assert not planned_.missed
    cash, wood, hours = 0.0, 0.0, 0.0
    for chosen, tract in zip(planned_.shown.tracts, property_.tracts, strict=True):
        outcome = run(chosen.scenarios[0], tract.beside)
        acres = tract.scenario.land.acres
        assert outcome.scenario.land.acres == acres == chosen.acres
        cash = cash + acres * outcome.cash_per_ac
        wood = wood + acres * outcome.wood_ton_ac.sum(axis=1)
        hours = hours + outcome.hours_by_month.sum(axis=1)
    assert planned_.shown.flows["cash"] == pytest.approx(cash)
    assert planned_.shown.flows["wood_ton"] == pytest.approx(wood)
    assert planned_.shown.flows["labour_h"] == pytest.approx(hours)
    budget = property_.file.couplings.budget
    assert budget is not None
    assert keeps_budget(np.array([cash]), budget).all()
    # fast and exact light differ by less than a hundredth of the worth
    assert planned_.shown.value == pytest.approx(planned_.plan.value, rel=0.01)
