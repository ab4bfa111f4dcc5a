"""Laws of a field with headlands, ponds and outermost rows: accounts balance, and the parts add up to the whole."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from plans import changed, example, fast, laid_out, plantation, scheduled
from simulator import load
from simulator.baselines import systems_of
from simulator.errors import InputError
from simulator.harvest_logs import harvest_logs
from simulator.parameters.ranges import moved
from simulator.parameters.tables import load_tables
from simulator.result import Outcome, run, run_batch
from simulator.sale_accounts import KEYS
from simulator.scenario.events import Fire
from simulator.scenario.file import load_text
from simulator.scenario.ground import Ground
from simulator.scenario.income import Income
from simulator.scenario.model import Scenario
from simulator.scenario.owner import Herbicide
from simulator.scenario.trees import Harvest, Thinning, Treatment
from workbench.examples import EXAMPLE_NAME, example_text

EXAMPLES = Path(__file__).parents[2] / "examples"
AS_DRAWN = (Phase.explicit, Phase.generate)
OF_THE_WHOLE_FIELD = {"tax_and_administration", "perimeter_fence", "end_perimeter_fence", "property_tax", "rent_paid",
                      "move_in", "move_in_fee", "end_move_in", "end_move_in_fee", "hunting_lease",
                      "hunting_lease_grazed"}  # fmt: skip
"""Lines that a pond bears too: owed or let for the field as the deed has it, a fence round it, moving in once."""
SIZES = ("age", "quadratic_mean_dbh_in", "dominant_height_ft", "sawtimber_grade_share", "crown_width_ft",
         "crown_base_ft", "light_warm", "light_cool", "light_grass", "forage_share_of_open", "later_grass", "head",
         "no_bid", "thinning_waits", "small_sale")  # fmt: skip
"""Columns that are no amounts by the acre."""


def on_ground(plan: Scenario, headland: float = 0.0, unusable: float = 0.0, edge: float = 0.0) -> Scenario:
    """The plan on a field of which so large shares are headlands, bear nothing, and are outermost rows."""
    acres = plan.land.acres
    rows = acres * (1.0 - headland - unusable)
    parts: dict[str, Any] = {"alley_ac": 0.74 * rows, "tree_strip_ac": 0.26 * rows, "edge_row_share": edge}
    ground = Ground(headland_ac=acres * headland, unusable_ac=acres * unusable, **parts)
    return changed(plan, "land", ground=ground)


def by_line(outcome: Outcome) -> dict[str, np.ndarray[Any, Any]]:
    """Quantities by year and key of the ledger."""
    return {line.key: outcome.flows.quantity[:, place] for place, line in enumerate(outcome.flows.lines)}


def own_herd() -> Scenario:
    return load(EXAMPLES / "own-herd.toml")


# A field that is whole -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("plan", [example, own_herd, lambda: plantation(example())])
def test_a_field_without_edges_is_the_endless_one(plan: Callable[[], Scenario]) -> None:
    ours, endless = fast(on_ground(plan())), fast(plan())
    assert np.array_equal(ours.flows.quantity, endless.flows.quantity)
    for name, column in endless.states.items():
        assert np.array_equal(ours.states[name], column), name
    assert np.array_equal(ours.wood_ton_ac, endless.wood_ton_ac)


# Ground that bears nothing ---------------------------------------------------------------------------------------


def _with_works() -> Scenario:
    """Work, sprays, fire, straw and payments by the acre, wood sold at the mill, a field with taxes and a fence."""
    plan = changed(load(EXAMPLES / "single-rows-straw.toml"), "sale", pricing="delivered")
    plan = changed(plan, "land", fenced=False, tax_trees_per_ac=2.0, tax_grass_per_ac=2.0, rent_paid_per_ac=3.0)
    return plan.model_copy(
        update={
            "treatment": (Treatment(year=3, item="pasture_herbicide", share=0.4),),
            "herbicide": (Herbicide(year=2, product_class="2,4-D", share=0.5),),
            "fire": Fire(first_year=18, interval_years=4),
            "income": Income(hunting_lease=True, carbon_payment_per_ac_yr=4.0),
        }
    )


PLANS = {"example": example, "works": _with_works}


@pytest.mark.parametrize("plan", PLANS)
@pytest.mark.parametrize("system", ["silvopasture", "plantation", "pasture"])
@settings(max_examples=2, deadline=None, phases=AS_DRAWN)
@given(unusable=st.sampled_from([0.04, 0.3, 0.7]))
def test_a_pond_takes_its_share_of_everything_but_what_is_owed_for_the_field(
    system: str, plan: str, unusable: float
) -> None:
    # rent is for so many acres of grass, and loads are enough either way: no lump binds
    big = changed(PLANS[plan](), "land", acres=2000.0)
    whole, holed = (fast(systems_of(plan)[system]) for plan in (big, on_ground(big, unusable=unusable)))
    theirs, ours = by_line(whole), by_line(holed)
    for key, quantity in theirs.items():
        share = 1.0 if key in OF_THE_WHOLE_FIELD else 1.0 - unusable
        np.testing.assert_allclose(ours[key], share * quantity, rtol=1e-9, atol=1e-12, err_msg=key)
    for name, column in whole.states.items():
        share = 1.0 if name in SIZES else 1.0 - unusable
        np.testing.assert_allclose(holed.states[name], share * column, rtol=1e-9, atol=1e-12, err_msg=name)


def test_a_fence_goes_round_the_pond_too() -> None:
    plan = changed(changed(example(), "land", fenced=False), "use", hay_years=None)
    whole, holed = by_line(fast(plan)), by_line(fast(on_ground(plan, unusable=0.2)))
    assert whole["perimeter_fence"].sum() > 0
    np.testing.assert_allclose(holed["perimeter_fence"], whole["perimeter_fence"], rtol=1e-12)
    np.testing.assert_allclose(holed["cross_fence_and_water"], 0.8 * whole["cross_fence_and_water"], rtol=1e-12)


# Rows and headlands: the whole is the sum of two fields ------------------------------------------------------------


def _untouched(plan: Scenario) -> Scenario:
    """No thinning, after which all animals stay away for a while, and one cycle in the horizon."""
    plan = changed(scheduled(plan, 36), "money", horizon_years=34, value_at_end=False)
    return changed(plan, "use", first_grazing_year=9)


def _open(plan: Scenario) -> Scenario:
    """Grass alone in the same use in the same years."""
    return plan.model_copy(update={"trees": None, "harvest": None})


@pytest.mark.parametrize("basis", ["acre", "animal-unit month"])
@pytest.mark.parametrize("grass", ["bahiagrass", "bermudagrass", "native-mix"])
@settings(max_examples=2, deadline=None, phases=AS_DRAWN)
@given(headland=st.sampled_from([0.08, 0.45]), unusable=st.sampled_from([0.0, 0.04]))
def test_rows_and_headlands_are_a_plantation_and_a_pasture_by_their_acres(
    basis: str, grass: str, headland: float, unusable: float
) -> None:
    """Oracle: the same two pieces of land run by themselves, added by their acres; no herd of a tenant's is a lump."""
    plan = _untouched(changed(changed(example(), "use", lease_basis=basis), "pasture", grass=grass))
    both = fast(on_ground(plan, headland, unusable))
    rows, grass_alone = fast(plan), fast(_open(plan))
    between, beside = by_line(rows), by_line(grass_alone)
    planted = 1.0 - headland - unusable
    for key, quantity in by_line(both).items():
        if key in OF_THE_WHOLE_FIELD:
            continue
        expected = planted * between[key][:35] + headland * beside[key][:35]
        np.testing.assert_allclose(quantity[:35], expected, rtol=1e-9, atol=1e-10, err_msg=key)
    for name in ("forage_lb_ac", "hay_ton_ac", "animal_unit_months_ac", "forage_eaten_lb_ac", "trees_per_ac"):
        expected = planted * rows.states[name] + headland * grass_alone.states[name]
        np.testing.assert_allclose(both.states[name], expected, rtol=1e-9, atol=1e-9, err_msg=name)
    assert both.states["animal_unit_months_ac"].sum() > 0


