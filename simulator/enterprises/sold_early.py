"""What a buyer of the land would pay for what stands on it, after any year."""

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from simulator.accounts import LINES, Line
from simulator.enterprises.harvest import EndOf, book_end_values
from simulator.enterprises.setting import Setting
from simulator.ledger import unit_prices
from simulator.state import Stand
from simulator.units import FloatArray

LEFT_TO_THE_BUYER = "end_reconversion"
"""Whoever buys land in growing trees does not clear it: the bare-land price is of land as it lies under them."""
EXIT_PLACES = [i for i, line in enumerate(LINES) if line.account == "end value" and line.key != LEFT_TO_THE_BUYER]
"""Where those lines stand among the ledger's, whatever the animal is called."""


class ExitValue(NamedTuple):
    """What could be sold with the land.

    Attributes
    ----------
    lines
        Lines of the ledger at ``EXIT_PLACES``.
    quantity
        Quantities per acre after each year, (years, lines).
    """

    lines: tuple[Line, ...]
    quantity: FloatArray

    def per_ac(self, prices: Mapping[str, float]) -> FloatArray:
        """Their worth after each year, fees and selling costs paid [$/ac], (years,)."""
        return np.asarray(self.quantity @ unit_prices(self.lines, prices))

    def by_enterprise(self, year: int, prices: Mapping[str, float]) -> dict[str, float]:
        """Worth after one year by enterprise: wood, and grazing with its fence and herd [$/ac]."""
        worth = self.quantity[year] * unit_prices(self.lines, prices)
        names = dict.fromkeys(line.enterprise for line in self.lines)
        return {name: float(worth[[line.enterprise == name for line in self.lines]].sum()) for name in names}


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
    aside = setting._replace(book=setting.book.empty_copy(count))
    book_end_values(aside, EndOf(0, np.ones(count, bool)), stand, head, fence_age)
    return np.asarray(aside.book.quantity[:, 0, EXIT_PLACES])
