"""Owners' lines worked by hand from the plan and its plain run; amounts are of these tests, invented."""

import numpy as np
import numpy_financial as npf
import pytest

from plans import changed, example, fast, grown_fast, pasture, plantation
from simulator.accounts import WOOD_PRODUCTS, Line
from simulator.comparison import compare
from simulator.early_sale import sell_in
from simulator.enterprises.cost_share import with_cost_share
from simulator.enterprises.extra import Facts, Ledger
from simulator.errors import InputError
from simulator.findings.warnings import warnings_of
from simulator.herd_accounts import words_for
from simulator.ledger import unit_prices
from simulator.parameters.upkeep import load_sprays
from simulator.result import Outcome, run
from simulator.scenario.file import load_text
from simulator.scenario.income import Income, Other
from simulator.scenario.model import Scenario
from simulator.scenario.owner import CostShare, Herbicide, Labour, Loan
from standing import pines
from workbench.examples import Choices, scenario_text

YEARS = np.arange(41)


def asked(plan: Scenario | None = None, **tables: object) -> Scenario:
    return (plan or example()).model_copy(update=tables)


def amounts(outcome: Outcome, *items: str) -> np.ndarray:
    """Dollars an acre by year of the lines named."""
    places = [i for i, line in enumerate(outcome.flows.lines) if line.key in items]
    return outcome.amount[:, places].sum(axis=1)


def of_account(outcome: Outcome, account: str) -> np.ndarray:
    places = [i for i, line in enumerate(outcome.flows.lines) if line.account == account]
    return outcome.amount[:, places].sum(axis=1)


def codes(outcome: Outcome) -> dict[str, str]:
    return {warning.code: warning.message for warning in warnings_of("run", outcome)}


# Other income ---------------------------------------------------------------------------------------------------


def test_cut_flowers_by_hand() -> None:
    other = Other(
        name="cut flowers",
        area_share=0.02,
        margin_per_ac=2000.0,
        last_year=12,
        hours_per_ac=60.0,
        least_light=0.4,
        full_light=0.8,
    )
    outcome = fast(asked(other=(other,)))
    acres = 0.02 * 37.0 / 50.0  # a 42-ft alley less the 5-ft strip, in every 50 ft
    light = np.clip((outcome.states["light_warm"] - 0.4) / 0.4, 0.0, 1.0)
    due = (outcome.states["age"] >= 1) & (outcome.states["age"] <= 12) & (YEARS > 0)
    # nobody picks where an acre brings less than its 60 hours at 18 dollars
    due &= 2000.0 * light >= 60.0 * 18.0
    assert due.any()
    assert amounts(outcome, "other_cut_flowers") == pytest.approx(np.where(due, 2000.0 * acres * light, 0.0))
    assert amounts(outcome, "other_cut_flowers_labour") == pytest.approx(np.where(due, -60.0 * 18.0 * acres, 0.0))
    worth = npf.npv(0.05, amounts(outcome, "other_cut_flowers", "other_cut_flowers_labour"))
    assert outcome.measures.by_enterprise["cut flowers"] == pytest.approx(worth)


def test_hunting_brings_half_beside_animals_and_more_by_a_browse_strip() -> None:
    strip = Other(name="browse", area_share=0.05, margin_per_ac=0.0, first_year=3, last_year=9, hunting_bonus=0.25)
    outcome = fast(asked(income=Income(hunting_lease=True), other=(strip,)))
    grazed = outcome.states["animal_unit_months_ac"] > 0
    assert grazed.any()
    age = outcome.states["age"]
    expected = 8.0 * np.where(grazed, 0.5, 1.0) * np.where((age >= 3) & (age <= 9), 1.25, 1.0)
    expected[0] = 0.0
    assert amounts(outcome, "hunting_lease", "hunting_lease_grazed") == pytest.approx(expected)


def test_carbon_is_paid_while_trees_stand_and_open_pasture_gets_none() -> None:
    plan = asked(income=Income(carbon_payment_per_ac_yr=5.0, carbon_years=(1, 20)))
    both, grass = fast(plan), fast(pasture(plan))
    age = both.states["age"]
    assert amounts(both, "carbon_payment") == pytest.approx(np.where((YEARS > 0) & (age <= 20), 5.0, 0.0))
    assert not amounts(grass, "carbon_payment").any()


# Dues -----------------------------------------------------------------------------------------------------------


