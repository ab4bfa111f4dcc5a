"""The summary: the systems side by side, each figure a formula on the sheet named beside it."""

from collections.abc import Mapping, Sequence
from typing import Final, NamedTuple

from workbench.after_tax import ESTIMATE, after_tax_document
from workbench.reports import money_note
from workbench.words import NEAR_TIE
from workbench.workbook.bids import CHANGES
from workbench.workbook.case import Case
from workbench.workbook.caveats import caveats
from workbench.workbook.land import land_rows
from workbench.workbook.measures import Row, Sheets, decade_rows, enterprise_rows, field_rows, measure_rows
from workbench.workbook.page import Page
from workbench.workbook.returns import return_rows

FIRST: Final = 2
"""Column of the first system, after label and unit."""
NOTES: Final = (
    (
        "$ per acre of the whole field unless it says whole field; real dollars, before income tax; + received, - "
        "paid. Every figure is a formula: change a yellow cell on Assumptions or Prices and it follows."
    ),
)
AFTER_TAX: Final = {
    "npv_per_ac": ("Net present value after tax", "$/ac"),
    "equal_annual_income_per_ac": ("Equal annual income after tax", "$/ac/yr"),
    "equal_annual_income_before_tax_at_this_rate_per_ac": ("   before tax at the same rate", "$/ac/yr"),
}


class SummaryCells(NamedTuple):
    """Rows of the measures of one comparison by label, the names' row, and the columns of the systems."""

    page: Page
    names: int
    row: Mapping[str, int]
    col: Mapping[str, int]


def write_summary(case: Case, sheets: Sheets, bids: str, sheet: tuple[Page, int], row: int) -> tuple[int, SummaryCells]:
    """Write the summary of one comparison.

    Parameters
    ----------
    case
        The comparison.
    sheets
        What its formulas read.
    bids
        Address of what the bids say now; empty where prices decide none.
    sheet
        The sheet, and its last column.
    row
        First free row.

    Returns
    -------
    tuple
        Next free row, and where things stand.
    """
    page, last = sheet
    page.text(row, 0, case.title, "section")
    page.paragraph(row + 1, money_note(case.plan), (0, last), "small")
    cells = SummaryCells(page, row + 2, {}, {system: FIRST + i for i, system in enumerate(case.systems)})
    names = [*case.names.values(), *("" for _ in range(last - FIRST - len(case.systems)))]
    page.row_of_heads(cells.names, ("Measure", "Unit", *names, "Worked out on"), (0, 1, last))
    written, row = dict[str, int](), cells.names + 1
    for heading, rows in _parts(case, sheets):
        if heading:
            page.text(row, 0, heading, "strong")
            row += 1
        for each in rows:
            _write_row(page, row, each, cells.col, last)
            written.setdefault(each.label, row)
            row += 1
    row = _write_after_tax(case, page, row, cells.col)
    row = _write_notes(case, bids, page, row + 1, last)
    return row, cells._replace(row=written)


def last_col(cases: Sequence[Case]) -> int:
    """Last column of the summary: that of the names of sheets."""
    return FIRST + max(len(case.systems) for case in cases)


def _parts(case: Case, sheets: Sheets) -> list[tuple[str, list[Row]]]:
    return [
        ("", [*measure_rows(case, sheets), *return_rows(case, sheets), *land_rows(case, sheets)]),
        ("Present value by enterprise; the sum is the net present value", list(enterprise_rows(case, sheets))),
        ("Cash by decade, undiscounted, end values left out", list(decade_rows(case, sheets))),
        ("Whole field", list(field_rows(case, sheets))),
    ]


def _write_row(page: Page, row: int, each: Row, cols: Mapping[str, int], last: int) -> None:
    page.text(row, 0, each.label.strip(), "indent" if each.label.startswith(" ") else "text")
    page.text(row, 1, each.unit, "unit")
    for system, formula in each.cells.items():
        page.formula(row, cols[system], formula.text, formula.value, formula.style)
    page.text(row, last, each.where, "unit")


def _write_after_tax(case: Case, page: Page, row: int, cols: Mapping[str, int]) -> int:
    """Write what is left after tax as stated figures, where the scenario states rates."""
    left = {system: after_tax_document(outcome) for system, outcome in case.systems.items()}
    if any(document is None for document in left.values()):
        return row
    page.text(row, 0, f"After income tax at the owner's rates, stated: {ESTIMATE}", "strong")
    for key, (label, unit) in AFTER_TAX.items():
        row += 1
        page.text(row, 0, label.strip(), "indent" if label.startswith(" ") else "text")
        page.text(row, 1, unit, "unit")
        for system, document in left.items():
            if document is not None:
                page.number(row, cols[system], document[key], "stated money")
    return row + 1


def _write_notes(case: Case, bids: str, page: Page, row: int, last: int) -> int:
    page.text(row, 0, "What follows, and what does not", "strong")
    row += 1
    if bids:
        changed = f'COUNTIF({bids},"{CHANGES}")'
        warning = f'IF({changed}>0,"At these prices a bid changes: run the program anew; see Checks.","All bids hold.")'
        page.formula(row, 0, warning, "All bids hold.", "warning line")
        row += 1
    tie = f"Yearly incomes closer than ${NEAR_TIE:.0f} an acre lie within what no one can foresee."
    for text in (tie, *caveats(case)):
        page.paragraph(row, text, (0, last))
        row += 1
    return row + 1
