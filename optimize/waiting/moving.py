"""Which prices move in a question of waiting: each by itself, and all wood together as one index."""

from itertools import combinations
from typing import Final

import numpy as np

from optimize.decisions import Decisions
from optimize.prices.market import Market, log_level, market_of
from optimize.waiting.growing import Grown
from optimize.waiting.ways import Way
from simulator.accounts import WOOD_PRODUCTS
from simulator.interest import discount_factor
from simulator.parameters.price_movements import default_correlation, load_movements
from simulator.price_changes import WOOD
from simulator.scenario.model import Scenario
from simulator.scenario.price_path import PriceLink, PriceProcess
from simulator.scenario.sale import DELIVERED, MILL_ITEMS
from simulator.units import FloatArray

ALL_WOOD: Final = "wood"
"""All prices of wood moving together, as multiples of those in force."""


def may_move(scenario: Scenario) -> tuple[str, ...]:
    """Prices that may move in a question of waiting, whether this stand sells by them or not."""
    wood = _WOOD_OF[scenario.sale.pricing == DELIVERED]
    stated = [path.item for path in scenario.price_path]
    return tuple(dict.fromkeys((*wood, *(stated or load_movements()))))


def moving_market(scenario: Scenario, grown: Grown) -> Market:
    """Prices that move: those with a [[price_path]], and wood by default where none of its prices has one.

    Parameters
    ----------
    scenario
        The plan.
    grown
        Its ways.

    Returns
    -------
    Market
        Without a [[price_path]] every price with a default moves. What is never sold here is left out.
    """
    paths = [*scenario.price_path] or [PriceProcess(item=item) for item in load_movements() if item in grown.prices]
    links = [*scenario.price_link]
    if not any(path.item in _WOOD_OF[scenario.sale.pricing == DELIVERED] for path in paths):
        more, joined = _invented(scenario, grown)
        paths, links = [*paths, *more], [*links, *joined]
    market = market_of(paths, grown.prices, links)
    used = {item for way in grown.first.values() for line in way.lines for item in line.prices}
    sold = [i for i, item in enumerate(market.items) if item in used and market.today[i] > 0.0]
    return part_of_market(market, sold)


_WOOD_OF: Final = {True: MILL_ITEMS, False: WOOD_PRODUCTS}
"""Prices of wood sold at the mill's gate, and standing."""


def _invented(scenario: Scenario, grown: Grown) -> tuple[list[PriceProcess], list[PriceLink]]:
    """Wood of a file that says nothing of its price moves by default; at the mill's gate as it does standing."""
    movements, paths = load_movements(), []
    for item, standing in zip(_WOOD_OF[scenario.sale.pricing == DELIVERED], WOOD_PRODUCTS, strict=True):
        if item in grown.prices:
            usual = movements[standing]
            paths.append(PriceProcess(item=item, keep=usual.keep, spread=usual.spread))
    standing_of = dict(zip(_WOOD_OF[scenario.sale.pricing == DELIVERED], WOOD_PRODUCTS, strict=True))
    links = [
        PriceLink(
            items=(one.item, other.item),
            correlation=default_correlation(standing_of[one.item], standing_of[other.item]),
        )
        for one, other in combinations(paths, 2)
    ]
    return paths, links


def part_of_market(market: Market, places: list[int]) -> Market:
    """The same market with some of its prices, by their places."""
    names = tuple(market.items[i] for i in places)
    parts = (market.today[places], market.constant[places], market.keep[places], market.spread[places])
    return Market(names, *parts, market.correlation[np.ix_(places, places)])


def wood_of(market: Market) -> list[int]:
    """Places of the prices of wood."""
    return [i for i, item in enumerate(market.items) if item in WOOD]


def wood_index(market: Market, grown: Grown, way: Way) -> Market:
    """All wood as one price: 1 is the prices in force, and it moves as the mixture that a way sells.

    Parameters
    ----------
    market
        Prices that move, one of wood at least.
    grown, way
        The way whose sales say how much each counts.

    Returns
    -------
    Market
        Price [1]. The share kept is the mean of theirs; the spread is that of their weighted sum, which is less than
        the mean of theirs where they do not move together.

    References
    ----------
    Variance of a weighted sum: definition. One index for all wood: an approximation of this project.
    """
    places = wood_of(market)
    base = np.array([grown.prices[market.items[i]] for i in places])
    path = grown.lines_of(way, tuple(market.items[i] for i in places))
    factor = discount_factor(grown.rate, np.arange(len(path.steady)))
    worth = np.maximum(factor @ path.weight * base, 0.0)
    share = worth / worth.sum() if worth.sum() > 0 else np.full(len(places), 1.0 / len(places))
    part = part_of_market(market, places)
    keep, swing = float(share @ part.keep), share * part.spread
    spread = float(np.sqrt(swing @ part.correlation @ swing))
    today = float(share @ (part.today / base))
    if keep < 1.0:
        mean = float(share @ (_long_run(part) / base))
        constant = (1.0 - keep) * log_level(mean, keep, spread)
    else:
        constant = float(share @ (part.constant + part.spread**2 / 2.0)) - spread**2 / 2.0
    one = (np.array([today]), np.array([constant]), np.array([keep]), np.array([spread]))
    return Market((ALL_WOOD,), *one, np.eye(1))


def _long_run(market: Market) -> FloatArray:
    """Long-run mean of each price; of one that wanders, the price of today.

    Parameters
    ----------
    market
        How prices move.

    Returns
    -------
    FloatArray
        In the unit of each item, (items,).

    References
    ----------
    As for :func:`optimize.prices.market.log_level`.
    """
    returns = market.keep < 1.0
    kept = np.where(returns, market.keep, 0.0)
    mean = np.exp(market.constant / (1.0 - kept) + market.spread**2 / (2.0 * (1.0 - kept**2)))
    return np.asarray(np.where(returns, mean, market.today))


def in_one_price(decisions: Decisions, market: Market, grown: Grown, item: str) -> Decisions:
    """The same decisions with one price that moves, the others standing at those in force.

    Parameters
    ----------
    decisions
        With money in every price of the market.
    market
        Those prices.
    grown
        The ways; holds the prices in force.
    item
        One of them, or ``ALL_WOOD``.
    """
    base = np.array([grown.prices[each] for each in market.items])
    mine = np.zeros(len(base), dtype=bool)
    mine[wood_of(market) if item == ALL_WOOD else market.items.index(item)] = True
    money = decisions.per_price * base
    unit = money[..., mine].sum(axis=-1) if item == ALL_WOOD else decisions.per_price[..., mine].sum(axis=-1)
    still = decisions.fixed + money[..., ~mine].sum(axis=-1)
    return decisions._replace(fixed=still, per_price=unit[..., None])
