"""Rules for events, fertiliser, fire, neglect and young trees. Each docstring is the rule."""

from collections.abc import Mapping
from itertools import pairwise
from typing import Any, Final

from simulator.errors import Problem
from simulator.parameters.hazards import FELLING_KINDS, load_events, of_species
from simulator.scenario.draft import Draft
from simulator.scenario.tree_rules import Rule

FITS: Final = {
    "trees_lost_share": (*FELLING_KINDS, "hogs", "deer and rodents", "seedling loss"),
    "stems_damaged_share": FELLING_KINDS,
    "salvaged_share": FELLING_KINDS,
    "grass_lost_share": ("drought", "hogs"),
    "drought_response": ("drought",),
}
"""Which event each of its fields belongs to."""


def events_happen_within_the_horizon(draft: Draft) -> list[Problem]:
    """An event happens in a year that is simulated."""
    last = draft.get("money", "horizon_years")
    problems = []
    for number, entry in enumerate(draft.entries("event")):
        year = entry.get("year")
        if last is not None and year is not None and year > last:
            rule = f"is later than the last year simulated, {last}"
            remedy = "Events stand in the years of the calendar: name an earlier one, or raise money.horizon_years."
            problems.append(draft.problem(("event", number, "year"), rule, remedy=remedy))
    return problems


def events_of_a_kind_come_once_a_year(draft: Draft) -> list[Problem]:
    """Two events of one kind do not fall in one year."""
    seen: set[tuple[str, int]] = set()
    problems = []
    for number, entry in enumerate(draft.entries("event")):
        kind, year = entry.get("kind"), entry.get("year")
        if kind is not None and year is not None and (kind, year) in seen:
            remedy = "Put them together in one table, with a higher severity."
            problems.append(draft.problem(("event", number), f"is another {kind} in year {year}", remedy=remedy))
        elif kind is not None and year is not None:
            seen.add((kind, year))
    return problems


def event_fields_fit_their_kind(draft: Draft) -> list[Problem]:
    """An event states only what its kind can do."""
    problems = []
    for number, entry in enumerate(draft.entries("event")):
        kind = entry.get("kind")
        for field, kinds in FITS.items():
            if kind is None or kind in kinds or not draft.written_entry("event", number, field):
                continue
            if draft.document["event"][number][field] is None:
                continue
            rule = f'does not go with kind = "{kind}"'
            remedy = f"Take it out; it belongs to {', '.join(kinds)}."
            problems.append(draft.problem(("event", number, field), rule, remedy=remedy))
    return problems


def tree_inputs_need_trees(draft: Draft) -> list[Problem]:
    """Fertiliser for trees, prescribed fire and neglect need trees."""
    if draft.written("trees"):
        return []
    return [
        draft.problem((name,), "stands without any trees", remedy="Add [trees], or take this out.", received="")
        for name in ("fertiliser", "fire", "neglect")
        if draft.written(name) and _says_something(draft.document[name])
    ]


def _says_something(table: Any) -> bool:  # noqa: ANN401 - a table as it stands in the file
    return any(table.values()) if isinstance(table, Mapping) else bool(table)


def fertiliser_is_given_before_harvest(draft: Draft) -> list[Problem]:
    """Fertiliser holds something, years rise, and the trees still stand to use it."""
    problems = []
    harvest = draft.get("harvest", "year")
    entries = draft.entries("fertiliser")
    for number, entry in enumerate(entries):
        year, nitrogen, phosphorus = (entry.get(key) for key in ("year", "nitrogen_lb_ac", "phosphorus_lb_ac"))
        if nitrogen == 0 and phosphorus == 0:
            remedy = "State nitrogen_lb_ac, phosphorus_lb_ac or both, or take the table out."
            problems.append(draft.problem(("fertiliser", number), "holds nothing", received="", remedy=remedy))
        if harvest is not None and year is not None and year > harvest:
            rule = f"must not be later than the harvest in year {harvest}"
            problems.append(draft.problem(("fertiliser", number, "year"), rule, remedy="Name an earlier year."))
    for number, (before, after) in enumerate(pairwise(entries), start=1):
        if None not in (before.get("year"), after.get("year")) and after["year"] <= before["year"]:
            rule = f"must be later than the dose above, in {before['year']}"
            remedy = "Put doses in the order of their years, one a year."
            problems.append(draft.problem(("fertiliser", number, "year"), rule, remedy=remedy))
    return problems


def fire_waits_until_trees_stand_it(draft: Draft) -> list[Problem]:
    """The first prescribed fire waits until the trees stand it, and comes before the harvest."""
    first, species = draft.get("fire", "first_year"), draft.get("trees", "species")
    if first is None or species is None:
        return []
    least = of_species(load_events().first_burn_age, species)
    harvest = draft.get("harvest", "year")
    least = max(1, int(least) - int((draft.get("stand") or {}).get("age") or 0))
    if first < least:
        rule = f"must not be below {least}: {species} is burned no younger, the crown is too near the flames"
        remedy = f"Write {least} or later; a licensed burner and local rules decide on the day."
        return [draft.problem(("fire", "first_year"), rule, remedy=remedy)]
    if harvest is not None and first > harvest:
        rule = f"must not be later than the harvest in year {harvest}"
        return [draft.problem(("fire", "first_year"), rule, remedy="Burn earlier, or take [fire] out.")]
    return []


def neglect_names_what_is_in_the_file(draft: Draft) -> list[Problem]:
    """Missed thinnings are thinnings of the file; neglect begins before the harvest."""
    count = len(draft.entries("thinning"))
    problems = []
    for number, missed in enumerate(draft.get("neglect", "missed_thinnings") or ()):
        if missed is not None and missed > count:
            path = ("neglect", "missed_thinnings", number)
            rule = f"must name one of the {count} thinnings of the file by its number"
            problems.append(draft.problem(path, rule, remedy="Thinnings are counted from 1 in the order of the file."))
    begun, harvest = draft.get("neglect", "from_year"), draft.get("harvest", "year")
    if begun is not None and harvest is not None and begun > harvest:
        rule = f"must not be later than the harvest in year {harvest}"
        problems.append(draft.problem(("neglect", "from_year"), rule, remedy="Name an earlier year."))
    return problems


def replanting_can_reach_its_aim(draft: Draft) -> list[Problem]:
    """Replanting fills back to the planned survival, so it cannot be asked for above it."""
    below, survival = draft.get("trees", "replant_below"), draft.get("trees", "survival")
    if below is None or survival is None or below <= survival:
        return []
    rule = f"must not be above survival = {survival:g}, to which gaps are filled"
    remedy = "Lower it, or raise survival to what a good planting reaches."
    return [draft.problem(("trees", "replant_below"), rule, remedy=remedy)]


def ripping_is_for_old_pasture(draft: Draft) -> list[Problem]:
    """Only old pasture is ripped; felled forest is prepared otherwise."""
    if draft.get("trees", "rip") is not False or draft.get("land", "former_use") != "cutover":
        return []
    remedy = "Take it out: preparation of cutover land is paid for by the item cutover_preparation."
    return [draft.problem(("trees", "rip"), "is false on cutover land, which is not ripped anyway", remedy=remedy)]


EVENT_RULES: Final[tuple[Rule, ...]] = (
    events_happen_within_the_horizon,
    events_of_a_kind_come_once_a_year,
    event_fields_fit_their_kind,
    tree_inputs_need_trees,
    fertiliser_is_given_before_harvest,
    fire_waits_until_trees_stand_it,
    neglect_names_what_is_in_the_file,
    replanting_can_reach_its_aim,
    ripping_is_for_old_pasture,
)
