"""Questions of waiting that several tests ask, and a second way to answer them."""

from itertools import combinations

import numpy as np
from scipy.special import eval_laguerre, roots_hermitenorm

from optimize.basis import Basis
from optimize.decisions import Decisions, sell_or_keep
from optimize.least_squares import Rule, Sample, learned
from optimize.prices.draws import draw_paths
from optimize.prices.market import Market
from optimize.sell_or_wait import PriceChain
from simulator.units import FloatArray, Floats


def laguerre_functions(count: int, scale: Floats = 1.0) -> Basis:
    """Laguerre polynomials of each feature times exp(-x / 2), and products of the first of each two features.

    The basis of the option paper (Longstaff & Schwartz 2001, Review of Financial Studies 14:113, section 2), to set
    beside the product's own; features are divided by `scale`, because large x all come to nothing.
    """

    def functions(known: FloatArray) -> FloatArray:
        x = known / scale
        damp = np.exp(-x / 2.0)
        single = [damp[:, i] * eval_laguerre(n, x[:, i]) for i in range(x.shape[1]) for n in range(count)]
        joint = [damp[:, i] * damp[:, j] for i, j in combinations(range(x.shape[1]), 2)]
        return np.stack([np.ones(len(x)), *single, *joint], axis=1)

    return functions


def market(today: float, level: float, keep: float, spread: float) -> Market:
    """One price whose log returns to the log of a level."""
    constant = np.array([(1.0 - keep) * np.log(level)])
    return Market(("price",), np.array([today]), constant, np.array([keep]), np.array([spread]), np.eye(1))


def walk(today: float, rate: float, sigma: float, step_yr: float) -> Market:
    """A share without dividends as the option paper draws it, one step a stage."""
    spread = sigma * np.sqrt(step_yr)
    drift = np.array([rate * step_yr - spread**2 / 2.0])
    return Market(("share",), np.array([float(today)]), drift, np.ones(1), np.array([spread]), np.eye(1))


def stand(years: int = 10, land: float = 400.0, carrying: float = 12.0, rate: float = 0.05) -> Decisions:
    """The stand of tests/published/waiting.toml: sell in one of its years."""
    t = np.arange(years + 1)
    return sell_or_keep(60.0 * (1.0 + 0.045 * t - 0.0018 * t**2), land, -carrying, rate)


def put(strike: float, stages: int, factor: float) -> Decisions:
    """The right to sell at a strike, which may lapse."""
    decisions = sell_or_keep(-np.ones(stages), strike, 0.0, 1.0 / factor - 1.0)
    allowed = decisions.allowed.copy()
    allowed[-1, 0, 0] = True
    return decisions._replace(allowed=allowed)


def put_sample(share: Market, strike: float, stages: int, draws: int, seed: int) -> Sample:
    """Draws of a share in which only what is in the money is considered."""
    prices = draw_paths(share, stages, draws, seed, antithetic=True)
    return Sample(prices, considered=prices[..., 0] < strike, antithetic=True)


def put_rule(share: Market, strike: float, factor: float, stages: int, draws: int) -> Rule:
    """The rule of the option paper: a constant and three weighted Laguerre functions."""
    sample = put_sample(share, strike, stages, draws, seed=1)
    return learned(put(strike, stages, factor), sample, laguerre_functions(3, strike))


def gauss_hermite_chain(price: Market, points: int, nodes: int, width: float = 1.2) -> PriceChain:
    """The same kind of chain as the program's, its means by a rule of nodes and not by closed form."""
    log = np.linspace(np.log(price.today[0]) - width, np.log(price.today[0]) + width, points)
    node, share = roots_hermitenorm(nodes)
    grid = np.exp(log)
    following = np.exp(price.constant[0] + price.keep[0] * log[:, None] + price.spread[0] * node)
    left = np.clip(np.searchsorted(grid, following) - 1, 0, points - 2)
    part = (following - grid[left]) / (grid[left + 1] - grid[left])
    weight = np.zeros((points, points))
    for i in range(points):
        np.add.at(weight[i], left[i], share / share.sum() * (1.0 - part[i]))
        np.add.at(weight[i], left[i] + 1, share / share.sum() * part[i])
    return PriceChain(grid, weight)


def binomial_put(price: FloatArray, sigma: FloatArray, strike: float, rate: float, years: int) -> FloatArray:
    """Binomial tree of rows of puts that can be exercised at 50 dates a year, 40 steps between two, (rows,)."""
    between, steps = 40, 40 * 50 * years
    step_yr = years / steps
    up = np.exp(sigma * np.sqrt(step_yr))[:, None]
    rise = (np.exp(rate * step_yr) - 1.0 / up) / (up - 1.0 / up)
    share = price[:, None] * up ** np.arange(-steps, steps + 1)
    value = np.maximum(strike - share[:, ::2], 0.0)
    for step in reversed(range(steps)):
        value = np.exp(-rate * step_yr) * (rise * value[:, 1:] + (1.0 - rise) * value[:, :-1])
        if step % between == 0 and step:
            value = np.maximum(value, strike - share[:, steps - step : steps + step + 1 : 2])
    return np.asarray(value[:, 0])