def test_land_is_taxed_by_its_use_and_rent_is_paid_by_all() -> None:
    plan = changed(example(), "land", tax_trees_per_ac=2.0, tax_grass_per_ac=5.0, rent_paid_per_ac=11.0)
    for each, tax in (
        (plan, 2.0 * 13.0 / 50.0 + 5.0 * 37.0 / 50.0),
        (plantation(plan), 2.0),
        (pasture(plan), 5.0),
    ):
        outcome, plain = grown_fast(each, changed(each, "land", tax_trees_per_ac=None, tax_grass_per_ac=None))
        assert amounts(outcome, "property_tax")[1:] == pytest.approx(-tax)
        assert amounts(outcome, "rent_paid")[1:] == pytest.approx(-11.0)
        assert plain.measures.equal_annual_income - outcome.measures.equal_annual_income == pytest.approx(tax)
        assert ("use_changes" in codes(outcome)) == (each.trees is not None)
        assert ("leased_in" in codes(outcome)) == (each.trees is not None)


@pytest.mark.parametrize(("former", "after"), [("pasture", "plantation"), ("cutover", "pasture")])
def test_the_use_of_land_under_a_stand_changes_when_pasture_follows_it(former: str, after: str) -> None:
    plan = changed(changed(pines(), "land", tax_trees_per_ac=2.0, former_use=former), "stand", after_harvest=after)
    assert ("use_changes" in codes(fast(plan))) == (after == "pasture")


# Help -----------------------------------------------------------------------------------------------------------


def test_half_of_the_planting_comes_back_the_same_year_and_again_with_each_planting() -> None:
    plain, helped = fast(example()), fast(asked(cost_share=(CostShare(line="planting", share=0.5, life_years=15),)))
    items = ("seedlings", "planting_alley", "rip_and_strip", "herbicide", "cutover_preparation")
    assert of_account(helped, "help") == pytest.approx(-0.5 * amounts(plain, *items))
    assert of_account(helped, "help")[[0, 1, 35, 36]].all()
    # one cycle: years 0 and 1, and what the replanting repeats in the last
    cycle = -0.5 * amounts(plain, *items)[:36]
    cycle[35] -= cycle[0]
    gain = -npf.pmt(0.05, 35, npf.npv(0.05, cycle))
    assert helped.measures.equal_annual_income - plain.measures.equal_annual_income == pytest.approx(gain)
    assert "help_repaid" not in codes(helped)


@pytest.mark.parametrize("horizon", [20, 35, 60])
def test_yearly_income_with_everything_asked_does_not_hang_on_the_horizon(horizon: int) -> None:
    """One cycle repeated for ever is the same cycle, whether the horizon stops inside it, at its end or beyond."""
    plan = asked(
        changed(changed(example(), "land", tax_trees_per_ac=2.0), "money", timber_sale="lump sum"),
        income=Income(hunting_lease=True, carbon_payment_per_ac_yr=4.0),
        other=(Other(name="greens", area_share=0.1, margin_per_ac=30.0, needs="trees"),),
        cost_share=(CostShare(line="planting", share=0.5, cap_per_ac=60.0, life_years=40),),
        herbicide=(Herbicide(year=0, product_class="glyphosate"),),
    )
    other = fast(changed(plan, "money", horizon_years=horizon))
    assert other.measures.equal_annual_income == pytest.approx(fast(plan).measures.equal_annual_income, abs=1e-9)


def test_a_cap_stops_the_help_in_the_year_in_which_it_is_reached() -> None:
    items = ("seedlings", "planting_alley", "rip_and_strip", "herbicide")
    cost = -amounts(fast(example()), *items)
    cap = 0.5 * cost[0] + 1.0
    helped = fast(asked(cost_share=(CostShare(line="planting", share=0.5, cap_per_ac=cap, life_years=15),)))
    assert of_account(helped, "help")[:3] == pytest.approx([0.5 * cost[0], 1.0, 0.0])
    assert of_account(helped, "help")[35] == pytest.approx(cap)  # stumps cost more: the cap is reached at once


def test_trees_cut_before_the_contract_is_over_are_paid_for() -> None:
    help_ = CostShare(line="planting", share=0.5, life_years=36)
    outcome = fast(asked(cost_share=(help_,)))
    got = of_account(outcome, "help")
    repaid = [line.key for line in outcome.flows.lines if line.key.startswith("cost_share_repaid")]
    assert amounts(outcome, *repaid)[35] == pytest.approx(-(got[0] + got[1]))
    assert np.flatnonzero(amounts(outcome, *repaid)).tolist() == [35]
    said = codes(outcome)["help_repaid"]
    assert "year 35" in said
    assert f"${got[0] + got[1]:,.0f} an acre" in said


