"""What a plan brings at drawn prices: its quantities are grown once, each draw costs a product of arrays."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from optimize.prices.draws import BLOCK, Draws
from simulator.accounts import Line
from simulator.interest import discount_factor
from simulator.ledger import unit_prices
from simulator.units import FloatArray


class Repricing(NamedTuple):
    """Money of a plan as a straight line in the prices that move.

    Attributes
    ----------
    steady
        What does not depend on them, by year [$/ac], (rows,).
    weight
        What one unit of each price brings, by year [$/ac a unit of price], (rows, items).
    """

    steady: FloatArray
    weight: FloatArray

    def cash(self, paths: FloatArray) -> FloatArray:
        """Money by draw and year; end values are in the last row.

        Parameters
        ----------
        paths
            Prices in the unit of each item, (draws, rows, items).

        Returns
        -------
        FloatArray
            Money [$/ac], (draws, rows).

        References
        ----------
        Money is a straight line in prices: definition.
        """
        return np.asarray(self.steady + np.einsum("dti,ti->dt", paths, self.weight))

    def present_value(self, paths: FloatArray, rate: float) -> FloatArray:
        """Present value of each draw.

        Parameters
        ----------
        paths
            Prices in the unit of each item, (draws, rows, items).
        rate
            Real yearly discount rate [1/yr].

        Returns
        -------
        FloatArray
            Present value [$/ac], (draws,).

        References
        ----------
        As for :func:`simulator.finance.net_present_value`.
        """
        factor = discount_factor(rate, np.arange(len(self.steady)))
        return np.asarray(self.steady @ factor + np.einsum("dti,ti->d", paths, self.weight * factor[:, None]))


def repricing_of(
    lines: Sequence[Line], quantity: FloatArray, prices: Mapping[str, float], items: Sequence[str]
) -> Repricing:
    """Split the money of a ledger into what moves with some prices and what does not.

    Parameters
    ----------
    lines
        Lines of a ledger.
    quantity
        Its quantities [unit of the line/ac], (rows, lines).
    prices
        Value of every price item in force.
    items
        Items that move, in the order of the draws.

    Returns
    -------
    Repricing
        Money by year [$/ac].

    Raises
    ------
    ValueError
        If the price of a line that is used is a product of two items that move: it is no straight line then.

    References
    ----------
    As for :func:`simulator.ledger.unit_prices`.
    """
    weight = np.zeros((len(quantity), len(items)))
    moves = np.zeros(len(lines), dtype=bool)
    for place, line in enumerate(lines):
        moving = [item for item in line.prices if item in items]
        if not moving or not quantity[:, place].any():
            continue
        if len(moving) > 1:
            raise ValueError(f"{line.key} is priced by {' times '.join(moving)}; only one of them may move")
        (unit,) = unit_prices((line,), {**prices, moving[0]: 1.0})
        weight[:, items.index(moving[0])] += unit * quantity[:, place]
        moves[place] = True
    steady = (quantity[:, ~moves] * unit_prices(tuple(lines), prices)[~moves]).sum(axis=1)
    return Repricing(np.asarray(steady), weight)


def drawn_unit_prices(
    lines: Sequence[Line], prices: Mapping[str, float], items: Sequence[str], path: FloatArray
) -> FloatArray:
    """Signed price of one unit of every line in each year of one draw.

    Parameters
    ----------
    lines
        Lines of a ledger.
    prices
        Value of every price item in force.
    items
        Items that move.
    path
        Their prices, (rows, items).

    Returns
    -------
    FloatArray
        [$/unit], (rows, lines); a line priced by several items takes each as it is that year.
    """
    steady = unit_prices(tuple(lines), {**prices, **dict.fromkeys(items, 1.0)})
    moving = np.ones((len(path), len(lines)))
    for place, line in enumerate(lines):
        for item in line.prices:
            if item in items:
                moving[:, place] *= path[:, items.index(item)]
    return np.asarray(steady * moving)


def present_values(repricing: Repricing, series: Draws, draws: int, rate: float) -> FloatArray:
    """Present value of a plan at the first draws of a series, one block after the other.

    Parameters
    ----------
    repricing
        The plan, with as many rows as the draws have years.
    series
        Draws of the prices that move.
    draws
        How many of them, at least 1.
    rate
        Real yearly discount rate [1/yr].

    Returns
    -------
    FloatArray
        Present value [$/ac], (draws,).
    """
    # whole blocks go through the product, so that a draw's bytes do not depend on how many are asked for
    blocks = range(-(-draws // BLOCK))
    return np.concatenate([repricing.present_value(series.block(number), rate) for number in blocks])[:draws]
