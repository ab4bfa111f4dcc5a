"""How far the result may lie off: every sourced range moved low and high, one at a time."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from simulator.alternatives import systems_of
from simulator.parameters.ranges import moved, ranges_of
from simulator.parameters.tables import Tables, load_tables
from simulator.price_changes import income_at
from simulator.result import Outcome, run_batch
from simulator.scenario.model import Scenario

DEFAULT_SPECIES = "loblolly"


class Swing(NamedTuple):
    """What one number does to equal annual income when it lies low or high.

    Attributes
    ----------
    name, unit
        The number: a price item, or its place among the parameters.
    low, value, high
        Ends of belief and value as shipped.
    at_low, at_high
        Equal annual income by system with the number at either end [$/ac/yr].
    """

    name: str
    unit: str
    low: float
    value: float
    high: float
    at_low: Mapping[str, float]
    at_high: Mapping[str, float]

    def width(self, system: str) -> float:
        """Distance between the two ends for a system [$/ac/yr]."""
        return abs(self.at_high[system] - self.at_low[system])


@dataclass(frozen=True)
class Band:
    """Incomes as shipped, and how far single numbers move them.

    Attributes
    ----------
    income
        Equal annual income by system on the fast light path [$/ac/yr].
    swings
        One for each range, widest for the silvopasture first.
    """

    income: Mapping[str, float]
    swings: tuple[Swing, ...]

    def limits(self, system: str) -> tuple[float, float]:
        """Low and high income: single swings taken as independent, added by their squares.

        Parameters
        ----------
        system
            Name of the system.

        Returns
        -------
        tuple of float
            Lower and upper limit [$/ac/yr].

        References
        ----------
        Root sum of squares of independent small errors: common practice. Which numbers belong together is not known.
        """
        down = [min(s.at_low[system], s.at_high[system], self.income[system]) for s in self.swings]
        up = [max(s.at_low[system], s.at_high[system], self.income[system]) for s in self.swings]
        middle = self.income[system]
        below = float(np.sqrt(sum((middle - value) ** 2 for value in down)))
        above = float(np.sqrt(sum((value - middle) ** 2 for value in up)))
        return middle - below, middle + above

    def document(self) -> dict[str, Any]:
        """The band as JSON: limits by system and every swing."""
        limits = {name: dict(zip(("low", "high"), self.limits(name), strict=True)) for name in self.income}
        return {"equal_annual_income_per_ac": limits, "swings": [swing._asdict() for swing in self.swings]}


def income_band(
    scenario: Scenario, beside: Path | None = None, progress: Callable[[int, int], None] | None = None
) -> Band:
    """Move every sourced range low and high and re-run the three systems.

    Parameters
    ----------
    scenario
        The plan to compare.
    beside
        Folder of its file, for its own price table.
    progress
        Told how many of how many numbers are done.

    Returns
    -------
    Band
        Prices from the price table, physics and practice from the parameter files. One at a time, so
        numbers that would move together are not moved together.
    """
    plans = systems_of(scenario, beside)
    names = list(plans)
    ids = {name: ids_of(plan, scenario) for name, plan in plans.items()}
    tables = {name: load_tables(*ids[name].values()) for name in names}
    base = dict(zip(names, run_batch([plans[name] for name in names], beside), strict=True))
    income = {name: _income(outcome, {}) for name, outcome in base.items()}
    swings = price_swings(base)
    theirs = {name: set(ranges_of(tables[name], ids[name])) for name in names}
    found = list(dict.fromkeys(range_ for name in names for range_ in ranges_of(tables[name], ids[name])))
    for done, range_ in enumerate(found, start=1):
        # a system whose own species, grass or animals do not hold this number is not moved by it
        meant = {name: plans[name] for name in names if range_ in theirs[name]}
        ends = [
            income | _grown(meant, {name: moved(tables[name], range_.path, end) for name in meant}, beside)
            for end in (range_.low, range_.high)
        ]
        swings.append(
            Swing(".".join(range_.path), range_.unit, range_.low, range_.value, range_.high, ends[0], ends[1])
        )
        if progress is not None:
            progress(done, len(found))
    return Band(income, tuple(sorted(_that_matter(swings, names), key=lambda swing: -swing.width(names[0]))))


def ids_of(plan: Scenario, scenario: Scenario) -> dict[str, str]:
    """Species, grass and animals of one system; open pasture names the trees of the plan beside it."""
    trees = plan.trees or scenario.trees
    species = trees.species if trees else DEFAULT_SPECIES
    ids = {"trees": species, "grasses": plan.pasture.grass, "animals": plan.use.animals}
    return ids | {"winter_grasses": plan.pasture.overseeded, "later_grasses": plan.pasture.later_grass}


def _grown(plans: Mapping[str, Scenario], tables: Mapping[str, Tables], beside: Path | None) -> dict[str, float]:
    return {name: _income(run_batch([plan], beside, tables=tables[name])[0], {}) for name, plan in plans.items()}


def _income(outcome: Outcome, changed: Mapping[str, float]) -> float:
    return income_at(outcome, changed)


def price_swings(base: Mapping[str, Outcome]) -> list[Swing]:
    """Every price of the table that has a range, moved to its low and its high end, one at a time."""
    any_one = next(iter(base.values()))
    swings = []
    for item, entry in any_one.price_table.items.items():
        low, high = any_one.price_at(item, "low"), any_one.price_at(item, "high")
        if low is None or high is None:
            continue
        ends = [{name: _income(outcome, {item: end}) for name, outcome in base.items()} for end in (low, high)]
        swings.append(Swing(item, entry.unit, low, any_one.prices[item], high, ends[0], ends[1]))
    return swings


def _that_matter(swings: Sequence[Swing], names: Sequence[str]) -> list[Swing]:
    return [swing for swing in swings if any(swing.width(name) > 0.005 for name in names)]
