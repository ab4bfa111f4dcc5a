"""Laws of the money: ledger = cash flow = statement, straight lines in every price, and what each choice must book."""

from collections.abc import Mapping
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from plans import changed, compared, example, fast, grown_fast, pasture, plantation, scheduled, used
from simulator.accounts import SPECIES_LINES
from simulator.comparison import compare
from simulator.finance import net_present_value
from simulator.land_equivalent import land_equivalent
from simulator.ledger import unit_prices
from simulator.measures import Flows
from simulator.parameters.prices import load_prices
from simulator.result import Outcome, run_batch
from simulator.scenario.events import Event, Fertiliser, Fire
from simulator.scenario.grass import Straw, Switch
from simulator.scenario.model import Scenario
from simulator.scenario.trees import Pruning, Thinning, Treatment

FACTORS = ("1", "share of sale")
"""Units of price items that multiply other prices instead of being money."""
SOLD = (
    "pulpwood",
    "chip_and_saw",
    "sawtimber",
    "pole",
    "hay",
    "calf",
    "cull_cow",
    "feeder",
    "lamb",
    "cull_ewe",
    "kid",
    "cull_doe",
    "grazing_lease",
    "grazing_lease_month",
    "straw_bale",
)
BOUGHT = (
    "seedlings",
    "planting_alley",
    "planting_plantation",
    "rip_and_strip",
    "herbicide",
    "logging_cleanup",
    "timber_sale_fee",
    "nitrogen",
    "phosphate",
    "potash",
    "lime",
    "bale_work",
    "overseeding",
    "bought_hay",
    "reconversion",
    "cow_cash_cost",
    "ewe_cash_cost",
    "doe_cash_cost",
    "feeder_purchase",
    "haul_and_commission",
    "tax_and_administration",
    "wage",
)


def variants() -> dict[str, Scenario]:
    """Plans that between them use every enterprise and every kind of tenure."""
    own = changed(example(), "use", tenure="owned")
    straw = Straw(market=True, first_rake_year=9, interval_years=2)
    return {
        "leased": example(),
        "own herd": own,
        "own herd on rented pasture": changed(own, "use", displaced_herd="rented pasture"),
        "own hay fed": changed(own, "use", hay_use="fed"),
        "stockers": changed(own, "use", animals="stockers"),
        "sheep": changed(own, "use", animals="sheep"),
        "goats": changed(changed(scheduled(own, 33), "use", animals="goats"), "land", fenced=False),
        "leased by the month, no fence": changed(
            changed(example(), "use", lease_basis="animal-unit month"), "land", fenced=False
        ),
        "straw": example().model_copy(update={"straw": straw}),
        "straw behind a fence": example().model_copy(
            update={"straw": straw.model_copy(update={"temporary_fence": True})}
        ),
        "plantation": plantation(example()),
        "pasture": pasture(example()),
        "pasture with an own herd": pasture(own),
        "hay": pasture(used(example(), animals="none")),
        "tended": example().model_copy(
            update={
                "pruning": (Pruning(year=6, height_ft=6.0), Pruning(year=9, height_ft=12.0, trees_per_ac=100.0)),
                "treatment": (Treatment(year=0, item="burn"), Treatment(year=14, item="burn", share=0.5)),
            }
        ),
        "cutover, sown": changed(changed(example(), "land", former_use="cutover"), "pasture", established=False),
        "thinned for nothing": scheduled(
            plantation(example()), 33, Thinning(year=5, method="from below", residual_trees_per_ac=200.0)
        ),
        "struck, burned and fed": changed(own, "trees", volunteers_per_ac=400.0).model_copy(
            update={
                "event": (
                    Event(year=20, kind="drought", drought_response="destock"),
                    Event(year=32, kind="wind", trees_lost_share=0.4, salvaged_share=1.0),
                    Event(year=34, kind="beetles", trees_lost_share=0.4, salvaged_share=1.0),
                ),
                "fertiliser": (Fertiliser(year=17, nitrogen_lb_ac=200.0, phosphorus_lb_ac=25.0),),
                "fire": Fire(first_year=10, interval_years=5),
            }
        ),
        "ryegrass in the bahiagrass": changed(own, "pasture", overseeded="ryegrass"),
        "clover, then fescue": changed(
            example(),
            "pasture",
            overseeded="crimson-clover",
            switch=Switch(grass="tall-fescue", below_light=0.55),
        ),
        "no end values": changed(example(), "money", value_at_end=False),
    }


