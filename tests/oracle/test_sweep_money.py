"""Money of many cases at once against the measures of one case at a time."""

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from optimize.sweeps.many_irr import one_irr
from optimize.sweeps.money import MEASURES, Prices, priced, same_bids
from plans import changed, example, fast
from simulator.finance import every_real_irr
from simulator.measures import measure
from simulator.result import Outcome
from simulator.scenario.file import load
from standing import pines

CASES = 12
EXAMPLES = Path(__file__).parents[2] / "examples"
ITEMS = ("sawtimber", "pulpwood", "calf", "wage", "grazing_lease_month", "planting", "herbicide")


@cache
def _field() -> Outcome:
    return fast(example())


def _drawn(outcome: Outcome, seed: int) -> tuple[Prices, np.ndarray]:
    rng = np.random.default_rng(seed)
    items = [item for item in ITEMS if item in outcome.prices]
    assert len(items) > 3
    prices = {item: outcome.prices[item] * rng.uniform(0.2, 2.5, CASES) for item in items}
    return prices, rng.uniform(0.01, 0.10, CASES)


@pytest.mark.parametrize("seed", range(3))
def test_every_measure_is_that_of_one_case_alone(seed: int) -> None:
    outcome = _field()
    prices, rate = _drawn(outcome, seed)
    case = priced(outcome, prices, rate)
    found = {name: take(case) for name, take in MEASURES.items()}
    for i in range(CASES):
        alone = measure(outcome.flows, outcome.prices | {item: float(v[i]) for item, v in prices.items()}, rate[i])
        assert found["npv_per_ac"][i] == pytest.approx(alone.npv, abs=1e-8)
        assert found["land_expectation_per_ac"][i] == pytest.approx(alone.land_expectation, abs=1e-8)
        assert found["equal_annual_income_per_ac"][i] == pytest.approx(alone.equal_annual_income, abs=1e-9)
        assert found["deepest_cash_per_ac"][i] == pytest.approx(alone.deepest_cash)
        for name, roots in (("irr", alone.irr_all), ("irr_of_one_cycle", alone.irr_cycle)):
            only = roots[0] if len(roots) == 1 else float("nan")
            assert found[name][i] == pytest.approx(only, abs=1e-9, nan_ok=True)
        payback = float("nan") if alone.payback_year is None else alone.payback_year
        assert found["payback_year"][i] == pytest.approx(payback, nan_ok=True)


def test_a_rate_of_nothing_has_an_income_and_no_land_value() -> None:
    outcome = _field()
    case = priced(outcome, {}, np.array([0.0]))
    alone = measure(outcome.flows, outcome.prices, 0.0)
    assert MEASURES["equal_annual_income_per_ac"](case)[0] == pytest.approx(alone.equal_annual_income)
    assert np.isnan(MEASURES["land_expectation_per_ac"](case)[0])


def test_a_found_stand_is_valued_with_what_follows_it() -> None:
    outcome = fast(pines())
    assert outcome.flows.leading is not None
    prices, rate = _drawn(outcome, 5)
    case = priced(outcome, prices, rate)
    for i in range(CASES):
        alone = measure(outcome.flows, outcome.prices | {item: float(v[i]) for item, v in prices.items()}, rate[i])
        assert MEASURES["land_expectation_per_ac"](case)[i] == pytest.approx(alone.land_expectation)
        assert np.isnan(MEASURES["irr_of_one_cycle"](case)[i])


def test_rates_of_return_of_any_flows_are_the_single_roots() -> None:
    """Random flows with none, one and several changes of sign, some with gaps; the slow way root by root."""
    rng = np.random.default_rng(1)
    cash = rng.normal(0.0, 30.0, (400, 31))
    cash[:, 0] -= rng.uniform(0.0, 600.0, 400)
    cash[100:200, 1:] = np.abs(cash[100:200, 1:])
    cash[200:300] *= rng.random((100, 31)) < 0.15
    cash[300], cash[301] = 0.0, -np.abs(cash[301])
    cash[302] = np.eye(31)[0] * -100.0 + np.eye(31)[30] * 100.0  # comes back without a gain: a rate of exactly 0
    roots = [every_real_irr(flow) for flow in cash]
    expected = np.array([found[0] if len(found) == 1 else np.nan for found in roots])
    assert 50 < np.isnan(expected).sum() < 350
    assert one_irr(cash) == pytest.approx(expected, abs=1e-10, nan_ok=True)


def test_a_bid_that_flips_is_run_anew() -> None:
    """Sold at the mill's gate, dear hauling loses the bid: the figures are those of a run at that price."""
    outcome = fast(changed(example(), "sale", pricing="delivered"))
    haul = outcome.prices["haul"] * np.array([1.0, 1.2, 8.0, 8.5, 1.1])
    parts = [(cases.tolist(), run) for cases, run in same_bids(outcome, {"haul": haul}, len(haul))]
    assert sorted(case for cases, _ in parts for case in cases) == list(range(len(haul)))
    assert len(parts) > 1
    for cases, run in parts:
        values = MEASURES["npv_per_ac"](priced(run, {"haul": haul[cases]}, np.full(len(cases), outcome.rate)))
        for case, value in zip(cases, values, strict=True):
            money = outcome.scenario.money.model_copy(update={"prices": {"haul": float(haul[case])}})
            alone = fast(outcome.scenario.model_copy(update={"money": money}))
            assert value == pytest.approx(alone.measures.npv, abs=1e-8)


@pytest.mark.parametrize("example_file", sorted(EXAMPLES.glob("*.toml")), ids=lambda path: path.stem)
def test_every_price_at_once_is_a_run_at_those_prices(example_file: Path) -> None:
    """What is taken for money alone is money alone: all prices and the rate moved, and the plan run anew at them."""
    scenario = load(example_file)
    outcome = fast(scenario)
    rng = np.random.default_rng(11)
    prices = {item: price * rng.uniform(0.6, 1.4) for item, price in outcome.prices.items()}
    prices = {item: min(price, 1.0) if "share" in item else price for item, price in prices.items()}
    rate = 0.043
    money = {"prices": {item: float(price) for item, price in prices.items()}, "discount_rate": rate}
    alone = fast(changed(scenario, "money", **money))
    many = {item: np.array([price]) for item, price in prices.items()}
    assert not scenario.cost_share
    assert not scenario.other
    ((_, found),) = same_bids(outcome, many, 1)
    case = priced(found, many, np.array([rate]))
    assert MEASURES["npv_per_ac"](case)[0] == pytest.approx(alone.measures.npv, abs=1e-6)
    income = MEASURES["equal_annual_income_per_ac"](case)[0]
    assert income == pytest.approx(alone.measures.equal_annual_income, abs=1e-6)