def test_help_with_a_fence_comes_with_each_renewal() -> None:
    help_ = CostShare(line="fence", share=0.75, practice="fence", life_years=20)
    outcome = fast(pasture(asked(changed(example(), "money", horizon_years=45), cost_share=(help_,))))
    assert of_account(outcome, "help")[[1, 21, 41]] == pytest.approx(45.0)
    assert of_account(outcome, "help").sum() == pytest.approx(3 * 45.0)
    assert "help_repaid" not in codes(fast(asked(cost_share=(help_,))))


@pytest.mark.parametrize("animals", ["cattle", "sheep", "goats"])
def test_help_with_a_fence_pays_for_whichever_fence_holds_the_animals(animals: str) -> None:
    share = CostShare(line="fence", share=0.75, practice="fence", life_years=20)
    plan = pasture(changed(example(), "use", tenure="owned", animals=animals))
    outcome = fast(asked(changed(plan, "land", perimeter_fenced=False), cost_share=(share,)))
    words = words_for(animals)
    fences = {words.perimeter_fence, words.cross_fence}
    lines = [line for line in outcome.flows.lines if line.account != "end value" and set(line.prices) & fences]
    built = amounts(outcome, *(line.key for line in lines if line.account != "help"))
    assert np.flatnonzero(built).size >= 1
    assert of_account(outcome, "help") == pytest.approx(-0.75 * built)


@pytest.mark.parametrize("species", ["longleaf", "pecan"])
def test_help_with_planting_pays_for_containers_and_grafts(species: str) -> None:
    plan = example() if species == "longleaf" else load_text(scenario_text(Choices(trees=species)), "orchard")
    plan = changed(plan, "trees", species=species)
    help_ = CostShare(line="planting", share=0.5, life_years=15)
    helped = fast(asked(plan, cost_share=(help_,)))
    planted = [
        line.key for line in helped.flows.lines if line.account == "establishment" and line.enterprise != "grazing"
    ]
    dearest = {"longleaf": "container_stock", "pecan": "grafted_trees"}[species]
    assert amounts(helped, dearest)[0] < 0
    assert of_account(helped, "help")[0] == pytest.approx(-0.5 * amounts(helped, *planted)[0])


@pytest.mark.parametrize(
    ("last_grazed", "harvest", "repaid_in"),
    [(9, None, 10), (14, None, None), (13, None, 14), (9, 9, None), (20, None, None)],
    ids=["dropped", "kept for its years", "a year short", "young trees come between", "kept longer"],
)
def test_a_fence_dropped_before_its_time_is_paid_back(
    last_grazed: int, harvest: int | None, repaid_in: int | None
) -> None:
    """Built in year 5 for 60 dollars, half of it helped, to be kept for ten years: years 5 to 14."""
    fence = Line("cross_fence_and_water", "grazing", "capital", "ac", -1, ("cross_fence_and_water",))
    rows = np.arange(21)
    ledger = Ledger((fence,), np.where(rows == 5, 1.0, 0.0)[:, None], np.zeros(1))
    help_ = CostShare(line="fence", share=0.5, practice="fence", life_years=10)
    never = np.zeros(21, bool)
    facts = Facts(
        scenario=asked(cost_share=(help_,)),
        age=rows.astype(float),
        light=np.ones(21),
        trees=~never,
        grazed=(rows >= 5) & (rows <= last_grazed),
        mown=never,
        replanted=rows == harvest if harvest else never,
        grass_share=0.74,
        alley=True,
    )
    books = with_cost_share(ledger, facts, {"cross_fence_and_water": 60.0})
    money = books.quantity * unit_prices(books.lines, {"cross_fence_and_water": 60.0})
    expected = np.where(rows == 5, -60.0 + 30.0, 0.0) - np.where(rows == repaid_in, 30.0, 0.0)
    assert money.sum(axis=1) == pytest.approx(expected)


def test_help_for_grass_goes_back_when_hay_ends_and_nobody_grazes() -> None:
    plan = changed(changed(example(), "pasture", established=False), "use", animals="none", first_grazing_year=None)
    help_ = CostShare(line="grass", share=0.6, practice="grass", life_years=10)
    outcome = fast(asked(changed(plan, "use", hay_years=(1, 4)), cost_share=(help_,)))
    got = 0.6 * 220.0 * 37.0 / 50.0
    assert of_account(outcome, "help")[[0, 5]] == pytest.approx([got, -got])


# Selling --------------------------------------------------------------------------------------------------------