def test_a_field_of_headlands_is_nearly_open_pasture() -> None:
    plan = _untouched(example())
    nearly, pasture = fast(on_ground(plan, headland=1.0 - 1e-6)), fast(_open(plan))
    for name in ("forage_lb_ac", "hay_ton_ac", "animal_unit_months_ac"):
        np.testing.assert_allclose(nearly.states[name], pasture.states[name], rtol=1e-4, atol=1e-4)
    assert nearly.wood_ton_ac.sum() < 1e-3
    np.testing.assert_allclose(nearly.cash_per_ac[:34], pasture.cash_per_ac[:34], atol=0.01)


@settings(max_examples=3, deadline=None, phases=AS_DRAWN)
@given(headland=st.sampled_from([0.1, 0.3, 0.5]))
def test_wood_goes_with_the_acres_of_the_rows(headland: float) -> None:
    big = changed(example(), "land", acres=400.0)
    none, some, twice = (fast(on_ground(big, share)).wood_ton_ac for share in (0.0, headland / 2, headland))
    np.testing.assert_allclose(none - some, some - twice, atol=1e-9)
    np.testing.assert_allclose(twice, (1.0 - headland) * none, rtol=1e-9, atol=1e-12)


def test_a_browsing_herd_finds_no_brush_on_a_headland() -> None:
    plan = changed(_untouched(example()), "use", animals="goats")
    rows, both = fast(plan).states, fast(on_ground(plan, 0.3)).states
    np.testing.assert_allclose(both["browse_eaten_lb_ac"], 0.7 * rows["browse_eaten_lb_ac"], rtol=0.35, atol=1.0)
    assert both["browse_eaten_lb_ac"].sum() > 0


