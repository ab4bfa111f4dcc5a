"""An orchard's further years at the horizon and at a sale, and the prices that a comparison with nuts moves."""

from functools import cache

import numpy as np
import numpy_financial as npf
import pytest

from plans import changed, example, grown_fast, plantation
from simulator.comparison import Comparison, compare
from simulator.early_sale import sell_in
from simulator.findings.warnings import warnings_of
from simulator.result import Outcome, run, run_batch
from simulator.scenario.file import load_text
from simulator.scenario.model import Scenario
from simulator.scenario.trees import Layout
from workbench.examples import Choices, scenario_text
from workbench.sentences import findings

NUT_LINES = ("nuts", "nut_harvest", "orchard_care", "nut_labour")


def orchard(**money: object) -> Scenario:
    """An orchard cut at 60, on a horizon of 40 years unless said otherwise."""
    plan = load_text(scenario_text(Choices(trees="pecan", layout="square")), "orchard")
    return changed(plan, "money", **{"horizon_years": 40, **money})


@cache
def whole() -> Outcome:
    """The orchard on a horizon that ends with its harvest."""
    return run(orchard(horizon_years=60))


@cache
def cut_short() -> Outcome:
    return run(orchard())


@cache
def cheap() -> Comparison:
    return compare(orchard(prices={"nuts": 0.60}), precision="fast")


def nut_cash(outcome: Outcome) -> np.ndarray:
    place = [i for i, line in enumerate(outcome.flows.lines) if line.key in NUT_LINES]
    return np.asarray(outcome.amount[:, place].sum(axis=1))


def warned(outcome: Outcome) -> dict[str, str]:
    return {warning.code: warning.message for warning in warnings_of("silvopasture", outcome)}


def test_nuts_are_worth_the_same_wherever_the_horizon_falls() -> None:
    horizons = (15, 30, 40, 59)
    outcomes = grown_fast(*(orchard(horizon_years=years) for years in horizons))
    for years, outcome in zip(horizons, outcomes, strict=True):
        assert outcome.measures.by_enterprise["nuts"] == pytest.approx(whole().measures.by_enterprise["nuts"]), years
    assert cut_short().measures.npv == pytest.approx(whole().measures.npv, rel=0.02)


def test_the_end_value_of_nuts_is_the_present_value_of_the_years_left() -> None:
    cash = nut_cash(whole())
    ledger = cut_short().ledger().query("account == 'end value' and enterprise == 'nuts'")
    assert set(ledger["year"]) == {40}
    # numpy-financial's own discounting, with the horizon as its year 0
    assert ledger["amount"].sum() == pytest.approx(npf.npv(0.05, [0.0, *cash[41:61]]))
    assert ledger["amount"].sum() > 2000.0


def test_a_second_cycle_is_valued_by_its_own_age() -> None:
    ninety = run(orchard(horizon_years=90), precision="fast")
    cash = nut_cash(whole())
    ledger = ninety.ledger().query("account == 'end value' and enterprise == 'nuts'")
    assert ninety.states["age"][90] == 30
    assert ledger["amount"].sum() == pytest.approx(npf.npv(0.05, [0.0, *cash[31:61]]), rel=1e-6)


def test_nothing_is_left_at_the_harvest_or_where_no_end_value_is_asked_for() -> None:
    assert not whole().ledger().query("account == 'end value' and enterprise == 'nuts'")["amount"].any()
    without = run(orchard(value_at_end=False), precision="fast")
    assert "end value" not in set(without.ledger()["account"])
    assert "leaves the orchard's years to 60 out" in warned(without)["orchard_beyond_horizon"]
    assert "from year 41 to its cut in year 60" in warned(cut_short())["orchard_beyond_horizon"]
    assert "orchard_beyond_horizon" not in warned(whole())


def test_yearly_income_knows_no_end_value() -> None:
    valued, without = grown_fast(orchard(), orchard(value_at_end=False))
    assert valued.measures.equal_annual_income == pytest.approx(without.measures.equal_annual_income)


def test_an_orchard_let_go_has_no_years_left() -> None:
    plan = orchard()
    gone = run(plan.model_copy(update={"neglect": plan.neglect.model_copy(update={"from_year": 20})}))
    assert not gone.ledger().query("account == 'end value' and enterprise == 'nuts'")["amount"].any()