@pytest.fixture(scope="module")
def outcomes() -> Mapping[str, Outcome]:
    plans = variants()
    return dict(zip(plans, run_batch(list(plans.values())), strict=True))


@pytest.mark.parametrize("name", list(variants()))
def test_ledger_cash_flow_and_statement_agree(outcomes: Mapping[str, Outcome], name: str) -> None:
    outcome = outcomes[name]
    ledger = outcome.ledger()
    assert (ledger["price"] >= 0.0).all()
    assert np.allclose(ledger["amount"].abs(), ledger["quantity"] * ledger["price"])
    years = np.arange(len(outcome.cash_per_ac))
    by_year = ledger[ledger["account"] != "end value"].groupby("year")["amount"].sum().reindex(years, fill_value=0.0)
    assert outcome.cash_per_ac == pytest.approx(by_year.to_numpy(), abs=1e-9)
    ends = ledger[ledger["account"] == "end value"]
    assert outcome.end_value_per_ac == pytest.approx(ends["amount"].sum(), abs=1e-9)
    assert set(ends["year"]) <= {40}
    measures = outcome.measures
    assert sum(measures.by_enterprise.values()) == pytest.approx(measures.npv, abs=1e-9)
    assert sum(measures.by_decade.values()) == pytest.approx(outcome.cash_per_ac.sum(), abs=1e-9)
    assert outcome.years()["cash_per_ac"].to_numpy() == pytest.approx(outcome.cash_per_ac)


@pytest.mark.parametrize("name", list(variants()))
def test_nothing_is_counted_less_than_none_and_each_line_keeps_its_side(
    outcomes: Mapping[str, Outcome], name: str
) -> None:
    outcome = outcomes[name]
    assert (outcome.flows.quantity >= 0.0).all()
    # only the last row of a cycle gives back what was planted in year 0, for replanting in its place
    assert (outcome.flows.cycle_quantity[:-1] >= -1e-12).all()
    ledger = outcome.ledger()
    assert (ledger.loc[ledger["account"] == "sale", "amount"] >= 0.0).all()
    spent = ledger["account"].isin(["establishment", "upkeep", "labour", "overhead"])
    assert (ledger.loc[spent, "amount"] <= 0.0).all()


def test_every_line_of_the_ledger_is_used_by_some_plan(outcomes: Mapping[str, Outcome]) -> None:
    used_lines = {item for outcome in outcomes.values() for item in outcome.ledger()["item"]}
    known = {line.key for outcome in outcomes.values() for line in outcome.flows.lines}
    # a first thinning of these plans is too young for poles, and no cut sells sawtimber before the second
    small = {"pole_first_thinning", "pole_first_thinning_fee", "sawtimber_first_thinning"}
    small |= {"sawtimber_first_thinning_fee", "end_sawtimber", "end_sawtimber_fee", "end_pole", "end_pole_fee"}
    small |= {"end_chip_and_saw", "end_chip_and_saw_fee"}
    # lines of other species are used in test_species_accounts.py
    assert known - used_lines - {line.key for line in SPECIES_LINES} <= small


# Straight lines in prices ---------------------------------------------------------------------------------------


def priced(outcome: Outcome, prices: Mapping[str, float]) -> float:
    cash = (outcome.flows.quantity * unit_prices(outcome.flows.lines, prices)).sum(axis=1)
    return float(net_present_value(cash, outcome.rate))


@settings(max_examples=30)
@given(st.floats(0.1, 10.0))
def test_all_prices_times_a_number_is_the_value_times_that_number(times: float) -> None:
    items = load_prices("demo-2025", None).items
    for outcome in compared().systems.values():
        scaled = {
            item: value * (1.0 if items[item].unit in FACTORS else times) for item, value in outcome.prices.items()
        }
        assert priced(outcome, scaled) == pytest.approx(times * outcome.measures.npv, rel=1e-9, abs=1e-9)


