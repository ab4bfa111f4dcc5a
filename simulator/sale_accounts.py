"""Lines of the ledger for wood sold at the mill's gate; a book has them where a plan asks for it."""

from collections.abc import Sequence
from typing import Final

from simulator.accounts import WOOD_PRODUCTS, Line
from simulator.scenario.model import Scenario
from simulator.scenario.sale import COST_ITEMS, DELIVERED, MILL_ITEMS

FEE: Final = "timber_sale_fee"
COST_UNITS: Final = ("equivalent ton", "ton-mile", "sale")
"""What cutting and loading, haul and moving in are counted in; an equivalent ton costs as one of middling trees."""
WOOD_UNITS: Final = ("ton", *COST_UNITS)
KEYS: Final = (*(f"{product}_delivered" for product in WOOD_PRODUCTS), *COST_ITEMS)
"""Keys of the lines of one sale, in the order of their quantities."""
END: Final = "end_"


def delivered_lines(scenarios: Sequence[Scenario]) -> tuple[Line, ...]:
    """Lines that a batch needs for wood sold at the mill; none where all is sold standing.

    Parameters
    ----------
    scenarios
        The batch.

    Returns
    -------
    tuple of Line
        Sales with their costs, then the same as end values. The fee of a sale is a share of what is left for the
        owner, so each cost takes its share off the fee.
    """
    if not any(scenario.sale.pricing == DELIVERED for scenario in scenarios):
        return ()
    return (*_lines("", "sale", "logging", "upkeep"), *_lines(END, "end value", "end value", "end value"))


def _lines(before: str, sold: str, spent: str, fees: str) -> tuple[Line, ...]:
    made = []
    for place, key in enumerate(KEYS):
        wood = place < len(WOOD_PRODUCTS)
        item = MILL_ITEMS[place] if wood else COST_ITEMS[place - len(WOOD_PRODUCTS)]
        unit = "ton" if wood else COST_UNITS[place - len(WOOD_PRODUCTS)]
        sign, account, fee = (1, sold, fees) if wood else (-1, spent, spent)
        made.append(Line(f"{before}{key}", "wood", account, unit, sign, (item,)))
        made.append(Line(f"{before}{key}_fee", "wood", fee, unit, -sign, (item, FEE)))
    return tuple(made)
