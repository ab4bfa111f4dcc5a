"""What the workbook is and is not: how to read it, warnings, cautions, prices, version."""

from collections.abc import Iterator, Sequence
from typing import Final

from workbench.dangers import dangers
from workbench.documents import program_version
from workbench.reports import warning_lines
from workbench.words import cautions
from workbench.workbook.case import Case
from workbench.workbook.page import Page

LAST: Final = 7
HOW_TO_READ: Final = (
    (
        "Summary: the systems side by side. Assumptions, Prices: the cells to change. Cash flows: each year's money"
        " by system. Cycles: how land expectation and equal annual income follow. Enterprises: who earns it. "
        "Ledger: every entry. Quantities: what was grown and done. Years: the state of the land. Checks: now "
        "against the values given."
    ),
    (
        "To trace a figure: a measure on Summary names its sheet; Cash flows and Cycles add up entries of the two "
        "ledgers by system, year and part; an entry is a quantity (sheet Quantities) times a price (named cells of "
        "sheet Prices)."
    ),
    (
        "Year 0 is the start of the plan and is not discounted; all of a year falls at its end. Amounts are real "
        "dollars per acre of the whole field, before income tax; + received, - paid."
    ),
    (
        "Equal annual income is the measure to compare systems by: their cycles differ in length. Rates of return "
        "mislead where cash turns sign several times; the summary counts the turns."
    ),
)
IS_NOT: Final = (
    (
        "A comparison of plans under stated assumptions. Not an appraisal of land or timber, not a forecast of "
        "prices, not financial, tax or legal advice; an accountant, a registered forester and an appraiser stand "
        "behind such advice."
    ),
    (
        "Growth, yields and grades are those of the program's equations, with the uncertainty stated there; a "
        "change of prices or of the rate here leaves them as they are."
    ),
)


def write_about(cases: Sequence[Case], page: Page) -> None:
    """Write the last sheet.

    Parameters
    ----------
    cases
        Comparisons.
    page
        The sheet.
    """
    page.widths(*(16 for _ in range(LAST + 1)))
    made = f"Made by Halfshade {program_version() or '(from its source folder)'}."
    row = page.title("About this workbook", made, last_col=LAST)
    row = _look(page, row)
    for heading, texts in _parts(cases):
        page.text(row, 0, heading, "section")
        row += 1
        for text in texts:
            page.paragraph(row, text, (0, LAST))
            row += 1
        row += 1
    page.printed(row - 2, LAST)


def _look(page: Page, row: int) -> int:
    page.text(row, 0, "How cells look", "section")
    page.number(row + 1, 0, 27.0, "input price")
    page.text(row + 1, 1, "yellow, framed: may be changed", "said")
    page.number(row + 2, 0, 27.0, "cents")
    page.text(row + 2, 1, "plain: a formula, or a quantity as it was grown", "said")
    page.number(row + 3, 0, 27.0, "stated cents")
    page.text(row + 3, 1, "grey pattern, slanted: stated; follows no price and no rate", "said")
    return row + 5


def _parts(cases: Sequence[Case]) -> Iterator[tuple[str, tuple[str, ...]]]:
    yield "How to read it", HOW_TO_READ
    yield "What it is, and what it is not", IS_NOT
    tables = {case.plan.price_table.title: case.plan.price_table for case in cases}
    yield "Prices", tuple(dict.fromkeys(f"{t.title}: {text}" for t in tables.values() for text in t.sources.values()))
    said = dict.fromkeys(line for case in cases for line in warning_lines(case.comparison))
    if said:
        yield "Warnings", tuple(said)
    careful = [text for case in cases for text in (*cautions(case.plan.scenario), *dangers(case.plan.scenario))]
    yield "Cautions", tuple(dict.fromkeys(careful))
