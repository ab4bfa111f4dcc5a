"""What a reader must know about the species that was planted: how sure its numbers are, and its own dangers."""

from collections.abc import Iterator
from typing import Final

import numpy as np

from simulator.parameters.growth import load_tree
from simulator.parameters.species import genetics_source, load_species, provisional_growth
from simulator.result import Outcome
from simulator.scenario.land import Land
from simulator.scenario.trees import Trees

MOST_SHADED_ORCHARD_FLOOR: Final = 0.60
"""An orchard is thinned when so much of its floor is shaded; extension guidance, second-hand."""
HARD_ON_TREES: Final = 0.43
"""Share infected with rust at five above which a hazard is called high: Schmidt & Klapproth 1982."""


WORK_OF_A_CUT: Final = ("precommercial_thinning", "logging_cleanup", "overseeding", "tree_labour")
HIDES_NUTS: Final = ("native-mix", "eastern-gamagrass")
"""Tall bunchgrasses; common practice, no source."""
CLOSEST_NUT_TREES_FT: Final = 25.0
"""Nut trees are not planted closer, even where half are taken out later; common practice, no source."""


def own_site_index_ft(land: Land, trees: Trees) -> float:
    """Site index of the species in its own base age, before what its seed adds [ft]."""
    if trees.site_index_ft is not None:
        return trees.site_index_ft
    return land.site_index_ft * load_species(trees.species).site_index.per_loblolly_ft


def species_findings(outcome: Outcome) -> Iterator[tuple[str, str]]:
    """Code and message of everything to know about the species of one outcome.

    Parameters
    ----------
    outcome
        What came out.

    Yields
    ------
    tuple of str
        Nothing for loblolly of unimproved seed, planted with weeds controlled.
    """
    trees = outcome.scenario.trees
    if trees is None:
        return
    yield from _numbers(outcome.scenario.land, trees)
    yield from _seed_and_care(trees)
    yield from _rust(trees)
    yield from _orchard(outcome, trees)
    yield from _orchard_plan(outcome, trees)


def unsold_orchard_cuts(outcome: Outcome) -> str:
    """What thinnings of nut trees cost that find no bid, as a sentence to add; empty for timber, which then stands."""
    trees, harvest, states = outcome.scenario.trees, outcome.scenario.harvest, outcome.states
    if trees is None or harvest is None or load_species(trees.species).orchard is None:
        return ""
    unsold = (states["no_bid"] > 0) & (states["trees_cut_per_ac"] > 0) & (states["age"] < harvest.year)
    work = [line.key in WORK_OF_A_CUT for line in outcome.flows.lines]
    cost = {int(year): -float(outcome.amount[year, work].sum()) for year in np.flatnonzero(unsold)}
    if not cost:
        return ""
    paid = " and ".join(f"${dollars:.0f} an acre in year {year}" for year, dollars in cost.items())
    return f" Nut trees are thinned all the same, for light: felling, clean-up, reseeding and hours cost {paid}."


def _name(trees: Trees) -> str:
    return load_tree(trees.species).title.partition(" (")[0].lower()


def _numbers(land: Land, trees: Trees) -> Iterator[tuple[str, str]]:
    if provisional_growth(trees.species):
        yield (
            "provisional_numbers",
            f"Growth of {_name(trees)} rests on provisional numbers: read it as a direction, not as a yield.",
        )
    site = load_species(trees.species).site_index
    if trees.site_index_ft is None and site.per_loblolly_ft != 1.0:
        own = f"{own_site_index_ft(land, trees):.0f} ft of {_name(trees)} at {site.base_age_yr:.0f}"
        message = (
            f"Site index {land.site_index_ft:.0f} ft of loblolly is taken as {own}; where it was measured, state it "
            "as trees.site_index_ft."
        )
        yield "site_index_conversion", message


def _seed_and_care(trees: Trees) -> Iterator[tuple[str, str]]:
    if trees.genetics != "unimproved":
        source = genetics_source(trees.genetics).rstrip(".")
        yield "genetics", f"Seed counts as {trees.genetics}. {source[0].upper()}{source[1:]}."
    if not trees.weed_control:
        message = (
            "Planted without weed control: how much less lives and grows is assumed. A herbicide's label and a "
            "licensed applicator decide whether and how one is used."
        )
        yield "no_weed_control", message


def _rust(trees: Trees) -> Iterator[tuple[str, str]]:
    rust = load_species(trees.species).rust
    share = rust.infected_share if trees.rust_infected_share is None else trees.rust_infected_share
    if share > HARD_ON_TREES:
        yield (
            "rust_hazard",
            f"Rust on {share:.0%} of the stems by age 5 is a high hazard: resistant seed or another species is usual.",
        )
    elif share > 0 and trees.rust_infected_share is None:
        yield (
            "rust_assumed",
            f"Rust is taken to infect {share:.0%} of the stems by age 5, a moderate hazard; local stands tell better.",
        )


def _orchard(outcome: Outcome, trees: Trees) -> Iterator[tuple[str, str]]:
    if load_species(trees.species).orchard is None:
        return
    shaded = np.flatnonzero(outcome.states["canopy_cover"] > MOST_SHADED_ORCHARD_FLOOR)
    if len(shaded):
        yield (
            "orchard_crowded",
            f"Crowns shade more than {MOST_SHADED_ORCHARD_FLOOR:.0%} of the floor from year {shaded[0]}: thin.",
        )
    yield (
        "nuts_uncertain",
        "Nuts bear heavily every other year and may fail; which year is heavy is not known: read two together.",
    )
    yield (
        "salvage_wood",
        f"Wood of {_name(trees)} is salvage: a stand-in stem gives its tons, which the yearly table shows as pulpwood.",
    )
    if (outcome.states["animal_unit_months_ac"] > 0).any():
        message = (
            "Animals graze where nuts are gathered from the ground: keep them off before the harvest as food-safety "
            "rules ask, and off young trees, which they browse; neither is modelled."
        )
        yield "nuts_and_animals", message


def _orchard_plan(outcome: Outcome, trees: Trees) -> Iterator[tuple[str, str]]:
    """What nobody would plan with nut trees, and what a short horizon makes of them."""
    if load_species(trees.species).orchard is None:
        return
    layout, scenario = trees.layout, outcome.scenario
    gaps = [layout.in_row_ft, layout.alley_ft, *([layout.row_gap_ft] if layout.rows_in_set > 1 else [])]
    if min(gaps) < CLOSEST_NUT_TREES_FT:
        message = (
            f"Nut trees {min(gaps):g} ft apart stand closer than the {CLOSEST_NUT_TREES_FT:.0f} ft that an orchard may "
            "begin with: they bear on the sunlit outside of broad crowns, and the nuts shown count no such shade."
        )
        yield "nut_trees_close", message
    if (grass := scenario.pasture.grass) in HIDES_NUTS:
        yield "nuts_in_tall_grass", f"Nuts are lost in {grass}: it cannot be mown to the floor that harvesting needs."
    last, harvest = scenario.money.horizon_years, scenario.harvest
    if harvest is None or last >= harvest.year:
        return
    if scenario.money.value_at_end:
        message = (
            f"The end value counts the nuts that the orchard would bear from year {last + 1} to its cut in year "
            f"{harvest.year}, less harvest and care, discounted: a buyer may pay less for it."
        )
    else:
        message = f"The present value stops in year {last} and leaves the orchard's years to {harvest.year} out."
    yield "orchard_beyond_horizon", message