def test_a_winter_annual_grows_on_headlands_too() -> None:
    plan = changed(_untouched(example()), "pasture", overseeded="ryegrass")
    rows, grass = (fast(each).states["winter_forage_lb_ac"] for each in (plan, _open(plan)))
    both = fast(on_ground(plan, 0.2, 0.05)).states["winter_forage_lb_ac"]
    np.testing.assert_allclose(both, 0.75 * rows + 0.2 * grass, rtol=1e-9, atol=1e-9)


# Accounts --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["north-field", "own-herd", "standing-pines", "single-rows-straw"])
def test_accounts_balance_on_a_real_field(name: str) -> None:
    plan = on_ground(load(EXAMPLES / f"{name}.toml"), 0.08, 0.05, 0.1)
    outcome = fast(plan)
    life = outcome.lives[0] if outcome.lives else outcome
    states = life.states
    harvest = plan.harvest.year if plan.harvest else 0
    here = slice(0, harvest + 1)
    put_in = states["trees_per_ac"][0] + np.cumsum(states["trees_replanted_per_ac"][here])
    gone = np.cumsum(states["trees_dead_per_ac"][here]) + np.cumsum(states["trees_cut_per_ac"][here])
    after = states["trees_per_ac"][here] - states["trees_cut_per_ac"][here]
    np.testing.assert_allclose(put_in, after + gone, rtol=1e-9, atol=1e-9)
    assert (life.wood_ton_ac[here].sum(axis=1) <= states["standing_ton_ac"][here] * (1.0 + 1e-9)).all()
    assert (states["forage_eaten_lb_ac"] <= states["forage_lb_ac"] * (1.0 + 1e-9)).all()
    np.testing.assert_allclose(outcome.cash_per_ac.sum() + outcome.end_value_per_ac, outcome.amount.sum(), rtol=1e-9)
    sold = sum(offer.ton_ac.sum() for offer in outcome.offers if offer.year < len(outcome.wood_ton_ac))
    assert sold >= outcome.wood_ton_ac.sum() - 1e-9


