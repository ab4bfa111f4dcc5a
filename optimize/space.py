"""The plans of each use of the land on the grid, and what they are worth."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from optimize.grid import (
    LEAST_YEARS_BEFORE_HARVEST,
    grass_ways,
    idle_ways,
    straw_conflicts,
    too_early_ways,
    too_late_ways,
    tree_ways,
    use_ways,
    ways_of,
    with_ways,
)
from optimize.growing import Worth
from optimize.levels import PLANTATION_SPACINGS_FT
from optimize.objective import Objective
from optimize.verdicts import CAN_BE_DONE, VERDICTS
from simulator.alternatives import systems_of
from simulator.baselines import PLANTATION_LAYOUT, with_rows
from simulator.candidates import taken
from simulator.scenario.model import Scenario
from simulator.scenario.search import Search
from simulator.scenario.trees import Layout
from simulator.units import FloatArray, IntArray


@dataclass(frozen=True)
class Space:
    """All plans of one use of the land on the grid, and what they are worth.

    Attributes
    ----------
    base
        What they vary.
    plans
        The plans; the first is the base itself.
    worth
        Their worth on the fast light path.
    trees, uses
        Ways with the trees, and with the ground, that were combined.
    value
        Of the objective, (plans,); NaN where a plan cannot be done, or has none.
    not_tried
        Combinations of the grid that are no plans, by reason.
    """

    base: Scenario
    plans: tuple[Scenario, ...]
    worth: Worth
    trees: int
    uses: int
    value: FloatArray
    not_tried: Mapping[str, int]

    @property
    def can_be_done(self) -> IntArray:
        """Places of the plans that can be done."""
        return np.flatnonzero(self.worth.verdict == VERDICTS.index(CAN_BE_DONE))

    def dropped(self) -> dict[str, int]:
        """Plans that were dropped, by reason."""
        counts = Counter(VERDICTS[verdict] for verdict in self.worth.verdict)
        grown = {reason: count for reason, count in sorted(counts.items()) if reason != CAN_BE_DONE}
        return grown | {reason: count for reason, count in self.not_tried.items() if count}

    def dominated(self) -> int:
        """Plans that can be done and are beaten by another use of the ground under the same trees."""
        return len(self.can_be_done) - len({_trees_of(self.plans[i]) for i in self.can_be_done})


def uses_both(plan: Scenario) -> bool:
    """Whether a plan has trees and uses the grass under them."""
    used = plan.use.first_grazing_year is not None or plan.use.hay_years is not None
    return plan.trees is not None and used


def bases_of(scenario: Scenario, beside: Path | None = None) -> dict[str, Scenario]:
    """The three uses of the land that are searched, by name, each with the grid meant for it."""
    systems = systems_of(scenario, beside)
    plantation = Search.model_validate(scenario.baseline.plantation.get("search", {}))
    return {
        "silvopasture": systems["silvopasture"],
        "plantation": systems["plantation"].model_copy(update={"search": plantation}),
        "pasture": systems["pasture"],
    }


def plans_of(name: str, base: Scenario, file: Scenario) -> tuple[tuple[Scenario, ...], int, int]:
    """Plans of one use of the land, its base first; and the ways combined."""
    if base.trees is None:
        grass = grass_ways(base)
        return (base, *(with_ways(base, None, way) for way in grass)), 0, len(grass)
    if name == "pasture":  # a stand that is cleared: what comes after it follows from the file
        return (base,), 1, 1
    uses = idle_ways(base) if name == "plantation" else use_ways(base)
    own = ways_of(file) if name == "silvopasture" else ways_of(base)
    ways = [(planted, tree) for planted in _plantings(name, base) for tree in tree_ways(planted)]
    # plans of the same use stand together: they share the most years
    others = [
        with_ways(planted, tree, use)
        for use in uses
        for planted, tree in ways
        if (tree, use) != own or planted is not base
    ]
    return (base, *others), len(ways), len(uses)


def _plantings(name: str, base: Scenario) -> list[Scenario]:
    """The base, and a plantation of the usual spacing also planted wider, as trees alone may be."""
    trees = base.trees
    if name != "plantation" or base.stand is not None or trees is None:
        return [base]
    usual = trees.layout.model_copy(update={"row_azimuth_deg": 0.0}) == Layout.model_validate(PLANTATION_LAYOUT)
    wider = [
        base.model_copy(update={"land": with_rows(base, layout), "trees": trees.model_copy(update={"layout": layout})})
        for layout in (_spaced(trees.layout, *spacing) for spacing in PLANTATION_SPACINGS_FT)
    ]
    return [base, *wider] if usual else [base]


def _spaced(layout: Layout, alley_ft: float, in_row_ft: float) -> Layout:
    return layout.model_copy(update={"alley_ft": alley_ft, "in_row_ft": in_row_ft})


def _trees_of(plan: Scenario) -> object:
    return ways_of(plan)[0], plan.trees.layout if plan.trees is not None else None


def not_tried_of(name: str, base: Scenario) -> dict[str, int]:
    """Combinations of the grid that are no plans, by reason: these are not even grown."""
    if base.trees is None or name == "pasture":
        return {}
    uses = len(idle_ways(base)) * len(_plantings(name, base)) if name == "plantation" else len(use_ways(base))
    straw = straw_conflicts(base) * len(tree_ways(base)) if name == "silvopasture" else 0
    late, early = too_late_ways(base) * uses, too_early_ways(base) * uses
    return {
        "the harvest comes before work that the file asks for": early,
        f"a thinning less than {LEAST_YEARS_BEFORE_HARVEST} years before the harvest": late,
        "straw would be raked where animals graze": straw,
    }


def part_of(worth: Worth, first: int, last: int) -> Worth:
    """The worth of some plans that stand together."""
    return taken(worth, np.arange(first, last))


def values_of_plans(objective: Objective, worth: Worth) -> FloatArray:
    """Value of each plan, (plans,); NaN where it cannot be done, and for rates, which are reckoned for few."""
    if objective.goal == "irr":
        return np.full(len(worth.npv), np.nan)
    return np.where(worth.verdict == VERDICTS.index(CAN_BE_DONE), objective.of_worth(worth), np.nan)
