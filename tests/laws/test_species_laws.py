"""What must hold for every tree of the catalogue, and what sets the species apart in a whole run."""

from functools import cache

import numpy as np
import pytest

from plans import changed, example, fast, grown_fast, laid_out, plantation, scheduled
from simulator.parameters.catalogue import tree_names
from simulator.parameters.species import load_species
from simulator.result import Outcome
from simulator.scenario.file import load_text
from simulator.scenario.grass import Straw
from simulator.scenario.model import Scenario
from simulator.scenario.rows import planted_trees_per_ac
from simulator.scenario.trees import Thinning
from workbench.examples import Choices, scenario_text

GRADES = ("poor", "unimproved", "first generation", "second generation", "elite family")


def of(species: str, plan: Scenario | None = None) -> Scenario:
    return changed(plan or example(), "trees", species=species)


def native(species: str) -> Scenario:
    """The plan that ``halfshade init`` writes for the species, nut trees in squares."""
    layout = "square" if load_species(species).orchard else "double"
    return load_text(scenario_text(Choices(trees=species, layout=layout)), species)


@cache
def lived(species: str) -> Outcome:
    return fast(native(species))


@cache
def untouched(species: str) -> Outcome:
    """Never thinned, so that only growth shows."""
    return fast(scheduled(of(species), 40))


@pytest.mark.parametrize("species", tree_names())
def test_heights_rise_and_diameters_never_fall_but_by_cutting(species: str) -> None:
    for outcome in (lived(species), untouched(species)):
        states = outcome.states
        within = np.diff(states["age"]) > 0
        uncut = within & (states["trees_cut_per_ac"][:-1] == 0)
        assert np.all(np.diff(states["dominant_height_ft"])[within] > 0)
        assert np.all(np.diff(states["quadratic_mean_dbh_in"])[uncut] >= 0)
        assert states["quadratic_mean_dbh_in"].max() > 3.0


@pytest.mark.parametrize("species", tree_names())
def test_light_trees_wood_and_forage_balance(species: str) -> None:
    outcome = lived(species)
    states, trees = outcome.states, outcome.scenario.trees
    assert trees is not None
    for name in ("light_warm", "light_cool", "canopy_cover"):
        assert np.all((states[name] >= 0.0) & (states[name] <= 1.0)), name
    layout = trees.layout
    planted = planted_trees_per_ac(layout.rows_in_set, layout.row_gap_ft, layout.in_row_ft, layout.alley_ft)
    first = slice(1, min(outcome.scenario.harvest.year, 40) + 1)  # type: ignore[union-attr]
    gone = states["trees_cut_per_ac"] + states["trees_dead_per_ac"]
    left = states["trees_per_ac"][first][-1] - states["trees_cut_per_ac"][first][-1]
    # cattle and mowers take a few more after the year's row is written as alive or dead
    assert left + gone[first].sum() == pytest.approx(planted, rel=1e-6)
    assert np.all(outcome.wood_ton_ac.sum(axis=1) <= states["standing_ton_ac"] + 1e-9)
    assert np.all(states["forage_eaten_lb_ac"] <= states["forage_lb_ac"] + 1e-9)


@pytest.mark.parametrize("species", tree_names())
def test_a_pasture_does_not_know_which_tree_was_not_planted(species: str) -> None:
    from simulator.baselines import pasture_of  # noqa: PLC0415

    plain, beside = grown_fast(pasture_of(example()), pasture_of(of(species)))
    np.testing.assert_array_equal(plain.amount, beside.amount)


def test_loblolly_is_moved_by_nothing_that_other_species_brought() -> None:
    said = changed(example(), "trees", genetics="unimproved", weed_control=True, rust_infected_share=0.0)
    plain, stated = grown_fast(example(), changed(said, "trees", site_index_ft=example().land.site_index_ft))
    np.testing.assert_array_equal(plain.amount, stated.amount)


# What sets them apart --------------------------------------------------------------------------------------------


def year_below(outcome: Outcome, light: float) -> int:
    dark = np.flatnonzero(outcome.states["light_warm"] < light)
    return int(dark[0]) if len(dark) else 999


def test_longleaf_closes_its_alleys_later_than_loblolly() -> None:
    close = [laid_out(scheduled(of(species), 40), alley_ft=24.0) for species in ("loblolly", "longleaf")]
    loblolly, longleaf = (year_below(fast(plan), 0.5) for plan in close)
    assert loblolly + 3 <= longleaf < 999