def test_an_own_herd_is_whole_animals_of_the_whole_field() -> None:
    plan = on_ground(own_herd(), 0.08, 0.04)
    outcome = fast(plan)
    head, book = outcome.states["head"], by_line(outcome)
    assert head.max() > 1
    assert np.array_equal(head, np.floor(head))
    kept = next(key for key in book if key.endswith("cash_cost") and book[key].any())
    np.testing.assert_allclose(book[kept][: len(head)] * plan.land.acres, head, rtol=1e-9, atol=1e-9)


def test_a_displaced_herd_is_the_one_that_the_field_kept() -> None:
    """Headlands fed it too, whether rows or a plantation come."""
    plan = on_ground(changed(own_herd(), "use", displaced_herd="sold"), 0.1, 0.05)
    sold = [by_line(fast(each)) for each in (plan, plantation(plan))]
    key = next(key for key in sold[0] if "displaced" in key and sold[0][key].any())
    assert sold[0][key][0] == pytest.approx(sold[1][key][0])
    assert sold[0][key][0] * 40.0 == pytest.approx(np.floor(0.95 * by_line(fast(own_herd()))[key][0] * 40.0), abs=1.01)


def test_lots_offered_are_what_is_sold() -> None:
    outcome = fast(on_ground(changed(_with_works(), "land", acres=500.0), 0.1, 0.1))
    offers = [offer for offer in outcome.offers if offer.year < 33]
    assert offers
    for offer in offers:
        np.testing.assert_allclose(offer.ton_ac, outcome.wood_ton_ac[offer.year], rtol=1e-9)
        book = by_line(outcome)
        np.testing.assert_allclose(offer.quantity[:4], [book[key][offer.year] for key in KEYS[:4]], rtol=1e-9)


def test_logs_of_a_harvest_are_those_that_are_sold() -> None:
    outcome = run(on_ground(example(), 0.08, 0.04))
    logs = harvest_logs(outcome)
    assert logs["priority_ton_per_ac"].sum() == pytest.approx(outcome.wood_ton_ac[35].sum(), rel=1e-6)


def test_the_three_systems_share_the_field() -> None:
    plan = on_ground(example(), 0.08, 0.04, 0.09)
    systems = {name: fast(each) for name, each in systems_of(plan).items()}
    endless = {name: fast(each) for name, each in systems_of(example()).items()}
    first = {
        name: (systems[name].states["trees_per_ac"][0], endless[name].states["trees_per_ac"][0]) for name in systems
    }
    assert first["silvopasture"][0] == pytest.approx(0.88 * first["silvopasture"][1])
    assert first["plantation"][0] == pytest.approx(0.96 * first["plantation"][1])
    grass = systems["pasture"].states["forage_lb_ac"][5] / endless["pasture"].states["forage_lb_ac"][5]
    assert grass == pytest.approx(0.96)
    for outcome in systems.values():
        assert by_line(outcome)["tax_and_administration"][1:41] == pytest.approx(np.ones(40))


# Outermost rows --------------------------------------------------------------------------------------------------

SPACINGS = {
    "close": {"rows_in_set": 1, "in_row_ft": 8.0, "alley_ft": 9.0},
    "double": {"rows_in_set": 2, "row_gap_ft": 8.0, "in_row_ft": 8.0, "alley_ft": 42.0},
    "single": {"rows_in_set": 1, "in_row_ft": 12.0, "alley_ft": 28.0},
    "four": {"rows_in_set": 4, "row_gap_ft": 8.0, "in_row_ft": 8.0, "alley_ft": 40.0},
}


TABLES = {"species": "loblolly", "grass": "bahiagrass", "animals": "cattle"}


def reaching(plan: Scenario, edge_reach: float) -> Outcome:
    """A plan whose outermost rows reach so many crown radii into open ground."""
    tables = moved(load_tables(**TABLES), ("tree", "diameter", "edge_reach"), edge_reach)
    return run_batch([plan], tables=tables)[0]


