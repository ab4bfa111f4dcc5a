"""What one plan of the land earns in a portion of the draws."""

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from optimize.prices.draws import Draws
from optimize.prices.repricing import drawn_unit_prices
from optimize.risk.growth import SINGLE, Portion, lives_of
from optimize.risk.lots import CHUNK, lots_between
from optimize.risk.outlook import AtEnd, Outlook, outlooks_of
from simulator.accounts import Line
from simulator.ledger import unit_prices
from simulator.measures import END_VALUE, Flows, effective_prices
from simulator.units import FloatArray, IntArray


class Earned(NamedTuple):
    """What a plan earned in some draws, per acre.

    Attributes
    ----------
    cash
        Net cash by year, end values left out [$/ac], (draws, years).
    end
        What was there at the horizon.
    replanted
        Times that so much was lost that the rest was felled early and the land planted again, (draws,).
    largest_share
        Share of all receipts that the largest enterprise brings [1], (draws,); NaN without receipts.
    outlooks
        For each of the single runs, what its land is worth later on, by life of the land.
    """

    cash: FloatArray
    end: AtEnd
    replanted: IntArray
    largest_share: FloatArray
    outlooks: tuple[tuple[Outlook, ...], ...] = ()


def earned(portion: Portion) -> Earned:
    """Grow a plan through a portion of the draws and price it.

    Parameters
    ----------
    portion
        What to do.

    Returns
    -------
    Earned
        The same bytes from the same portion, whatever else is done beside it.
    """
    lots, horizon = None, portion.plan.money.horizon_years
    if portion.number != SINGLE:
        lots = lots_between(portion.seed, portion.number, portion.draws, horizon)
    lives = lives_of(portion, lots)
    prices = _Prices(portion)
    rows = [prices.money(flows, place) for place, flows in enumerate(lives.flows)]
    cash, sold, share = (np.array(column) for column in zip(*rows, strict=True))
    end = AtEnd(lives.life, lives.age, lives.trees, sold)
    return Earned(cash, end, lives.early, share, outlooks_of(portion, lives) if lots is None else ())


class _Prices:
    """Signed prices of the lines of a plan in each draw."""

    def __init__(self, portion: Portion) -> None:
        self._prices: Mapping[str, float] = effective_prices(portion.plan.money, portion.prices)
        self._items: tuple[str, ...] = ()
        self._paths = np.empty((0, 0, 0))
        if portion.market is not None and portion.number != SINGLE:
            years, first = portion.plan.money.horizon_years + 1, portion.number * CHUNK
            self._items = portion.market.items
            self._paths = Draws(portion.market, years, portion.seed).between(first, first + portion.draws)
        self._kept: dict[tuple[Line, ...], FloatArray] = {}

    def money(self, flows: Flows, place: int) -> tuple[FloatArray, float, float]:
        """Cash by year, end values and the largest share of receipts of one draw."""
        amount = flows.quantity * self._of(flows.lines, place)
        end = np.array([line.account == END_VALUE for line in flows.lines])
        cash = np.where(end, 0.0, amount)
        return cash.sum(axis=1), float(np.where(end, amount, 0.0).sum()), _largest_share(flows.lines, cash)

    def _of(self, lines: tuple[Line, ...], place: int) -> FloatArray:
        if self._items:
            return drawn_unit_prices(lines, self._prices, self._items, self._paths[place])
        if lines not in self._kept:
            self._kept[lines] = unit_prices(lines, self._prices)
        return self._kept[lines]


def _largest_share(lines: tuple[Line, ...], amount: FloatArray) -> float:
    """Share of the receipts that the largest enterprise brings.

    Parameters
    ----------
    lines
        Lines of the ledger.
    amount
        Money by year and line [$/ac], (rows, lines).

    Returns
    -------
    float
        Share [1]; NaN without receipts.

    References
    ----------
    Definition.
    """
    receipts = np.maximum(amount, 0.0).sum(axis=0)
    total = float(receipts.sum())
    if total <= 0:
        return float("nan")
    names = np.array([line.enterprise for line in lines])
    return max(float(receipts[names == name].sum()) for name in dict.fromkeys(names.tolist())) / total
