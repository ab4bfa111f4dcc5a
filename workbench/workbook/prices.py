"""The price cells: one for each price that any plan uses, with unit, year of the dollars, range and source."""

import math
from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np

from simulator.accounts import Line
from simulator.enterprises.offers import COSTS_MORE, SALE_ITEMS, SOLD, Offer
from simulator.parameters.sureness import grade_of_price
from simulator.result import Outcome
from workbench.band_words import item_in_words
from workbench.workbook.case import Case
from workbench.workbook.page import Page
from workbench.workbook.text import cell_name, plain_text, unique

HEADS: Final = (
    "Price item",
    "Price",
    "Unit",
    "Dollars of",
    "Low",
    "High",
    "How sure",
    "Source",
    "Used by",
    "Cell name",
)
WORDS: Final = (0, 2, 6, 7, 8, 9)
WIDTHS: Final = (24, 10, 17, 9, 8, 8, 12, 54, 20, 28)
OVERRIDDEN: Final = "the scenario file, [money.prices]"
WAGE: Final = "wage"
NO_WAGE: Final = "labour is not charged in the scenario file (pay_labour = false)"
NOTES: Final = (
    "Change a yellow cell and every sheet follows. A factor multiplies another price; its unit is 1.",
    "Low and high are the range of the price table. Wood is paid per green ton, standing unless it says at the mill.",
)


class Price(NamedTuple):
    """One price as a plan uses it; plans that share all of it share a cell."""

    item: str
    value: float
    unit: str
    year: int
    low: float | None
    high: float | None
    sure: str
    source: str


class PriceCells(NamedTuple):
    """Names of the price cells, by number of the comparison and item."""

    names: dict[tuple[int, str], str]

    def product(self, case: int, line: Line) -> str:
        """Formula of a line's signed price: the named cells multiplied; 1 for a line in dollars."""
        product = "*".join(self.names[case, item] for item in line.prices) or "1"
        return f"{'-' if line.sign < 0 else ''}{product}"


def used_lines(outcome: Outcome) -> list[int]:
    """Places of the lines that have a quantity anywhere in the horizon, the cycle or before it."""
    flows = outcome.flows
    used = flows.quantity.any(axis=0) | flows.cycle_quantity.any(axis=0) | (flows.replanting != 0)
    if flows.leading is not None:
        used = used | flows.leading.any(axis=0)
    return [int(place) for place in np.flatnonzero(used)]


def asked_of(outcome: Outcome) -> list[Offer]:
    """Lots of a plan whose bid prices decide."""
    return [offer for offer in outcome.offers if offer.answer in {SOLD, COSTS_MORE} and offer.quantity.any()]


def price_cells(cases: Sequence[Case], page: Page) -> PriceCells:
    """Write the sheet of prices.

    Parameters
    ----------
    cases
        Comparisons; a price that several have alike stands once.
    page
        The sheet.

    Returns
    -------
    PriceCells
    """
    users: dict[Price, list[tuple[int, str]]] = {}
    for case in cases:
        for price, systems in _prices_of(case).items():
            by = case.title if len(cases) > 1 else _by(case, systems)
            users.setdefault(price, []).append((case.number, by))
    names = unique((cell_name("price", price.item) for price in users), joint="_")
    page.widths(*WIDTHS)
    head = page.title("Prices", *NOTES, last_col=len(HEADS) - 1)
    page.row_of_heads(head, HEADS, WORDS)
    cells: dict[tuple[int, str], str] = {}
    for row, (price, name) in enumerate(zip(users, names, strict=True), start=head + 1):
        _write(page, row, price, ", ".join(by for _, by in users[price]))
        page.text(row, 9, name, "said")
        page.define(name, row, 1)
        cells |= {(number, price.item): name for number, _ in users[price]}
    page.sheet.freeze_panes(head + 1, 2)
    page.printed(head + len(users), len(HEADS) - 1, (head, head))
    return PriceCells(cells)


def _by(case: Case, systems: Sequence[str]) -> str:
    """Who uses a price, in words."""
    return "all" if len(systems) == len(case.systems) else ", ".join(case.names[system] for system in systems)


def _write(page: Page, row: int, price: Price, users: str) -> None:
    page.text(row, 0, item_in_words(price.item).removeprefix("the "))
    page.number(row, 1, price.value, "input price")
    page.text(row, 2, price.unit, "said")
    page.number(row, 3, price.year, "year")
    for col, limit in ((4, price.low), (5, price.high)):
        if limit is not None:
            page.number(row, col, limit, "price")
    page.text(row, 6, price.sure.upper() if price.sure == "invented" else price.sure, "said")
    page.text(row, 7, price.source, "said wrapped")
    page.text(row, 8, users, "said wrapped")
    page.sheet.set_row(row, 13.5 * max(1, math.ceil(len(price.source) / 54), math.ceil(len(users) / 20)))


def _prices_of(case: Case) -> dict[Price, list[str]]:
    """Prices of one comparison in the order of its table, with the systems that use them."""
    items: dict[str, list[str]] = {}
    for system, outcome in case.systems.items():
        lines = [outcome.flows.lines[place] for place in used_lines(outcome)]
        for item in dict.fromkeys(item for line in lines for item in line.prices):
            items.setdefault(item, []).append(system)
        for item in SALE_ITEMS if asked_of(outcome) else ():
            items.setdefault(item, [system])
    items.setdefault(WAGE, [])
    return {_price(case.plan, item): items[item] for item in case.plan.price_table.items if item in items}


def _price(outcome: Outcome, item: str) -> Price:
    table, money = outcome.price_table, outcome.scenario.money
    entry = table.items[item]
    source = plain_text(table.sources[entry.source])
    sure = grade_of_price(source)
    if item == WAGE and not money.pay_labour:
        sure, source = "stated", NO_WAGE
    elif item in money.prices:
        sure, source = "stated", OVERRIDDEN
    value = outcome.prices[item]
    return Price(item, value, entry.unit, table.currency_year, entry.low, entry.high, sure, source)