@pytest.mark.parametrize("spacing", SPACINGS)
@settings(max_examples=3, deadline=None, phases=AS_DRAWN)
@given(edge=st.sampled_from([0.02, 0.1, 0.4]))
def test_outermost_rows_grow_more_and_never_less(spacing: str, edge: float) -> None:
    plan = scheduled(laid_out(example(), **SPACINGS[spacing]), 35)
    inside, at_edge = (fast(each).states for each in (plan, on_ground(plan, edge=edge)))
    for name in ("quadratic_mean_dbh_in", "basal_area_ft2_ac", "trees_per_ac"):
        assert (at_edge[name][:36] >= inside[name][:36] * (1.0 - 1e-6)).all(), name
    # a row that has as much open ground in its alley already gains nothing at the field's side
    if spacing in {"double", "four"}:
        assert at_edge["basal_area_ft2_ac"][34] == pytest.approx(inside["basal_area_ft2_ac"][34], rel=1e-9)
    else:
        assert at_edge["basal_area_ft2_ac"][34] > inside["basal_area_ft2_ac"][34]


def test_an_outermost_row_is_as_much_thicker_as_was_seen() -> None:
    """Outside truth: rows with one side open to a strip road, and what practice says.

    Spruce plantations of 39 years: up to 9-13 % thicker (Kuliesis and co-workers 2018, Forests 9:640, second-hand).
    Outer rows of pine: 10-30 % (practice, from memory).
    """
    plan = scheduled(laid_out(example(), **SPACINGS["close"]), 30)
    inside, outer = (fast(each).states["quadratic_mean_dbh_in"][25] for each in (plan, on_ground(plan, edge=1.0)))
    assert 1.09 <= outer / inside <= 1.30


@pytest.mark.parametrize("spacing", ["close", "double", "single"])
@pytest.mark.parametrize("edge", [0.03, 0.3])
def test_a_share_of_outermost_rows_is_two_stands_by_their_length(spacing: str, edge: float) -> None:
    """Oracle: outermost rows as a stand of their own, the open ground beyond them as wide as a layout allows.

    Both then reach as far as a tree does at all, for a stand of rows knows no other reach.
    """
    layout = SPACINGS[spacing]
    plan = scheduled(laid_out(example(), **layout), 30)
    alone = {"rows_in_set": 2, "row_gap_ft": layout.get("row_gap_ft", layout["alley_ft"]), "alley_ft": 200.0}
    outer = scheduled(laid_out(example(), **{**alone, "in_row_ft": layout["in_row_ft"]}), 30)
    inside, beside = (fast(each).states for each in (plan, outer))
    both = reaching(on_ground(plan, edge=edge), load_tables(**TABLES).tree.diameter.lateral_reach).states
    area = [s["basal_area_ft2_ac"] / s["trees_per_ac"][0] for s in (inside, beside, both)]
    expected = (1.0 - edge) * area[0] + edge * area[1]
    # exact until trees crowd each other out; a row has one survival for both parts
    crowded = 0.03 if spacing == "close" else 1e-6
    np.testing.assert_allclose(area[2][:31], expected[:31], rtol=crowded, atol=1e-9)


def test_a_thinned_plantation_keeps_its_edges() -> None:
    base = plantation(example())
    plain, edged = fast(base), fast(on_ground(base, edge=0.05))
    assert edged.wood_ton_ac[1:].sum() > plain.wood_ton_ac[1:].sum()
    assert edged.wood_ton_ac[1:34].sum() < 1.10 * plain.wood_ton_ac[1:34].sum()


def test_closer_rows_have_a_smaller_share_outermost() -> None:
    plan = on_ground(example(), 0.08, 0.04, 0.09)
    ground = plantation(plan).land.ground
    assert ground is not None
    assert ground.headland_ac == 0.0
    assert ground.total_ac == pytest.approx(40.0)
    # as many feet of edge: 25 ft of ground for each row of the plan, 9 ft for each of the plantation
    assert ground.edge_row_share * (0.96 / 9.0) == pytest.approx(0.09 * (0.88 / 25.0))


# Batches ---------------------------------------------------------------------------------------------------------


