"""Rules for the trees: what stands, when it is thinned, pruned and cut. Each docstring is the rule."""

from collections.abc import Callable, Mapping
from itertools import pairwise
from typing import Any, Final, NamedTuple, TypeAlias

from simulator.errors import Problem
from simulator.scenario.draft import Draft
from simulator.scenario.rows import planted_trees_per_ac, row_removal, takes_rows

Rule: TypeAlias = Callable[[Draft], list[Problem]]

FASTEST_HEIGHT_FT_A_YEAR: Final = 5.0
"""No pine grows taller than this times its years; assumed for this project, only to catch slips of the pen."""
WHOLE_ROWS: Final = ("rows", "strips")
"""Methods that take whole rows and nothing else."""
TREE_WORK: Final = {"thinning": 1, "pruning": 1, "treatment": 0, "herbicide": 0}
"""Tables of work in a tree cycle, and how many years before the harvest it must be done at the latest."""
RESIDUALS: Final = ("residual_trees_per_ac", "residual_basal_area_ft2_ac")


def trees_come_with_a_harvest(draft: Draft) -> list[Problem]:
    """A scenario with trees says when they are cut."""
    if draft.written("trees") and not draft.written("harvest"):
        return [
            draft.problem(("harvest",), "is missing", remedy="Trees are cut some day: add [harvest] with year = 35.")
        ]
    return []


def tree_work_needs_trees(draft: Draft) -> list[Problem]:
    """Thinning, pruning, harvest and straw need trees."""
    if draft.written("trees"):
        return []
    remedy = "Add [trees], or take this out."
    tables = [name for name in ("thinning", "pruning", "harvest") if draft.written(name) and draft.document[name] != []]
    problems = [draft.problem((name,), "stands without any trees", remedy=remedy, received="") for name in tables]
    if draft.get("straw", "market"):
        problems.append(draft.problem(("straw", "market"), "is true without any trees", remedy=remedy))
    return problems


def tree_work_ends_before_harvest(draft: Draft) -> list[Problem]:
    """Thinnings and prunings come before the final harvest, treatments and sprays not after it."""
    harvest = draft.get("harvest", "year")
    if not draft.written("trees") or harvest is None:
        return []
    problems = []
    for table, years_before in TREE_WORK.items():
        last = harvest - years_before
        for number, entry in enumerate(draft.entries(table)):
            if (year := entry.get("year")) is not None and year > last:
                rule = f"must not be later than {last}, for the trees are cut in year {harvest}"
                remedy = "Move it to an earlier year, or cut later."
                problems.append(draft.problem((table, number, "year"), rule, remedy=remedy))
    return problems


def years_rise(draft: Draft) -> list[Problem]:
    """Thinnings stand in the order of their years, one a year; prunings too, each higher than the last."""
    problems = []
    for table in ("thinning", "pruning"):
        for number, (before, after) in enumerate(pairwise(draft.entries(table)), start=1):
            if (rule := _year_out_of_order(table, before.get("year"), after.get("year"))) is not None:
                remedy = "Put them in the order of their years, one a year."
                problems.append(draft.problem((table, number, "year"), rule, remedy=remedy))
    for number, (before, after) in enumerate(pairwise(draft.entries("pruning")), start=1):
        low, high = before.get("height_ft"), after.get("height_ft")
        if low is not None and high is not None and high <= low:
            rule = f"must be above the {low:g} ft of the lift before"
            problems.append(draft.problem(("pruning", number, "height_ft"), rule, remedy="Each lift goes higher."))
    return problems


def _year_out_of_order(table: str, before: int | None, after: int | None) -> str | None:
    if before is None or after is None or after > before:
        return None
    return (
        f"is the year of another {table}" if after == before else f"must be later than the {table} above, in {before}"
    )


def pruning_fits_the_tree(draft: Draft) -> list[Problem]:
    """No stem is cleared higher than a tree of that age can be, nor more trees than stand."""
    problems = []
    living = living_trees_per_ac(draft)
    for number, entry in enumerate(draft.entries("pruning")):
        year, height, trees = (entry.get(key) for key in ("year", "height_ft", "trees_per_ac"))
        age = (draft.get("stand") or {}).get("age") or 0
        if year is not None and height is not None and height >= FASTEST_HEIGHT_FT_A_YEAR * (age + year):
            rule = f"is higher than a pine stands in year {year}"
            remedy = "Lift at most to half the height of the trees."
            problems.append(draft.problem(("pruning", number, "height_ft"), rule, remedy=remedy))
        if trees is not None and living is not None and trees > living:
            rule = f"must not be above the {living:.0f} trees that live on an acre"
            remedy = "Lower it, or leave it out to prune all."
            problems.append(draft.problem(("pruning", number, "trees_per_ac"), rule, remedy=remedy))
    return problems


