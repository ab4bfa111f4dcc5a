"""Rules for a stand that is there already, and for opening it to grass. Each docstring is the rule."""

from itertools import pairwise
from typing import Final

from simulator.errors import Problem
from simulator.scenario.draft import Draft
from simulator.scenario.lines import FieldPath
from simulator.scenario.tree_rules import Rule, planted_spots_per_ac, table_trees_per_ac

STRIP_COUNTS: Final = ("strip_rows_removed", "strip_rows_left")


def stand_goes_with_trees(draft: Draft) -> list[Problem]:
    """A stand says of which species it is and how it is spaced, in [trees]."""
    if not draft.written("stand") or draft.written("trees"):
        return []
    remedy = "Add [trees] with the species, and [trees.layout] with the spacing it was planted at."
    return [draft.problem(("stand",), "stands without [trees]", remedy=remedy, received="")]


def year_zero_needs_a_stand(draft: Draft) -> list[Problem]:
    """Only a stand that is there already can be thinned or cut in year 0."""
    if draft.written("stand"):
        return []
    paths: list[FieldPath] = [("thinning", number, "year") for number in range(len(draft.entries("thinning")))]
    remedy = "Name a later year, or describe the trees that stand today in [stand]."
    return [
        draft.problem(path, "must be 1 or later: in year 0 the trees are planted", remedy=remedy)
        for path in (*paths, ("harvest", "year"))
        if _year(draft, path) == 0
    ]


def _year(draft: Draft, path: FieldPath) -> int | None:
    value = draft.get(path[0])
    for part in path[1:]:
        value = None if value is None else value[part]
    return value if isinstance(value, int) else None


def stand_fits_its_spacing(draft: Draft) -> list[Problem]:
    """No more trees stand than the spacing has planting spots."""
    trees, spots = table_trees_per_ac(draft), planted_spots_per_ac(draft)
    if trees is None or spots is None or trees <= spots * (1.0 + 1e-9):
        return []
    rule = f"holds {trees:.0f} trees an acre, more than the {spots:.0f} spots of [trees.layout]"
    remedy = "State the spacing that the trees were planted at; for a natural stand a square one with as many spots."
    return [draft.problem(("stand", "class"), rule, remedy=remedy, received="")]


def diameter_classes_rise(draft: Draft) -> list[Problem]:
    """The stand table goes from small to large, each diameter class once."""
    lines = (draft.get("stand") or {}).get("class") or []
    problems = []
    for number, (before, after) in enumerate(pairwise(lines), start=1):
        low, high = (before or {}).get("dbh_in"), (after or {}).get("dbh_in")
        if low is not None and high is not None and high <= low:
            rule = f"must be above the {low:g} in of the class before"
            path = ("stand", "class", number, "dbh_in")
            problems.append(draft.problem(path, rule, remedy="Put the classes in the order of their diameters."))
    return problems


def stand_says_whether_there_is_grass(draft: Draft) -> list[Problem]:
    """A plan that uses grass in a stand says whether a sward is there or has to be sown."""
    used = draft.get("use", "hay_years") is not None or draft.get("use", "first_grazing_year") is not None
    if not draft.written("stand") or not used or draft.written("pasture", "established"):
        return []
    remedy = "Under closed trees there is none: write established = false and the sown_year."
    return [draft.problem(("pasture", "established"), "is missing beside [stand]", remedy=remedy, received="")]


def grass_is_sown_before_it_is_used(draft: Draft) -> list[Problem]:
    """A sown_year goes with established = false, and hay and grazing come after it."""
    sown = draft.get("pasture", "sown_year")
    if not sown or draft.get("pasture", "established") is None:
        return []
    if draft.get("pasture", "established"):
        remedy = "Write established = false, or take sown_year out."
        return [draft.problem(("pasture", "sown_year"), "is stated, but the grass is established", remedy=remedy)]
    hay, first = draft.get("use", "hay_years"), draft.get("use", "first_grazing_year")
    begins = (
        (("use", "hay_years"), hay[0] if hay else None),
        (("use", "first_grazing_year"), first),
        (("harvest", "year"), draft.get("harvest", "year")),
    )
    rule = f"must be later than {sown}, the year in which the grass is sown"
    return [
        draft.problem(path, rule, remedy="Wait a season, better two, or sow earlier.")
        for path, year in begins
        if year is not None and year <= sown
    ]


def strips_say_how_wide(draft: Draft) -> list[Problem]:
    """A thinning by strips says how many adjacent rows go and how many stay; no other method does."""
    problems = []
    for number, entry in enumerate(draft.entries("thinning")):
        method = entry.get("method")
        if method is None:
            continue
        for name in STRIP_COUNTS:
            written = draft.written_entry("thinning", number, name)
            path = ("thinning", number, name)
            if "strips" in method and not written:
                remedy = "For example strip_rows_removed = 2 and strip_rows_left = 4."
                problems.append(draft.problem(path, f'is missing beside "{method}"', remedy=remedy, received=""))
            elif "strips" not in method and written:
                remedy = 'Take it out, or use method = "strips".'
                problems.append(draft.problem(path, f'does not go with method = "{method}"', remedy=remedy))
    return problems


def natural_stands_have_no_rows(draft: Draft) -> list[Problem]:
    """A stand that seeded itself is not thinned by rows."""
    if (draft.get("stand") or {}).get("origin") != "natural":
        return []
    remedy = 'Use "from below", "marked", or "strips" for lanes cut through it.'
    return [
        draft.problem(("thinning", number, "method"), "takes rows, which a natural stand does not have", remedy=remedy)
        for number, entry in enumerate(draft.entries("thinning"))
        if "rows" in (entry.get("method") or "")
    ]


def opening_later_needs_a_stand(draft: Draft) -> list[Problem]:
    """What is opened later stands today."""
    if draft.written("stand") or not draft.written("baseline", "open_later"):
        return []
    remedy = "Take it out, or describe the trees that stand today in [stand]."
    return [draft.problem(("baseline", "open_later"), "is stated without [stand]", remedy=remedy, received="")]


STAND_RULES: Final[tuple[Rule, ...]] = (
    stand_goes_with_trees,
    year_zero_needs_a_stand,
    stand_fits_its_spacing,
    diameter_classes_rise,
    stand_says_whether_there_is_grass,
    grass_is_sown_before_it_is_used,
    strips_say_how_wide,
    natural_stands_have_no_rows,
    opening_later_needs_a_stand,
)
