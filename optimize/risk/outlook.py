"""What the land is worth at the horizon of a draw: what the plan earns from there on, by what stands."""

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from optimize.risk.growth import Lives, Portion, grown, quantities, trees_left
from simulator.accounts import Line
from simulator.finance import land_expectation_value, net_present_value
from simulator.interest import discount_factor
from simulator.ledger import unit_prices
from simulator.measures import Flows, effective_prices, real_discount_rate
from simulator.scenario.model import Scenario
from simulator.succession import after_harvest
from simulator.units import FloatArray, IntArray

OF_TREES = ("wood", "nuts")
OF_A_SALE = ("sale", "logging")


class Outlook(NamedTuple):
    """Worth of one life of the land as seen from each of its years, without draws.

    Attributes
    ----------
    worth
        Of the land with its stand after the work of each year of the cycle [$/ac], (ages,).
    wood
        Of what its trees still bring in this cycle, part of it [$/ac], (ages,).
    trees
        Trees then [1/ac], (ages,).
    bare
        Of the land when its trees are gone, or its grass is sold up [$/ac].
    open_land
        Whether it never has trees: then herd and fence are sold at the horizon, and it begins again.
    """

    worth: FloatArray
    wood: FloatArray
    trees: FloatArray
    bare: float
    open_land: bool


class AtEnd(NamedTuple):
    """What is there at the horizon of each draw, (draws,).

    Attributes
    ----------
    life, age
        As in `Lives`.
    trees
        Trees that stand [1/ac].
    sold
        End values as the ledger books them: trees at stumpage, herd, fence, way back to pasture [$/ac].
    """

    life: IntArray
    age: IntArray
    trees: FloatArray
    sold: FloatArray


def worth_later(end: AtEnd, outlooks: tuple[Outlook, ...]) -> FloatArray:
    """What the land is worth after the horizon in each draw.

    Parameters
    ----------
    end
        What is there.
    outlooks
        Of each life of the land.

    Returns
    -------
    FloatArray
        Worth [$/ac], (draws,). The plan goes on with losses as expected; where fewer trees stand than usual at that age
        their wood brings so much less.

    References
    ----------
    In proportion to the trees that are missing: assumed for this project.
    """
    later = np.empty(len(end.sold))
    for life, outlook in enumerate(outlooks):
        here = end.life == life
        age = np.minimum(end.age[here], len(outlook.worth) - 1)
        usual = np.maximum(outlook.trees[age], 1e-9)
        missing = np.clip(1.0 - end.trees[here] / usual, 0.0, 1.0)
        stocked = outlook.worth[age] - missing * outlook.wood[age]
        bare = outlook.bare + np.where(outlook.open_land, end.sold[here], 0.0)
        later[here] = np.where(end.trees[here] > 0, stocked, bare)
    return later


def outlooks_of(portion: Portion, lives: Lives) -> tuple[tuple[Outlook, ...], ...]:
    """What the land is worth later on, for each of the single runs, by life of the land.

    Parameters
    ----------
    portion
        The plan.
    lives
        Its single runs.

    Returns
    -------
    tuple
        Empty at a rate of 0, at which income without end has no sum.
    """
    plan = portion.plan
    if real_discount_rate(plan.money) <= 0:
        return ()
    prices = effective_prices(plan.money, portion.prices)
    trees = trees_left(lives.simulation)
    if plan.stand is None:
        return tuple((_repeated(plan, flows, prices, trees[i]),) for i, flows in enumerate(lives.flows))
    steady = after_harvest(plan, portion.beside)[0]
    simulation = grown(portion, steady, None, 0)
    later = trees_left(simulation)
    pairs = zip(lives.flows, quantities(simulation, portion), strict=True)
    return tuple(
        (
            _once(plan, own, prices, trees[i], _land_worth(steady, then, prices)),
            _repeated(steady, then, prices, later[i]),
        )
        for i, (own, then) in enumerate(pairs)
    )


def _repeated(plan: Scenario, flows: Flows, prices: Mapping[str, float], trees: FloatArray) -> Outlook:
    """Of a cycle that is repeated for ever; bare land has to be planted, or is open, and then goes on as it does."""
    land = _land_worth(plan, flows, prices)
    bare = land + float((flows.replanting * unit_prices(flows.lines, prices)).sum())
    return _from_each_year(plan, (flows.lines, flows.cycle_quantity), prices, land, bare)._replace(trees=trees)


def _once(plan: Scenario, flows: Flows, prices: Mapping[str, float], trees: FloatArray, fresh: float) -> Outlook:
    """Of a stand that was found and comes once; after it the land is worth what its follower makes of it."""
    if flows.leading is None:
        raise ValueError("a stand that was found leads to what follows it")
    rate = real_discount_rate(plan.money)
    cash = (flows.leading * unit_prices(flows.lines, prices)).sum(axis=1)
    whole = float(net_present_value(cash, rate)) + fresh * float(discount_factor(rate, flows.leading_yr))
    return _from_each_year(plan, (flows.lines, flows.leading), prices, whole, fresh)._replace(trees=trees)


def _from_each_year(
    plan: Scenario, ledger: tuple[tuple[Line, ...], FloatArray], prices: Mapping[str, float], whole: float, bare: float
) -> Outlook:
    """Worth in each year: that of year 0 with what was earned since taken off and the rest nearer by so many years.

    Parameters
    ----------
    plan
        The plan.
    ledger
        Lines, and quantities of one cycle or of the stand.
    prices
        Value of every price item.
    whole
        Worth at the beginning [$/ac].
    bare
        Worth of the land when its trees are gone [$/ac].

    Returns
    -------
    Outlook
        Worth by year [$/ac].

    References
    ----------
    Derived, as for :func:`simulator.finance.net_present_value`.
    """
    lines, quantity = ledger
    amount = quantity * unit_prices(lines, prices)
    factor = discount_factor(real_discount_rate(plan.money), np.arange(len(amount)))[:, None]
    of_trees = np.array([line.enterprise in OF_TREES and line.account in OF_A_SALE for line in lines])
    earned = np.cumsum((amount * factor).sum(axis=1))
    wood = np.cumsum((amount[:, of_trees] * factor).sum(axis=1))
    return Outlook(
        worth=(whole - earned) / factor[:, 0],
        wood=(wood[-1] - wood) / factor[:, 0],
        trees=np.zeros(len(amount)),
        bare=bare,
        open_land=plan.trees is None,
    )


def _land_worth(plan: Scenario, flows: Flows, prices: Mapping[str, float]) -> float:
    """Worth of bare land under a plan repeated for ever [$/ac]."""
    cash = (flows.cycle_quantity * unit_prices(flows.lines, prices)).sum(axis=1)
    return float(land_expectation_value(cash, real_discount_rate(plan.money), flows.cycle_yr))
