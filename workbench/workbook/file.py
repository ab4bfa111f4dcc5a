"""The workbook as a file: its sheets in order, filled from the figures up to the summary."""

import datetime as dt
import io
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Final

import xlsxwriter

from optimize.whole_files import write_atomically
from simulator.comparison import Comparison
from workbench.workbook.about import write_about
from workbench.workbook.assumptions import Named, write_assumptions
from workbench.workbook.bids import HEADS as BID_HEADS
from workbench.workbook.bids import write_bids
from workbench.workbook.case import OF_A_CASE, SHARED_AFTER, SHARED_BEFORE, Case, cases_of
from workbench.workbook.cash import write_cash
from workbench.workbook.charts import write_charts
from workbench.workbook.checks import HEADS as CHECK_HEADS
from workbench.workbook.checks import NOTES as CHECK_NOTES
from workbench.workbook.checks import WIDTHS as CHECK_WIDTHS
from workbench.workbook.checks import write_checks
from workbench.workbook.cycle import write_cycles
from workbench.workbook.enterprises import write_enterprises
from workbench.workbook.ledger import Sources, write_ledgers
from workbench.workbook.measures import Sheets
from workbench.workbook.page import Page
from workbench.workbook.prices import PriceCells, price_cells
from workbench.workbook.quantities import write_quantities
from workbench.workbook.rest import follow_the_rate
from workbench.workbook.styles import Styles
from workbench.workbook.summary import write_summaries
from workbench.workbook.text import plain_text
from workbench.workbook.years import write_years

OPTIONS: Final = {
    "in_memory": True,
    "strings_to_numbers": False,
    "strings_to_formulas": False,
    "strings_to_urls": False,
}


def write_workbook(comparisons: Sequence[Comparison], path: Path) -> Path:
    """Write comparisons as one workbook, whole or not at all.

    Parameters
    ----------
    comparisons
        At least one; each has sheets of its own, and the summary holds them all.
    path
        The file, whose name ends in ``.xlsx``; its folder exists.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    InputError
        Where it cannot be written there.
    """
    write_atomically(path, workbook_bytes(comparisons))
    return path


def workbook_bytes(comparisons: Sequence[Comparison]) -> bytes:
    """Comparisons as the bytes of one workbook; the same comparisons give the same bytes.

    Parameters
    ----------
    comparisons
        At least one.

    Returns
    -------
    bytes
    """
    cases, content = cases_of(comparisons), io.BytesIO()
    with xlsxwriter.Workbook(content, OPTIONS) as book:
        book.set_size(2400, 1500)
        # the library would write the time of day, and no two files would be the same
        made = dt.datetime(cases[0].plan.price_table.currency_year, 1, 1)  # noqa: DTZ001
        titles = "; ".join(case.title for case in cases)
        book.set_properties({"title": plain_text(f"Halfshade: {titles}", 200), "author": "Halfshade", "created": made})
        _fill(cases, _pages(book, cases))
    return content.getvalue()


def _pages(book: Any, cases: Sequence[Case]) -> Mapping[str, Page]:  # noqa: ANN401 - xlsxwriter has no types
    """Empty sheets in the order of their tabs."""
    styles = Styles(book)
    own = [case.sheets[kind] for case in cases for kind in OF_A_CASE]
    return {name: Page(book.add_worksheet(name), book, styles) for name in (*SHARED_BEFORE, *own, *SHARED_AFTER)}


def _fill(cases: Sequence[Case], pages: Mapping[str, Page]) -> None:
    prices = price_cells(cases, pages["Prices"])
    named = write_assumptions(cases, prices, pages["Assumptions"])
    sheets = [_sheets(case, prices, named[case.number], pages) for case in cases]
    bids = _checks(cases, sheets, prices, pages["Checks"])
    cells = write_summaries(cases, sheets, bids, pages["Summary"])
    for case, own, summary in zip(cases, sheets, cells, strict=True):
        write_charts(case, own, summary, pages[case.sheets["Charts"]])
    write_about(cases, pages["About"])


def _checks(cases: Sequence[Case], sheets: Sequence[Sheets], prices: PriceCells, page: Page) -> list[str]:
    """Write the sheet of checks; return where each comparison's bids stand."""
    page.widths(*CHECK_WIDTHS)
    row, bids = page.title("Checks", *CHECK_NOTES, last_col=len(CHECK_HEADS) - 1), []
    for case, own in zip(cases, sheets, strict=True):
        row = write_checks(case, own, page, row)
        row, found = write_bids(case, prices, page, row)
        bids.append(found)
    page.printed(row - 2, len(BID_HEADS if any(bids) else CHECK_HEADS) - 1)
    return bids


def _sheets(case: Case, prices: PriceCells, named: Named, pages: Mapping[str, Page]) -> Sheets:
    """Write the sheets of one comparison that hold figures, from quantities up."""
    page = {kind: pages[name] for kind, name in case.sheets.items()}
    sources = Sources(prices, write_quantities(case, page["Quantities"]), named.rate)
    ledger, cycle_ledger = write_ledgers(case, sources, page["Ledger"], page["Cycle ledger"])
    follow_the_rate(case, sources.quantities, cycle_ledger, named.rate)
    return Sheets(
        named=named,
        ledger=ledger,
        cycle_ledger=cycle_ledger,
        cash=write_cash(case, ledger, named.rate, page["Cash flows"]),
        cycles=write_cycles(case, cycle_ledger, named.rate, page["Cycles"]),
        enterprises=write_enterprises(case, ledger, page["Enterprises"]),
        years=write_years(case, page["Years"]),
    )