@pytest.mark.parametrize("year", [5, 20, 39])
def test_who_sells_an_orchard_is_paid_for_its_nuts(year: int) -> None:
    sale = sell_in(cut_short(), year)
    left = npf.npv(0.05, [0.0, *nut_cash(whole())[year + 1 : 61]])
    assert sale.trees_per_ac == pytest.approx(left, rel=0.02), "and for a little salvage wood"
    assert sale.trees_per_ac > 2000.0
    both = sale.trees_per_ac + sale.improvements_and_herd_per_ac
    assert cut_short().value_if_sold_per_ac[year] == pytest.approx(both)


def test_nuts_stand_in_the_yearly_table() -> None:
    outcome = cut_short()
    place = next(i for i, line in enumerate(outcome.flows.lines) if line.key == "nuts")
    np.testing.assert_array_equal(outcome.years()["nuts_lb_ac"], outcome.flows.quantity[:, place])
    assert outcome.states["nuts_lb_ac"].max() > 1000.0
    assert not run(example(), precision="fast").states["nuts_lb_ac"].any()


def test_an_unsold_thinning_of_nut_trees_is_paid_for_and_says_so() -> None:
    outcome = cut_short()
    assert outcome.states["no_bid"][30]
    work = outcome.ledger().query("year == 30 and item == 'precommercial_thinning'")
    assert work["quantity"].tolist() == [1.0]
    assert "hours cost $" in warned(outcome)["no_bid"]
    assert "in year 30." in warned(outcome)["no_bid"]
    sold = run(changed(orchard(), "land", acres=400.0), precision="fast")
    assert "precommercial_thinning" not in set(sold.ledger()["item"])


def test_close_nut_trees_and_tall_grass_are_warned_of() -> None:
    plan = orchard()
    assert plan.trees is not None
    close = changed(
        plan, "trees", layout=Layout.model_validate({"rows_in_set": 1, "in_row_ft": 20.0, "alley_ft": 40.0})
    )
    tall = changed(plan, "pasture", grass="native-mix")
    assert "20 ft apart" in warned(run(close, precision="fast"))["nut_trees_close"]
    assert "native-mix" in warned(run(tall, precision="fast"))["nuts_in_tall_grass"]
    assert {"nut_trees_close", "nuts_in_tall_grass"}.isdisjoint(warned(cut_short()))
    assert {"nut_trees_close", "nuts_in_tall_grass"}.isdisjoint(warned(run(plantation(example()), precision="fast")))


def test_the_price_of_nuts_switches_the_lead_where_a_run_at_that_price_does() -> None:
    switch = next(switch for switch in cheap().switches if switch.item == "nuts")
    assert (switch.now, switch.then) == ("pasture", "plantation")
    assert 0.9 < switch.price < 1.1
    plans = [one.scenario for one in cheap().systems.values()]
    for price, best in ((switch.price - 0.01, "pasture"), (switch.price + 0.01, "plantation")):
        outcomes = run_batch([changed(plan, "money", prices={"nuts": price}) for plan in plans])
        income = dict(zip(cheap().systems, (one.measures.equal_annual_income for one in outcomes), strict=True))
        assert max(income, key=lambda name: income[name]) == best


def test_an_orchard_that_loses_is_not_told_to_leave_its_nuts() -> None:
    said = findings(cheap())
    assert not [sentence for sentence in said if sentence.startswith("Nuts cost")]
    hay = [sentence for sentence in said if sentence.startswith("Hay costs")]
    assert len(hay) == 1
    assert "would lose $" in hay[0]
    assert "make -" not in hay[0]


def test_price_sets_are_called_by_what_is_sold_and_move_it() -> None:
    sets = {price_set.name: price_set.equal_annual_income for price_set in cheap().price_sets}
    assert list(sets) == ["low beef, high nuts", "prices in force", "high beef, low nuts"]
    assert sets["low beef, high nuts"]["plantation"] > sets["high beef, low nuts"]["plantation"] + 100.0
    plan = changed(orchard(), "use", animals="none", first_grazing_year=None)
    for each, trees in ((plan, "nuts"), (changed(example(), "use", animals="none", first_grazing_year=None), "wood")):
        sets = {one.name: one.equal_annual_income for one in compare(each, precision="fast").price_sets}
        assert list(sets) == [f"low hay, high {trees}", "prices in force", f"high hay, low {trees}"]
        assert sets[f"high hay, low {trees}"]["pasture"] > sets[f"low hay, high {trees}"]["pasture"] + 10.0
