"""A grown ledger of one plan, and lines added to it from what the years brought; vectorised over years."""

from typing import NamedTuple

import numpy as np

from simulator.accounts import Line
from simulator.scenario.model import Scenario
from simulator.units import BoolArray, FloatArray


class Ledger(NamedTuple):
    """Quantities of one plan per acre of the tract.

    Attributes
    ----------
    lines
        Its lines.
    quantity
        Quantity by year and line [unit of the line/ac], (rows, lines).
    replanting
        What the planting of the next cycle adds to the row of a harvest [unit of the line/ac], (lines,).
    """

    lines: tuple[Line, ...]
    quantity: FloatArray
    replanting: FloatArray

    def joined(self, line: Line, quantity: FloatArray, replanting: float = 0.0) -> "Ledger":
        """The ledger with one line more, quantities (rows,); unchanged where the line is empty."""
        if not quantity.any() and not replanting:
            return self
        column = np.hstack([self.quantity, quantity[:, None]])
        return Ledger((*self.lines, line), column, np.append(self.replanting, replanting))


class Field(NamedTuple):
    """Shares of the tract that rows and alleys, or open pasture, and that headlands beside them take [1]."""

    rows: float
    headland: float

    @property
    def usable(self) -> float:
        """Share of the tract that bears anything [1]."""
        return self.rows + self.headland


class Facts(NamedTuple):
    """What a plan's years brought that its lines of other income depend on, (rows,) each.

    Attributes
    ----------
    scenario
        The plan.
    age
        Years since planting; years of the horizon on open pasture.
    light
        Warm-season light on the grass ground [1].
    trees, grazed, mown, replanted
        Years in which trees stand, animals graze, hay is cut, the next cycle is planted.
    grass_share
        Share of the tract that is grass ground, headlands with it [1].
    alley
        Whether the alleys are wide enough to be worked.
    field
        What of the tract its rows and its headlands take.
    """

    scenario: Scenario
    age: FloatArray
    light: FloatArray
    trees: BoolArray
    grazed: BoolArray
    mown: BoolArray
    replanted: BoolArray
    grass_share: float
    alley: bool
    field: Field = Field(rows=1.0, headland=0.0)

    def due(self, first: int, last: int) -> BoolArray:
        """Years after year 0 whose age lies between two years of the cycle."""
        later = np.arange(len(self.age)) > 0
        return np.asarray((self.age >= first) & (self.age <= last) & later)
