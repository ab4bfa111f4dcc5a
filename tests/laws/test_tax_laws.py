"""What must hold after income tax, whatever the rates."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from plans import changed, example, fast, pasture, plantation
from simulator import tax
from simulator.after_tax import AfterTax, after_tax, kinds_of
from simulator.enterprises.dry_access import is_timber
from simulator.finance import net_present_value
from simulator.result import Outcome
from simulator.scenario.model import Scenario
from simulator.scenario.owner import CostShare
from simulator.scenario.tax import Tax
from simulator.units import FloatArray
from standing import pines

costs = arrays(np.float64, 12, elements=st.floats(0.0, 1000.0))


def taxed(plan: Scenario, **fields: object) -> Scenario:
    stated = {"ordinary_rate": 0.22, "gains_rate": 0.15, "state_rate": 0.05, **fields}
    return plan.model_copy(update={"tax": Tax.model_validate(stated)})


GROWN: dict[str, Outcome] = {}


def run(plan: Scenario) -> Outcome:
    """One plan with its tax; what it grows depends on no rate, so it is grown once."""
    bare = plan.model_copy(update={"tax": None, "money": plan.money.model_copy(update={"inflation": 0.0})})
    key = bare.model_dump_json()
    GROWN[key] = GROWN.get(key) or fast(bare)
    return replace(GROWN[key], scenario=plan)


def left(outcome: Outcome) -> AfterTax:
    found = after_tax(outcome)
    assert found is not None
    return found


def own_herd(plan: Scenario) -> Scenario:
    return changed(plan, "use", tenure="owned")


@given(cost=costs, cap=st.floats(0.0, 2000.0), years=st.integers(1, 40))
def test_what_is_planted_is_deducted_once_and_never_more_at_once_than_the_cap(
    cost: FloatArray, cap: float, years: int
) -> None:
    deducted = tax.reforestation_deductions(cost, cap, years)
    assert deducted.sum() == pytest.approx(cost.sum())
    assert (deducted >= 0.0).all()
    assert tax.reforestation_deductions(cost, np.inf, years)[: len(cost)] == pytest.approx(cost)
    lighter = tax.reforestation_deductions(cost, cap, years, inflation=0.03)
    assert (lighter <= deducted + 1e-9).all()


@given(cost=costs, years=st.integers(1, 40))
def test_what_wears_out_is_deducted_once(cost: FloatArray, years: int) -> None:
    assert tax.straight_line(cost, years).sum() == pytest.approx(cost.sum())
    assert tax.straight_line(cost, years)[0] == 0.0


@given(sold=costs, basis=st.floats(0.0, 1e5), volume=st.floats(1.0, 1e4), closing=st.integers(0, 12))
def test_no_more_basis_is_recovered_than_there_is(sold: FloatArray, basis: float, volume: float, closing: int) -> None:
    used = tax.basis_recovered(basis, volume, sold, closing)
    assert (used >= -1e-9).all()
    assert used.sum() <= basis * (1.0 + 1e-12)
    if closing < 12:
        assert used.sum() == pytest.approx(basis)
    assert (used[closing + 1 :] == 0.0).all()


@given(
    bought=arrays(np.float64, 8, elements=st.floats(0.0, 5.0)), share=arrays(np.float64, 8, elements=st.floats(0, 1))
)
def test_animals_sold_at_the_price_paid_bring_no_gain(bought: FloatArray, share: FloatArray) -> None:
    sold, head = np.zeros(8), 0.0
    for year in range(8):
        head += bought[year]
        sold[year] = share[year] * head
        head -= sold[year]
    used = tax.herd_basis_used(bought, 1800.0 * bought, sold)
    assert used == pytest.approx(1800.0 * sold, abs=1e-6)
    more = tax.herd_basis_used(bought, 1800.0 * bought, sold + 10.0)
    assert more.sum() == pytest.approx(1800.0 * bought.sum()), "animals raised have no basis"


def test_without_rates_nothing_is_taken_and_without_a_table_nothing_is_said() -> None:
    assert after_tax(run(example())) is None
    for plan in (example(), pasture(example()), plantation(example()), own_herd(example())):
        outcome = run(taxed(plan, ordinary_rate=0.0, gains_rate=0.0, state_rate=0.0))
        none = left(outcome)
        assert none.rate == pytest.approx(outcome.rate)
        assert none.npv_per_ac == pytest.approx(outcome.measures.npv)
        assert none.irr_all == pytest.approx(outcome.measures.irr_all)
        assert none.equal_annual_income_per_ac == pytest.approx(outcome.measures.equal_annual_income)


def test_with_one_rate_tax_is_that_share_of_all_that_is_earned_in_the_end() -> None:
    """Whatever is deducted when: over the years every dollar of cost and of income is counted once."""
    for plan in (example(), pasture(example()), plantation(example()), own_herd(example())):
        outcome = run(taxed(plan, ordinary_rate=0.3, gains_rate=0.3, state_rate=0.0))
        found = left(outcome)
        assert found.tax_per_ac.sum() == pytest.approx(0.3 * outcome.amount.sum())
        assert found.cash_per_ac + found.tax_per_ac == pytest.approx(outcome.amount.sum(axis=1))
        assert found.npv_per_ac == pytest.approx(net_present_value(found.cash_per_ac, found.rate))


def test_a_cost_deducted_at_once_and_an_income_taxed_at_once_leave_their_share() -> None:
    """With everything deducted in its year a share of the cash is left, and its rate of return is the same."""
    outcome = run(
        taxed(plantation(example()), ordinary_rate=0.3, gains_rate=0.3, state_rate=0.0, planting_deducted_at_once=1e9)
    )
    found = left(outcome)
    assert found.cash_per_ac == pytest.approx(0.7 * outcome.amount.sum(axis=1))
    assert found.irr_all == pytest.approx(outcome.measures.irr_all, abs=1e-6)
    assert found.equal_annual_income_per_ac == pytest.approx(0.7 * found.before_tax_per_ac)


@given(cap=st.floats(0.0, 20_000.0))
@settings(max_examples=10)
def test_the_sooner_planting_is_deducted_the_better(cap: float) -> None:
    plan = plantation(example())
    slow, soon = (left(run(taxed(plan, planting_deducted_at_once=each))) for each in (0.0, cap))
    assert soon.npv_per_ac >= slow.npv_per_ac - 1e-9
    inflated = left(run(changed(taxed(plan), "money", inflation=0.03)))
    # the real rate falls too, so that tax and not worth is compared
    assert inflated.tax_per_ac.sum() > slow.tax_per_ac.sum()


def test_timber_is_a_gain_after_its_fee_and_grazing_ordinary() -> None:
    plan = example()
    on_gains = left(run(taxed(plan, ordinary_rate=0.0, state_rate=0.0, gains_rate=0.2)))
    outcome = run(taxed(plan))
    wood = np.array([line.enterprise == "wood" and line.unit == "ton" for line in outcome.flows.lines])
    assert on_gains.tax_per_ac == pytest.approx(0.2 * outcome.amount[:, wood].sum(axis=1))
    kinds = dict(zip((line.key for line in outcome.flows.lines), kinds_of(outcome.flows.lines, plan), strict=True))
    said = {
        "sawtimber_final_harvest": "wood",
        "pulpwood_first_thinning_fee": "wood",
        "end_sawtimber_fee": "wood",
        "seedlings": "planting",
        "grafted_trees": "orchard",
        "sward_establishment": "ordinary",
        "cross_fence_and_water": "fence",
        "end_fence": "ordinary",
        "end_reconversion": "ordinary",
        "cows_bought": "bought",
        "end_cows": "herd",
        "drought_discount": "herd",
        "calves": "ordinary",
        "cull_cows": "ordinary",
        "hay": "ordinary",
        "lime": "ordinary",
        "straw": "ordinary",
        "grazing_lease": "ordinary",
        "herd_labour": "ordinary",
        "tax_and_administration": "ordinary",
    }
    assert {key: kinds[key] for key in said} == said


def test_at_the_mills_gate_what_is_left_of_the_sale_is_the_gain() -> None:
    """Cutting, loading, haul and moving in come off the gain, at its rate, and not off other income."""
    delivered = changed(example(), "sale", pricing="delivered", haul_miles=40.0)
    outcome = run(taxed(delivered, ordinary_rate=0.0, state_rate=0.0, gains_rate=0.2))
    lines, timber = outcome.flows.lines, [is_timber(line) for line in outcome.flows.lines]
    assert any(line.account == "logging" and each for line, each in zip(lines, timber, strict=True))
    assert left(outcome).tax_per_ac == pytest.approx(0.2 * outcome.amount[:, timber].sum(axis=1))


def test_a_herd_sold_at_the_price_paid_is_no_gain_but_its_commission_a_loss() -> None:
    outcome = run(taxed(own_herd(example()), ordinary_rate=0.0, state_rate=0.0, gains_rate=0.2))
    keys = [line.key for line in outcome.flows.lines]
    selling = sum(outcome.amount[:, keys.index(key)] for key in ("cows_selling", "end_cows_selling", "displaced_herd"))
    wood = np.array([line.enterprise == "wood" and line.unit == "ton" for line in outcome.flows.lines])
    expected = 0.2 * (outcome.amount[:, wood].sum(axis=1) + selling)
    assert left(outcome).tax_per_ac == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize("cap", [None, 40.0])
@pytest.mark.parametrize("line", ["planting", "fence", "herbicide"])
def test_help_lowers_the_cost_it_helps_or_is_taxed(line: str, cap: float | None) -> None:
    helped = example().model_copy(update={"cost_share": (CostShare(line=line, share=0.5, cap_per_ac=cap),)})
    one_rate = {"ordinary_rate": 0.3, "gains_rate": 0.3, "state_rate": 0.0}
    free, taxable = (run(taxed(helped, help_taxable=each, **one_rate)) for each in (False, True))
    assert left(free).tax_per_ac.sum() == pytest.approx(left(taxable).tax_per_ac.sum())
    # taxed at once, while the cost it paid for is deducted over years
    slower = left(taxable).npv_per_ac <= left(free).npv_per_ac + 1e-9
    assert slower
    kinds = dict(zip((each.key for each in free.flows.lines), kinds_of(free.flows.lines, free.scenario), strict=True))
    helps = {kind for key, kind in kinds.items() if key.startswith("cost_share")}
    assert helps == {"fence" if line == "fence" else "planting"}


@pytest.mark.parametrize("sale", ["by the ton", "lump sum"])
def test_the_basis_of_a_stand_saves_its_tax_once(sale: str) -> None:
    found = changed(pines(), "money", timber_sale=sale)
    bare, paid = (
        run(taxed(found, timber_basis=basis, timber_basis_ton=tons))
        for basis, tons in ((None, None), (found.land.acres * 300.0, found.land.acres * 40.0))
    )
    saved = left(bare).tax_per_ac - left(paid).tax_per_ac
    assert saved.sum() == pytest.approx(0.20 * 300.0)
    assert (saved >= -1e-9).all()
    sold = np.flatnonzero(
        bare.amount[:, [line.unit == "ton" and line.account == "sale" for line in bare.flows.lines]].sum(axis=1)
    )
    assert set(np.flatnonzero(saved > 1e-9)) <= set(sold)
    assert left(paid).equal_annual_income_per_ac > left(bare).equal_annual_income_per_ac


def test_tax_changes_no_measure_before_it() -> None:
    assert fast(taxed(example())).measures == fast(example()).measures
