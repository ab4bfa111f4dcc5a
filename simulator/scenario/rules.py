"""Every rule between fields, in one list; the rules themselves stand by subject. Each docstring is the rule."""

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Final

from simulator.errors import Problem
from simulator.parameters.catalogue import animal_names, grass_names, refusal, tree_names
from simulator.scenario.draft import Draft
from simulator.scenario.event_rules import EVENT_RULES
from simulator.scenario.grass_rules import GRASS_RULES
from simulator.scenario.ground_rules import GROUND_RULES
from simulator.scenario.lines import FieldPath
from simulator.scenario.messages import nearest
from simulator.scenario.owner_rules import OWNER_RULES, items_of_owners_are_known
from simulator.scenario.price_path_rules import PRICE_PATH_RULES, price_paths_name_amounts
from simulator.scenario.price_rules import (
    price_overrides_are_known,
    read_price_table,
    real_rate_is_not_negative,
    treatment_items_are_known,
)
from simulator.scenario.search_rules import SEARCH_RULES
from simulator.scenario.species_rules import SPECIES_RULES
from simulator.scenario.stand_rules import STAND_RULES, strips_say_how_wide
from simulator.scenario.tax_rules import TAX_RULES
from simulator.scenario.tree_rules import TREE_RULES, Rule, thinnings_say_what_they_leave, years_rise
from simulator.scenario.use_rules import USE_RULES, hay_years_run_forward, nitrogen_is_a_rate_or_a_table_of_years

OVERRIDABLE: Final = (
    "trees",
    "thinning",
    "pruning",
    "harvest",
    "treatment",
    "pasture",
    "use",
    "straw",
    "herbicide",
    "fertiliser",
    "fire",
    "search",
)
NAMED: Final[tuple[tuple[FieldPath, str, Callable[[], list[str]]], ...]] = (
    (("trees", "species"), "tree", tree_names),
    (("pasture", "grass"), "grass", grass_names),
    (("pasture", "switch", "grass"), "grass", grass_names),
    (("use", "animals"), "animal", animal_names),
)


def format_is_a_whole_number(draft: Draft) -> list[Problem]:
    """The format is written 1, not 1.0 and not true."""
    written = draft.document.get("format")
    if draft.get("format") is None or type(written) is int:
        return []
    return [draft.problem(("format",), "must be 1", remedy="Write format = 1.")]


def names_are_known(draft: Draft) -> list[Problem]:
    """Trees, grasses and animals are in the catalogue."""
    problems = []
    for path, kind, known in NAMED:
        name = draft.get(*path)
        if name is not None and name not in (names := known()):
            rule = (refusal(name) if kind == "animal" else "") or f"is not a known {kind}"
            problems.append(draft.problem(path, rule, remedy=name_remedy(name, names)))
    return problems


def name_remedy(name: str, known: Iterable[str]) -> str:
    """Suggest the nearest known name and list them all."""
    known = list(known)
    return " ".join(part for part in (nearest(name, known), f"Known: {', '.join(known)}.") if part)


SINGLE_RULES: Final[tuple[Rule, ...]] = (
    format_is_a_whole_number,
    names_are_known,
    real_rate_is_not_negative,
    *TREE_RULES,
    *SPECIES_RULES,
    *GRASS_RULES,
    *GROUND_RULES,
    *USE_RULES,
    *OWNER_RULES,
    *EVENT_RULES,
    *STAND_RULES,
    *PRICE_PATH_RULES,
    *TAX_RULES,
    *SEARCH_RULES,
)
OVERRIDE_RULES: Final[tuple[Rule, ...]] = (
    names_are_known,
    years_rise,
    thinnings_say_what_they_leave,
    strips_say_how_wide,
    hay_years_run_forward,
    nitrogen_is_a_rate_or_a_table_of_years,
)
"""Rules that hold for a part of a plan; the others are for the whole plan once the override is laid over it."""


def problems_between_fields(draft: Draft, beside: Path | None) -> list[Problem]:
    """Run every rule on a draft.

    Parameters
    ----------
    draft
        The document, faulty fields hidden.
    beside
        Folder that a price table of the person's own is relative to.

    Returns
    -------
    list of Problem
        What the rules found, in no particular order.
    """
    prices, problems = read_price_table(draft, beside)
    drafts = [(draft, SINGLE_RULES)]
    for single_use in ("plantation", "pasture", "open_later"):
        if not draft.get("baseline", single_use):
            continue  # nothing is overridden, so that nothing can be wrong in it
        override = draft.override(single_use)
        problems += override_stays_within_the_plan(override)
        drafts.append((override, OVERRIDE_RULES))
    for part, rules in drafts:
        problems += [problem for rule in rules for problem in rule(part)]
        if prices is not None:
            problems += treatment_items_are_known(part, prices)
            problems += items_of_owners_are_known(part, prices)
    if prices is not None:
        problems += price_overrides_are_known(draft, prices) + price_paths_name_amounts(draft, prices)
    return problems


def override_stays_within_the_plan(override: Draft) -> list[Problem]:
    """A baseline overrides only how the land is used, never the land, the money or another baseline."""
    problems = [problem for problem in override.schema_problems if _top(problem) in OVERRIDABLE]
    for table in override.document:
        if table not in OVERRIDABLE:
            remedy = f"{nearest(table, OVERRIDABLE)} Tables that can be overridden: {', '.join(OVERRIDABLE)}.".strip()
            rule = "cannot be overridden in a baseline: all uses share land, money and title"
            problems.append(override.problem((table,), rule, remedy=remedy, received=""))
    return problems


def _top(problem: Problem) -> str:
    """Name of the overriding table a problem is about: third part of ``baseline.plantation.trees.species``."""
    return problem.field.split(".")[2].split("[")[0]
