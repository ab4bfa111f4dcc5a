"""The example's money a second way: from its ledger alone, with group-bys and numpy-financial, and by re-running it."""

import json
from collections.abc import Mapping
from typing import Any

import numpy as np
import numpy_financial as npf
import pandas as pd
import pytest

from plans import changed, compared, example
from simulator.accounts import WOOD_PRODUCTS
from simulator.baselines import systems_of
from simulator.parameters.prices import load_prices
from simulator.result import run_batch
from workbench.documents import comparison_document
from workbench.output import json_text

RATE = 0.05
SYSTEMS = ("silvopasture", "plantation", "pasture")
REPLANTED = (
    "seedlings",
    "planting_alley",
    "planting_plantation",
    "rip_and_strip",
    "cutover_preparation",
    "herbicide",
)
PLANTING_HOURS = 0.5


def ledger_of(name: str) -> pd.DataFrame:
    return compared().systems[name].ledger(name)


def by_year(ledger: pd.DataFrame, years: int) -> np.ndarray[Any, np.dtype[np.float64]]:
    return (
        ledger.groupby("year")["amount"].sum().reindex(range(years + 1), fill_value=0.0).to_numpy(np.float64, copy=True)
    )


def cycle_of(name: str) -> np.ndarray[Any, np.dtype[np.float64]]:
    """Cash of one cycle as it repeats: its last year replants, and gives back what year 0 of the next would pay."""
    plan = compared().systems[name].scenario
    if plan.harvest is None:
        return by_year(ledger_of(name), 40)
    ledger = ledger_of(name)
    cash = by_year(
        ledger[(ledger["year"] <= plan.harvest.year) & (ledger["account"] != "end value")], plan.harvest.year
    )
    cash[-1] -= cash[0]
    return cash


def first_cycle_of(name: str) -> np.ndarray[Any, np.dtype[np.float64]]:
    """Cash of one cycle, worked out from the printed ledger: what is planted after the harvest belongs to the next."""
    ledger = ledger_of(name)
    plan = compared().systems[name].scenario
    if plan.harvest is None:
        return by_year(ledger, 40)
    last = plan.harvest.year
    kept = ledger[(ledger["year"] <= last) & (ledger["account"] != "end value")]
    next_one = (kept["year"] == last) & kept["item"].isin(REPLANTED)
    cash = by_year(kept[~next_one], last)
    cash[last] += PLANTING_HOURS * compared().systems[name].prices["wage"]
    return cash


@pytest.mark.parametrize("name", SYSTEMS)
def test_present_value_and_its_kin_follow_from_the_ledger(name: str) -> None:
    measures, cash = compared().systems[name].measures, by_year(ledger_of(name), 40)
    assert measures.npv == pytest.approx(npf.npv(RATE, cash), rel=1e-12)
    kept = by_year(ledger_of(name)[ledger_of(name)["account"] != "end value"], 40)
    gone = np.cumsum(kept)
    assert measures.deepest_cash == pytest.approx(min(gone.min(), 0.0))
    below = np.flatnonzero(gone < 0)
    assert measures.payback_year == (below[-1] + 1 if below[-1] < 40 else None)
    for root in measures.irr_all:
        assert npf.npv(root, cash) == pytest.approx(0.0, abs=1e-6 * np.abs(cash / (1.0 + root) ** np.arange(41)).sum())
    if name == "pasture":
        assert measures.irr_all == pytest.approx([npf.irr(cash)], rel=1e-9)


@pytest.mark.parametrize("name", SYSTEMS)
def test_benefit_cost_is_of_gross_rows(name: str) -> None:
    ledger = ledger_of(name)
    worth = ledger["amount"] / (1.0 + RATE) ** ledger["year"]
    expected = worth[worth > 0].sum() / -worth[worth < 0].sum()
    assert compared().systems[name].measures.benefit_cost == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("name", SYSTEMS)
def test_income_without_end_follows_from_the_ledger_of_one_cycle(name: str) -> None:
    outcome, cash = compared().systems[name], cycle_of(name)
    years = len(cash) - 1
    assert outcome.flows.cycle_yr == years
    income = -npf.pmt(RATE, years, npf.npv(RATE, cash))
    assert outcome.measures.equal_annual_income == pytest.approx(income, rel=1e-9)
    assert outcome.measures.land_expectation == pytest.approx(income / RATE, rel=1e-9)
    # Faustmann by brute force: thirty cycles, a thousand years and more, one after the other
    again = sum(npf.npv(RATE, cash) / (1.0 + RATE) ** (years * turn) for turn in range(30))
    assert outcome.measures.land_expectation == pytest.approx(again, rel=1e-9)
    assert npf.irr(first_cycle_of(name)) == pytest.approx(outcome.measures.irr_cycle[-1], rel=1e-9)


@pytest.mark.parametrize("name", SYSTEMS)
def test_enterprises_and_decades_follow_from_the_ledger(name: str) -> None:
    measures, ledger = compared().systems[name].measures, ledger_of(name)
    worth = (ledger["amount"] / (1.0 + RATE) ** ledger["year"]).groupby(ledger["enterprise"]).sum()
    assert dict(measures.by_enterprise) == pytest.approx(worth.to_dict())
    decade = np.maximum(ledger["year"] - 1, 0) // 10
    cash = ledger["amount"].where(ledger["account"] != "end value", 0.0)
    sums = cash.groupby(decade).sum().reindex(range(4), fill_value=0.0)
    assert list(measures.by_decade.values()) == pytest.approx(sums.tolist())
    assert list(measures.by_decade) == ["0-10", "11-20", "21-30", "31-40"]


