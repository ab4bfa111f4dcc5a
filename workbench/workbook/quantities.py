"""What every plan sells, buys and does by year, per acre of the whole tract: the figures that prices are laid on."""

import math
from typing import Final, NamedTuple

import numpy as np

from simulator.accounts import Line
from workbench.workbook.case import Case
from workbench.workbook.page import Page

HEADS: Final = ("System", "Item", "Unit per acre")
WIDTHS: Final = (19, 32, 16)
YEAR_WIDTH: Final = 8.0
YEARS_A_PAGE: Final = 14
NOTES: Final = (
    (
        "Quantities that the program grew and counted, per acre of the whole field; the ledger points here. Figures"
        " on a grey pattern are sums of dollars, which no price moves."
    ),
    "Year 0 is the start of the plan; all of a year falls at its end. An empty cell is nothing.",
)


class QuantityCells(NamedTuple):
    """Rows and columns of the quantities on their sheet, by system, place of the line and year."""

    page: Page
    at: dict[tuple[str, int, int], tuple[int, int]]

    def address(self, system: str, place: int, year: int) -> str:
        """Address of a quantity as other sheets write it; empty where there is none."""
        found = self.at.get((system, place, year))
        return "" if found is None else self.page.at(*found)


def item_words(line: Line) -> str:
    """A line of the ledger in words."""
    words = line.key.replace("_", " ")
    return words[:1].upper() + words[1:]


def write_quantities(case: Case, page: Page) -> QuantityCells:
    """Write the sheet of quantities of one comparison.

    Parameters
    ----------
    case
        The comparison.
    page
        The sheet.

    Returns
    -------
    QuantityCells
    """
    first = len(HEADS)
    page.widths(*WIDTHS, *(YEAR_WIDTH for _ in range(case.horizon + 1)))
    head = page.title(f"Quantities by year: {case.title}", *NOTES, last_col=first + min(case.horizon, 9))
    page.row_of_heads(head, HEADS, range(first))
    for year in range(case.horizon + 1):
        page.number(head, first + year, year, "head year")
    cells, row = dict[tuple[str, int, int], tuple[int, int]](), head
    for system, outcome in case.systems.items():
        for place in np.flatnonzero(outcome.flows.quantity.any(axis=0)).tolist():
            row += 1
            line = outcome.flows.lines[place]
            for col, text in enumerate((case.names[system], item_words(line), line.unit)):
                page.text(row, col, text)
            style = "quantity" if line.prices else "stated number"
            for year in np.flatnonzero(outcome.flows.quantity[:, place]).tolist():
                page.number(row, first + year, outcome.flows.quantity[year, place], style)
                cells[system, place, year] = (row, first + year)
    _finish(page, head, row, case.horizon)
    return QuantityCells(page, cells)


def _finish(page: Page, head: int, row: int, horizon: int) -> None:
    first = len(HEADS)
    page.sheet.freeze_panes(head + 1, first)
    page.sheet.repeat_columns(0, first - 1)
    page.printed(row, first + horizon, (head, head), pages_wide=math.ceil((horizon + 1) / YEARS_A_PAGE))
