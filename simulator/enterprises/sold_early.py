"""What a buyer of the land would pay for what stands on it, after any year."""

from collections.abc import Callable, Mapping, Sequence
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np

from simulator.accounts import Line
from simulator.enterprises.harvest import EndOf, book_end_values
from simulator.enterprises.setting import Setting
from simulator.ledger import unit_prices
from simulator.state import Stand
from simulator.units import FloatArray

LEFT_TO_THE_BUYER = "end_reconversion"
"""Whoever buys land in growing trees does not clear it: the bare-land price is of land as it lies under them."""


def exit_places(lines: Sequence[Line]) -> list[int]:
    """Places of the lines of a ledger that land could be sold with."""
    return [i for i, line in enumerate(lines) if line.account == "end value" and line.key != LEFT_TO_THE_BUYER]


class ExitValue:
    """What could be sold with the land; reckoned when somebody asks, for few do.

    Parameters
    ----------
    lines
        Lines of the ledger at its :func:`exit_places`.
    reckon
        Returns the quantities.
    """

    def __init__(self, lines: tuple[Line, ...], reckon: Callable[[], FloatArray]) -> None:
        self.lines = lines
        self._reckon = reckon

    @cached_property
    def quantity(self) -> FloatArray:
        """Quantities per acre after each year, (years, lines)."""
        return self._reckon()

    def __reduce__(self) -> tuple[Any, ...]:
        """Travel to another process as what was reckoned: how to reckon it stays with the batch."""
        return _reckoned, (self.lines, self.quantity)

    def per_ac(self, prices: Mapping[str, float]) -> FloatArray:
        """Their worth after each year, fees and selling costs paid [$/ac], (years,)."""
        return np.asarray(self.quantity @ unit_prices(self.lines, prices))

    def by_enterprise(self, year: int, prices: Mapping[str, float]) -> dict[str, float]:
        """Worth after one year by enterprise: wood, and grazing with its fence and herd [$/ac]."""
        worth = self.quantity[year] * unit_prices(self.lines, prices)
        names = dict.fromkeys(line.enterprise for line in self.lines)
        return {name: float(worth[[line.enterprise == name for line in self.lines]].sum()) for name in names}

    def followed_by(self, after: "ExitValue", cut: int) -> "ExitValue":
        """What could be sold where another life begins after the work of a year, its rows counted from there."""
        return ExitValue(self.lines, lambda: np.concatenate([self.quantity[: cut + 1], after.quantity[1:]]))


def _reckoned(lines: tuple[Line, ...], quantity: FloatArray) -> ExitValue:
    return ExitValue(lines, lambda: quantity)


def exit_quantities(setting: Setting, stand: Stand, head: FloatArray, fence_age: FloatArray) -> FloatArray:
    """Quantities that the land could be sold with, reckoned exactly like end values, (candidates, lines).

    Parameters
    ----------
    setting
        The batch; its own book is left alone.
    stand, head, fence_age
        What stands, grazes and is fenced after the year's work, (candidates,).

    Returns
    -------
    FloatArray
    """
    count = setting.plan.candidates
    aside = setting._replace(book=setting.book.empty_copy(setting.plan.geometry.rows_share))
    book_end_values(aside, EndOf(0, np.ones(count, bool)), stand, head, fence_age)
    return np.asarray(aside.book.quantity[:, 0, exit_places(aside.book.lines)])


class YearEnd(NamedTuple):
    """What stands, grazes and is fenced after a year's work, with the batch it belongs to."""

    setting: Setting
    stand: Stand
    head: FloatArray
    fence_age: FloatArray


class Exits:
    """What the land of a batch could be sold with after each year; reckoned when somebody asks, for few do.

    Parameters
    ----------
    candidates, last_year
        Shape: rows 0 to ``last_year`` for each candidate.
    """

    def __init__(self, candidates: int, last_year: int) -> None:
        self._shape = candidates, last_year + 1
        self._ends: dict[int, YearEnd] = {}

    def keep(self, year: int, end: YearEnd) -> None:
        """Keep what stands after a year's work."""
        self._ends[year] = end

    @cached_property
    def quantity(self) -> FloatArray:
        """Quantities, (candidates, years, lines); NaN in years that were not kept, 0 where trees are set."""
        lines = next(iter(self._ends.values())).setting.book.lines
        quantity = np.full((*self._shape, len(exit_places(lines))), np.nan)
        quantity[:, 0] = 0.0
        for year, end in self._ends.items():
            quantity[:, year] = exit_quantities(*end)
        return quantity

    def of(self, i: int, rows: slice, lines: Sequence[Line]) -> ExitValue:
        """What one plan of the batch could be sold with.

        Parameters
        ----------
        i
            Place of the plan in the batch.
        rows
            Rows of the horizon.
        lines
            Lines of its ledger.

        Returns
        -------
        ExitValue
        """
        sellable = tuple(lines[place] for place in exit_places(lines))
        nothing = np.vstack([np.zeros(len(sellable)), np.full((self._shape[1] - 1, len(sellable)), np.nan)])
        return ExitValue(sellable, lambda: (self.quantity[i] if self._ends else nothing)[rows])
