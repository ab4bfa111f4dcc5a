"""Where nobody bids on pulpwood: thinnings that wait, or are paid for and left lying."""

from typing import NamedTuple

import numpy as np

from simulator.accounts import WOOD_PRODUCTS
from simulator.enterprises.offers import sale_acres
from simulator.parameters.tables import Tables
from simulator.plan import Plan
from simulator.state import Stand
from simulator.units import BoolArray, FloatArray, IntArray

PULPWOOD = WOOD_PRODUCTS.index("pulpwood")


class Answer(NamedTuple):
    """What buyers say to a cut.

    Attributes
    ----------
    tons
        Green tons that somebody wants [ton/ac], (candidates, 4).
    refused
        Thinnings that wait because they are mostly pulpwood, (candidates,).
    """

    tons: FloatArray
    refused: BoolArray


def thinning_age(plan: Plan, stand: Stand, waiting: IntArray) -> IntArray:
    """Age whose thinning is tried this year, (candidates,): its own where one falls due, else one that waits."""
    here = np.arange(plan.candidates)
    calendar = plan.calendar
    due = calendar.thin_rows[here, stand.age] | calendar.thin_below[here, stand.age]
    return np.where(due | (waiting == 0), stand.age, waiting)


def with_bids(plan: Plan, tables: Tables, tons: FloatArray) -> FloatArray:
    """Green tons that somebody wants [ton/ac], (candidates, 4): no pulpwood where there is no bid for it."""
    wanted = tons.copy()
    wanted[_without_bid(plan, tables), PULPWOOD] = 0.0
    return wanted


def _without_bid(plan: Plan, tables: Tables) -> BoolArray:
    """Where nobody bids on pulpwood, (candidates,); salvage of orchard trees is not sold as pulpwood."""
    return ~plan.flags("market", "pulpwood_bid") & (tables.tree.species.orchard is None)


def answer_to(plan: Plan, tables: Tables, tons: FloatArray, harvest: BoolArray) -> Answer:
    """Ask for bids on a year's cut.

    Parameters
    ----------
    plan, tables
        The batch and its numbers.
    tons
        Green tons of the cut by product [ton/ac], (candidates, 4).
    harvest
        Where it is the final harvest, which is done whatever it brings, (candidates,).

    Returns
    -------
    Answer
        A thinning of mostly pulpwood is refused, or cut and left lying where the owner pays for it.

    References
    ----------
    Assumed for this project.
    """
    total = tons.sum(axis=1)
    share = np.divide(tons[:, PULPWOOD], total, out=np.zeros_like(total), where=total > 0)
    wanted = with_bids(plan, tables, tons)
    few = wanted.sum(axis=1) * sale_acres(plan) < tables.practice.loads.least_loads * (tables.practice.loads.load_ton)
    hanging = _without_bid(plan, tables) & (total > 0) & ~harvest
    hanging &= (share > tables.events.bids.mostly_pulpwood_share) | few
    pays = plan.flags("market", "unsold_thinning", equals="pay")
    return Answer(np.where((hanging & pays)[:, None], 0.0, wanted), hanging & ~pays)


def next_waiting(plan: Plan, stand: Stand, tried: IntArray, refused: BoolArray) -> IntArray:
    """Age of the thinning that waits for the next year, 0 for none, (candidates,)."""
    patient = stand.age - tried < plan.column("market", "give_up_years")
    return np.where(refused & patient, tried, 0)
