"""What must hold of any sale of wood: its sums, its bids, its straight lines, and that nothing moves unasked."""

from collections.abc import Mapping
from functools import cache
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plans import changed, example, fast, grown_fast, pasture, plantation, scheduled
from simulator.accounts import WOOD_PRODUCTS
from simulator.band import price_swings
from simulator.comparison import compare
from simulator.early_sale import sell_in
from simulator.enterprises.offers import COSTS_MORE, FEW_LOADS, SOLD, bids_hold
from simulator.errors import InputError
from simulator.findings.warnings import warnings_of
from simulator.harvest_logs import harvest_logs, harvest_values
from simulator.measures import annual_income
from simulator.parameters.tables import load_practice
from simulator.physics.logging import cut_and_load_factor
from simulator.price_changes import income_at
from simulator.result import Outcome, run
from simulator.sales import mix_of, sales_of, sales_table, stumpage_per_ton
from simulator.scenario.file import load
from simulator.scenario.model import Scenario
from simulator.scenario.sale import Sale
from standing import pines
from workbench.examples import example_text

FEE, RATE = 0.05, 0.05
MILL = dict(zip(WOOD_PRODUCTS, (33.0, 42.5, 51.5, 66.5), strict=True))
FAR = 85.0
"""Miles from which the first thinning of the example finds no bid, and its final harvest does."""


def sold(plan: Scenario, **sale: object) -> Scenario:
    return plan.model_copy(update={"sale": Sale.model_validate(sale)})


def delivered(plan: Scenario, **sale: object) -> Scenario:
    return sold(plan, pricing="delivered", **sale)


@cache
def near() -> Outcome:
    return fast(delivered(example()))


@cache
def far() -> Outcome:
    return fast(delivered(example(), haul_miles=FAR))


def wood(outcome: Outcome) -> "pd.Series[float]":
    """Dollars of wood sold by year, costs and fees taken off; no planting."""
    ledger = outcome.ledger()
    mine = ledger["item"].str.contains("_delivered|cut_and_load|^haul|move_in|_thinning|_final_harvest|salvage_")
    rows = ledger[mine & (ledger["enterprise"] == "wood") & (ledger["account"] != "end value")]
    return rows[rows["item"] != "precommercial_thinning"].groupby("year")["amount"].sum()


def said(outcome: Outcome) -> Mapping[str, str]:
    return {warning.code: warning.message for warning in warnings_of("run", outcome)}


# Nothing moves unasked ------------------------------------------------------------------------------------------


def test_a_table_of_defaults_changes_nothing() -> None:
    plain, told = grown_fast(example(), sold(example(), pricing="stumpage", haul_miles=90.0))
    assert np.array_equal(plain.flows.quantity, told.flows.quantity)
    assert plain.measures == told.measures
    assert not [line for line in plain.flows.lines if line.account == "logging"]


def test_one_batch_holds_both_ways_to_sell() -> None:
    plans = [example(), delivered(example()), plantation(example()), delivered(pasture(example()))]
    for plan, together in zip(plans, grown_fast(*plans), strict=True):
        assert together.measures == fast(plan).measures


# Sums -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("miles", "neighbours"), [(50.0, 0.0), (20.0, 60.0), (FAR, 0.0)])
def test_the_ledger_is_price_at_the_mill_less_costs_less_the_fee_on_what_is_left(
    miles: float, neighbours: float
) -> None:
    outcome = fast(delivered(example(), haul_miles=miles, acres_sold_with=neighbours))
    booked, years = wood(outcome), [sale.year for sale in sales_of(outcome) if sale.answer == "sold"]
    assert sorted(booked.index) == sorted(years)
    for sale in sales_of(outcome):
        tons = sum(sale.ton_ac.values())
        piece = min(max(sale.mean_tree_ton, 0.08), 0.30)
        load = 16.0 * (0.30 / piece) ** 0.25 * (1.15 if sale.cut.endswith("thinning") else 1.0)
        gate = sum(MILL[product] * ton for product, ton in sale.ton_ac.items())
        left = gate - tons * (load + 0.16 * miles) - 1500.0 / (40.0 + neighbours)
        assert sale.left_per_ac == pytest.approx(left, rel=1e-9)
        assert sale.left_per_ton == pytest.approx(left / tons, rel=1e-9)
        if sale.answer == "sold":
            assert booked[sale.year] == pytest.approx(left * (1.0 - FEE), rel=1e-9)
            assert sum(sale.stumpage_per_ton[p] * t for p, t in sale.ton_ac.items()) == pytest.approx(left, rel=1e-9)


