"""What one tract could do: its pathways, each with what it is worth and what it takes and gives by year."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Final, Literal, NamedTuple, TypeAlias

import numpy as np

from optimize.objective import Objective as Goal
from optimize.pathways import pathways_near, words_of
from optimize.tract_search import searched_pathways
from simulator.accounts import WOOD_PRODUCTS
from simulator.events.light import Precision
from simulator.measures import real_discount_rate
from simulator.result import Outcome, run_batch
from simulator.scenario.model import Scenario
from simulator.scenario.search import Search
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
