"""Rules for what a species can and cannot do. Each docstring is the rule."""

from typing import Final

from simulator.errors import Problem
from simulator.parameters.catalogue import tree_names
from simulator.parameters.species import Species, load_species
from simulator.scenario.draft import Draft
from simulator.scenario.tree_rules import Rule


def straw_comes_from_pines(draft: Draft) -> list[Problem]:
    """Pine straw is raked under pines."""
    species = _species(draft)
    if species is None or species.orchard is None or not draft.get("straw", "market"):
        return []
    rule = f'is true under trees = "{draft.get("trees", "species")}", which has no needles'
    return [draft.problem(("straw", "market"), rule, remedy="Write market = false.")]


def seed_and_rust_are_of_pines(draft: Draft) -> list[Problem]:
    """Genetic grades and fusiform rust belong to pines; grafted orchard trees have neither."""
    species = _species(draft)
    if species is None or species.orchard is None:
        return []
    name, problems = draft.get("trees", "species"), []
    if draft.get("trees", "genetics") not in {None, "unimproved"}:
        rule = f"is a grade of pine seed; {name} is grafted"
        problems.append(draft.problem(("trees", "genetics"), rule, remedy="Take it out."))
    if draft.get("trees", "rust_infected_share"):
        rule = f"is a disease of pines; {name} has none of it"
        problems.append(draft.problem(("trees", "rust_infected_share"), rule, remedy="Take it out."))
    return problems


def goats_stay_out_of_orchards(draft: Draft) -> list[Problem]:
    """Goats are not let in under nut trees: they peel the bark and browse the low limbs."""
    species = _species(draft)
    if species is None or species.orchard is None or draft.get("use", "animals") != "goats":
        return []
    rule = f'must not be goats under species = "{draft.get("trees", "species")}": they peel bark and browse low limbs'
    remedy = 'Write animals = "cattle", "sheep" or "none".'
    return [draft.problem(("use", "animals"), rule, remedy=remedy)]


def _species(draft: Draft) -> Species | None:
    name = draft.get("trees", "species")
    return load_species(name) if name in tree_names() else None


SPECIES_RULES: Final[tuple[Rule, ...]] = (
    straw_comes_from_pines,
    seed_and_rust_are_of_pines,
    goats_stay_out_of_orchards,
)