def thinnings_say_what_they_leave(draft: Draft) -> list[Problem]:
    """A thinning from below leaves either so many trees or so much basal area; one by rows alone states neither."""
    problems = []
    for number, entry in enumerate(draft.entries("thinning")):
        method = entry.get("method")
        stated = [name for name in RESIDUALS if draft.written_entry("thinning", number, name)]
        both = " or ".join(RESIDUALS)
        if method in WHOLE_ROWS and stated:
            rule = f'does not go with method = "{method}", which leaves every other row whole'
            remedy = f'Take it out, or use method = "{method} then below".'
            problems.append(draft.problem(("thinning", number, stated[0]), rule, remedy=remedy))
        elif method not in {None, *WHOLE_ROWS} and not stated:
            rule = f'with method = "{method}" must say what it leaves'
            problems.append(draft.problem(("thinning", number), rule, received="", remedy=f"Add {both}."))
        elif method not in WHOLE_ROWS and len(stated) > 1:
            rule = f"stands beside {stated[0]}: a thinning stops at one of them"
            problems.append(draft.problem(("thinning", number, stated[1]), rule, remedy="Keep one of the two."))
    return problems


def rows_are_taken_once(draft: Draft) -> list[Problem]:
    """One thinning at most takes rows; every-row counts go with rows, and fall alike in each set of rows."""
    problems = []
    in_set = draft.get("trees", "layout", "rows_in_set")
    entries = draft.entries("thinning")
    by_rows = [number for number, entry in enumerate(entries) if takes_rows(entry.get("method") or "")]
    for number in by_rows[1:]:
        rule = "takes rows a second time, but the rows marked for removal are gone by then"
        problems.append(draft.problem(("thinning", number, "method"), rule, remedy='Use method = "from below".'))
    for number, entry in enumerate(entries):
        every, path = entry.get("remove_every_row"), ("thinning", number, "remove_every_row")
        if every is None:
            continue
        if "rows" not in (method := entry.get("method") or "rows"):
            remedy = 'Take it out, or use method = "rows" or "rows then below".'
            problems.append(draft.problem(path, f'does not go with method = "{method}"', remedy=remedy))
        elif in_set is not None and every < in_set and in_set % every:
            rule = f"takes other rows in one set of {in_set} than in the next"
            problems.append(draft.problem(path, rule, remedy=f"Use {in_set} to take one row of each set."))
    return problems


class _Standing(NamedTuple):
    trees: float | None
    """Trees on an acre, ``None`` where that is not known without growing the stand."""
    words: str


def thinnings_leave_no_more_than_stands(draft: Draft) -> list[Problem]:
    """No thinning leaves more trees than were planted and lived, or than the thinning before left."""
    problems = []
    living = living_trees_per_ac(draft)
    which = "that stand today" if draft.written("stand") else "that live of those planted"
    standing = _Standing(living, f"{which} ({living:.0f} an acre)" if living is not None else "")
    for number, entry in enumerate(draft.entries("thinning")):
        left = entry.get("residual_trees_per_ac")
        standing = _after_rows(standing, entry, draft)
        if left is None or entry.get("method") in WHOLE_ROWS:
            continue
        if standing.trees is not None and left > standing.trees:
            rule = f"must not be above the trees {standing.words}"
            remedy = "Leave fewer, or plant closer."
            problems.append(draft.problem(("thinning", number, "residual_trees_per_ac"), rule, remedy=remedy))
        else:
            standing = _Standing(left, f"that the thinning before left ({left:.0f} an acre)")
    return problems


def _after_rows(standing: _Standing, entry: Mapping[str, Any], draft: Draft) -> _Standing:
    in_set = draft.get("trees", "layout", "rows_in_set")
    method = entry.get("method") or ""
    if "strips" in method and standing.trees is not None:
        gone, stay = entry.get("strip_rows_removed"), entry.get("strip_rows_left")
        if gone is None or stay is None:
            return _Standing(None, "")
        left = standing.trees * stay / (gone + stay)
        return _Standing(left, f"that stand once the strips are taken ({left:.0f} an acre)")
    if standing.trees is None or in_set is None or "rows" not in method:
        return standing
    every = row_removal(in_set, entry.get("remove_every_row"))
    left = standing.trees * (1.0 - 1.0 / every)
    return _Standing(left, f"that stand once one row in {every} is taken ({left:.0f} an acre)")


def living_trees_per_ac(draft: Draft) -> float | None:
    """Trees that are planted and live, or that stand today [1/ac], ``None`` where that is faulty or absent."""
    if draft.written("stand"):
        return table_trees_per_ac(draft)
    spots, survival = planted_spots_per_ac(draft), draft.get("trees", "survival")
    return None if spots is None or survival is None else spots * float(survival)


def planted_spots_per_ac(draft: Draft) -> float | None:
    """Planting spots of the layout [1/ac], ``None`` where it is faulty or absent."""
    layout = draft.get("trees", "layout")
    keys = ("rows_in_set", "row_gap_ft", "in_row_ft", "alley_ft")
    if layout is None or any(layout[key] is None for key in keys):
        return None
    rows, gap, in_row, alley = (float(layout[key]) for key in keys)
    return planted_trees_per_ac(rows, gap, in_row, alley)


def table_trees_per_ac(draft: Draft) -> float | None:
    """Trees of the stand table [1/ac], ``None`` where it is faulty or absent."""
    lines = (draft.get("stand") or {}).get("class")
    counts = [(line or {}).get("trees_per_ac") for line in lines or ()]
    return None if not counts or None in counts else float(sum(count for count in counts if count is not None))


TREE_RULES: Final[tuple[Rule, ...]] = (
    trees_come_with_a_harvest,
    tree_work_needs_trees,
    tree_work_ends_before_harvest,
    years_rise,
    pruning_fits_the_tree,
    thinnings_say_what_they_leave,
    rows_are_taken_once,
    thinnings_leave_no_more_than_stands,
)