def test_a_lump_sum_is_the_same_wood_a_year_earlier_at_its_factor() -> None:
    plain, lump = fast(example()), fast(changed(example(), "money", timber_sale="lump sum"))

    def wood(outcome: Outcome) -> np.ndarray:
        keys = [line.key for line in outcome.flows.lines if line.enterprise == "wood" and line.unit == "ton"]
        return amounts(outcome, *(key for key in keys if not key.startswith("end_")))

    assert wood(plain).nonzero()[0].tolist() == [16, 24, 35]
    assert wood(lump)[:-1] == pytest.approx(0.95 * wood(plain)[1:])
    assert lump.wood_ton_ac == pytest.approx(plain.wood_ton_ac)
    assert "lump_sum" in codes(lump)
    gain = sum(wood(plain)[year] * (0.95 / 1.05 ** (year - 1) - 1.0 / 1.05**year) for year in (16, 24, 35))
    income = gain / (1.0 - 1.05**-35) * 0.05
    assert lump.measures.equal_annual_income - plain.measures.equal_annual_income == pytest.approx(income)


def test_a_cut_just_beyond_the_horizon_stands_at_its_end_and_is_not_sold_twice() -> None:
    plan = changed(example(), "money", horizon_years=34, timber_sale="lump sum")
    outcome = fast(plan)
    sold = [line.key for line in outcome.flows.lines if "final_harvest" in line.key]
    assert not amounts(outcome, *sold).any()
    assert outcome.end_value_per_ac > 1000.0


def test_land_sold_at_the_horizon_is_the_present_value_with_the_land_and_without_the_way_back() -> None:
    plan = changed(changed(example(), "money", horizon_years=30), "land", bare_land_price_per_ac=2500.0)
    outcome = run(plan)
    sale = sell_in(outcome, 30)
    back = amounts(outcome, "end_reconversion")[30]
    assert back < 0
    expected = outcome.measures.npv + (2500.0 - back) / 1.05**30
    assert sale.npv_per_ac == pytest.approx(expected)
    ends = {product: amounts(outcome, f"end_{product}", f"end_{product}_fee")[30] for product in WOOD_PRODUCTS}
    assert sale.trees_per_ac == pytest.approx(sum(ends.values()))
    assert outcome.value_if_sold_per_ac[30] == pytest.approx(sale.trees_per_ac + sale.improvements_and_herd_per_ac)


@pytest.mark.parametrize("kind", ["by the ton", "lump sum"])
def test_who_sells_the_land_at_the_harvest_plants_nothing_again(kind: str) -> None:
    outcome = run(changed(example(), "money", timber_sale=kind))
    sale = sell_in(outcome, 35)
    cash = outcome.cash_per_ac[:36].copy()
    replanting = amounts(outcome, "seedlings", "planting_alley", "cutover_preparation", "herbicide")[35]
    assert replanting < 0
    cash[35] -= replanting - 0.5 * 18.0  # hours of planting
    fence = amounts(run(changed(example(), "money", horizon_years=35)), "end_fence")[35]
    assert (sale.trees_per_ac, sale.bare_land_per_ac) == (0.0, None)
    assert sale.npv_per_ac == pytest.approx(npf.npv(0.05, cash) + fence / 1.05**35)


def test_timber_signed_away_but_not_cut_is_not_counted_twice_when_the_land_is_sold() -> None:
    ton, lump = (run(changed(example(), "money", timber_sale=kind)) for kind in ("by the ton", "lump sum"))
    assert sell_in(lump, 15).npv_per_ac == pytest.approx(sell_in(ton, 15).npv_per_ac)


def test_a_year_outside_the_horizon_is_refused() -> None:
    with pytest.raises(InputError, match="within years 1 to 40"):
        sell_in(run(example()), 41)


# Hours, fence, sprays -------------------------------------------------------------------------------------------


def test_hired_hours_cost_the_difference_of_the_wages() -> None:
    plan = changed(example(), "use", tenure="owned")
    plain, hired = grown_fast(plan, asked(plan, labour=Labour(own_hours_month=0.0)))
    assert of_account(hired, "labour") == pytest.approx(of_account(plain, "labour") * 20.0 / 18.0)
    free = grown_fast(*(changed(each.scenario, "money", pay_labour=False) for each in (plain, hired)))
    assert not of_account(free[0], "labour").any()
    assert of_account(free[1], "labour") == pytest.approx(of_account(hired, "labour"))
    assert "busiest_month" in codes(hired)