def test_stumpage_sales_are_told_as_they_are_booked() -> None:
    outcome = fast(example())
    for sale in sales_of(outcome):
        assert wood(outcome)[sale.year] == pytest.approx(sale.left_per_ac * (1.0 - FEE), rel=1e-9)
        assert sale.loads == pytest.approx(sum(sale.ton_ac.values()) * 40.0 / 26.0)
        assert sale.reason == ""


def test_mean_tree_is_tons_by_trees_and_grows_from_cut_to_cut() -> None:
    """Price by the ton of a stand rises with its diameter, for pieces are larger and better (wood_products, d)."""
    for outcome in (near(), fast(example())):
        sales = sales_of(outcome)
        for sale in sales:
            cut = outcome.states["trees_cut_per_ac"][sale.year]
            # trees below pulpwood size are cut but not weighed
            assert sale.mean_tree_ton >= sum(sale.ton_ac.values()) / cut - 1e-9
        assert [s.mean_tree_ton for s in sales] == sorted(s.mean_tree_ton for s in sales)
        assert [s.left_per_ton for s in sales] == sorted(s.left_per_ton for s in sales)


def test_trees_at_the_horizon_are_worth_what_their_final_cut_would_leave() -> None:
    cut = changed(delivered(example()), "money", horizon_years=35)
    standing = changed(scheduled(delivered(example()), 36, *example().thinning), "money", horizon_years=35)
    felled, valued = grown_fast(cut, standing)
    ledger = valued.ledger()
    worth = ledger[ledger["item"].str.startswith("end_") & (ledger["enterprise"] == "wood")]
    worth = worth.loc[worth["item"] != "end_reconversion", "amount"].sum()
    assert wood(felled)[35] > 1000.0
    assert worth == pytest.approx(wood(felled)[35], rel=1e-9)


def test_land_sold_early_takes_its_timber_at_what_is_left() -> None:
    outcome = run(delivered(example()))
    at_harvest = sell_in(outcome, 34).trees_per_ac
    assert 0.8 * wood(outcome)[35] < at_harvest < wood(outcome)[35]


def test_the_mix_is_the_tons_of_the_cycle_at_what_they_bring() -> None:
    for outcome in (near(), fast(example()), fast(changed(delivered(example()), "money", timber_sale="lump sum"))):
        mix = mix_of(outcome)
        assert mix is not None
        assert sum(mix.share.values()) == pytest.approx(1.0)
        assert list(mix.ton_ac.values()) == pytest.approx(outcome.wood_ton_ac[:36].sum(axis=0).tolist())
        left = sum(sale.left_per_ac for sale in sales_of(outcome))
        assert mix.per_ton == pytest.approx(left / sum(mix.ton_ac.values()), rel=1e-9)
    assert mix_of(fast(pasture(example()))) is None


def test_wide_rows_and_thinning_move_wood_up_from_pulpwood() -> None:
    """The thicker the trees, the less of their wood is pulpwood and the more a ton brings (wood_products, (d))."""
    unthinned = scheduled(plantation(example()), 33)
    grown = grown_fast(unthinned, plantation(example()), example())
    finals = [sales_of(outcome)[-1] for outcome in grown]
    shares = [sale.ton_ac["pulpwood"] / sum(sale.ton_ac.values()) for sale in finals]
    assert shares == sorted(shares, reverse=True)
    assert [sale.left_per_ton for sale in finals] == sorted(sale.left_per_ton for sale in finals)
    alone, both = (mix_of(outcome) for outcome in grown[1:])
    assert alone is not None
    assert both is not None
    assert both.share["pulpwood"] < alone.share["pulpwood"]
    assert both.per_ton > alone.per_ton


# Other measures of the same wood ----------------------------------------------------------------------------------


def test_cords_and_board_feet_are_of_the_wood_that_is_sold() -> None:
    """5,350 lb of pine a cord; Doyle 5.9 to 12.7 tons a thousand board feet, the less the larger the trees."""
    heavy = []
    for sale in sales_of(near()):
        assert sale.measures is not None
        assert sale.measures.pulpwood_cords_ac == pytest.approx(sale.ton_ac["pulpwood"] / 2.675)
        feet, tons = sale.measures.sawtimber_mbf_ac, sale.ton_ac.get("sawtimber", 0.0)
        if tons:
            assert feet.doyle < feet.scribner < feet.international_quarter_inch
            heavy.append(tons / feet.doyle)
        else:
            assert feet.international_quarter_inch == 0.0
    assert len(heavy) == 2
    assert 5.9 < heavy[1] < heavy[0] < 12.7