def test_margin_is_income_and_the_overhead_given_back() -> None:
    for outcome in compared().systems.values():
        # six dollars an acre in each of years 1 to T is worth six dollars a year
        assert outcome.measures.equal_annual_margin == pytest.approx(outcome.measures.equal_annual_income + 6.0)


# The JSON document ----------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def document() -> dict[str, Any]:
    loaded: dict[str, Any] = json.loads(json_text(comparison_document(compared())))
    return loaded


@pytest.mark.parametrize("name", SYSTEMS)
def test_the_document_adds_up(document: Mapping[str, Any], name: str) -> None:
    system = document["systems"][name]
    rate = document["discount_rate"]
    rows = system["years"]
    assert [row["year"] for row in rows] == list(range(document["horizon_years"] + 1))
    cash = [row["cash_per_ac"] for row in rows]
    worth = npf.npv(rate, cash) + rows[-1]["end_value_per_ac"] / (1.0 + rate) ** rows[-1]["year"]
    assert worth == pytest.approx(system["npv_per_ac"], rel=1e-9)
    assert system["land_expectation_per_ac"] == pytest.approx(system["equal_annual_income_per_ac"] / rate, rel=1e-12)
    assert sum(system["income_by_enterprise_per_ac"].values()) == pytest.approx(system["npv_per_ac"])
    assert system["irr"] == (system["irr_all"][0] if len(system["irr_all"]) == 1 else None)
    assert system["deepest_cash_per_ac"] <= 0.0
    for row in rows:
        assert set(row["wood_ton_ac"]) == set(WOOD_PRODUCTS)
        assert sum(row["wood_ton_ac"].values()) <= row["standing_ton_ac"] + 1e-9


def test_the_ratio_follows_from_the_years_of_the_document(document: Mapping[str, Any]) -> None:
    systems = document["systems"]

    def wood(name: str) -> float:
        cycle = systems[name]["cycle_years"]
        return sum(sum(row["wood_ton_ac"].values()) for row in systems[name]["years"][: cycle + 1]) / cycle

    def grass(name: str) -> float:
        cycle = systems[name]["cycle_years"]
        return sum(row["forage_lb_ac"] for row in systems[name]["years"][1 : cycle + 1]) / cycle

    ratio = document["land_equivalent_ratio"]
    assert ratio["wood"] == pytest.approx(wood("silvopasture") / wood("plantation"))
    assert ratio["forage"] == pytest.approx(grass("silvopasture") / grass("pasture"))
    assert ratio["total"] == pytest.approx(ratio["wood"] + ratio["forage"])


# Switch prices and price sets, by running again -----------------------------------------------------------------


def incomes_at(*price_changes: Mapping[str, float]) -> list[dict[str, float]]:
    """Incomes with prices overridden in the scenarios themselves, everything grown and priced anew."""
    plans = [
        changed(outcome.scenario, "money", prices=dict(prices))
        for prices in price_changes
        for outcome in compared().systems.values()
    ]
    incomes = iter(outcome.measures.equal_annual_income for outcome in run_batch(plans, precision="exact"))
    return [{name: next(incomes) for name in compared().systems} for _ in price_changes]


def best(incomes: Mapping[str, float]) -> str:
    return max(incomes, key=lambda name: incomes[name])


def test_the_order_turns_at_each_switch_price_and_not_before() -> None:
    switches = compared().switches
    assert len(switches) > 3
    steps = [1e-3 * switch.base * (1.0 if switch.price > switch.base else -1.0) for switch in switches]
    ends = [
        {switch.item: switch.price + way * step}
        for switch, step in zip(switches, steps, strict=True)
        for way in (-1.0, 1.0)
    ]
    incomes = incomes_at(*ends)
    for switch, before, beyond in zip(switches, incomes[::2], incomes[1::2], strict=True):
        assert best(before) == switch.now == compared().ranking[0], switch.item
        assert best(beyond) == switch.then, switch.item
        assert abs(before[switch.now] - before[switch.then]) < 0.1, switch.item


def test_items_without_a_switch_never_change_the_leader() -> None:
    found = {switch.item for switch in compared().switches}
    prices = compared().systems["pasture"].prices
    others = {"pulpwood", "chip_and_saw", "sawtimber", "pole", "hay", "calf", "grazing_lease", "wage"} - found
    changes = [{item: times * prices[item]} for item in sorted(others) for times in (0.0, 0.5, 2.0, 4.99)]
    assert changes
    for change, incomes in zip(changes, incomes_at(*changes), strict=True):
        assert best(incomes) == compared().ranking[0], change


def test_price_sets_are_runs_at_the_ends_of_the_tables_ranges() -> None:
    table = load_prices("demo-2025", None).items
    wood = ("pulpwood", "chip_and_saw", "sawtimber", "pole")
    beef = ("calf", "cull_cow", "bred_cow", "feeder", "feeder_purchase", "grazing_lease", "grazing_lease_month")
    low_beef = {item: table[item].low for item in beef} | {item: table[item].high for item in wood}
    high_beef = {item: table[item].high for item in beef} | {item: table[item].low for item in wood}
    wanted = [
        {item: value for item, value in prices.items() if value is not None} for prices in (low_beef, {}, high_beef)
    ]
    for price_set, incomes in zip(compared().price_sets, incomes_at(*wanted), strict=True):
        assert dict(price_set.equal_annual_income) == pytest.approx(incomes, abs=1e-9)


def test_labour_free_is_a_run_without_a_wage() -> None:
    plans = systems_of(changed(example(), "money", pay_labour=False))
    outcomes = run_batch(list(plans.values()), precision="exact")
    incomes = {name: one.measures.equal_annual_income for name, one in zip(plans, outcomes, strict=True)}
    assert dict(compared().labour_free) == pytest.approx(incomes, abs=1e-9)
