"""Findings of the sale of wood: costs that eat the price, small sales, soft ground."""

from collections.abc import Iterator

import numpy as np

from simulator.accounts import WOOD_PRODUCTS
from simulator.enterprises.offers import COSTS_MORE, FINAL, SALE_ITEMS
from simulator.findings.years import in_years
from simulator.result import Outcome
from simulator.sales import SaleRow, sales_of
from simulator.scenario.sale import DELIVERED, DRY, DRY_ITEM, Sale
from simulator.units import BoolArray


def unpaid_years(outcome: Outcome) -> BoolArray:
    """Years in which mills would pay no more for a lot than it costs to bring it there, (rows,)."""
    dear = np.zeros(len(outcome.wood_ton_ac), bool)
    years = [offer.year for offer in outcome.offers if offer.answer == COSTS_MORE and offer.year < len(dear)]
    dear[years] = True
    return dear


def sale_findings(outcome: Outcome, dear: BoolArray) -> Iterator[tuple[str, str]]:
    """What is to be said of the sales of a plan beside too few loads.

    Parameters
    ----------
    outcome
        What came out.
    dear
        Its :func:`unpaid_years`.

    Yields
    ------
    tuple
        Code and message.
    """
    if dear.any():
        yield "no_bid_at_cost", _too_dear(outcome)
    if outcome.states["small_sale"].any():
        yield "small_sale", _small(outcome)
    yield from _without_effect(outcome)
    if outcome.scenario.sale.access == DRY and outcome.wood_ton_ac.any():
        message = (
            f"Trucks come only in dry weather: wood is priced at {outcome.prices[DRY_ITEM]:.0%} of its worth. "
            "A wet winter can put a sale off by a year, and the grass stays dark; that is not reckoned here."
        )
        yield "dry_weather_access", message


def _without_effect(outcome: Outcome) -> Iterator[tuple[str, str]]:
    """Prices and miles that somebody wrote for the other way to sell."""
    sale, own = outcome.scenario.sale, outcome.scenario.money.prices
    if outcome.scenario.trees is None:
        return
    if sale.pricing == DELIVERED:
        idle = [item for item in WOOD_PRODUCTS if item in own]
        where = "count only for wood killed by events: wood is sold at the mill, at delivered_pulpwood and so on"
    else:
        idle = [item for item in SALE_ITEMS if item in own]
        idle += ["haul_miles"] if sale.haul_miles != Sale().haul_miles else []
        where = 'count only with pricing = "delivered" in [sale]'
    if idle:
        yield "sale_without_effect", f"These are written but {where}: {', '.join(idle)}."


def _too_dear(outcome: Outcome) -> str:
    unsold = [sale for sale in sales_of(outcome) if sale.answer == "costs_more"]
    final = {offer.year for offer in outcome.offers if offer.answer == COSTS_MORE and offer.kind == FINAL}
    parts = [f"{sale.cut} of year {sale.year} ({_short(sale)})" for sale in unsold]
    said = f"No bid is likely for the {', '.join(parts)}: "
    said += "mills pay that much less than cutting, hauling and moving in cost."
    if any(sale.year not in final for sale in unsold):
        said += " A thinning that nobody buys is not done, and the stand stays dense and the grass dark."
    if any(sale.year in final for sale in unsold):
        said += " The final harvest is felled all the same and brings nothing."
    return f"{said} Sell with a neighbour, wait for larger trees or better prices, or find a nearer mill."


def _short(sale: SaleRow) -> str:
    return f"{sale.reason.partition('mills pay ')[2].partition(' less')[0]} short"


def _small(outcome: Outcome) -> str:
    small = in_years(outcome.states["small_sale"])
    if outcome.scenario.sale.pricing == DELIVERED:
        advice = "Sold together with a neighbour or another field, moving in costs less a ton: see acres_sold_with."
    else:
        advice = "Prices here are those of a large sale: sell together with a neighbour or another field."
    return f"The sale of {small} is under ten truckloads; few loggers will bid. {advice}"
