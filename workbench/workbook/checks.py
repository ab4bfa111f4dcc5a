"""Checks: what the cells say now beside what the program computed, and sums that must agree."""

from collections.abc import Iterator
from typing import Final, NamedTuple

from workbench.workbook import cash
from workbench.workbook.case import Case
from workbench.workbook.measures import Formula, Sheets, measure_rows
from workbench.workbook.page import Page

HEADS: Final = ("Check", "System", "Now", "At the values given", "Difference")
WIDTHS: Final = (48, 26, 28, 18, 14, 14, 14, 14, 17, 15, 16, 16)
NOTES: Final = (
    (
        "Measures: with the values given the difference is 0; after a change it is what the change does, $ per "
        "acre. Sums: the difference is 0 whatever is changed."
    ),
)


class _Check(NamedTuple):
    label: str
    system: str
    now: str
    then: str | float
    value: float


def write_checks(case: Case, sheets: Sheets, page: Page, row: int) -> int:
    """Write the checks of one comparison; return the next free row.

    Parameters
    ----------
    case
        The comparison.
    sheets
        What its formulas read.
    page
        The sheet.
    row
        First free row.
    """
    page.text(row, 0, case.title, "section")
    page.row_of_heads(row + 1, HEADS, (0, 1))
    row += 2
    for check in (*_measures(case, sheets), *_sums(case, sheets)):
        page.text(row, 0, check.label)
        page.text(row, 1, check.system)
        page.formula(row, 2, check.now, check.value, "cents")
        if isinstance(check.then, str):
            page.formula(row, 3, check.then, check.value, "cents")
        else:
            page.number(row, 3, check.then, "stated cents")
        page.formula(row, 4, f"ROUND(C{row + 1}-D{row + 1},6)", 0.0, "cents")
        row += 1
    return row + 1


def _measures(case: Case, sheets: Sheets) -> Iterator[_Check]:
    for row in measure_rows(case, sheets):
        for system, formula in row.cells.items():
            if _is_amount(formula):
                value = float(formula.value or 0.0)
                yield _Check(row.label.strip(), case.names[system], formula.text, value, value)


def _is_amount(formula: Formula) -> bool:
    return isinstance(formula.value, float) and formula.style == "money"


def _sums(case: Case, sheets: Sheets) -> Iterator[_Check]:
    """Sums by two ways: the ledger's present values, and the enterprises' cash."""
    ledger = sheets.ledger
    for system, outcome in case.systems.items():
        name, block = case.names[system], sheets.cash[system]
        worth = f'SUMIFS({ledger.present},{ledger.system},"{name}")'
        npv = f"SUM({block.column(cash.PRESENT)})"
        yield _Check("Sum: ledger's present values = net present value", name, worth, npv, outcome.measures.npv)
        own = sheets.enterprises[system]
        whole = f"SUM({own.block.column(len(own.col) + 1)})"
        yearly = f"SUM({block.column(cash.CASH_COL)})"
        total = float(outcome.cash_per_ac.sum())
        yield _Check("Sum: cash of all enterprises = cash of all years", name, whole, yearly, total)
