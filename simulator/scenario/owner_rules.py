"""Rules for other income, help, loans and sprays. Each docstring is the rule."""

from collections.abc import Iterator, Mapping
from typing import Any, Final

from simulator.errors import Problem
from simulator.parameters.prices import PriceTable
from simulator.parameters.upkeep import load_sprays
from simulator.scenario.draft import Draft
from simulator.scenario.income import slug
from simulator.scenario.lines import FieldPath
from simulator.scenario.messages import nearest, shown
from simulator.scenario.sale import COST_ITEMS, MILL_ITEMS
from simulator.scenario.tree_rules import Rule

RESERVED: Final = ("wood", "hay", "grazing", "straw", "nuts", "land", "hunting", "carbon", "help", "loan")
NEVER_HELPED: Final = ("wage", "hired_wage", "tax_and_administration", *MILL_ITEMS, *COST_ITEMS)
"""Items whose lines no help counts: hours, overhead, and wood on its way to the mill."""
COST_GROUPS: Final[Mapping[str, tuple[str, ...]]] = {
    "planting": (
        "seedlings",
        "container_premium",
        "grafted_tree",
        "planting_grafted",
        "planting_alley",
        "planting_plantation",
        "rip_and_strip",
        "cutover_preparation",
        "herbicide",
    ),
    "fence": ("cross_fence_and_water", "perimeter_fence", "net_cross_fence_and_water", "net_wire_fence"),
    "grass": ("sward_establishment",),
}
"""Cost items that a group of help pays for."""


def names_differ(draft: Draft) -> list[Problem]:
    """Other enterprises and payments have names of their own, which no enterprise of the ledger has; so do loans.

    Names are alike whose lines of the ledger would be: capitals, and whether a space or ``_`` stands between words,
    make no difference, and an enterprise takes the name of its hours too.
    """
    problems, seen = [], set(RESERVED)
    for table in ("other", "payment"):
        for number, entry in enumerate(draft.entries(table)):
            name = entry.get("name")
            if name is None:
                continue
            names = {slug(name), f"{slug(name)}_labour"} if table == "other" else {slug(name)}
            if names & seen:
                problems.append(_taken(draft, (table, number, "name")))
            seen |= names
    loans: set[str] = set()
    for number, entry in enumerate(draft.entries("loan")):
        if (name := entry.get("name")) is None:
            continue
        if slug(name) in loans:
            problems.append(_taken(draft, ("loan", number, "name")))
        loans.add(slug(name))
    return problems


def _taken(draft: Draft, path: FieldPath) -> Problem:
    return draft.problem(path, "is a name that is taken", remedy="Give each a name of its own.")


def first_years_come_first(draft: Draft) -> list[Problem]:
    """A first year is not later than its last year."""
    problems = []
    for table in ("other", "payment", "cost_share"):
        for number, entry in enumerate(draft.entries(table)):
            first, last = entry.get("first_year"), entry.get("last_year")
            if first is not None and last is not None and first > last:
                rule = f"must not be before first_year = {first}"
                problems.append(draft.problem((table, number, "last_year"), rule, remedy="Name a later year."))
    years = draft.get("income", "carbon_years")
    if years is not None and None not in years and not 1 <= years[0] <= years[1] <= 120:
        rule = "must be a first and a last year within 1 to 120"
        problems.append(draft.problem(("income", "carbon_years"), rule, remedy="Write for example [1, 20]."))
    return problems


def others_fit_the_ground(draft: Draft) -> list[Problem]:
    """Other enterprises say what they earn in one way, rise with light, and leave room on the grass ground."""
    problems, entries = [], draft.entries("other")
    for number, entry in enumerate(entries):
        given = [key for key in ("margin_per_ac", "item") if draft.written_entry("other", number, key)]
        if len(given) != 1:
            rule = "must say what it earns by margin_per_ac or by item, one of the two"
            problems.append(draft.problem(("other", number), rule, received="", remedy="Keep or add one of them."))
        least, full = entry.get("least_light"), entry.get("full_light")
        if least is not None and full is not None and full < least:
            rule = f"must not be below least_light = {least:g}"
            problems.append(draft.problem(("other", number, "full_light"), rule, remedy="Raise it."))
    for year in sorted({entry.get("first_year") or 1 for entry in entries}):
        taken = sum(entry.get("area_share") or 0.0 for entry in entries if _holds(entry, year))
        if taken > 1.0:
            rule = f"enterprises of year {year} take {taken:.0%} of the grass ground together"
            problems.append(draft.problem(("other",), rule, received="", remedy="Lower their area_share."))
            break
    return problems


