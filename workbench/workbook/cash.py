"""Cash by system and year, gathered from the ledger, discounted, and what is left at the end apart."""

from collections.abc import Mapping
from typing import Final

import numpy as np

from simulator.enterprises.loans import loan_cash_per_ac
from simulator.interest import discount_factor
from simulator.ledger import unit_prices
from simulator.measures import END_VALUE, logging_taken_off
from simulator.result import Outcome
from simulator.units import FloatArray
from workbench.workbook.block import Block, write_signs
from workbench.workbook.case import Case
from workbench.workbook.ledger import CASH, END, GROSS, LOAN, NETTED, LedgerCells
from workbench.workbook.page import ROW_PT, Page

HEADS: Final = (
    "Year", "Discount factor", "Benefits, end value in them", "Costs, end value in them", "Cash of the year",
    "End value", "Cash and end value", "Present value", "Cash since the start", "Sign so far",
)  # fmt: skip
HEADS_OF_LOANS: Final = ("Loans, drawn less paid", "Cash after loans")
YEAR, FACTOR, BENEFITS, COSTS, CASH_COL, END_COL, TOTAL, PRESENT, SINCE, SIGN, LOANS, AFTER = range(12)
NOTES: Final = (
    (
        "$ per acre of the whole field, real; + received, - paid. Gathered from the ledger by system and year; year"
        " 0 is not discounted."
    ),
    (
        "Present value = cash and end value x discount factor; its sum is the net present value. Cash since the "
        "start is not discounted and leaves end values out."
    ),
)


def write_cash(case: Case, ledger: LedgerCells, rate: str, page: Page) -> Mapping[str, Block]:
    """Write the sheet of cash flows of one comparison.

    Parameters
    ----------
    case
        The comparison.
    ledger
        Columns of its ledger.
    rate
        Name of the cell of the discount rate.
    page
        The sheet.

    Returns
    -------
    Mapping
        Rows by system.
    """
    heads = HEADS + (HEADS_OF_LOANS if case.plan.scenario.loan else ())
    page.widths(7, *(11.5 for _ in heads[1:]))
    row = page.title(f"Cash flows: {case.title}", *NOTES, last_col=len(heads) - 1)
    blocks, breaks = {}, []
    for system, outcome in case.systems.items():
        page.text(row, 0, case.names[system], "section")
        page.row_of_heads(row + 1, heads, ())
        block = Block(page, row + 2, row + 2 + case.horizon)
        _write_block(block, case.names[system], outcome, ledger, rate)
        _write_sums(block, outcome)
        blocks[system] = block
        row = block.last + 3
        breaks.append(row)
    page.printed_in_blocks(row - 2, len(heads) - 1, breaks[:-1], ROW_PT * (case.horizon + 12))
    return blocks


def _write_block(block: Block, name: str, outcome: Outcome, ledger: LedgerCells, rate: str) -> None:
    sums = _sums_of(outcome)
    for year, row in enumerate(range(block.first, block.last + 1)):
        page, here = block.page, row + 1
        value = {col: float(column[year]) for col, column in sums.items()}
        page.number(row, YEAR, year, "year")
        page.formula(row, FACTOR, f"(1+{rate})^-A{here}", value[FACTOR], "factor")
        for col, formula in _gathered(ledger, name, here).items():
            page.formula(row, col, formula, value[col], "cents")
        page.formula(row, TOTAL, f"E{here}+F{here}", value[TOTAL], "cents")
        page.formula(row, PRESENT, f"G{here}*B{here}", value[PRESENT], "cents")
        page.formula(row, SINCE, f"E{here}" if year == 0 else f"I{here - 1}+E{here}", value[SINCE], "cents")
        if outcome.scenario.loan:
            page.formula(row, LOANS, _part(ledger, name, here, LOAN), value[LOANS], "stated cents")
            page.formula(row, AFTER, f"E{here}+K{here}", value[AFTER], "cents")
    write_signs(block, SIGN, "G", sums[TOTAL])


def _part(ledger: LedgerCells, name: str, here: int, part: str) -> str:
    return f'SUMIFS({ledger.amount},{ledger.system},"{name}",{ledger.year},A{here},{ledger.part},"{part}")'


def _gathered(ledger: LedgerCells, name: str, here: int) -> dict[int, str]:
    """Formulas of a year's sums from the ledger, by column."""
    mine = f'{ledger.system},"{name}",{ledger.year},A{here}'
    netted = f'SUMIFS({ledger.amount},{mine},{ledger.ratio},"{NETTED}")'
    gross = {
        sign: f'SUMIFS({ledger.amount},{mine},{ledger.ratio},"{GROSS}",{ledger.amount},"{sign}0")' for sign in "><"
    }
    return {
        BENEFITS: f"{gross['>']}+MAX({netted},0)",
        COSTS: f"-{gross['<']}-MIN({netted},0)",
        CASH_COL: _part(ledger, name, here, CASH),
        END_COL: _part(ledger, name, here, END),
    }


def _sums_of(outcome: Outcome) -> dict[int, FloatArray]:
    """What the formulas give, by column, (years,)."""
    amount, lines = outcome.flows.quantity * unit_prices(outcome.flows.lines, outcome.prices), outcome.flows.lines
    end = amount[:, [line.account == END_VALUE for line in lines]].sum(axis=1)
    factor = discount_factor(outcome.rate, np.arange(len(amount), dtype=np.float64))
    sides, cash = logging_taken_off(lines, amount), outcome.cash_per_ac
    loans = loan_cash_per_ac(outcome.scenario, len(amount))
    return {
        FACTOR: factor,
        BENEFITS: np.where(sides > 0, sides, 0.0).sum(axis=1),
        COSTS: -np.where(sides < 0, sides, 0.0).sum(axis=1),
        CASH_COL: cash,
        END_COL: end,
        TOTAL: cash + end,
        PRESENT: (cash + end) * factor,
        SINCE: np.cumsum(cash),
        LOANS: loans,
        AFTER: cash + loans,
    }


def _write_sums(block: Block, outcome: Outcome) -> None:
    """Write sums below the columns that may be added up, and the sum of discounted benefits and costs."""
    page, row = block.page, block.last + 1
    sums, letters = _sums_of(outcome), "ABCDEFGHIJKL"
    page.text(row, YEAR, "sum", "strong")
    more = (LOANS, AFTER) if outcome.scenario.loan else ()
    for col in (BENEFITS, COSTS, CASH_COL, END_COL, TOTAL, PRESENT, *more):
        area = f"{letters[col]}{block.first + 1}:{letters[col]}{block.last + 1}"
        page.formula(row, col, f"SUM({area})", float(sums[col].sum()), "total")