# Bids -----------------------------------------------------------------------------------------------------------


def test_a_lot_that_costs_more_than_mills_pay_finds_no_bid_and_the_trees_stay() -> None:
    outcome = far()
    answers = {offer.year: offer.answer for offer in outcome.offers}
    assert answers == {16: COSTS_MORE, 24: SOLD, 35: SOLD}
    assert outcome.states["no_bid"][16] == 1.0
    assert outcome.states["trees_cut_per_ac"][16] == 0.0
    assert outcome.wood_ton_ac[16].sum() == 0.0
    assert "no bid likely: mills pay $" in sales_of(outcome)[0].reason
    assert "first thinning of year 16" in said(outcome)["no_bid_at_cost"]
    assert "stays dense" in said(outcome)["no_bid_at_cost"]
    assert "no_bid" not in said(outcome)


def test_a_final_harvest_nobody_buys_is_felled_and_brings_nothing() -> None:
    outcome = fast(delivered(example(), haul_miles=300.0))
    assert all(offer.answer == COSTS_MORE for offer in outcome.offers)
    assert wood(outcome).empty
    assert outcome.states["trees_cut_per_ac"][35] > 0.0
    assert outcome.ledger().query("item == 'logging_cleanup' and year == 35")["amount"].sum() < 0.0
    assert "felled all the same" in said(outcome)["no_bid_at_cost"]
    assert mix_of(outcome) is None
    assert harvest_logs(outcome).empty


def test_too_few_loads_are_told_as_such_whatever_mills_pay() -> None:
    small = fast(changed(delivered(example()), "land", acres=4.0))
    (first, *_) = sales_of(small)
    assert first.answer == "few_loads"
    assert first.reason == f"no bid likely: {first.loads:.1f} loads, a crew wants 4"
    assert "under four truckloads" in said(small)["no_bid"]
    assert "no_bid_at_cost" not in said(small)


def test_neighbours_cut_in_the_same_year_bring_the_loads() -> None:
    alone, joined = grown_fast(*(sold(changed(example(), "land", acres=4.0), acres_sold_with=a) for a in (0.0, 36.0)))
    assert {offer.answer for offer in alone.offers} == {FEW_LOADS, SOLD}
    assert all(offer.answer == SOLD for offer in joined.offers)
    assert "small_sale" not in said(joined)
    # as many loads as forty acres by themselves give
    assert [s.loads for s in sales_of(joined)] == pytest.approx([s.loads for s in sales_of(fast(example()))], rel=1e-6)


def test_pulpwood_without_a_bid_stays_unwanted_at_the_mill_too() -> None:
    plan = changed(delivered(example()), "market", pulpwood_bid=False)
    outcome = fast(plan)
    waits = [sale for sale in sales_of(outcome) if sale.answer == "no_pulpwood_bid"]
    assert waits
    assert waits[0].reason == "waits: nobody bids on pulpwood"
    assert outcome.wood_ton_ac[:, 0].sum() == 0.0


# Directions -----------------------------------------------------------------------------------------------------


@settings(max_examples=40)
@given(st.floats(0.0, 5000.0), st.floats(0.0, 5000.0))
def test_a_higher_fixed_cost_never_raises_what_a_thinning_leaves(one: float, other: float) -> None:
    low, high = sorted((one, other))
    for offer in near().offers:
        less, more = (stumpage_per_ton(offer, near().prices | {"move_in": cost}) for cost in (high, low))
        assert (less <= more + 1e-9).all()


def test_more_miles_never_raise_a_price_nor_more_acres_lower_it() -> None:
    miles = [0.0, 20.0, 50.0, 70.0, 120.0]
    by_miles = grown_fast(*(delivered(example(), haul_miles=m) for m in miles))
    lefts = [stumpage_per_ton(outcome.offers[0], outcome.prices) for outcome in by_miles]
    assert (np.diff(np.array(lefts), axis=0) < 0.0).all()
    np.testing.assert_allclose(np.array(lefts[1]) - lefts[2], 0.16 * 30.0)
    acres = [0.0, 10.0, 40.0, 400.0]
    by_acres = grown_fast(*(delivered(example(), acres_sold_with=a) for a in acres))
    lefts = [stumpage_per_ton(outcome.offers[0], outcome.prices) for outcome in by_acres]
    assert (np.diff(np.array(lefts), axis=0) > 0.0).all()
    incomes = [outcome.measures.equal_annual_income for outcome in by_acres]
    assert incomes == sorted(incomes)


