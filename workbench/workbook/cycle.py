"""The cycle that is repeated for ever, and from it land expectation and equal annual income, step by step."""

from collections.abc import Mapping
from typing import Final, NamedTuple

import numpy as np

from simulator.finance import net_present_value
from simulator.interest import capital_recovery, discount_factor
from simulator.ledger import unit_prices
from simulator.measures import Measures, cycle_cash
from simulator.result import Outcome
from simulator.units import FloatArray
from workbench.workbook.block import Block, write_signs
from workbench.workbook.case import Case
from workbench.workbook.ledger import BEFORE, CYCLE, PLANTING, LedgerCells
from workbench.workbook.page import ROW_PT, Page, Value

HEADS: Final = (
    "Year of the cycle", "Discount factor", "Cash of the cycle", "Cash of the cycle without overhead", "Planting in it",
    "Cash of one cycle alone", "Sign so far", "Forage grown [lb/ac]",
)  # fmt: skip
HEADS_OF_A_STAND: Final = ("Cash before the cycle", "Cash before the cycle without overhead")
YEAR, FACTOR, CASH, MARGIN, NEXT, ALONE, SIGN, FORAGE, LEAD, LEAD_MARGIN = range(10)
NO_SUM: Final = "none at rate 0"
OVERHEAD: Final = "overhead"
LEAST_RATE: Final = 1e-9
"""Rates nearer to nothing are taken for nothing, as a spreadsheet's digits ask."""
NOTES: Final = (
    (
        "$ per acre of the whole field, real. The cycle is taken to come again for ever, each time as the last; its"
        " own length decides. Pasture without trees repeats the whole horizon, end values in it."
    ),
    (
        "A stand that was found is grown to its harvest first (cash before the cycle); the cycle of what follows "
        "begins in the year of that harvest."
    ),
)
STEPS: Final = (
    "Present value of the cycle [$/ac]",
    "Length of the cycle [yr]",
    "Equal annual income of the cycle [$/ac/yr]",
    "Years before the cycle begins [yr]",
    "Present value of the stand to its harvest [$/ac]",
    "Land expectation, of land and stand where one was found [$/ac]",
    "Equal annual income [$/ac/yr]",
    "Equal annual income before overhead [$/ac/yr]",
)
PV, LENGTH, OF_CYCLE, WAIT, STAND, LAND, INCOME, BEFORE_OVERHEAD = range(8)


class CycleCells(NamedTuple):
    """Rows of a cycle, and addresses of what follows from them."""

    block: Block
    land: str
    income: str
    margin: str
    length: str


def write_cycles(case: Case, ledger: LedgerCells, rate: str, page: Page) -> Mapping[str, CycleCells]:
    """Write the sheet of cycles of one comparison.

    Parameters
    ----------
    case
        The comparison.
    ledger
        Columns of the ledger of its cycles.
    rate
        Name of the cell of the discount rate.
    page
        The sheet.

    Returns
    -------
    Mapping
        Results by system.
    """
    heads = HEADS + (HEADS_OF_A_STAND if any(outcome.lives for outcome in case.systems.values()) else ())
    page.widths(11, *(14 for _ in heads[1:]))
    row = page.title(f"Cycles: {case.title}", *NOTES, last_col=len(heads) - 1)
    cells, breaks = {}, []
    for system, outcome in case.systems.items():
        page.text(row, 0, case.names[system], "section")
        first = row + len(STEPS) + 2
        page.row_of_heads(first - 1, heads, ())
        last = first + max(outcome.flows.cycle_yr, outcome.flows.leading_yr)
        block = Block(page, first, last)
        _write_years(block, case.names[system], outcome, ledger, rate)
        _write_steps(block, row + 1, outcome, rate)
        land, income, margin, length = (page.at(row + 1 + step, 5) for step in (LAND, INCOME, BEFORE_OVERHEAD, LENGTH))
        cells[system] = CycleCells(Block(page, first, first + outcome.flows.cycle_yr), land, income, margin, length)
        row = last + 2
        breaks.append(row)
    longest = max(max(outcome.flows.cycle_yr, outcome.flows.leading_yr) for outcome in case.systems.values())
    page.printed_in_blocks(row - 2, len(heads) - 1, breaks[:-1], ROW_PT * (longest + len(STEPS) + 11))
    return cells


def land_value(measures: Measures) -> Value:
    """Land expectation, or why there is none."""
    return NO_SUM if measures.land_expectation is None else measures.land_expectation


class Sums(NamedTuple):
    """Cash by year of the cycle and of what comes before it; without overhead beside it."""

    cash: FloatArray
    margin: FloatArray
    planting: FloatArray
    lead: FloatArray
    lead_margin: FloatArray


def sums_of(outcome: Outcome) -> Sums:
    """What the formulas of the yearly columns give."""
    flows, prices = outcome.flows, outcome.prices
    price = unit_prices(flows.lines, prices)
    kept = np.array([line.account != OVERHEAD for line in flows.lines])
    cash = cycle_cash(flows, prices)
    planting = np.zeros_like(cash)
    if flows.leading is not None:
        lead = flows.leading * price
        return Sums(cash, cycle_cash(flows, prices, (OVERHEAD,)), planting, lead.sum(axis=1), lead[:, kept].sum(axis=1))
    planting[-1] = (flows.replanting * price).sum()
    return Sums(cash, cycle_cash(flows, prices, (OVERHEAD,)), planting, np.zeros(0), np.zeros(0))