def test_fields_in_a_batch_never_know_of_one_another() -> None:
    plans = [
        example(),
        on_ground(example(), 0.1, 0.05, 0.2),
        on_ground(example(), 0.0, 0.3),
        on_ground(example(), 0.4),
        changed(example(), "land", acres=15.0),
    ]
    for plan, together in zip(plans, run_batch(plans), strict=True):
        alone = fast(plan)
        np.testing.assert_allclose(together.flows.quantity, alone.flows.quantity, rtol=2e-5, atol=2e-5)
        np.testing.assert_allclose(together.states["trees_per_ac"], alone.states["trees_per_ac"], rtol=2e-5, atol=1e-6)


# Standing stands ---------------------------------------------------------------------------------------------------


def test_a_cruise_is_of_the_stand_and_the_accounts_are_of_the_field() -> None:
    plan = load(EXAMPLES / "standing-pines.toml")
    assert plan.stand is not None
    outcome = fast(on_ground(plan, unusable=0.1))
    assert outcome.states["trees_per_ac"][0] == pytest.approx(0.9 * plan.stand.trees_per_ac)
    whole = fast(plan)
    np.testing.assert_allclose(outcome.states["quadratic_mean_dbh_in"][0], whole.states["quadratic_mean_dbh_in"][0])
    for name in systems_of(plan):
        assert name in systems_of(on_ground(plan, unusable=0.1))


def test_a_thinning_leaves_so_many_trees_among_the_rows() -> None:
    cut = Thinning(year=16, residual_trees_per_ac=100.0)
    plan = example().model_copy(update={"thinning": (cut,), "harvest": Harvest(year=35)})
    left = fast(on_ground(plan, 0.1, 0.1)).states
    after = left["trees_per_ac"][16] - left["trees_cut_per_ac"][16]
    assert after == pytest.approx(0.8 * 100.0, rel=0.02)


# What is refused ---------------------------------------------------------------------------------------------------

NO_ROWS = "alley_ac = 0\ntree_strip_ac = 0\nheadland_ac = 38.4"
TABLE = "\n[land.ground]\nalley_ac = 26\ntree_strip_ac = 9.3\nheadland_ac = 3.1\nunusable_ac = 1.6\n"


def _with(table: str) -> str:
    return example_text() + table


def test_the_parts_of_a_field_are_read() -> None:
    plan = load_text(_with(TABLE + "edge_row_share = 0.09\ntrees_ordered = 7700\n"), EXAMPLE_NAME)
    assert plan.land.ground is not None
    assert plan.land.ground.edge_row_share == 0.09


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (("headland_ac = 3.1", "headland_ac = 31"), "land.ground: adds up to 67.90 ac, but the field has acres = 40"),
        (("unusable_ac = 1.6", "unusable_ac = -1.6"), "land.ground.unusable_ac"),
        (("unusable_ac = 1.6", "unusable_ac = 1.6\nedge_row_share = 1.5"), "land.ground.edge_row_share"),
        (("alley_ac = 26\n", ""), "land.ground.alley_ac"),
        (("unusable_ac", "pond_ac"), "land.ground.pond_ac"),
        (("alley_ac = 26\ntree_strip_ac = 9.3\nheadland_ac = 3.1", NO_ROWS), "leaves no ground for the rows"),
    ],
)  # fmt: skip
def test_a_table_that_cannot_be_is_refused_with_its_line(change: tuple[str, str], said: str) -> None:
    text = _with(TABLE.replace(*change))
    with pytest.raises(InputError) as refused:
        load_text(text, EXAMPLE_NAME)
    (problem,) = refused.value.problems
    assert said in str(problem)
    assert problem.line is not None
    assert text.splitlines()[problem.line - 1].startswith(("[land.ground]", "unusable", "edge", "pond"))


def test_half_a_per_cent_is_rounding() -> None:
    load_text(_with(TABLE.replace("3.1", "3.29")), EXAMPLE_NAME)
    with pytest.raises(InputError):
        load_text(_with(TABLE.replace("3.1", "3.31")), EXAMPLE_NAME)
