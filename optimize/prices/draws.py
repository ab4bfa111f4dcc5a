"""Draws of prices over the years: the same bytes from the same seed, whoever draws them in whatever portions."""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import Final, NamedTuple

import numpy as np

from optimize.prices.market import Market
from simulator.units import FloatArray

BLOCK: Final = 4096
"""Draws that share a seed of their own; never a matter of memory or workers, or results would change with them."""


class Draws(NamedTuple):
    """An endless series of draws, of which any part can be asked for by itself.

    Attributes
    ----------
    market
        How prices move.
    years
        Rows of a draw; row 0 is year 0, whose prices are known [yr].
    seed
        Any whole number from 0 on.
    antithetic
        Draws come in pairs (0 and 1, 2 and 3, ...), the second with the shocks of the first turned round.
    """

    market: Market
    years: int
    seed: int
    antithetic: bool = False

    def block(self, number: int) -> FloatArray:
        """Draws number * BLOCK to (number + 1) * BLOCK - 1, (BLOCK, years, items)."""
        items = len(self.market.items)
        # the same child seed as the number-th of SeedSequence(seed).spawn
        child = np.random.SeedSequence(self.seed, spawn_key=(number,))
        # items and years first: sums over items then run through memory in a line
        shape = (items, self.years - 1, BLOCK // 2 if self.antithetic else BLOCK)
        shock = np.random.default_rng(child).standard_normal(shape)
        if self.antithetic:
            shock = np.stack([shock, -shock], axis=3).reshape(items, self.years - 1, BLOCK)
        return _prices(
            self.market, _together(shock, np.asarray(np.linalg.cholesky(self.market.correlation), dtype=np.float64))
        )

    def between(self, first: int, last: int) -> FloatArray:
        """Draws first to last - 1, (last - first, years, items)."""
        parts = [_part(self.block(number), number, first, last) for number in _blocks(first, last)]
        return np.concatenate(parts) if parts else np.empty((0, self.years, len(self.market.items)))

    def portions(self, draws: int) -> Iterator[FloatArray]:
        """The first draws one block after the other, each (up to BLOCK, years, items), so that memory stays small."""
        return (_part(self.block(number), number, 0, draws) for number in _blocks(0, draws))


def draw_paths(
    market: Market, years: int, draws: int, seed: int, *, antithetic: bool = False, workers: int = 1
) -> FloatArray:
    """Draw prices over the years.

    Parameters
    ----------
    market
        How prices move.
    years
        Rows of a draw; row 0 is year 0, whose prices are those of today [yr].
    draws
        Number of draws.
    seed
        Any whole number from 0 on.
    antithetic
        Whether draws come in pairs of opposite shocks, which steadies means.
    workers
        Threads that draw; without effect on the result.

    Returns
    -------
    FloatArray
        Prices in the unit of each item, (draws, years, items); fewer draws are the beginning of more.

    Raises
    ------
    ValueError
        If there are no years, no draws or no workers.
    """
    if min(years, draws, workers) < 1:
        raise ValueError(f"years, draws and workers must be at least 1, received {years}, {draws}, {workers}")
    series = Draws(market, years, seed, antithetic)
    drawn = np.empty((draws, years, len(market.items)))

    def fill(number: int) -> None:
        first = number * BLOCK
        drawn[first : first + BLOCK] = series.block(number)[: draws - first]

    with ThreadPoolExecutor(workers) as pool:
        list(pool.map(fill, _blocks(0, draws)))
    return drawn


def standard_error(value: FloatArray, *, antithetic: bool = False) -> float:
    """Standard error of the mean of independent draws, or of pairs of opposite ones.

    Parameters
    ----------
    value
        What each draw gave, any unit, (draws,).
    antithetic
        Whether neighbours are pairs; an odd last one is left out.

    Returns
    -------
    float
        In the unit of the values; NaN of a single draw or pair.

    References
    ----------
    Definition; pairs count as one draw each: common practice of antithetic sampling.
    """
    alone = value[: len(value) // 2 * 2].reshape(-1, 2).mean(axis=1) if antithetic else value
    return float(alone.std(ddof=1) / np.sqrt(len(alone))) if len(alone) > 1 else float("nan")


def _blocks(first: int, last: int) -> range:
    return range(first // BLOCK, -(-last // BLOCK))


def _part(block: FloatArray, number: int, first: int, last: int) -> FloatArray:
    """The draws of a block that lie between two places."""
    start = number * BLOCK
    return block[max(first - start, 0) : last - start]


def _together(shock: FloatArray, factor: FloatArray) -> FloatArray:
    """Shocks that go together, added up in a fixed order, not by BLAS.

    Parameters
    ----------
    shock
        Independent standard normal shocks [1], (items, years - 1, draws).
    factor
        Lower triangular factor of their correlation [1], (items, items).

    Returns
    -------
    FloatArray
        Correlated shocks [1], same shape.

    References
    ----------
    Cholesky factor of a correlation matrix; common practice.
    """
    joined = np.zeros_like(shock)
    for i, j in zip(*np.nonzero(np.tril(factor)), strict=True):
        joined[i] += factor[i, j] * shock[j]
    return joined


def _prices(market: Market, shock: FloatArray) -> FloatArray:
    """Prices from shocks, one year after the other.

    Parameters
    ----------
    market
        How prices move.
    shock
        Shocks that go together [1], (items, years - 1, draws).

    Returns
    -------
    FloatArray
        Prices in the unit of each item, (draws, years, items).

    References
    ----------
    First-order autoregression of the logarithm of a price; its numbers are invented.
    """
    items, steps, draws = shock.shape
    constant, keep, spread = (part[:, None] for part in (market.constant, market.keep, market.spread))
    log = np.empty((items, steps + 1, draws))
    with np.errstate(divide="ignore"):
        log[:, 0] = np.log(market.today)[:, None]
    for year in range(steps):
        log[:, year + 1] = constant + keep * log[:, year] + spread * shock[:, year]
    drawn = np.ascontiguousarray(np.exp(log).transpose(2, 1, 0))
    drawn[:, 0] = market.today
    return drawn
