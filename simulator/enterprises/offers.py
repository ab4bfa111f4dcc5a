"""What is offered to buyers in a year, what it takes to bring it to the mill, and what they answer."""

from collections.abc import Mapping, Sequence
from typing import Final, NamedTuple

import numpy as np

from simulator.enterprises.wood import sold
from simulator.events.thinning import Cut
from simulator.parameters.tables import Tables
from simulator.physics.logging import cut_and_load_factor
from simulator.plan import Plan
from simulator.sale_accounts import KEYS
from simulator.scenario.model import Scenario
from simulator.scenario.sale import COST_ITEMS, DELIVERED, MILL_ITEMS
from simulator.state import Stand, class_dbh_in
from simulator.units import BoolArray, FloatArray, IntArray

NOTHING, SOLD, FEW_LOADS, COSTS_MORE, NO_PULPWOOD_BID = range(5)
"""What buyers say: nothing was offered; sold; too few loads; mills pay less than it costs; pulpwood nobody wants."""
FINAL, FIRST_THINNING, LATER_THINNING = range(3)
SALE_ITEMS: Final = (*MILL_ITEMS, *COST_ITEMS)


class Lot(NamedTuple):
    """Wood that is offered together.

    Attributes
    ----------
    ton_ac
        Green tons that somebody may want, by product [ton/ac], (candidates, 4).
    piece_ton
        Mean merchantable weight of the trees [ton], (candidates,).
    kind
        Final harvest, first or later thinning, (candidates,).
    cut
        The trees, (candidates, rows, classes).
    """

    ton_ac: FloatArray
    piece_ton: FloatArray
    kind: IntArray
    cut: Cut


class Answered(NamedTuple):
    """What buyers said to a lot.

    Attributes
    ----------
    lot
        What was offered.
    sold_ton_ac
        Green tons sold by product [ton/ac], (candidates, 4).
    answer
        ``SOLD`` or why not, (candidates,).
    small
        Where it is sold though it is small, (candidates,).
    to_mill
        What the whole lot brings and takes at the mill's gate [unit of the line/ac], (candidates, lines of
        ``KEYS``); zeros where it is sold standing.
    """

    lot: Lot
    sold_ton_ac: FloatArray
    answer: IntArray
    small: BoolArray
    to_mill: FloatArray

    @property
    def no_bid(self) -> BoolArray:
        """Where no bid is likely, (candidates,)."""
        return np.asarray((self.answer == FEW_LOADS) | (self.answer == COSTS_MORE))


def sale_acres(plan: Plan) -> FloatArray:
    """Acres of rows cut in one year and sold together; other fields have as many on an acre.

    Parameters
    ----------
    plan
        The batch.

    Returns
    -------
    FloatArray
        [ac], (candidates,).

    References
    ----------
    Definition.
    """
    return (plan.column("land", "acres") + plan.column("sale", "acres_sold_with")) * plan.geometry.rows_share


def is_delivered(plan: Plan, tables: Tables) -> BoolArray:
    """Where timber is sold at the mill's gate, (candidates,); wood of orchard trees never is."""
    return plan.flags("sale", "pricing", equals=DELIVERED) & (tables.tree.species.orchard is None)


def mean_piece_ton(stand: Stand, trees: FloatArray, ton_ac: FloatArray, tables: Tables) -> FloatArray:
    """Mean weight of the merchantable trees of a cut.

    Parameters
    ----------
    stand
        Before the cut.
    trees
        Trees cut by class [1/ac], (candidates, rows, classes).
    ton_ac
        Their green tons by product [ton/ac], (candidates, 4).
    tables
        Product specifications.

    Returns
    -------
    FloatArray
        [green ton], (candidates,); 0 where there are none.

    References
    ----------
    Definition.
    """
    large = class_dbh_in(stand) >= tables.wood.specs.pulpwood.minimum_dbh_in
    count = np.where(large, trees, 0.0).sum(axis=(1, 2))
    return np.asarray(np.divide(ton_ac.sum(axis=1), count, out=np.zeros_like(count), where=count > 1e-9))