@settings(max_examples=40, phases=(Phase.explicit, Phase.generate))
@given(item=st.sampled_from(sorted(load_prices("demo-2025", None).items)), step=st.floats(0.01, 2.0))
def test_value_is_a_straight_line_in_every_price_and_leans_the_right_way(
    outcomes: Mapping[str, Outcome], item: str, step: float
) -> None:
    for outcome in outcomes.values():
        base = outcome.prices
        at = [priced(outcome, base | {item: base[item] * (1.0 + step * i)}) for i in range(3)]
        assert at[2] - at[1] == pytest.approx(at[1] - at[0], abs=1e-6)
        if item in SOLD:
            assert at[1] >= at[0] - 1e-9
        if item in BOUGHT:
            assert at[1] <= at[0] + 1e-9


def test_one_dollar_more_for_a_ton_of_sawtimber_is_worth_its_discounted_tons() -> None:
    outcome = compared().systems["silvopasture"]
    dearer = priced(outcome, outcome.prices | {"sawtimber": outcome.prices["sawtimber"] + 1.0})
    tons = outcome.wood_ton_ac[:, 2]
    factor = np.array([0.9 if year == 24 else 1.0 for year in range(41)])  # the second thinning sells at .90
    worth = (tons * factor * 0.95 / 1.05 ** np.arange(41)).sum()  # less 5 % for the sale, discounted at 5 %
    assert dearer - outcome.measures.npv == pytest.approx(worth, rel=1e-9)


# Choices of the money table -------------------------------------------------------------------------------------


def test_free_labour_is_a_wage_of_nothing() -> None:
    free, nothing = grown_fast(
        changed(example(), "money", pay_labour=False), changed(example(), "money", prices={"wage": 0.0})
    )
    assert free.measures == nothing.measures
    paid = fast(example())
    assert free.measures.npv > paid.measures.npv
    # a run with the wage struck out is what the comparison calls labour free
    assert compared().labour_free["silvopasture"] == pytest.approx(free.measures.equal_annual_income, abs=0.05)


@pytest.mark.parametrize(("nominal", "inflation"), [(0.0712, 0.0202), (0.05, 0.0), (0.03, 0.03)])
def test_a_nominal_rate_is_the_real_rate_it_contains(nominal: float, inflation: float) -> None:
    real = (1.0 + nominal) / (1.0 + inflation) - 1.0  # Fisher 1930 (from memory)
    one, other = grown_fast(
        changed(example(), "money", discount_rate=nominal, rate_basis="nominal", inflation=inflation),
        changed(example(), "money", discount_rate=real),
    )
    assert one.rate == pytest.approx(real, abs=1e-15)
    for name in ("npv", "equal_annual_income", "benefit_cost"):
        assert getattr(one.measures, name) == pytest.approx(getattr(other.measures, name), rel=1e-9)


def test_without_end_values_nothing_is_valued_at_the_end() -> None:
    for plan in (example(), plantation(example()), pasture(changed(example(), "use", tenure="owned"))):
        with_end, without = grown_fast(plan, changed(plan, "money", value_at_end=False))
        assert "end value" not in set(without.ledger()["account"])
        assert without.end_value_per_ac == 0.0
        assert np.array_equal(with_end.cash_per_ac, without.cash_per_ac)
        discounted = with_end.end_value_per_ac / 1.05**40
        assert with_end.measures.npv - without.measures.npv == pytest.approx(discounted, abs=1e-9)


def test_trees_standing_at_the_horizon_are_worth_what_their_final_cut_would_pay() -> None:
    """The same trees cut in the last year, or valued there: the books differ by the cut's own costs alone."""
    cut = changed(example(), "money", horizon_years=35)
    standing = changed(scheduled(example(), 36, *example().thinning), "money", horizon_years=35)
    felled, valued = grown_fast(cut, standing)
    sale = felled.ledger().query("year == 35 and item.str.contains('final_harvest')")["amount"].sum()
    worth = valued.ledger().query("year == 35 and account == 'end value' and enterprise == 'wood'")
    worth = worth[worth["item"] != "end_reconversion"]["amount"].sum()
    assert sale > 1000.0
    assert worth == pytest.approx(sale, rel=1e-9)