@settings(max_examples=60)
@given(st.floats(0.0, 5.0), st.floats(0.0, 5.0))
def test_lighter_trees_never_cost_less_to_cut_and_load(one: float, other: float) -> None:
    logging = load_practice().logging
    light, heavy = sorted((one, other))
    assert (
        cut_and_load_factor(light, thinning=False, logging=logging)
        >= cut_and_load_factor(heavy, thinning=False, logging=logging)
        >= 1.0
    )
    assert cut_and_load_factor(light, thinning=True, logging=logging) == pytest.approx(
        1.15 * cut_and_load_factor(light, thinning=False, logging=logging)
    )


def test_soft_ground_takes_its_share_of_what_is_left_and_of_nothing_else() -> None:
    for way in ({}, {"pricing": "delivered"}):
        dry_, plain = grown_fast(sold(example(), access="dry weather", **way), sold(example(), **way))
        np.testing.assert_allclose(wood(dry_), 0.92 * wood(plain))
        others = dry_.measures.by_enterprise.items() - plain.measures.by_enterprise.items()
        assert {name for name, _ in others} == {"wood"}
        assert "dry weather" in said(dry_)["dry_weather_access"]
        assert "dry_weather_access" not in said(plain)
        assert [s.left_per_ac for s in sales_of(dry_)] == pytest.approx([0.92 * s.left_per_ac for s in sales_of(plain)])


def test_a_lump_sum_pays_its_factor_of_what_is_left_a_year_before() -> None:
    lump, plain = grown_fast(changed(delivered(example()), "money", timber_sale="lump sum"), delivered(example()))
    paid = wood(lump)
    assert list(paid.index) == [15, 23, 34]
    np.testing.assert_allclose(paid.to_numpy(), 0.95 * wood(plain).to_numpy())


def test_benefit_and_cost_count_what_an_owner_gets_not_what_a_mill_pays() -> None:
    """At the same residual both ways to write a sale give the same ratio but for the fee's place."""
    outcome = near()
    assert outcome.measures.benefit_cost == pytest.approx(fast(example()).measures.benefit_cost, abs=0.1)


def test_the_last_log_is_priced_at_what_is_left() -> None:
    for outcome in (near(), fast(delivered(example(), access="dry weather"))):
        values = harvest_values(outcome, logs := harvest_logs(outcome)).iloc[0]
        assert logs["priority_value_per_ac"].sum() == pytest.approx(values["ledger_value_per_ac"], rel=1e-6)
        assert values["best_value_per_ac"] >= values["ledger_value_per_ac"] - 1e-9


# Prices and bids --------------------------------------------------------------------------------------------------


def test_income_is_a_straight_line_while_every_sale_keeps_its_bid() -> None:
    outcome, item = near(), "delivered_sawtimber"
    at = [income_at(outcome, {item: price}) for price in (50.0, 55.0, 60.0)]
    assert at[2] - at[1] == pytest.approx(at[1] - at[0], abs=1e-9)
    assert bids_hold(outcome.offers, outcome.prices)


def test_a_price_that_costs_a_sale_its_bid_is_reckoned_by_a_run_of_its_own() -> None:
    outcome, cheap = near(), {"delivered_pulpwood": 28.0}
    assert not bids_hold(outcome.offers, outcome.prices | cheap)
    anew = fast(changed(delivered(example()), "money", prices=cheap))
    assert anew.offers[0].answer == COSTS_MORE
    assert income_at(outcome, cheap) == pytest.approx(anew.measures.equal_annual_income, rel=1e-12)
    straight = annual_income(outcome.flows, outcome.prices | cheap, outcome.rate)
    assert straight != pytest.approx(anew.measures.equal_annual_income, abs=0.01)


def test_price_sets_and_switches_of_a_comparison_keep_to_their_bids() -> None:
    found = compare(delivered(example(), haul_miles=FAR), precision="fast")
    plans = {name: outcome.scenario for name, outcome in found.systems.items()}
    for price_set, end in ((found.price_sets[0], "high"), (found.price_sets[2], "low")):
        trees = found.systems["plantation"]
        items = (*WOOD_PRODUCTS, *(f"delivered_{product}" for product in WOOD_PRODUCTS))
        prices = {item: trees.price_at(item, end) for item in items}
        alone = fast(changed(plans["plantation"], "money", prices=prices))
        income = price_set.equal_annual_income["plantation"]
        assert income == pytest.approx(alone.measures.equal_annual_income, abs=1e-6)
    for switch in found.switches:
        for outcome in found.systems.values():
            assert bids_hold(outcome.offers, outcome.prices | {switch.item: switch.price})