def straw_share(species: str) -> float:
    """Straw's part of what trees alone sell, discounted."""
    plan = plantation(of(species)).model_copy(update={"straw": Straw(market=True)})
    outcome = fast(plan)
    rows = outcome.amount / (1.0 + outcome.rate) ** np.arange(len(outcome.amount))[:, None]
    sales = {
        name: sum(
            rows[:, i].sum()
            for i, line in enumerate(outcome.flows.lines)
            if line.account == "sale" and line.enterprise == name
        )
        for name in ("straw", "wood")
    }
    return float(sales["straw"] / (sales["straw"] + sales["wood"]))


def test_straw_is_a_larger_share_of_income_for_longleaf() -> None:
    assert straw_share("longleaf") > straw_share("loblolly") > 0.0


def test_narrow_crowns_let_more_light_through_and_grow_no_faster() -> None:
    wide, narrow = untouched("loblolly"), untouched("loblolly-narrow")
    assert np.all(narrow.states["light_warm"] >= wide.states["light_warm"] - 1e-9)
    assert narrow.states["light_warm"][10] > wide.states["light_warm"][10]
    np.testing.assert_allclose(narrow.states["quadratic_mean_dbh_in"], wide.states["quadratic_mean_dbh_in"])


def test_pecan_is_bare_in_winter() -> None:
    states = lived("pecan").states
    assert states["light_cool"][25] > states["light_warm"][25] + 0.2


# Weeds, seed, rust -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("species", ["loblolly", "slash", "longleaf", "shortleaf"])
def test_without_weed_control_less_lives_and_grows_and_no_herbicide_is_paid(species: str) -> None:
    plan = of(species)
    tended, wild = fast(plan), fast(changed(plan, "trees", weed_control=False))
    assert wild.states["trees_per_ac"][10] < tended.states["trees_per_ac"][10]
    assert wild.states["quadratic_mean_dbh_in"][15] < tended.states["quadratic_mean_dbh_in"][15]
    paid = [outcome.ledger()["item"].eq("herbicide").sum() for outcome in (tended, wild)]
    assert paid[0] > 0
    assert paid[1] == 0


def test_longleaf_keeps_animals_waiting_until_it_has_left_the_grass_stage() -> None:
    plan = of("longleaf")
    waits = [
        int(np.flatnonzero(outcome.states["animal_unit_months_ac"] > 0)[0])
        for outcome in (fast(example()), fast(plan), fast(changed(plan, "trees", weed_control=False)))
    ]
    assert waits[0] < waits[1] < waits[2]
    low_gate = changed(plan, "use", tree_safe_height_ft=3.0)
    assert np.all(fast(low_gate).states["animal_unit_months_ac"][:5] == 0), "the grass stage is no matter of height"


def test_better_seed_is_taller_and_dearer() -> None:
    outcomes = grown_fast(*(changed(example(), "trees", genetics=grade) for grade in GRADES))
    heights = [outcome.states["dominant_height_ft"][25] for outcome in outcomes]
    assert heights == sorted(heights)
    assert len(set(heights)) == len(GRADES)
    ledgers = [outcome.ledger().query("year == 0 and item.str.startswith('seedlings')") for outcome in outcomes]
    costs = [-float(ledger["amount"].sum()) for ledger in ledgers]
    assert costs == sorted(costs)
    assert all(len(ledger) == 1 for ledger in ledgers), "each tree is bought once"


def test_rust_kills_and_spoils() -> None:
    plan = scheduled(of("slash"), 40)
    clean, sick = grown_fast(*(changed(plan, "trees", rust_infected_share=share) for share in (0.0, 0.6)))
    trees = [outcome.states["trees_per_ac"] for outcome in (clean, sick)]
    np.testing.assert_array_equal(trees[0][:6], trees[1][:6])
    assert trees[1][15] == pytest.approx(trees[0][15] * (1.0 - 0.6 * 0.54), rel=0.02)
    # of sawtimber-size trees a smaller share passes
    shares = [outcome.wood_ton_ac[40, 2] / outcome.wood_ton_ac[40].sum() for outcome in (clean, sick)]
    assert fast(plan).states["trees_per_ac"][15] < trees[0][15], "slash has rust unless it is stated to have none"
    assert shares[1] < shares[0] + 0.2


@pytest.mark.parametrize("species", ["slash", "longleaf", "loblolly"])
def test_the_same_thinning_is_done_in_every_species(species: str) -> None:
    cut = Thinning(year=18, residual_trees_per_ac=90.0)
    outcome = fast(scheduled(of(species), 40, cut))
    assert outcome.states["trees_per_ac"][19] <= 90.0