def test_fence_is_renewed_after_twenty_years_and_what_is_left_of_it_is_worth_its_share() -> None:
    ledger = fast(example()).ledger().set_index(["item", "year"])["amount"]
    assert ledger["cross_fence_and_water"].to_dict() == {5: -60.0, 25: -60.0}
    assert ledger["end_fence"][40] == pytest.approx(60.0 * (1.0 - 16.0 / 20.0))


def test_a_perimeter_fence_is_worth_its_share_at_the_end_as_the_cross_fence_is() -> None:
    """Either both are valued at the horizon or neither: one property, one rule."""
    fenced, unfenced = grown_fast(pasture(example()), changed(pasture(example()), "land", fenced=False))
    plans = (changed(plan.scenario, "money", horizon_years=30) for plan in (fenced, unfenced))
    with_, without = grown_fast(*plans)
    built = -without.ledger().query("item == 'perimeter_fence' and year == 21")["amount"].sum()
    assert built > 0.0
    assert without.end_value_per_ac - with_.end_value_per_ac == pytest.approx(built * 0.5, rel=1e-9)


def test_thinning_sales_carry_their_discounts_and_the_fee() -> None:
    ledger = fast(example()).ledger().set_index(["item", "year"])
    assert ledger.loc[("pulpwood_first_thinning", 16), "price"] == pytest.approx(7.0 * 0.75)
    assert ledger.loc[("pulpwood_later_thinning", 24), "price"] == pytest.approx(7.0 * 0.90)
    assert ledger.loc[("pulpwood_final_harvest", 35), "price"] == pytest.approx(7.0)
    assert ledger.loc[("pulpwood_final_harvest_fee", 35), "price"] == pytest.approx(7.0 * 0.05)


def test_cutting_trees_too_small_to_sell_is_work_that_is_paid_for() -> None:
    """A precommercial thinning brings nothing and costs something by the acre or the tree."""
    early = Thinning(year=5, method="from below", residual_trees_per_ac=100.0)
    plain, thinned = grown_fast(scheduled(plantation(example()), 33), scheduled(plantation(example()), 33, early))
    assert thinned.states["trees_cut_per_ac"][5] > 400.0
    assert thinned.wood_ton_ac[5].sum() == 0.0
    cost = plain.cash_per_ac[5] - thinned.cash_per_ac[5]
    assert cost > 20.0  # $/ac; by hand or machine some 40 to 150 in practice, no source


def test_straw_is_sold_by_the_bale_and_the_floor_is_cleaned_once_a_cycle() -> None:
    straw = Straw(market=True, first_rake_year=8, interval_years=2, most_rakes=3)
    outcome = fast(plantation(example()).model_copy(update={"straw": straw}))
    ledger = outcome.ledger().query("enterprise == 'straw' and year <= 33").set_index(["item", "year"])
    assert sorted(ledger.loc["straw"].index) == [8, 10, 12]
    assert list(ledger.loc["straw_preparation"].index) == [8]
    assert ledger.loc["straw", "price"].unique() == pytest.approx([0.30])
    assert (ledger.loc["straw", "quantity"] % 1.0 == 0.0).all()


# Against the single uses ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("year", [10, 40])
def test_a_system_compared_with_itself_replaces_one_acre_of_each(year: int) -> None:
    grass = pasture(changed(example(), "money", horizon_years=year))
    trees = plantation(changed(example(), "money", horizon_years=year))
    one = fast(grass)
    assert land_equivalent({"silvopasture": one, "plantation": fast(trees), "pasture": one}).forage == pytest.approx(
        1.0
    )
    wood = fast(trees)
    ratio = land_equivalent({"silvopasture": wood, "plantation": wood, "pasture": one})
    assert ratio.wood == pytest.approx(1.0)
    assert ratio.total == pytest.approx(ratio.wood + ratio.forage)


