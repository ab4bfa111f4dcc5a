"""Sell or wait under one price: a stochastic dynamic program, exact up to its grid of prices."""

from typing import Final, NamedTuple

import numpy as np
from scipy.special import ndtr

from optimize.decisions import ENDS, Decisions
from optimize.prices.market import Market
from simulator.units import BoolArray, FloatArray, IntArray

POINTS: Final = 101
"""Prices of the grid; see tests/published for how near that is to finer ones."""
WIDTH: Final = 5.0
"""The grid reaches so many standard deviations to each side of where the log price may be."""
LEAST_WIDTH: Final = 1e-3
"""Half the width of a grid around a price that hardly moves [1], so that its points differ."""

NO_SPREAD: Final = 1e-12
"""Below this a yearly spread moves no price by a cent, and dividing by it would leave the range of numbers."""


class PriceChain(NamedTuple):
    """A price on a grid, and how the mean of anything over next year's price follows from its values on the grid.

    Attributes
    ----------
    price
        Prices of the grid, ascending, (n,).
    weight
        Mean of a value at the next stage = weight @ values on the grid, (n, n); (1, n) where the next price does not
        depend on this one.
    """

    price: FloatArray
    weight: FloatArray


def chain_of(market: Market, years: int, points: int = POINTS) -> PriceChain:
    """Put the one price of a market on a grid, evenly spaced in its logarithm.

    Parameters
    ----------
    market
        One price, above 0.
    years
        Years that the grid has to hold.
    points
        Prices of the grid.

    Returns
    -------
    PriceChain
        Between prices of the grid, and beyond its ends, values follow a straight line in the price: what a sale
        brings is one, so that only the worth of waiting is approximated. The mean over next year's price of such
        a broken line is taken exactly, without a rule of nodes, which would step over its corners.

    Raises
    ------
    ValueError
        If the market holds several prices, a price of 0, or fewer than two points are asked for.

    References
    ----------
    Partial mean of a lognormal variable: E[P; P < b] = exp(m + s**2 / 2) N((ln b - m) / s - s); derived, known from
    every text on option prices.
    """
    if len(market.items) != 1 or market.today[0] <= 0.0 or points < 2:
        raise ValueError(f"needs one price above 0 and two points, received {market.items}, {market.today}, {points}")
    log = np.linspace(*_reach(market, years), points)
    following, spread = market.constant[0] + market.keep[0] * log, float(market.spread[0])
    return PriceChain(np.exp(log), _weights(np.exp(log), following, spread))


def independent_chain(price: FloatArray, probability: FloatArray) -> PriceChain:
    """Prices drawn anew each year, whatever they were before.

    Parameters
    ----------
    price
        Prices, ascending, (n,).
    probability
        Share of years with each [1], (n,), adding up to 1.

    Returns
    -------
    PriceChain
    """
    return PriceChain(price, probability[None, :])


class Solution(NamedTuple):
    """What the decisions are worth and which to take.

    Attributes
    ----------
    price
        Prices of the grid, (n,).
    value
        Worth at each stage, price and state [$], (T + 1, n, states); -inf where nothing is allowed.
    policy
        Action to take, (T + 1, n, states).
    reservation
        Price above which an action is taken, (T + 1, states, actions): 0 where at any price, infinity where at none,
        NaN where it is not a matter of one price (taken between two, or only when the price is low).
    """

    price: FloatArray
    value: FloatArray
    policy: IntArray
    reservation: FloatArray

    def value_at(self, price: float, stage: int = 0, state: int = 0) -> float:
        """Worth at a price of the grid's range [$], a straight line between its points."""
        return float(np.interp(price, self.price, self.value[stage, :, state]))


def solve(decisions: Decisions, chain: PriceChain) -> Solution:
    """Value the decisions backwards from the last stage.

    Parameters
    ----------
    decisions
        What can be done, with money in one price.
    chain
        That price.

    Returns
    -------
    Solution
        Worth by stage, price and state [$], and the price above which an action is taken.

    Raises
    ------
    ValueError
        If the decisions do not fit together or know several prices.

    References
    ----------
    Brazee & Mendelsohn 1988, Forest Science (reservation prices; abstract only); backward induction, common practice.
    """
    checked = decisions.checked()
    if checked.per_price.shape[-1] != 1:
        raise ValueError(f"one price can be solved exactly, received {checked.per_price.shape[-1]}")
    stages, states, actions = checked.fixed.shape
    value = np.empty((stages, len(chain.price), states))
    policy = np.empty(value.shape, dtype=np.int64)
    reservation = np.empty((stages, states, actions))
    later = np.zeros((len(chain.price), states))
    for stage in reversed(range(stages)):
        payoff = _payoff(checked, stage, chain.price, later)
        policy[stage], value[stage] = payoff.argmax(axis=2), payoff.max(axis=2)
        for state in range(states):
            reservation[stage, state] = _reservations(chain.price, payoff[:, state])
        # a state that nothing leads to is worth -inf; 0 keeps it out of the sums
        mean = chain.weight @ np.where(np.isfinite(value[stage]), value[stage], 0.0)
        later = checked.factor * np.broadcast_to(mean, later.shape)
    return Solution(chain.price, value, policy, reservation)


