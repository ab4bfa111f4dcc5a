"""Which pathways a tract could take: its plan, the single uses of its land, the plan moved; and the words of each."""

from collections.abc import Iterator
from itertools import pairwise, product
from pathlib import Path
from typing import Final

from simulator.alternatives import systems_of
from simulator.scenario.model import Scenario
from simulator.scenario.trees import Harvest, Thinning

THINNINGS_MOVED_YR: Final = (-2, 0, 2)
HARVEST_MOVED_YR: Final = (-5, 0, 5)
RESIDUALS_TIMES: Final = (0.8, 1.0, 1.25)
GRAZING_MOVED_YR: Final = (0, 6)
LET: Final = "let for grazing"
LEAST_YEARS_BETWEEN_CUTS: Final = 4
SETS: Final = {1: "single rows", 2: "double rows", 3: "triple rows"}
WIDE_ENOUGH_TO_USE_FT: Final = 16.0
"""From here on the ground between rows is called an alley; a word, nothing is reckoned with it."""


def pathways_near(scenario: Scenario, beside: Path | None = None) -> dict[str, Scenario]:
    """Every pathway of a tract by its words, no two alike.

    Parameters
    ----------
    scenario
        The tract's own plan.
    beside
        Folder of its file, for its overrides.

    Returns
    -------
    dict
        The plan first, then the single uses of its land, then the plan with its thinnings, its harvest and its
        grazing moved.
    """
    own = {name: plan for name, plan in systems_of(scenario, beside).items() if name != "kept_up"}
    single = [plan for name, plan in own.items() if name != "silvopasture"]
    found: dict[str, Scenario] = {}
    for plan in (scenario, *single, *_variants(scenario)):
        plain = plan.model_copy(update={"title": scenario.title})
        found.setdefault(words_of(plain), plain)
    return found


def _variants(scenario: Scenario) -> Iterator[Scenario]:
    grid = product(HARVEST_MOVED_YR, THINNINGS_MOVED_YR, RESIDUALS_TIMES, _grazing_starts(scenario))
    for harvest, thinnings, times, start in grid:
        plan = scenario.model_copy(
            update={
                "thinning": tuple(_moved(cut, thinnings, times) for cut in scenario.thinning),
                "harvest": scenario.harvest and Harvest(year=max(0, scenario.harvest.year + harvest)),
                "use": scenario.use.model_copy(update={"first_grazing_year": start}),
            }
        )
        if _possible(plan):
            yield plan


def _grazing_starts(scenario: Scenario) -> tuple[int | None, ...]:
    """Years in which animals may first come, and never."""
    first = scenario.use.first_grazing_year
    return (None,) if first is None else (*(first + by for by in GRAZING_MOVED_YR), None)


def _moved(cut: Thinning, by: int, times: float) -> Thinning:
    """A thinning in another year that leaves more or fewer; what is due now or next year stays where it is."""
    left = {
        name: None if value is None else float(round(times * value))
        for name, value in (
            ("residual_trees_per_ac", cut.residual_trees_per_ac),
            ("residual_basal_area_ft2_ac", cut.residual_basal_area_ft2_ac),
        )
    }
    return cut.model_copy(update=left | {"year": cut.year + by if cut.year + by > 1 else cut.year})


def _possible(plan: Scenario) -> bool:
    """Whether cuts follow one another with room between, and no year lies before the start."""
    years = [cut.year for cut in plan.thinning]
    if plan.harvest is not None:
        years.append(plan.harvest.year)
    late = all(later - earlier >= LEAST_YEARS_BETWEEN_CUTS for earlier, later in pairwise(years))
    work = [lift.year for lift in plan.pruning] + [job.year for job in plan.treatment]
    return late and all(plan.harvest is None or year < plan.harvest.year for year in work)


def words_of(plan: Scenario) -> str:
    """One pathway in the trade's words."""
    return "; ".join((*_tree_words(plan), *_grass_words(plan)))


def _tree_words(plan: Scenario) -> Iterator[str]:
    if plan.trees is None or plan.harvest is None:
        yield "no trees"
        return
    if plan.harvest.year == 0:
        yield "cut now and clear for pasture"
        return
    if plan.stand is None:
        layout = plan.trees.layout
        sets = SETS.get(layout.rows_in_set, f"sets of {layout.rows_in_set} rows")
        yield f"plant {plan.trees.species} in {sets}{_apart(layout.alley_ft)}"
    cuts = [f"{cut.year or 'now'}{_left(cut)}" for cut in plan.thinning]
    if cuts:
        yield f"thin {' and '.join(cuts)}"
    yield f"cut {plan.harvest.year}"


def _apart(alley_ft: float) -> str:
    return f", {alley_ft:g}-ft alleys" if alley_ft >= WIDE_ENOUGH_TO_USE_FT else f" {alley_ft:g} ft apart"


def _left(cut: Thinning) -> str:
    if cut.residual_trees_per_ac is not None:
        return f" to {cut.residual_trees_per_ac:.0f} trees/ac"
    if cut.residual_basal_area_ft2_ac is not None:
        return f" to {cut.residual_basal_area_ft2_ac:.0f} ft2/ac"
    return f" {cut.method}"


def _grass_words(plan: Scenario) -> Iterator[str]:
    use = plan.use
    if use.hay_years is not None:
        yield f"hay {use.hay_years[0]}-{use.hay_years[1]}"
    if use.first_grazing_year is None or use.animals == "none":
        yield "never grazed"
    else:
        let = LET if use.tenure == "leased" else "grazed"
        yield f"{let} from {use.first_grazing_year}"
