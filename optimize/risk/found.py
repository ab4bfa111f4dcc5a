"""A comparison through draws of hazards: what every system earned in each, and the odds among them."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from optimize.risk.draws import Terms
from simulator.measures import real_discount_rate
from simulator.parameters.odds import HAZARDS
from simulator.scenario.model import Scenario
from simulator.units import FloatArray, IntArray


class Asked(NamedTuple):
    """What is drawn.

    Attributes
    ----------
    draws
        How many.
    seed
        Any whole number from 0 on.
    prices
        Whether prices move too.
    workers
        Processes; without effect on the result.
    """

    draws: int
    seed: int
    prices: bool = False
    workers: int = 1


class Drawn(NamedTuple):
    """One system through the draws, per acre.

    Attributes
    ----------
    plan
        Its plan.
    untouched, expected
        Yearly income where nothing strikes but what the file says, and where every year brings its probability
        times the loss [$/ac/yr].
    worth, income
        What the land is worth under the plan, to the horizon as drawn and from there on with losses as expected, and
        the same as a yearly income [$/ac], [$/ac/yr], (draws,).
    cash
        Net cash by year, end values and loans left out [$/ac], (draws, years).
    replanted
        Times that the stand was lost and the land planted again, or a found stand felled early, (draws,).
    largest_share
        Share of the receipts that the largest enterprise brings [1], (draws,); NaN without receipts.
    """

    plan: Scenario
    untouched: float
    expected: float
    worth: FloatArray
    income: FloatArray
    cash: FloatArray
    replanted: IntArray
    largest_share: FloatArray

    @property
    def cumulative(self) -> FloatArray:
        """Cumulative cash, undiscounted [$/ac], (draws, years)."""
        return np.cumsum(self.cash, axis=1)

    @property
    def deepest(self) -> FloatArray:
        """Lowest cumulative cash of each draw, 0 where it never falls below [$/ac], (draws,)."""
        return np.asarray(np.minimum(self.cumulative.min(axis=1), 0.0))

    @property
    def years_with_income(self) -> FloatArray:
        """Share of the years after year 0 that bring more than they cost [1], (draws,)."""
        return np.asarray((self.cash[:, 1:] > 0).mean(axis=1))


class Cost(NamedTuple):
    """What one hazard by itself takes from the yearly income on average, and its standard error [$/ac/yr]."""

    mean: float
    error: float


@dataclass(frozen=True)
class Odds:
    """A comparison through draws of hazards.

    Attributes
    ----------
    scenario
        The file's plan.
    asked
        What was to be drawn.
    draws
        Draws that every system has; fewer than asked where it was stopped.
    systems
        By name, in the order of the comparison.
    alone
        Cost of each hazard by itself, by hazard and system; those that were reached.
    terms
        How often hazards strike.
    """

    scenario: Scenario
    asked: Asked
    draws: int
    systems: Mapping[str, Drawn]
    alone: Mapping[str, Mapping[str, Cost]]
    terms: Terms

    @property
    def complete(self) -> bool:
        """Whether everything asked was done."""
        return self.draws == self.asked.draws and len(self.alone) == len(self.hazards)

    @property
    def hazards(self) -> tuple[str, ...]:
        """Hazards that are let loose."""
        return tuple(kind for kind, times in zip(HAZARDS, self.terms.times, strict=True) if times > 0)

    @property
    def without_end(self) -> bool:
        """Whether worth is that of the land for ever; at a rate of 0 it is that of the horizon alone."""
        return real_discount_rate(self.scenario.money) > 0

    def beats(self, one: str, other: str) -> float:
        """Share of the draws in which one system earns more than another [1]."""
        return float((self.systems[one].income > self.systems[other].income).mean())

    @property
    def leads(self) -> dict[str, float]:
        """Share of the draws in which each system earns most [1]; ties go to the first."""
        income = np.array([drawn.income for drawn in self.systems.values()])
        first = income.argmax(axis=0)
        return {name: float((first == place).mean()) for place, name in enumerate(self.systems)}