def _holds(entry: Mapping[str, Any], year: int) -> bool:
    return (entry.get("first_year") or 1) <= year <= (entry.get("last_year") or 120)


def loans_state_one_amount(draft: Draft) -> list[Problem]:
    """A loan states its amount by the acre or for the whole tract."""
    problems = []
    for number, _ in enumerate(draft.entries("loan")):
        given = [key for key in ("amount", "amount_per_ac") if draft.written_entry("loan", number, key)]
        if len(given) != 1:
            rule = "must state amount or amount_per_ac, one of the two"
            problems.append(draft.problem(("loan", number), rule, received="", remedy="Keep or add one of them."))
    return problems


def sprays_are_known_and_allowed(draft: Draft) -> list[Problem]:
    """Sprays name an active ingredient known here; none that forbids it is used on grass that is grazed or cut."""
    problems, known = [], load_sprays()
    for number, entry in enumerate(draft.entries("herbicide")):
        name, path = entry.get("product_class"), ("herbicide", number, "product_class")
        if name is None:
            continue
        if name not in known:
            remedy = f"{nearest(name, known)} Known: {', '.join(known)}.".strip()
            problems.append(draft.problem(path, "is not an active ingredient known here", remedy=remedy))
        elif known[name].forbids_use and entry.get("ground") == "grass":
            remedy = "Spray in another year, or use another active ingredient; the label governs."
            rules = [f"forbids {use} on ground sprayed that year" for use in _uses_of(draft, entry.get("year"))]
            problems += [draft.problem(path, rule, remedy=remedy) for rule in rules]
    return problems


def _uses_of(draft: Draft, year: int | None) -> Iterator[str]:
    hay, first = draft.get("use", "hay_years"), draft.get("use", "first_grazing_year")
    if year is None:
        return
    if first is not None and year >= first:
        yield "grazing"
    elif hay is not None and None not in hay and hay[0] <= year <= hay[1]:
        yield "hay"


def items_of_owners_are_known(draft: Draft, prices: PriceTable) -> list[Problem]:
    """Other enterprises name an income by the acre, help a cost, both of the price table."""
    problems = []
    sold = [item for item in prices.items if prices.groups[item] == "sale"]
    income = [item for item in sold if prices.items[item].unit == "$/ac"]
    costs = items_that_can_be_helped(prices)
    asked = [(("other", n, "item"), entry.get("item"), income) for n, entry in enumerate(draft.entries("other"))]
    asked += [
        (("cost_share", n, "line"), entry.get("line"), [*COST_GROUPS, *costs])
        for n, entry in enumerate(draft.entries("cost_share"))
    ]
    for path, name, known in asked:
        if name is not None and name not in known:
            remedy = f"{nearest(name, known)} Known: {', '.join(known)}.".strip()
            problems.append(draft.problem(path, "is not known here", received=shown(name), remedy=remedy))
    return problems


def items_that_can_be_helped(prices: PriceTable) -> list[str]:
    """Costs that help can be a share of: sums of money, no multipliers, and neither hours nor overhead."""
    costs = [item for item in prices.items if prices.groups[item] != "sale" and item not in NEVER_HELPED]
    return [item for item in costs if prices.items[item].unit.startswith("$")]


OWNER_RULES: Final[tuple[Rule, ...]] = (
    names_differ,
    first_years_come_first,
    others_fit_the_ground,
    loans_state_one_amount,
    sprays_are_known_and_allowed,
)
