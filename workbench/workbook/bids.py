"""Bids for wood sold at the mill: whether each lot would still be sold, or still not, at the prices in the cells."""

from typing import Final

from simulator.accounts import WOOD_PRODUCTS
from simulator.enterprises.offers import SALE_ITEMS, SOLD, Offer, signed_prices
from workbench.workbook.case import Case
from workbench.workbook.page import Page
from workbench.workbook.prices import PriceCells, asked_of

HOLDS: Final = "bid holds"
CHANGES: Final = "bid changes"
HEADS: Final = (
    "System", "Year", "Answer at the prices given", *(f"{name.replace('_', ' ')} [ton/ac]" for name in WOOD_PRODUCTS),
    "cut and load [equivalent ton/ac]", "haul [ton-mile/ac]", "moving in [sales/ac]", "Left for the owner [$/ac]",
    "At the prices now",
)  # fmt: skip


def write_bids(case: Case, prices: PriceCells, page: Page, row: int) -> tuple[int, str]:
    """Write the bids of one comparison; return the next free row, and the address of what they say now.

    Parameters
    ----------
    case
        The comparison.
    prices
        Price cells.
    page
        The sheet.
    row
        First free row.
    """
    offers = [(system, offer) for system, outcome in case.systems.items() for offer in asked_of(outcome)]
    if not offers:
        return row, ""
    page.text(row, 0, f"Bids for wood at the mill: {case.title}", "section")
    page.row_of_heads(row + 1, HEADS, (0, 2, 11))
    first = row + 2
    for place, (system, offer) in enumerate(offers, start=first):
        page.text(place, 0, case.names[system])
        left = float(offer.quantity @ signed_prices(case.systems[system].prices))
        _write_offer(page, place, offer, left, [prices.names[case.number, item] for item in SALE_ITEMS])
    last = first + len(offers) - 1
    return last + 2, page.column(first, last, len(HEADS) - 1)


def _write_offer(page: Page, row: int, offer: Offer, left: float, names: list[str]) -> None:
    sold, here = offer.answer == SOLD, row + 1
    page.number(row, 1, offer.year, "year")
    page.text(row, 2, "sold" if sold else "no bid: costs more than mills pay")
    for col, quantity in enumerate(offer.quantity.tolist(), start=3):
        page.number(row, col, quantity, "quantity")
    letters = "DEFGHIJ"
    signs = "++++---"
    terms = zip(signs, letters, names, strict=True)
    formula = "".join(f"{sign}{letter}{here}*{name}" for sign, letter, name in terms).lstrip("+")
    page.formula(row, 10, formula, left, "cents")
    wanted = f"K{here}>0" if sold else f"K{here}<=0"
    page.formula(row, 11, f'IF({wanted},"{HOLDS}","{CHANGES}")', HOLDS, "said")