def to_the_mill(plan: Plan, tables: Tables, lot: Lot) -> FloatArray:
    """Quantities of a sale at the mill's gate per acre of the tract, (candidates, lines of ``KEYS``).

    Parameters
    ----------
    plan, tables
        The batch and its numbers.
    lot
        What is sold.

    Returns
    -------
    FloatArray
        Tons by product; tons times what cutting and loading them costs against middling trees; ton-miles; and one
        moving in, shared by all acres sold together.

    References
    ----------
    What a ton costs is on the ton, the ton-mile and the lot: form of the trade, no source.
    """
    total = lot.ton_ac.sum(axis=1)
    factor = cut_and_load_factor(lot.piece_ton, lot.kind != FINAL, tables.practice.logging)
    once = np.where(total > 0, 1.0 / sale_acres(plan), 0.0)
    costs = np.stack([total * factor, total * plan.column("sale", "haul_miles"), once], axis=1)
    return np.concatenate([lot.ton_ac, costs], axis=1)


def answered(plan: Plan, tables: Tables, lot: Lot, refused: BoolArray) -> Answered:
    """Ask buyers for bids on a lot.

    Parameters
    ----------
    plan, tables
        The batch and its numbers.
    lot
        What is offered.
    refused
        Where nobody wants it whatever it costs to bring it to the mill, (candidates,).

    Returns
    -------
    Answered
        No bid where loads are too few, or where mills pay no more for the whole lot than it costs to bring it there.
    """
    delivered = is_delivered(plan, tables)
    asked = np.where(refused[:, None], 0.0, lot.ton_ac)
    tons, few, small = sold(asked, sale_acres(plan), tables.practice.loads)
    to_mill = np.zeros((plan.candidates, len(KEYS)))
    dear = np.zeros(plan.candidates, bool)
    if delivered.any():
        to_mill = np.where(delivered[:, None], to_the_mill(plan, tables, lot), 0.0)
        dear = delivered & (tons.sum(axis=1) > 0) & ~(_left(plan, to_mill) > 0)
    reasons = {NO_PULPWOOD_BID: refused, FEW_LOADS: few, COSTS_MORE: dear, SOLD: asked.sum(axis=1) > 0}
    answer = np.select(list(reasons.values()), list(reasons), NOTHING)
    return Answered(lot, np.where(dear[:, None], 0.0, tons), answer, small & ~dear, to_mill)


def _left(plan: Plan, to_mill: FloatArray) -> FloatArray:
    """What mills pay less what it costs [$/ac], (candidates,); above 0 where the plan was given no prices."""
    if plan.mill_prices is None:
        return np.ones(plan.candidates)
    return np.asarray((to_mill * np.nan_to_num(plan.mill_prices)).sum(axis=1))


def signed_prices(prices: Mapping[str, float]) -> FloatArray:
    """Price of each quantity of ``KEYS``, costs below 0; NaN where a table does not have the item."""
    signs = (*(1 for _ in MILL_ITEMS), *(-1 for _ in COST_ITEMS))
    return np.array([sign * prices.get(item, np.nan) for sign, item in zip(signs, SALE_ITEMS, strict=True)])


class Offer(NamedTuple):
    """One lot of one plan.

    Attributes
    ----------
    year, kind, answer
        Row of the record; final harvest, first or later thinning; what buyers said.
    ton_ac
        Green tons by product [ton/ac], (4,).
    piece_ton
        Mean merchantable weight of the trees [ton].
    quantity
        What it takes to bring it to the mill, per acre, (lines of ``KEYS``,); zeros where it is sold standing.
    trees, dbh_in, height_ft, grade
        Trees cut [1/ac], their size, and the share of them that passes as sawtimber [1], (rows, classes).
    scenario
        The plan it belongs to.
    """

    year: int
    kind: int
    ton_ac: FloatArray
    piece_ton: float
    answer: int
    quantity: FloatArray
    trees: FloatArray
    dbh_in: FloatArray
    height_ft: FloatArray
    grade: FloatArray
    scenario: Scenario

    def later(self, years: int) -> "Offer":
        """The same in a record that begins so many years earlier."""
        return self._replace(year=self.year + years)


def bids_hold(offers: Sequence[Offer], prices: Mapping[str, float]) -> bool:
    """Whether every lot is sold at other prices that was sold at those in force, and no other.

    Parameters
    ----------
    offers
        Lots of a plan.
    prices
        Value of every price item.

    Returns
    -------
    bool
        True where all wood is sold standing: there prices decide no bid.
    """
    asked = [offer for offer in offers if offer.answer in {SOLD, COSTS_MORE} and offer.quantity.any()]
    if not asked:
        return True
    each = signed_prices(prices)
    return all(bool(offer.quantity @ each > 0) == (offer.answer == SOLD) for offer in asked)