def _write_years(block: Block, name: str, outcome: Outcome, ledger: LedgerCells, rate: str) -> None:
    page, sums = block.page, sums_of(outcome)
    for year, row in enumerate(range(block.first, block.last + 1)):
        page.number(row, YEAR, year, "year")
        page.formula(row, FACTOR, f"(1+{rate})^-A{row + 1}", float(discount_factor(outcome.rate, year)), "factor")
        if year < len(sums.cash):
            _write_cycle_year(page, row, name, (sums, year), ledger)
        if year < len(sums.lead):
            whole, less = _gathered(ledger, name, row + 1, BEFORE)
            page.formula(row, LEAD, whole, sums.lead[year], "cents")
            page.formula(row, LEAD_MARGIN, less, sums.lead_margin[year], "cents")
        if not outcome.lives and 0 < year <= len(outcome.cycle_forage_lb_ac):
            page.number(row, FORAGE, outcome.cycle_forage_lb_ac[year - 1], "whole")
    alone = Block(page, block.first, block.first + len(sums.cash) - 1)
    write_signs(alone, SIGN, "F", sums.cash - sums.planting)


def _write_cycle_year(page: Page, row: int, name: str, at: tuple[Sums, int], ledger: LedgerCells) -> None:
    (sums, year), here = at, row + 1
    whole, less = _gathered(ledger, name, here, CYCLE)
    planting, _ = _gathered(ledger, name, here, PLANTING)
    page.formula(row, CASH, whole, sums.cash[year], "cents")
    page.formula(row, MARGIN, less, sums.margin[year], "cents")
    page.formula(row, NEXT, planting, sums.planting[year], "cents")
    page.formula(row, ALONE, f"C{here}-E{here}", sums.cash[year] - sums.planting[year], "cents")


def _gathered(ledger: LedgerCells, name: str, here: int, part: str) -> tuple[str, str]:
    """Formulas of a year's cash of a part of the ledger: all of it, and without overhead."""
    mine = f'SUMIFS({ledger.amount},{ledger.system},"{name}",{ledger.part},"{part}",{ledger.year},A{here}'
    return f"{mine})", f'{mine},{ledger.account},"<>{OVERHEAD}")'


def _write_steps(block: Block, row: int, outcome: Outcome, rate: str) -> None:
    """Write how the measures of endless cycles follow, a line each, label left and figure in the sixth column."""
    page, flows = block.page, outcome.flows
    at = [page.local(row + step, 5) for step in range(len(STEPS))]
    formulas = {
        PV: _present(block, CASH),
        OF_CYCLE: _yearly(at[PV], at[LENGTH], rate),
        STAND: _present(block, LEAD),
        LAND: f'IF({rate}>{LEAST_RATE:.0E},{at[STAND]}+{at[OF_CYCLE]}/{rate}*(1+{rate})^-{at[WAIT]},"{NO_SUM}")',
        INCOME: f"{rate}*{at[STAND]}+{at[OF_CYCLE]}*(1+{rate})^-{at[WAIT]}",
        BEFORE_OVERHEAD: (
            f"{rate}*{_present(block, LEAD_MARGIN)}"
            f"+{_yearly(_present(block, MARGIN), at[LENGTH], rate)}*(1+{rate})^-{at[WAIT]}"
        ),
    }
    values = _steps_of(outcome)
    for step, label in enumerate(STEPS):
        page.text(row + step, 0, label, "strong" if step >= LAND else "text")
        if step in formulas:
            page.formula(row + step, 5, formulas[step], values[step], "cents")
    page.number(row + LENGTH, 5, flows.cycle_yr, "stated whole")
    page.number(row + WAIT, 5, flows.leading_yr, "stated whole")


def _present(block: Block, col: int) -> str:
    letters = "ABCDEFGHIJ"
    cash, factor = (f"{letters[c]}{block.first + 1}:{letters[c]}{block.last + 1}" for c in (col, FACTOR))
    return f"SUMPRODUCT({cash},{factor})"


def _yearly(present: str, years: str, rate: str) -> str:
    return f"IF(ABS({rate})<{LEAST_RATE:.0E},{present}/{years},{present}*{rate}/(1-(1+{rate})^-{years}))"


def _steps_of(outcome: Outcome) -> dict[int, Value]:
    sums, rate, measures = sums_of(outcome), outcome.rate, outcome.measures
    present = float(net_present_value(sums.cash, rate))
    return {
        PV: present,
        OF_CYCLE: float(capital_recovery(present, rate, outcome.flows.cycle_yr)),
        STAND: float(net_present_value(sums.lead, rate)) if len(sums.lead) else 0.0,
        LAND: land_value(measures),
        INCOME: measures.equal_annual_income,
        BEFORE_OVERHEAD: measures.equal_annual_margin,
    }
