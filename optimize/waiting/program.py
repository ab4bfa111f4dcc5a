"""When to act under prices that move: the program of one price, and the rule learned under several."""

from typing import NamedTuple

import numpy as np
from scipy.special import ndtr

from optimize.basis import polynomials
from optimize.decisions import ENDS, Decisions, FixedPlan, best_fixed_plan
from optimize.least_squares import Sample, learned, valued
from optimize.prices.draws import draw_paths
from optimize.prices.market import Market, mean_prices
from optimize.sell_or_wait import POINTS, PriceChain, Solution, chain_of, solve
from simulator.units import FloatArray

DEGREE = 2
"""Highest sum of powers of prices on which the worth of waiting is regressed."""


class Range(NamedTuple):
    """Prices at which one action is the one to take: from ``low`` (0: any lower) to ``high`` (infinity: any higher)."""

    action: int
    low: float
    high: float


class Program(NamedTuple):
    """What to do as one price moves, year by year, and what that is worth.

    Attributes
    ----------
    market
        How the price moves.
    value
        Present value where the owner looks at the price every year [$/ac].
    fixed
        The best plan settled today, at mean prices.
    ranges
        By year, what to do with the stand as it is now at which price; from the lowest price up.
    """

    market: Market
    value: float
    fixed: FixedPlan
    ranges: tuple[tuple[Range, ...], ...]

    @property
    def option_value(self) -> float:
        """What looking at the price adds to the best plan settled today.

        Returns
        -------
        float
            Worth of waiting, at least 0 [$/ac].

        References
        ----------
        Definition.
        """
        return max(self.value - self.fixed.value, 0.0)

    @property
    def best(self) -> float:
        """The larger of both values [$/ac]: a grid of prices may cost the program a few cents."""
        return max(self.value, self.fixed.value)

    def from_price(self, action: int, year: int = 0) -> float:
        """Price from which an action is right in a year: 0 at any, infinity at none.

        NaN where it is right only below some price.
        """
        mine = [each for each in self.ranges[year] if each.action == action]
        if not mine:
            return float("inf")
        if len(self.ranges[year]) > 1 and mine[-1].low == 0.0:
            return float("nan")
        return mine[-1].low

    def how_often(self, price: float) -> float:
        """Share of years in the long run with this price or a higher one.

        Parameters
        ----------
        price
            The price, in its unit.

        Returns
        -------
        float
            Share [1]; NaN of a price that wanders or stands.

        References
        ----------
        Stationary distribution of a first-order autoregression of the logarithm; derived.
        """
        keep, spread = float(self.market.keep[0]), float(self.market.spread[0])
        if keep >= 1.0 or spread <= 0.0 or price <= 0.0:
            return float("nan")
        usual, side = float(self.market.constant[0]) / (1.0 - keep), spread / np.sqrt(1.0 - keep**2)
        return float(ndtr((usual - np.log(price)) / side))

    def action_at(self, price: float, year: int = 0) -> int:
        """What to do at a price in a year."""
        return next(each.action for each in self.ranges[year] if each.low <= price <= each.high)


def program_of(decisions: Decisions, market: Market, years: int, points: int = POINTS) -> Program:
    """Solve the decisions under one price.

    Parameters
    ----------
    decisions
        What can be done, with money in that price; state 0 at stage 0.
    market
        The price.
    years
        Years for which the prices to act at are wanted [yr].
    points
        Prices of the grid.
    """
    stages = decisions.stages
    chain = chain_of(market, stages - 1, points)
    solution = solve(decisions, chain)
    return Program(
        market,
        solution.value_at(float(market.today[0])),
        best_fixed_plan(decisions, mean_prices(market, stages)),
        tuple(_ranges(decisions, chain, solution, stage) for stage in range(min(years + 1, stages))),
    )


def _ranges(decisions: Decisions, chain: PriceChain, solution: Solution, stage: int) -> tuple[Range, ...]:
    """Prices at which each action is taken in state 0 at a stage."""
    payoff, price = _payoff(decisions, chain, solution, stage), chain.price
    taken = payoff.argmax(axis=1)
    found, low = [], 0.0
    for i in np.flatnonzero(np.diff(taken)):
        high = _border(price[i : i + 2], payoff[i : i + 2, taken[i + 1]] - payoff[i : i + 2, taken[i]])
        found.append(Range(int(taken[i]), low, high))
        low = high
    return (*found, Range(int(taken[-1]), low, float("inf")))


def _border(price: FloatArray, gain: FloatArray) -> float:
    """Price between two at which a gain turns from below to above 0, on a straight line."""
    return float(price[0] - gain[0] * (price[1] - price[0]) / (gain[1] - gain[0]))


def _payoff(decisions: Decisions, chain: PriceChain, solution: Solution, stage: int) -> FloatArray:
    """Worth of each action in state 0, (prices, actions)."""
    at_once = decisions.fixed[stage, 0] + chain.price[:, None] * decisions.per_price[stage, 0, :, 0]
    follows = decisions.next_state[stage, 0]
    if stage == decisions.stages - 1:
        return np.where(decisions.allowed[stage, 0], at_once, -np.inf)
    later = solution.value[stage + 1]
    mean = decisions.factor * (chain.weight @ np.where(np.isfinite(later), later, 0.0))
    goes_on = np.where(follows == ENDS, 0.0, np.broadcast_to(mean, later.shape)[:, follows])
    return np.where(decisions.allowed[stage, 0], at_once + goes_on, -np.inf)


class SeveralPrices(NamedTuple):
    """What a rule learned on drawn prices is worth on fresh draws.

    Attributes
    ----------
    items
        Prices that move.
    mean, standard_error
        Present value of the rule [$/ac], and how far chance may put it off.
    fixed
        The best plan settled today, at mean prices.
    action
        What the rule does today.
    draws
        Draws it was learned on, and as many fresh ones it was valued on.
    """

    items: tuple[str, ...]
    mean: float
    standard_error: float
    fixed: FixedPlan
    action: int
    draws: int

    @property
    def best(self) -> float:
        """The larger of the rule's worth and the settled plan's [$/ac]."""
        return max(self.mean, self.fixed.value)


def under_several_prices(decisions: Decisions, market: Market, draws: int, seed: int) -> SeveralPrices:
    """Learn when to act under all prices that move, and value that on draws never seen before.

    Parameters
    ----------
    decisions
        What can be done, with money in those prices.
    market
        The prices.
    draws
        Draws to learn from, and again to be valued on.
    seed
        Any whole number from 0 on.
    """
    stages = decisions.stages
    first, fresh = (
        Sample(draw_paths(market, stages, draws, each, antithetic=True), antithetic=True)
        for each in (2 * seed, 2 * seed + 1)
    )
    rule = learned(decisions, first, polynomials(DEGREE, market.today))
    found = valued(rule, fresh)
    fixed = best_fixed_plan(decisions, mean_prices(market, stages))
    action = int(rule.chosen(0, fresh)[0, 0])
    return SeveralPrices(market.items, found.mean, found.standard_error, fixed, action, draws)
