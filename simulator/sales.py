"""Sales of wood one by one: what was offered, what is left a ton for the owner, and why no bid is likely."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, Final, NamedTuple

import numpy as np

from simulator.accounts import WOOD_PRODUCTS
from simulator.enterprises.offers import (
    COSTS_MORE,
    FEW_LOADS,
    FINAL,
    FIRST_THINNING,
    LATER_THINNING,
    NO_PULPWOOD_BID,
    SOLD,
    Offer,
    signed_prices,
)
from simulator.ledger import unit_prices
from simulator.measures import LOGGING
from simulator.parameters.species import load_species
from simulator.parameters.tables import load_practice
from simulator.result import Outcome
from simulator.sale_accounts import FEE
from simulator.sale_measures import SaleMeasures, measures_of
from simulator.scenario.model import Scenario
from simulator.scenario.sale import DELIVERED, DRY, DRY_ITEM, MILL_ITEMS
from simulator.units import FloatArray

if TYPE_CHECKING:
    import pandas as pd

KINDS: Final = {FINAL: "final harvest", FIRST_THINNING: "first thinning", LATER_THINNING: "later thinning"}
FACTORS: Final = {FIRST_THINNING: "first_thinning_factor", LATER_THINNING: "later_thinning_factor"}
ANSWERS: Final = {
    SOLD: "sold",
    FEW_LOADS: "few_loads",
    COSTS_MORE: "costs_more",
    NO_PULPWOOD_BID: "no_pulpwood_bid",
}
PLAIN_COLUMNS: Final = (
    "year",
    "cut",
    "loads",
    "mean_tree_ton",
    "left_per_ton",
    "left_per_ac",
    "answer",
    "small",
    "reason",
)
"""Columns of every table of sales; products and other measures stand between them."""
_WOOD: Final = len(WOOD_PRODUCTS)


class SaleRow(NamedTuple):
    """One lot of wood and what became of it.

    Attributes
    ----------
    year, cut
        Row of the record, and what was cut.
    ton_ac
        Green tons offered by product [ton/ac].
    loads
        Truckloads from all acres sold together.
    mean_tree_ton
        Mean merchantable weight of the trees [ton].
    measures
        The same wood in cords and board feet; None for wood of orchard trees.
    stumpage_per_ton
        What is left for the owner of a ton of each product, before the fee [$/ton]; below 0 where mills pay less than
        it costs to bring it there.
    left_per_ton, left_per_ac
        The same of the whole lot [$/ton], [$/ac]; what a sale that finds no bid would have left.
    answer
        ``sold``, ``few_loads``, ``costs_more`` or ``no_pulpwood_bid``.
    small
        Whether few loggers will bid though it is sold.
    reason
        Why no bid is likely, in words; empty where it is sold.
    """

    year: int
    cut: str
    ton_ac: Mapping[str, float]
    loads: float
    mean_tree_ton: float
    measures: SaleMeasures | None
    stumpage_per_ton: Mapping[str, float]
    left_per_ton: float
    left_per_ac: float
    answer: str
    small: bool
    reason: str


class Mix(NamedTuple):
    """Wood that one cycle sells.

    Attributes
    ----------
    ton_ac, share
        By product [ton/ac], and of all tons sold [1].
    per_ton
        What a ton brings on average, costs on the way to the mill taken off, before the fee [$/ton].
    """

    ton_ac: Mapping[str, float]
    share: Mapping[str, float]
    per_ton: float


def sales_of(outcome: Outcome) -> list[SaleRow]:
    """Every lot offered within the horizon, the earliest first; wood of storms, fires and beetles is not among them."""
    last = len(outcome.cash_per_ac) - 1
    return [_sale(offer, outcome.prices) for offer in outcome.offers if offer.year <= last]


def _sale(offer: Offer, prices: Mapping[str, float]) -> SaleRow:
    """One lot as a row: loads, what is left of a ton and of the lot, and why no bid is likely."""
    names, total, loads = _names(offer.scenario), float(offer.ton_ac.sum()), load_practice().loads
    stumpage = stumpage_per_ton(offer, prices)
    left = float(offer.ton_ac @ stumpage)
    trucks = total * sale_acres(offer.scenario) / loads.load_ton
    here = [place for place in range(_WOOD) if offer.ton_ac[place] > 0.0]
    return SaleRow(
        year=offer.year,
        cut=KINDS[offer.kind],
        ton_ac={names[place]: float(offer.ton_ac[place]) for place in here},
        loads=trucks,
        mean_tree_ton=offer.piece_ton,
        measures=None if _is_orchard(offer.scenario) else measures_of(offer),
        stumpage_per_ton={names[place]: float(stumpage[place]) for place in here},
        left_per_ton=left / total,
        left_per_ac=left,
        answer=ANSWERS[offer.answer],
        small=offer.answer == SOLD and trucks < loads.few_loads,
        reason=_reason(offer, trucks, prices),
    )


def sale_acres(scenario: Scenario) -> float:
    """Acres cut in one year and sold together [ac]."""
    return scenario.land.acres + scenario.sale.acres_sold_with


def _names(scenario: Scenario) -> tuple[str, ...]:
    """Products by place; wood of orchard trees stands in the first."""
    return ("salvage_wood", *WOOD_PRODUCTS[1:]) if _is_orchard(scenario) else WOOD_PRODUCTS


def _is_orchard(scenario: Scenario) -> bool:
    return scenario.trees is not None and load_species(scenario.trees.species).orchard is not None


def stumpage_per_ton(offer: Offer, prices: Mapping[str, float]) -> FloatArray:
    """What is left for the owner of a ton of each product, before the fee.

    Parameters
    ----------
    offer
        A lot.
    prices
        Value of every price item.

    Returns
    -------
    FloatArray
        [$/ton], (4,). At the mill's gate every ton of a lot bears the same costs.

    References
    ----------
    Residual value: price at the mill less cutting, loading, haul, and moving in by the ton; form of the trade.
    """
    sale, orchard = offer.scenario.sale, _is_orchard(offer.scenario)
    factor = prices[DRY_ITEM] if sale.access == DRY else 1.0
    if offer.scenario.money.timber_sale == "lump sum":
        factor *= prices["lump_sum_factor"]
    if orchard:
        return factor * np.array([prices["salvage_wood"], 0.0, 0.0, 0.0])
    if sale.pricing == DELIVERED:
        each = signed_prices(prices)
        costs = offer.quantity[_WOOD:] @ each[_WOOD:] / offer.ton_ac.sum()
        return np.asarray(factor * (each[:_WOOD] + costs))
    thinned = prices[FACTORS[offer.kind]] if offer.kind in FACTORS else 1.0
    return factor * thinned * np.array([prices[product] for product in WOOD_PRODUCTS])


def _reason(offer: Offer, trucks: float, prices: Mapping[str, float]) -> str:
    """Why no bid is likely, in words."""
    if offer.answer == FEW_LOADS:
        return f"no bid likely: {trucks:.1f} loads, a crew wants {load_practice().loads.least_loads:.0f}"
    if offer.answer == COSTS_MORE:
        short = -(offer.quantity @ signed_prices(prices)) / offer.ton_ac.sum()
        said = f"{short:.2f}" if short < 1.0 else f"{short:.0f}"
        return f"no bid likely: mills pay ${said} a ton less than cutting, hauling and moving in cost"
    if offer.answer == NO_PULPWOOD_BID:
        return "waits: nobody bids on pulpwood"
    return ""


def sales_table(outcome: Outcome) -> "pd.DataFrame":
    """Sales as a table, one row a lot, per acre of the tract."""
    import pandas as pd  # noqa: PLC0415 - heavy; only who asks for a frame pays for it

    products = ("salvage_wood",) if _is_orchard(outcome.scenario) else WOOD_PRODUCTS
    rows = [
        {
            "year": sale.year,
            "cut": sale.cut,
            **{f"{product}_ton_ac": sale.ton_ac.get(product, 0.0) for product in products},
            "loads": sale.loads,
            "mean_tree_ton": sale.mean_tree_ton,
            **_measures(sale),
            **{f"{product}_left_per_ton": sale.stumpage_per_ton.get(product) for product in products},
            "left_per_ton": sale.left_per_ton,
            "left_per_ac": sale.left_per_ac,
            "answer": sale.answer,
            "small": int(sale.small),
            "reason": sale.reason,
        }
        for sale in sales_of(outcome)
    ]
    return pd.DataFrame(rows) if rows else pd.DataFrame(columns=list(PLAIN_COLUMNS))


def sale_document(sale: SaleRow) -> dict[str, Any]:
    """A sale as JSON, its measures beside the rest."""
    document = sale._asdict()
    del document["measures"]
    return document | _measures(sale)


def _measures(sale: SaleRow) -> dict[str, float]:
    """Cords and thousands of board feet of a sale as columns."""
    if sale.measures is None:
        return {}
    cords = {name: value for name, value in sale.measures._asdict().items() if isinstance(value, float)}
    feet = sale.measures.sawtimber_mbf_ac._asdict()
    return cords | {f"sawtimber_mbf_{rule}_ac": float(value) for rule, value in feet.items()}


def mix_of(outcome: Outcome) -> Mix | None:
    """Wood that one cycle of a plan sells, of a stand that was found its own; None where it sells none.

    Parameters
    ----------
    outcome
        The plan that was run.

    Returns
    -------
    Mix or None
        Salvage after events is in it.
    """
    flows = outcome.flows
    quantity = (flows.cycle_quantity if flows.leading is None else flows.leading).sum(axis=0)
    products = dict(zip((*WOOD_PRODUCTS, *MILL_ITEMS), 2 * WOOD_PRODUCTS, strict=True))
    wood = [line.enterprise == "wood" and line.account in {"sale", LOGGING} for line in flows.lines]
    tons = dict.fromkeys(WOOD_PRODUCTS, 0.0)
    for place in np.flatnonzero(wood):
        line = flows.lines[place]
        if line.account == "sale" and line.prices[0] in products:
            tons[products[line.prices[0]]] += float(quantity[place])
    total = sum(tons.values())
    if total <= 0.0:
        return None
    # a credit on the fee for what logging costs belongs to the fee, not to the ton
    paid = np.array([sold and FEE not in line.prices for sold, line in zip(wood, flows.lines, strict=True)])
    amount = float((quantity * unit_prices(flows.lines, outcome.prices))[paid].sum())
    return Mix(tons, {product: ton / total for product, ton in tons.items()}, amount / total)
