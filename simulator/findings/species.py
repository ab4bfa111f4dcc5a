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
