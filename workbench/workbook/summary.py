"""The summary: the systems side by side, each figure a formula on the sheet named beside it."""

from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise
from typing import Final, NamedTuple

from simulator.measures import Measures
from workbench.after_tax import ESTIMATE, after_tax_document
from workbench.reports import money_note
from workbench.words import NEAR_TIE
from workbench.workbook.bids import CHANGES
from workbench.workbook.case import Case
from workbench.workbook.caveats import caveats
from workbench.workbook.cycle import land_value
from workbench.workbook.land import land_rows
from workbench.workbook.measures import Row, Sheets, decade_rows, enterprise_rows, field_rows, measure_rows
from workbench.workbook.page import ROW_PT, Page, Value
from workbench.workbook.returns import return_rows

FIRST: Final = 2
"""Column of the first system, after label and unit."""
NOTES: Final = (
    (
        "$ per acre of the whole field unless it says whole field; real dollars, before income tax; + received, - "
        "paid. Every figure is a formula: change a yellow cell on Assumptions or Prices and it follows."
    ),
)
PLAN: Final = "silvopasture"
BESIDE: Final[Mapping[str, tuple[str, str, Callable[[Measures], Value]]]] = {
    "Equal annual income": ("Equal annual income", "$/ac/yr", lambda m: m.equal_annual_income),
    "Land expectation value": ("Land (and stand) value", "$/ac", land_value),
    "Net present value, end values in it": ("Net present value", "$/ac", lambda m: m.npv),
}
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


def write_summaries(
    cases: Sequence[Case], sheets: Sequence[Sheets], bids: Sequence[str], page: Page
) -> list[SummaryCells]:
    """Write the summary of all comparisons, side by side first where there are several.

    Parameters
    ----------
    cases
        Comparisons.
    sheets
        What the formulas of each read.
    bids
        Address of what the bids of each say now; empty where prices decide none.
    page
        The sheet.

    Returns
    -------
    list of SummaryCells
        Where things stand, by comparison.
    """
    last = last_col(cases)
    page.widths(50, 10, *(15 for _ in range(FIRST, last)), 16)
    top = page.title("Summary", *NOTES, last_col=last)
    row = top + len(cases) + 3 if len(cases) > 1 else top
    cells, breaks = [], []
    for case, own, bid in zip(cases, sheets, bids, strict=True):
        row, written = _write_case(case, own, bid, (page, last), row)
        cells.append(written)
        breaks.append(row)
    if len(cases) > 1:
        _write_side_by_side(cases, cells, page, top)
    highest = max(later - before for before, later in pairwise([0, *breaks]))
    page.printed_in_blocks(row - 2, last, breaks[:-1], ROW_PT * (highest + 4))
    return cells


def _write_side_by_side(cases: Sequence[Case], cells: Sequence[SummaryCells], page: Page, row: int) -> None:
    """Write the plans of all files beside each other; each figure points to its own table below."""
    page.text(row, 0, "The plan of each file", "strong")
    page.row_of_heads(row + 1, ("File", "", *(f"{label}, {unit}" for label, unit, _ in BESIDE.values())))
    for place, (case, own) in enumerate(zip(cases, cells, strict=True), start=row + 2):
        page.text(place, 0, case.title)
        for col, (label, (_, _, worth)) in enumerate(BESIDE.items(), start=FIRST):
            found = own.row.get(label, own.row.get(label.replace("expectation", "and stand")))
            if found is not None:
                address = page.local(found, own.col[PLAN])
                page.formula(place, col, address, worth(case.plan.measures), "money")


def _write_case(case: Case, sheets: Sheets, bids: str, sheet: tuple[Page, int], row: int) -> tuple[int, SummaryCells]:
    """Write the summary of one comparison; return the next free row, and where things stand."""
    page, last = sheet
    page.text(row, 0, case.title, "section")
    page.paragraph(row + 1, money_note(case.plan).partition("; ")[2], (0, last), "small")
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