def test_a_fence_is_renewed_after_its_stated_life() -> None:
    grass = pasture(changed(example(), "land", fence_life_years=12.0))
    outcome = fast(grass)
    assert np.flatnonzero(amounts(outcome, "cross_fence_and_water")).tolist() == [1, 13, 25, 37]
    assert amounts(outcome, "end_fence")[40] == pytest.approx(60.0 * 8.0 / 12.0)


def test_sprays_cost_their_share_and_come_again_with_the_planting() -> None:
    sprays = (
        Herbicide(year=0, product_class="glyphosate", share=0.4),
        Herbicide(year=6, product_class="triclopyr", share=0.5),
    )
    outcome = fast(asked(herbicide=sprays))
    assert np.flatnonzero(amounts(outcome, "spray_glyphosate")).tolist() == [0, 35]
    assert amounts(outcome, "spray_glyphosate")[35] == pytest.approx(-0.4 * 25.0)
    assert np.flatnonzero(amounts(outcome, "spray_triclopyr")).tolist() == [6]
    said = [w.message for w in warnings_of("run", outcome) if w.code == "spray_pines"]
    assert len(said) == 2
    assert all("label" in message for message in said)


def test_every_spray_is_warned_of_under_orchard_trees_which_are_no_pines() -> None:
    plan = load_text(scenario_text(Choices(trees="pecan")), "orchard")
    sprays = tuple(Herbicide(year=3, product_class=name, ground="strips") for name in load_sprays())
    warned = warnings_of("run", fast(asked(plan, herbicide=sprays)))
    said = [warning.message for warning in warned if warning.code == "spray_trees"]
    assert [message.split(" in year")[0] for message in said] == list(load_sprays())
    assert not any("pine" in message for message in said)
    assert "spray_pines" not in {warning.code for warning in warned}


def test_everything_at_once_still_adds_up_in_all_three_systems() -> None:
    plan = asked(
        changed(
            changed(example(), "land", tax_trees_per_ac=2.0, rent_paid_per_ac=1.0), "money", timber_sale="lump sum"
        ),
        income=Income(hunting_lease=True, carbon_payment_per_ac_yr=4.0),
        other=(Other(name="greens", area_share=0.1, item="hunting_lease", hours_per_ac=5.0),),
        cost_share=(CostShare(line="planting", share=0.5, cap_per_ac=60.0, life_years=40),),
        labour=Labour(own_hours_month=2.0),
    )
    for name, outcome in compare(plan, precision="fast").systems.items():
        ledger = outcome.ledger(name)
        worth = (ledger["amount"] / 1.05 ** ledger["year"]).sum()
        assert outcome.measures.npv == pytest.approx(worth, rel=1e-9)
        assert sum(outcome.measures.by_enterprise.values()) == pytest.approx(worth, rel=1e-9)
        cash = ledger[ledger["account"] != "end value"].groupby("year")["amount"].sum().reindex(YEARS, fill_value=0.0)
        assert outcome.cash_per_ac == pytest.approx(cash.to_numpy())


def test_a_loan_after_the_horizon_is_not_in_the_figures_and_said_to_be() -> None:
    late = Loan(name="shed", amount_per_ac=100.0, rate=0.05, years=5, first_year=41)
    outcome = fast(asked(loan=(late,)))
    assert outcome.cash_after_loans_per_ac == pytest.approx(outcome.cash_per_ac)
    assert "Shed would be paid out in year 41" in codes(outcome)["loan_too_late"]
    assert "loan_too_late" not in codes(fast(asked(loan=(late.model_copy(update={"first_year": 40}),))))


def test_at_a_rate_of_zero_land_has_no_expectation_value_but_an_income() -> None:
    outcome = fast(changed(example(), "money", discount_rate=0.0))
    assert outcome.measures.land_expectation is None
    cycle = 35
    cash = outcome.cash_per_ac
    replanted = cash[1:cycle].sum() + cash[cycle]  # the harvest's year pays for the next planting
    assert outcome.measures.equal_annual_income == pytest.approx(replanted / cycle, rel=1e-9)


def test_exit_values_are_reckoned_only_when_asked_and_end_as_the_books_do() -> None:
    outcome = run(example())
    assert "exit_value" not in vars(outcome) or "quantity" not in vars(outcome.exit_value)
    left = [line.key == "end_reconversion" for line in outcome.flows.lines]
    end = outcome.end_value_per_ac - outcome.amount[:, left].sum()
    assert outcome.value_if_sold_per_ac[40] == pytest.approx(end, rel=1e-12)
