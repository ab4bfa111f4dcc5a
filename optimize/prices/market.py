"""How the prices of a scenario move: every way of moving as one line from a year's log price to the next."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from simulator.parameters.price_movements import Movement, load_movements
from simulator.scenario.price_path import PriceLink, PriceProcess
from simulator.scenario.price_path_rules import correlation_matrix
from simulator.units import FloatArray


class Market(NamedTuple):
    """Prices that move, one year at a time: ``log price next year = constant + keep * log price + spread * shock``.

    A fixed price has constant 0 and keep 1, a trend the constant ln(1 + trend), a random walk also
    -spread**2 / 2 so that its mean follows the trend; a mean-reverting price has keep below 1. Shocks are standard
    normal, independent from year to year.

    Attributes
    ----------
    items
        Price items.
    today
        Prices of year 0, in the unit of each item, (items,).
    constant, keep, spread
        What a year adds to the log price [1]; share of the log price that is kept [1]; size of a year's shock [1],
        (items,).
    correlation
        Correlation of the shocks of one year [1], (items, items), positive definite.
    """

    items: tuple[str, ...]
    today: FloatArray
    constant: FloatArray
    keep: FloatArray
    spread: FloatArray
    correlation: FloatArray

    def of(self, item: str) -> "Market":
        """The same market with one price in it."""
        at = [self.items.index(item)]
        parts = (self.today[at], self.constant[at], self.keep[at], self.spread[at])
        return Market((item,), *parts, self.correlation[np.ix_(at, at)])


def market_of(
    processes: Sequence[PriceProcess], prices: Mapping[str, float], links: Sequence[PriceLink] = ()
) -> Market:
    """Make a market of the price paths of a scenario.

    Parameters
    ----------
    processes
        How prices move, each item once.
    prices
        Prices in force by item, where a path names no price of its own.
    links
        How far pairs of them go together; other pairs by default.

    Returns
    -------
    Market
        A price of 0 stays 0.

    Raises
    ------
    ValueError
        If there is no price path, or an item without defaults lacks its keep or spread.
    """
    if not processes:
        raise ValueError("a market needs at least one price path")
    items = tuple(process.item for process in processes)
    today = np.array([prices[each.item] if each.today is None else each.today for each in processes])
    steps = np.array([_step(process, prices[process.item]) for process in processes]).T
    return Market(items, today, steps[0], steps[1], steps[2], correlation_matrix(items, links))


def default_market(prices: Mapping[str, float]) -> Market:
    """A market of every item that has an invented default, mean-reverting around the price in force.

    Parameters
    ----------
    prices
        Prices in force by item.

    Returns
    -------
    Market
    """
    return market_of([PriceProcess(item=item) for item in load_movements() if item in prices], prices)


def log_level(mean: float, keep: float, spread: float) -> float:
    """Level to which the log price returns whose price has a given long-run mean.

    Parameters
    ----------
    mean
        Long-run mean of the price, in its unit, positive.
    keep
        Share of a distance left a year later [1], 0 to below 1.
    spread
        Standard deviation of a year's shock [1].

    Returns
    -------
    float
        Mean of the log price [1].

    References
    ----------
    Mean of a lognormal variable with the stationary variance of a first-order autoregression; derived.
    """
    return float(np.log(mean) - spread**2 / (2.0 * (1.0 - keep**2)))


def mean_prices(market: Market, years: int) -> FloatArray:
    """Mean price of each year, as seen from year 0.

    Parameters
    ----------
    market
        How prices move.
    years
        Rows wanted; row 0 is year 0 [yr].

    Returns
    -------
    FloatArray
        In the unit of each item, (years, items).

    References
    ----------
    Mean of a lognormal variable; derived.
    """
    with np.errstate(divide="ignore"):
        log, variance = np.log(market.today), np.zeros(len(market.items))
    rows = []
    for _ in range(years):
        rows.append(np.exp(log + variance / 2.0))
        log, variance = market.constant + market.keep * log, market.keep**2 * variance + market.spread**2
    return np.array(rows)


def _step(process: PriceProcess, in_force: float) -> tuple[float, float, float]:
    """Constant, keep and spread of one price.

    Parameters
    ----------
    process
        How it moves.
    in_force
        Price in force [$].

    Returns
    -------
    tuple of float
        Constant, keep and spread of the yearly step of the log price [1].

    References
    ----------
    Random walk, trend and mean reversion of the logarithm; derived.
    """
    if process.moves == "fixed" or _worthless(process, in_force):
        return 0.0, 1.0, 0.0
    rise = float(np.log1p(process.trend or 0.0))
    if process.moves == "trend":
        return rise, 1.0, 0.0
    spread = _given(process, "spread")
    if process.moves == "random walk":
        return rise - spread**2 / 2.0, 1.0, spread
    keep = _given(process, "keep")
    mean = in_force if process.mean is None else process.mean
    return (1.0 - keep) * log_level(mean, keep, spread), keep, spread


def _worthless(process: PriceProcess, in_force: float) -> bool:
    """Whether a price has no logarithm to move: nothing is paid today, or in the long run."""
    today = in_force if process.today is None else process.today
    return today <= 0.0 or (process.moves == "mean-reverting" and process.mean is None and in_force <= 0.0)


def _given(process: PriceProcess, key: str) -> float:
    stated: float | None = getattr(process, key)
    if stated is not None:
        return stated
    default: Movement | None = load_movements().get(process.item)
    if default is None:
        raise ValueError(f"{process.item} has no default {key}: state it")
    return float(getattr(default, key))