def test_the_band_moves_costs_and_prices_at_the_mill() -> None:
    swings = {swing.name: swing for swing in price_swings({"silvopasture": near()})}
    for cost in ("cut_and_load", "haul", "move_in"):
        assert swings[cost].at_high["silvopasture"] < swings[cost].at_low["silvopasture"]
    assert swings["delivered_sawtimber"].width("silvopasture") > 1.0
    assert swings["sawtimber"].width("silvopasture") == 0.0
    # where cutting is dearest the first thinning loses its bid, so the band cannot be read off one run
    dear = fast(changed(delivered(example()), "money", prices={"cut_and_load": 20.0}))
    assert dear.offers[0].answer == COSTS_MORE
    assert swings["cut_and_load"].at_high["silvopasture"] == pytest.approx(dear.measures.equal_annual_income)


def test_prices_of_the_other_way_to_sell_are_told_to_be_idle() -> None:
    standing = fast(changed(sold(example(), haul_miles=30.0), "money", prices={"haul": 0.2, "sawtimber": 30.0}))
    assert said(standing)["sale_without_effect"].endswith("in [sale]: haul, haul_miles.")
    mill = fast(changed(delivered(example(), haul_miles=30.0), "money", prices={"haul": 0.2, "sawtimber": 30.0}))
    assert said(mill)["sale_without_effect"].endswith(": sawtimber.")
    assert "sale_without_effect" not in said(near())
    assert "sale_without_effect" not in said(fast(example()))


# Two lives --------------------------------------------------------------------------------------------------------


def test_a_stand_that_was_found_sells_at_the_mill_and_so_does_what_follows() -> None:
    outcome = fast(delivered(pines()))
    sales = sales_of(outcome)
    years = [sale.year for sale in sales]
    assert years == sorted(years)
    for sale in sales:
        if sale.answer == "sold":
            assert sum(sale.ton_ac.values()) == pytest.approx(outcome.wood_ton_ac[sale.year].sum(), rel=1e-9)
            assert wood(outcome)[sale.year] == pytest.approx(sale.left_per_ac * (1.0 - FEE), rel=1e-9)
    assert len(sales_table(outcome)) == len(sales)
    cheap = {"delivered_pulpwood": 20.0}
    anew = fast(changed(delivered(pines()), "money", prices=cheap))
    assert income_at(outcome, cheap) == pytest.approx(anew.measures.equal_annual_income, rel=1e-9)


# Tables of one's own ----------------------------------------------------------------------------------------------


def own_table(folder: Path, without: str) -> Path:
    """The example with a whole table of its own that lacks items with some text in them."""
    from price_tables import __file__ as here  # noqa: PLC0415

    text = (Path(here).parent / "demo-2025.toml").read_text(encoding="utf-8")
    kept = [line for line in text.splitlines() if not line.startswith(without)]
    (folder / "own.toml").write_text("\n".join(kept), encoding="utf-8")
    file = folder / "mine.toml"
    file.write_text(example_text().replace('"demo-2025"', '"own.toml"'), encoding="utf-8")
    return file


MILL_ITEMS = ("delivered_", "cut_and_load", "haul =", "move_in")


@pytest.mark.parametrize("item", MILL_ITEMS)
def test_a_table_without_prices_at_the_mill_serves_for_standing_wood_only(tmp_path: Path, item: str) -> None:
    file = own_table(tmp_path, item)
    assert run(load(file), tmp_path, "fast").measures == fast(example()).measures
    file.write_text(f'{file.read_text(encoding="utf-8")}\n[sale]\npricing = "delivered"\n', encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load(file)
    (problem,) = caught.value.problems
    assert "lacks" in problem.rule
    assert item.removesuffix(" =") in problem.rule


def test_a_table_without_a_factor_for_soft_ground_is_refused_where_it_counts(tmp_path: Path) -> None:
    file = own_table(tmp_path, "dry_weather_factor")
    text = file.read_text(encoding="utf-8")
    file.write_text(f'{text}\n[sale]\npricing = "delivered"\n', encoding="utf-8")
    assert load(file).sale.pricing == "delivered"
    file.write_text(f'{text}\n[sale]\naccess = "dry weather"\n', encoding="utf-8")
    with pytest.raises(InputError, match="dry_weather_factor"):
        load(file)
