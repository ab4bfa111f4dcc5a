"""The ledger: quantities by year and line; prices turn them into money."""

from collections.abc import Mapping
from copy import copy
from math import prod

import numpy as np

from simulator.accounts import Line
from simulator.herd_accounts import COWS, keys_of, lines_of
from simulator.parameters.herds import Words
from simulator.units import BoolArray, FloatArray


class Book:
    """Quantities per acre of the whole field by candidate, year and line, filled by the yearly loop.

    Parameters
    ----------
    rows_share
        Share of the whole field that the rows take with their alleys [1], (candidates,): the loop counts per acre of
        these.
    horizon
        Rows are 0 to ``horizon``.
    treatment_items
        Price items that scenarios book as treatments, one line each.
    words
        Names of the animal kept, for the lines of its herd.
    more
        Further lines that the batch needs.
    """

    def __init__(
        self,
        rows_share: FloatArray,
        horizon: int,
        treatment_items: tuple[str, ...] = (),
        words: Words = COWS,
        more: tuple[Line, ...] = (),
    ) -> None:
        candidates = len(rows_share)
        self.rows_share = rows_share
        self.words = words
        self.herd = keys_of(words)
        self.lines = lines_of(words) + tuple(
            Line(f"treatment_{item}", "land", "upkeep", "ac", -1, (item,)) for item in treatment_items
        )
        self.lines += more
        self._place = {line.key: place for place, line in enumerate(self.lines)}
        self.quantity: FloatArray = np.zeros((candidates, horizon + 1, len(self.lines)))
        self.replanting: FloatArray = np.zeros((candidates, len(self.lines)))

    def empty_copy(self, rows_share: FloatArray, rows: int = 1) -> "Book":
        """A book of empty rows with the lines of this one: of one row, for what is reckoned beside the years."""
        empty, candidates = copy(self), len(rows_share)
        empty.rows_share = rows_share
        empty.quantity = np.zeros((candidates, rows, len(self.lines)))
        empty.replanting = np.zeros((candidates, len(self.lines)))
        return empty

    def post(self, year: int, key: str, quantity: FloatArray | float, where: BoolArray | None = None) -> None:
        """Add a quantity per acre of the rows' ground to a line in a year, for all candidates or where a mask says.

        Parameters
        ----------
        year
            Row, 0 to horizon.
        key
            Line.
        quantity
            Amount in the line's unit per acre, (candidates,) or one number.
        where
            Candidates meant, (candidates,); all when absent.
        """
        amount = quantity if where is None else np.where(where, quantity, 0.0)
        self.quantity[:, year, self._place[key]] += amount * self.rows_share

    def keep_replanting(self, year: int, before: FloatArray, noted: BoolArray, booked: BoolArray) -> None:
        """Note what the next cycle's planting costs, and take it off the row where no next cycle begins.

        Parameters
        ----------
        year
            Row of the harvest, into which planting was booked.
        before
            Copy of the row before that, (candidates, lines).
        noted
            Candidates whose first harvest this is, (candidates,).
        booked
            Candidates that do plant again inside the horizon, (candidates,).
        """
        self.replanting[noted] = (self.quantity[:, year] - before)[noted]
        self.quantity[:, year] = np.where(booked[:, None], self.quantity[:, year], before)

    def of(self, key: str) -> FloatArray:
        """Quantity per acre of one line, (candidates, years)."""
        return np.asarray(self.quantity[:, :, self._place[key]])


def unit_prices(lines: tuple[Line, ...], prices: Mapping[str, float]) -> FloatArray:
    """Signed price of one unit of every line.

    Parameters
    ----------
    lines
        Lines of the book.
    prices
        Value of every price item.

    Returns
    -------
    FloatArray
        Price, costs below 0 [$/unit], (lines,).

    References
    ----------
    Definition of a line.
    """
    return np.array([line.sign * prod(prices[item] for item in line.prices) for line in lines])
