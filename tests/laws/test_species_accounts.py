"""Ledger of what only some species need: grades of seed, container and grafted stock, nuts, salvage wood."""

import numpy as np
import pytest

from plans import changed, example, fast, grown_fast, plantation
from simulator.accounts import SPECIES_LINES
from simulator.comparison import compare
from simulator.land_equivalent import tree_product
from simulator.result import Outcome
from simulator.scenario.file import load_text
from simulator.scenario.model import Scenario
from workbench.examples import Choices, scenario_text


def orchard() -> Scenario:
    plan = load_text(scenario_text(Choices(trees="pecan", layout="square")), "orchard")
    return changed(plan, "money", horizon_years=40)


def posted(outcome: Outcome, key: str) -> np.ndarray:
    place = next(i for i, line in enumerate(outcome.flows.lines) if line.key == key)
    return outcome.flows.quantity[:, place]


def raked(species: str) -> Scenario:
    plan = changed(changed(example(), "trees", species=species), "straw", market=True)
    return changed(plan, "use", animals="none", first_grazing_year=None)


def test_every_line_of_the_species_is_used_by_some_plan() -> None:
    grades = ("poor", "first generation", "second generation", "elite family")
    early = orchard().model_copy(update={"thinning": (), "harvest": orchard().harvest.model_copy(update={"year": 35})})  # type: ignore[union-attr]
    plans = [changed(example(), "trees", genetics=grade) for grade in grades]
    plans += [changed(example(), "trees", species="longleaf"), changed(orchard(), "land", acres=400.0), early]
    plans += [raked(species) for species in ("slash", "longleaf")]
    used = {item for outcome in grown_fast(*plans) for item in outcome.ledger()["item"]}
    assert {line.key for line in SPECIES_LINES} <= used


def test_the_ledger_of_an_orchard_adds_up_to_its_cash() -> None:
    outcome = fast(orchard())
    ledger = outcome.ledger()
    cash = ledger[ledger["account"] != "end value"].groupby("year")["amount"].sum()
    np.testing.assert_allclose(cash.reindex(range(41), fill_value=0.0), outcome.cash_per_ac, atol=1e-9)


def test_nuts_alternate_and_are_paid_by_the_pound() -> None:
    outcome = fast(orchard())
    nuts = posted(outcome, "nuts")
    assert np.all(nuts[:6] == 0)
    years = np.arange(10, 29)
    assert np.all(nuts[years[years % 2 == 0]] > nuts[years[years % 2 == 0] + 1]), "heavy in even years"
    np.testing.assert_array_equal(nuts, posted(outcome, "nut_harvest"))
    assert nuts.max() <= 1000.0 * 1.5 + 1e-9
    price = outcome.ledger().query("item == 'nuts'")["price"].unique()
    assert price.tolist() == [outcome.prices["nuts"]]


def test_an_orchard_sells_its_wood_as_salvage_only_and_is_thinned_sold_or_not() -> None:
    small, large = (fast(changed(orchard(), "land", acres=acres)) for acres in (20.0, 400.0))
    sold = large.ledger().query("enterprise == 'wood' and account in ['sale', 'end value'] and amount > 0")
    assert set(sold["item"]) == {"salvage_wood", "end_salvage_wood"}
    tons = posted(large, "salvage_wood")
    np.testing.assert_allclose(tons, large.wood_ton_ac.sum(axis=1))
    assert 0 < tons[30] < large.states["standing_ton_ac"][30]
    assert small.states["no_bid"][30]
    assert not posted(small, "salvage_wood").any()
    assert small.states["trees_per_ac"][31] == pytest.approx(large.states["trees_per_ac"][31], rel=0.05)


def test_pines_have_no_nuts_and_pecan_no_needles() -> None:
    assert not posted(fast(example()), "nuts").any()
    assert "seedlings" not in set(fast(orchard()).ledger()["item"])


def test_straw_is_sold_under_its_own_name() -> None:
    for species, parts in (
        ("slash", (0.0, 1.0, 0.0)),
        ("longleaf", (0.0, 0.0, 1.0)),
        ("loblolly-longleaf", (0.5, 0.0, 0.5)),
    ):
        outcome = fast(raked(species))
        bales = outcome.states["straw_bales_ac"]
        assert bales.any()
        for key, part in zip(("straw", "straw_slash", "straw_longleaf"), parts, strict=True):
            np.testing.assert_allclose(posted(outcome, key), part * bales)


def test_container_stock_costs_a_premium_on_every_seedling() -> None:
    bare, container = fast(example()), fast(changed(example(), "trees", species="longleaf"))
    assert not posted(bare, "container_stock").any()
    np.testing.assert_allclose(posted(container, "container_stock"), posted(container, "seedlings"))


def test_trees_alone_of_an_orchard_are_an_orchard() -> None:
    alone = plantation(orchard())
    assert alone.trees is not None
    assert alone.trees.species == "pecan"
    assert alone.trees.layout.in_row_ft == alone.trees.layout.alley_ft == 40.0
    assert alone.use.first_grazing_year is None


def test_systems_of_one_land_share_seed_weeds_and_site() -> None:
    seed = {"species": "slash", "genetics": "poor", "weed_control": False, "site_index_ft": 70.0}
    plan = changed(example(), "trees", **seed, rust_infected_share=0.2)
    both, alone = plan.trees, plantation(plan).trees
    assert both is not None
    assert alone is not None
    assert both.model_copy(update={"layout": alone.layout}) == alone


@pytest.mark.parametrize("species", ["longleaf", "pecan"])
def test_a_comparison_of_another_species_holds_together(species: str) -> None:
    plan = orchard() if species == "pecan" else changed(example(), "trees", species=species)
    compared = compare(plan, precision="fast")
    codes = {(warning.system, warning.code) for warning in compared.warnings}
    assert ("silvopasture", "provisional_numbers") in codes
    assert ("plantation", "site_index_conversion") in codes
    assert (("silvopasture", "nuts_and_animals") in codes) == (species == "pecan")
    assert tree_product(compared.systems) == ("nuts" if species == "pecan" else "wood")
    assert 0.8 < compared.land_equivalent.total < 2.0
    # as many trees bear nearly as many nuts; half as many pines, each with more room, more than half the wood or so
    least, most = (0.8, 1.05) if species == "pecan" else (0.4, 0.8)
    assert least < compared.land_equivalent.wood < most
