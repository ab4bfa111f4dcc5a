"""What must hold of an owner's books, whatever is asked: nothing moves unasked, hours and help add up."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plans import changed, example, fast, grown_fast, pasture, plantation
from simulator.accounts import LINES
from simulator.enterprises.cost_share import NOT_HELPED
from simulator.enterprises.other_income import earned_share
from simulator.herd_accounts import lines_of, words_for
from simulator.parameters.catalogue import animal_names
from simulator.parameters.prices import load_prices
from simulator.parameters.upkeep import load_months, load_sprays
from simulator.result import Outcome
from simulator.scenario.income import Other, Payment
from simulator.scenario.model import Scenario
from simulator.scenario.owner import CostShare, Labour
from simulator.scenario.owner_rules import items_that_can_be_helped
from simulator.scenario.price_rules import PER_ACRE_UNITS


def owned(plan: Scenario) -> Scenario:
    return changed(plan, "use", tenure="owned")


def line(outcome: Outcome, key: str) -> np.ndarray:
    """Quantities of one line by year, nothing where there is no such line."""
    keys = [each.key for each in outcome.flows.lines]
    return outcome.flows.quantity[:, keys.index(key)] if key in keys else np.zeros(len(outcome.cash_per_ac))


def test_without_owners_tables_the_ledger_has_no_line_more() -> None:
    for plan in (example(), plantation(example()), pasture(example())):
        assert fast(plan).flows.lines == LINES


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_income_of_the_ground_rises_with_light_from_nothing_to_all(light: float, one: float, other: float) -> None:
    least, full = sorted((one, other))
    share = float(earned_share(np.array([light]), least, full)[0])
    assert 0.0 <= share <= 1.0
    assert share == 1.0 or light < full
    assert share == 0.0 or light >= least
    assert float(earned_share(np.array([min(light + 0.1, 1.0)]), least, full)[0]) >= share


def test_months_of_labour_are_shares_of_a_year() -> None:
    assert all(shares.sum() == pytest.approx(1.0) and (shares >= 0).all() for shares in load_months().values())


def test_every_spray_says_what_it_asks() -> None:
    for spray in load_sprays().values():
        assert spray.graze_days >= 0
        assert spray.hay_days >= 0
        assert {spray.injures_pine, spray.injures_grass, spray.forbids_use} <= {0.0, 1.0}


@pytest.mark.parametrize("own_hours", [0.0, 3.0, 744.0])
def test_hours_of_the_months_are_the_hours_of_the_year_own_and_hired(own_hours: float) -> None:
    plan = owned(example())
    plain, hired = grown_fast(plan, plan.model_copy(update={"labour": Labour(own_hours_month=own_hours)}))
    labour = [each for each in plain.flows.lines if each.account == "labour"]
    assert labour
    for each in labour:
        mine, theirs = line(hired, each.key), line(hired, f"{each.key}_hired")
        assert mine + theirs == pytest.approx(line(plain, each.key), abs=1e-12)
    hours = 40.0 * sum(line(plain, each.key) for each in labour)
    assert plain.hours_by_month.sum(axis=1) == pytest.approx(hours, abs=1e-9)
    assert hired.hours_by_month == pytest.approx(plain.hours_by_month)
    bought = 40.0 * sum(line(hired, f"{each.key}_hired") for each in labour)
    over = np.maximum(plain.hours_by_month - own_hours, 0.0).sum(axis=1)
    assert bought == pytest.approx(over, abs=1e-9)


@settings(max_examples=6)
@given(
    share=st.floats(0.01, 0.6),
    years=st.tuples(st.integers(1, 20), st.integers(0, 40)),
    needs=st.sampled_from(["any", "trees", "alley"]),
)
def test_ground_given_over_grows_no_forage(share: float, years: tuple[int, int], needs: str) -> None:
    last = years[0] + years[1]
    other = Other.model_validate(
        {"name": "x", "area_share": share, "margin_per_ac": 1.0, "first_year": years[0], "last_year": last}
        | {"needs": needs}
    )
    plain, part = grown_fast(example(), example().model_copy(update={"other": (other,)}))
    taken = np.where((plain.states["age"] >= years[0]) & (plain.states["age"] <= last), share, 0.0)
    taken[0] = 0.0
    assert part.states["forage_lb_ac"] == pytest.approx(plain.states["forage_lb_ac"] * (1.0 - taken), rel=1e-9)
    acres = line(part, "other_x")
    grass = 1.0 - line(part, "rip_and_strip")[0]
    assert (acres <= taken * grass + 1e-9).all()


def test_other_income_asks_for_its_ground_in_every_system_alike() -> None:
    others = tuple(
        Other.model_validate({"name": needs, "area_share": 0.1, "margin_per_ac": 10.0, "needs": needs})
        for needs in ("any", "trees", "alley")
    )
    plan = example().model_copy(update={"other": others})
    both, trees, grass = (fast(each) for each in (plan, plantation(plan), pasture(plan)))
    earned = {
        name: {needs for needs in ("any", "trees", "alley") if line(outcome, f"other_{needs}").any()}
        for name, outcome in (("both", both), ("trees", trees), ("grass", grass))
    }
    assert earned == {"both": {"any", "trees", "alley"}, "trees": {"any", "trees"}, "grass": {"any"}}


@pytest.mark.parametrize(("needs", "systems"), [("any", "bpg"), ("trees", "bp"), ("grass", "bg"), ("both", "b")])
def test_payments_go_to_the_systems_that_hold_what_they_ask(needs: str, systems: str) -> None:
    payment = Payment.model_validate({"name": "help", "per_ac": 3.0, "last_year": 10, "needs": needs})
    plan = example().model_copy(update={"payment": (payment,)})
    outcomes = dict(zip("bpg", (fast(plan), fast(plantation(plan)), fast(pasture(plan))), strict=True))
    for name, outcome in outcomes.items():
        expected = 3.0 if name in systems else 0.0
        assert line(outcome, "payment_help")[1:11] == pytest.approx(expected)
        assert line(outcome, "payment_help")[11:34] == pytest.approx(0.0)
    assert line(outcomes["b"], "payment_help")[36:] == pytest.approx(3.0 if "b" in systems else 0.0)


def test_payments_for_grass_follow_the_years_in_which_it_is_used() -> None:
    late = changed(pasture(example()), "use", hay_years=(3, 6), first_grazing_year=9, animals="cattle")
    payment = Payment.model_validate({"name": "green", "per_ac": 3.0, "needs": "grass"})
    outcome = fast(late.model_copy(update={"payment": (payment,)}))
    used = (outcome.states["hay_ton_ac"] > 0) | (outcome.states["animal_unit_months_ac"] > 0)
    assert not used[:3].any()
    assert used[3:7].all()
    assert not used[7:9].any()
    assert used[9:].all()
    assert line(outcome, "payment_green") == pytest.approx(np.where(used, 3.0, 0.0))


def test_every_cost_that_can_be_helped_is_in_a_line_that_help_counts() -> None:
    prices = load_prices("demo-2025")
    words = [words_for(name) for name in animal_names()]
    counted = [each for named in words for each in lines_of(named) if each.sign < 0 and each.account not in NOT_HELPED]
    counted_items = {item for each in counted for item in each.prices}
    by_the_acre = {item for item in prices.items if prices.items[item].unit in PER_ACRE_UNITS}
    items = items_that_can_be_helped(prices)
    # what is paid by the acre may be a treatment, and the price of a spray is that of a line of its own
    assert set(items) <= counted_items | by_the_acre
    assert not {"wage", "hired_wage", "tax_and_administration", "seedling_factor_elite_family"} & set(items)
    assert {"seedlings", "cross_fence_and_water", "sward_establishment", "burn"} <= set(items)


@settings(max_examples=8)
@given(share=st.floats(0.05, 1.0), cap=st.one_of(st.none(), st.floats(1.0, 400.0)), life=st.integers(1, 60))
def test_help_is_never_more_than_the_cost_nor_the_cap_and_goes_back_whole(
    share: float, cap: float | None, life: int
) -> None:
    help_ = CostShare(line="planting", share=share, cap_per_ac=cap, life_years=life)
    outcome = fast(example().model_copy(update={"cost_share": (help_,)}))
    ledger: pd.DataFrame = outcome.ledger()
    by = ledger[ledger["enterprise"] == "help"]
    got, back = by[by["amount"] > 0], by[by["amount"] < 0]
    first = got[got["year"] < 35]["amount"].sum()
    planting = ["seedlings", "planting_alley", "rip_and_strip", "herbicide"]
    cost = -ledger[(ledger["year"] < 35) & ledger["item"].isin(planting)]["amount"].sum()
    assert first == pytest.approx(min(share * cost, np.inf if cap is None else cap), rel=1e-6)
    assert set(back["year"]) == ({35} if life > 35 else set())
    assert -back["amount"].sum() == pytest.approx(first if life > 35 else 0.0, abs=1e-9)
