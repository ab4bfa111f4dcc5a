"""Rules for the grid of a search: it holds only plans that a file could hold. Each docstring is the rule."""

from collections.abc import Sequence
from typing import Any, Final

from simulator.errors import Problem
from simulator.scenario.draft import Draft
from simulator.scenario.tree_rules import WHOLE_ROWS, Rule

OF_THE_TREES: Final = ("first_thinning_years", "harvest_years")
AFTER_SOWING: Final = ("hay_until_years", "first_grazing_years", "harvest_years")


def _stated(draft: Draft, name: str) -> Sequence[Any]:
    return draft.get("search", name) or ()


def searched_years_come_after_planting(draft: Draft) -> list[Problem]:
    """Only a stand that is there already can be thinned or cut in year 0 of a search."""
    if draft.written("stand"):
        return []
    remedy = "Name later years, or describe the trees that stand today in [stand]."
    return [
        draft.problem(("search", name, place), "must be 1 or later: in year 0 the trees are planted", remedy=remedy)
        for name in OF_THE_TREES
        for place, year in enumerate(_stated(draft, name))
        if year == 0
    ]


def searched_use_comes_after_sowing(draft: Draft) -> list[Problem]:
    """Grass that is sown later is used, and trees over it are cut, after that year."""
    sown = draft.get("pasture", "sown_year")
    if not sown or draft.get("pasture", "established") is not False:
        return []
    return [
        draft.problem(
            ("search", name, place),
            f"must be later than {sown}, the year in which the grass is sown",
            remedy="Take the year out, or sow earlier.",
        )
        for name in AFTER_SOWING
        for place, year in enumerate(_stated(draft, name))
        if isinstance(year, int) and year <= sown
    ]


def searched_methods_leave_what_is_asked(draft: Draft) -> list[Problem]:
    """A search asks a thinning for a number of trees, so whole rows alone are no method of it; strips say how wide."""
    first = next(iter(draft.entries("thinning")), {}).get("method") or ""
    natural = (draft.get("stand") or {}).get("origin") == "natural"
    problems = []
    for place, method in enumerate(_stated(draft, "thinning_methods")):
        rule = remedy = ""
        if method in WHOLE_ROWS:
            rule = "leaves every other row whole, and a search asks for a number of trees"
            remedy = f'Use "{method} then below".'
        elif natural and "rows" in (method or ""):
            rule, remedy = "takes rows, which a natural stand does not have", 'Use "from below" or "marked".'
        elif "strips" in (method or "") and "strips" not in first:
            rule = "does not say how wide the strips are"
            remedy = "State them in the first [[thinning]], with this method: strip_rows_removed, strip_rows_left."
        if rule:
            problems.append(draft.problem(("search", "thinning_methods", place), rule, remedy=remedy))
    return problems


SEARCH_RULES: Final[tuple[Rule, ...]] = (
    searched_years_come_after_planting,
    searched_use_comes_after_sowing,
    searched_methods_leave_what_is_asked,
)
