"""What one tract could do: its pathways, each with what it is worth and what it takes and gives by year."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise, product
from pathlib import Path
from typing import Final, Literal, NamedTuple, TypeAlias

import numpy as np

from optimize.objective import Objective as Goal
from optimize.tract_search import searched_pathways
from simulator.accounts import WOOD_PRODUCTS
from simulator.alternatives import systems_of
from simulator.events.light import Precision
from simulator.measures import real_discount_rate
from simulator.result import Outcome, run_batch
from simulator.scenario.model import Scenario
from simulator.scenario.search import Search
from simulator.scenario.trees import Harvest, Thinning
from simulator.units import FloatArray

Objective: TypeAlias = Literal["land-expectation", "npv"]

FLOWS: Final = (
    "cash",
    "wood_ton",
    "pulpwood_ton",
    "sawtimber_ton",
    "hay_ton",
    "animal_unit_months",
    "head",
    "labour_h",
    "planted",
    "thinned",
    "harvested",
    "grazed",
    "forage_aum",
    "grazing_rent",
)
"""Flows of a pathway by year and acre.

Cash [$] is without end values and holds the rent for grazing [$]; ``planted``, ``thinned``, ``harvested`` and
``grazed`` are 1 in their years; ``forage_aum`` is what the grass would feed in a grazed year [animal-unit month].
"""

THINNINGS_MOVED_YR: Final = (-2, 0, 2)
HARVEST_MOVED_YR: Final = (-5, 0, 5)
RESIDUALS_TIMES: Final = (0.8, 1.0, 1.25)
GRAZING_MOVED_YR: Final = (0, 6)
LET: Final = "let for grazing"
LEAST_YEARS_BETWEEN_CUTS: Final = 4
ALL_FELLED: Final = 0.999
"""Share of the standing trees from which on a cut is a harvest."""


class TractColumns(NamedTuple):
    """The pathways of one tract.

    Attributes
    ----------
    name
        Of the tract.
    acres
        Its area [ac].
    labels
        Each pathway in words, (n,).
    value_per_ac
        What each is worth [$/ac], (n,).
    flows_per_ac
        By name of `FLOWS`, each (n, years + 1).
    scenarios
        Plan behind each pathway, (n,); empty where there is none to run again.
    """

    name: str
    acres: float
    labels: tuple[str, ...]
    value_per_ac: FloatArray
    flows_per_ac: Mapping[str, FloatArray]
    scenarios: tuple[Scenario, ...] = ()


def tract_columns(
    scenario: Scenario, beside: Path | None = None, objective: Objective = "land-expectation"
) -> TractColumns:
    """Grow the pathways near a tract's own plan, and the ways without trees and without animals.

    Parameters
    ----------
    scenario
        The tract's own plan; it is always the first member.
    beside
        Folder of its file.
    objective
        What a pathway's value is: worth of the land under its cycle repeated for ever, or net present value over
        the horizon with end values.

    Returns
    -------
    TractColumns
        On the fast light path. A tract whose file states a grid in ``[search]`` is searched over it, half a minute or
        so; of others a hundred plans near their own are tried, in a few seconds.
    """
    if scenario.search != Search():
        goal = Goal(objective if real_discount_rate(scenario.money) > 0 else "npv")
        plans = searched_pathways(scenario, beside, goal)
    else:
        plans = list(pathways_near(scenario, beside).values())
    named: dict[str, Scenario] = {}
    for plan in plans:
        named.setdefault(words_of(plan), plan.model_copy(update={"title": scenario.title}))
    return columns_of(scenario.title, list(named.values()), tuple(named), beside, objective)


def columns_of(
    name: str,
    plans: Sequence[Scenario],
    labels: tuple[str, ...],
    beside: Path | None,
    objective: Objective,
    precision: Precision = "fast",
) -> TractColumns:
    """Grow some plans of one tract and lay them out as its pathways; all must have the tract's acres."""
    outcomes = run_batch(plans, beside, precision)
    flows = [flows_of(outcome) for outcome in outcomes]
    return TractColumns(
        name=name,
        acres=plans[0].land.acres,
        labels=labels,
        value_per_ac=np.array([value_of(outcome, objective) for outcome in outcomes]),
        flows_per_ac={key: np.array([each[key] for each in flows]) for key in FLOWS},
        scenarios=tuple(plans),
    )


def value_of(outcome: Outcome, objective: Objective) -> float:
    """Worth of one pathway [$/ac]; at a rate of 0 income without end has no sum, and the horizon counts."""
    measures = outcome.measures
    if objective == "npv" or measures.land_expectation is None:
        return measures.npv
    return measures.land_expectation


def flows_of(outcome: Outcome) -> dict[str, FloatArray]:
    """Flows of one pathway by year and acre, see `FLOWS`."""
    states, wood = outcome.states, outcome.wood_ton_ac
    cut, standing = states["trees_cut_per_ac"], states["trees_per_ac"]
    harvested = (cut > 0) & (cut >= ALL_FELLED * standing)
    months = states["animal_unit_months_ac"]
    rent = np.array([line.key.startswith("grazing_lease") for line in outcome.flows.lines])
    flows = {
        "cash": outcome.cash_per_ac,
        "wood_ton": wood.sum(axis=1),
        "pulpwood_ton": wood[:, WOOD_PRODUCTS.index("pulpwood")],
        "sawtimber_ton": wood[:, WOOD_PRODUCTS.index("sawtimber")],
        "hay_ton": states["hay_ton_ac"],
        "animal_unit_months": months,
        "head": states["head"] / outcome.scenario.land.acres,
        "labour_h": outcome.hours_by_month.sum(axis=1) / outcome.scenario.land.acres,
        "planted": _planted(outcome, harvested).astype(float),
        "thinned": ((cut > 0) & ~harvested).astype(float),
        "harvested": harvested.astype(float),
        "grazed": (months > 0).astype(float),
        "forage_aum": months,
        "grazing_rent": outcome.amount[:, rent].sum(axis=1),
    }
    return {name: np.asarray(values, dtype=np.float64) for name, values in flows.items()}


def _planted(outcome: Outcome, harvested: "np.ndarray[tuple[int, ...], np.dtype[np.bool_]]") -> FloatArray:
    """Years in which trees are planted: at the start, or with a harvest after which trees stand."""
    stands = outcome.states["trees_per_ac"] > 0
    start = np.zeros(len(stands), bool)
    start[0] = outcome.scenario.stand is None and outcome.scenario.trees is not None
    return np.asarray(start | (harvested & np.append(stands[1:], False)))


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


SETS: Final = {1: "single rows", 2: "double rows", 3: "triple rows"}
WIDE_ENOUGH_TO_USE_FT: Final = 16.0
"""From here on the ground between rows is called an alley; a word, nothing is reckoned with it."""


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