def _payoff(decisions: Decisions, stage: int, price: FloatArray, later: FloatArray) -> FloatArray:
    """Worth of each action, (n, states, actions)."""
    follows = decisions.next_state[stage]
    goes_on = np.where(follows == ENDS, 0.0, later[:, follows])
    at_once = decisions.fixed[stage] + price[:, None, None] * decisions.per_price[stage, :, :, 0]
    return np.where(decisions.allowed[stage], at_once + goes_on, -np.inf)


def _reservations(price: FloatArray, payoff: FloatArray) -> FloatArray:
    """Price above which each action is the one to take, (actions,), from the worth of each (n, actions)."""
    found, taken = [], payoff.argmax(axis=1)
    for action in range(payoff.shape[1]):
        others = np.delete(payoff, action, axis=1).max(axis=1, initial=-np.inf)
        found.append(_crossing(price, payoff[:, action], others, taken == action))
    return np.array(found)


def _crossing(price: FloatArray, mine: FloatArray, others: FloatArray, taken: BoolArray) -> float:
    """Price from which an action is the one to take, on a straight line between two prices of the grid."""
    first = int(np.argmax(taken))
    if not taken.any():
        return np.inf
    if not taken[first:].all():
        return np.nan
    if first == 0:
        return 0.0
    gain = mine[first - 1 : first + 1] - others[first - 1 : first + 1]
    if not np.isfinite(gain).all() or gain[1] == gain[0]:
        return float(price[first])
    share = -gain[0] / (gain[1] - gain[0])
    return float(price[first - 1] + share * (price[first] - price[first - 1]))


def _reach(market: Market, years: int) -> tuple[float, float]:
    """Lowest and highest log price that the grid has to hold: today's path and what its spread adds.

    Parameters
    ----------
    market
        One price.
    years
        Years that the grid has to hold [yr].

    Returns
    -------
    tuple of float
        Lowest and highest logarithm of the price [1].

    References
    ----------
    Mean and variance of a first-order autoregression; derived. How many standard deviations: judgement.
    """
    log, variance, low, high = float(np.log(market.today[0])), 0.0, np.inf, -np.inf
    keep, spread = float(market.keep[0]), float(market.spread[0])
    for _ in range(years + 1):
        side = max(WIDTH * np.sqrt(variance), LEAST_WIDTH)
        low, high = min(low, log - side), max(high, log + side)
        log, variance = float(market.constant[0]) + keep * log, keep**2 * variance + spread**2
    return low, high


def _weights(price: FloatArray, following: FloatArray, spread: float) -> FloatArray:
    """Mean over next year's price as weights on the grid.

    Parameters
    ----------
    price
        Prices of the grid, in the item's unit, ascending, (n,).
    following
        Mean of next year's log price from each of them [1], (n,).
    spread
        Standard deviation of next year's log price [1].

    Returns
    -------
    FloatArray
        Weights [1], (n, n): exact for whatever is a straight line between prices of the grid and beyond its ends.

    References
    ----------
    Partial mean of a lognormal variable; derived, known from every text on option prices.
    """
    inner = np.log(price[1:-1])
    # the outermost lines go on to a price of 0 and without end
    below, money = np.empty((2, len(price), len(inner) + 2))
    below[:, 0], below[:, -1], money[:, 0] = 0.0, 1.0, 0.0
    money[:, -1] = np.exp(following + spread**2 / 2.0)
    if spread > NO_SPREAD:
        from_mean = (inner - following[:, None]) / spread
        below[:, 1:-1], money[:, 1:-1] = ndtr(from_mean), money[:, -1:] * ndtr(from_mean - spread)
    else:
        below[:, 1:-1] = following[:, None] < inner
        money[:, 1:-1] = below[:, 1:-1] * money[:, -1:]
    share, part, width = np.diff(below), np.diff(money), np.diff(price)
    weight = np.zeros((len(price), len(price)))
    weight[:, :-1] += (price[1:] * share - part) / width
    weight[:, 1:] += (part - price[:-1] * share) / width
    return weight