@settings(max_examples=4, phases=(Phase.explicit, Phase.generate))
@given(
    alley=st.sampled_from([20.0, 30.0, 42.0, 60.0]),
    site_index=st.sampled_from([60.0, 68.0, 75.0]),
    rows=st.sampled_from([1, 2]),
)
def test_land_equivalent_ratio_of_sensible_layouts_is_one_to_one_point_seven(
    alley: float, site_index: float, rows: int
) -> None:
    """Judgement of practice: 1.0-1.3 over a rotation, .9 and 1.5 the ends of belief; short trials gave up to 1.6."""
    layout = example().trees.layout.model_copy(update={"alley_ft": alley, "rows_in_set": rows})  # type: ignore[union-attr]
    plan = changed(changed(example(), "trees", layout=layout), "land", site_index_ft=site_index)
    plan = scheduled(plan, 35, Thinning(year=16, residual_basal_area_ft2_ac=50.0))
    ratio = compare(plan, precision="fast").land_equivalent
    assert 0.9 < ratio.total < 1.5
    assert 0.0 < ratio.wood < 1.0
    assert 0.0 < ratio.forage < 1.0


def test_both_single_uses_start_from_the_same_land() -> None:
    plans = {name: outcome.scenario for name, outcome in compared().systems.items()}
    for plan in plans.values():
        assert plan.land == example().land
        assert plan.money == example().money
        assert plan.pasture == example().pasture
    for name, outcome in compared().systems.items():
        overhead = outcome.ledger().query("account == 'overhead'")["amount"]
        assert overhead.sum() == pytest.approx(-6.0 * 40), name


def test_flows_of_one_cycle_leave_out_the_next_planting() -> None:
    outcome = fast(example())
    flows: Flows = outcome.flows
    place = [line.key for line in flows.lines].index("seedlings")
    assert flows.quantity[35, place] == pytest.approx(flows.quantity[0, place])
    assert flows.cycle_quantity[35, place] == pytest.approx(0.0, abs=1e-12)
    rest = np.delete(np.arange(36), 35)
    end = [line.account == "end value" for line in flows.lines]
    kept = ~np.array(end)
    assert np.array_equal(flows.cycle_quantity[rest][:, kept], flows.quantity[:35][:, kept])


def test_a_table_of_ones_own_prices_what_it_names(tmp_path: Path) -> None:
    """A price item of one plan's own table is no business of the plans beside it in a batch."""
    table = files("price_tables").joinpath("demo-2025.toml").read_text(encoding="utf-8")
    extra = 'mulch = { value = 12.0, unit = "$/ac", source = "invented" }\n'
    own = table.replace("[tree_cost]\n", "[tree_cost]\n" + extra)
    (tmp_path / "mine.toml").write_text(own, encoding="utf-8")
    mulched = changed(example(), "money", price_table="mine.toml")
    mulched = mulched.model_copy(update={"treatment": (Treatment(year=1, item="mulch"),)})
    first, second = run_batch([mulched, example()], beside=tmp_path)
    assert second.measures.npv == pytest.approx(fast(example()).measures.npv, abs=1e-6)
    twice = 12.0 / 1.05 + 12.0 / 1.05**36  # once in each cycle
    assert first.measures.npv == pytest.approx(second.measures.npv - twice, abs=1e-6)


@pytest.mark.parametrize("displaced", ["sold", "rented pasture", "none"])
def test_each_cycle_buys_as_many_cows_as_it_sells(displaced: str) -> None:
    """Whatever becomes of the present herd, no cycle that is repeated for ever gets cows for nothing."""
    outcome = fast(changed(example(), "use", tenure="owned", displaced_herd=displaced))
    lines = [line.key for line in outcome.flows.lines]
    bought, sold = (outcome.flows.cycle_quantity[:, lines.index(key)].sum() for key in ("cows_bought", "cows_sold"))
    assert bought > 0.0
    assert bought == pytest.approx(sold)
