"""What a buyer of the land would pay for what stands on it, after any year."""

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from simulator.accounts import LINES
from simulator.enterprises.harvest import EndOf, book_end_values
from simulator.enterprises.setting import Setting
from simulator.ledger import Book, unit_prices
from simulator.state import Stand
from simulator.units import FloatArray

LEFT_TO_THE_BUYER = "end_reconversion"
"""Whoever buys land in growing trees does not clear it: the bare-land price is of land as it lies under them."""
EXIT_LINES = tuple(line for line in LINES if line.account == "end value" and line.key != LEFT_TO_THE_BUYER)
_PLACES = [place for place, line in enumerate(LINES) if line in EXIT_LINES]


class ExitValue(NamedTuple):
    """Quantities that could be sold with the land, per acre, (years, lines of ``EXIT_LINES``)."""

    quantity: FloatArray

    def per_ac(self, prices: Mapping[str, float]) -> FloatArray:
        """Their worth after each year, fees and selling costs paid [$/ac], (years,)."""
        return np.asarray(self.quantity @ unit_prices(EXIT_LINES, prices))

    def by_enterprise(self, year: int, prices: Mapping[str, float]) -> dict[str, float]:
        """Worth after one year by enterprise: wood, and grazing with its fence and herd [$/ac]."""
        worth = self.quantity[year] * unit_prices(EXIT_LINES, prices)
        names = dict.fromkeys(line.enterprise for line in EXIT_LINES)
        return {name: float(worth[[line.enterprise == name for line in EXIT_LINES]].sum()) for name in names}


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
    aside = setting._replace(book=Book(count, 0))
    book_end_values(aside, EndOf(0, np.ones(count, bool)), stand, head, fence_age)
    return np.asarray(aside.book.quantity[:, 0, _PLACES])
