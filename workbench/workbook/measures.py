"""Every measure as a formula on the sheets below it, with the value that the program computed."""

import math
from collections.abc import Callable, Iterator, Mapping
from typing import Final, NamedTuple

from workbench.words import enterprise_words
from workbench.workbook import cash
from workbench.workbook.assumptions import Named
from workbench.workbook.block import Block
from workbench.workbook.case import Case
from workbench.workbook.cycle import CycleCells, land_value
from workbench.workbook.enterprises import EnterpriseCells
from workbench.workbook.ledger import LOAN, LedgerCells
from workbench.workbook.page import Value
from workbench.workbook.text import plain_text
from workbench.workbook.years import YearCells

NEVER: Final = "never"
NO_COST: Final = "no cost"


class Sheets(NamedTuple):
    """What the sheets of one comparison offer to formulas."""

    named: Named
    ledger: LedgerCells
    cycle_ledger: LedgerCells
    cash: Mapping[str, Block]
    cycles: Mapping[str, CycleCells]
    enterprises: Mapping[str, EnterpriseCells]
    years: YearCells


class Formula(NamedTuple):
    """A formula, the value it has, and the look of its cell."""

    text: str
    value: Value
    style: str = "money"


class Row(NamedTuple):
    """One line of the summary: label, unit, sheet on which it is worked out, and a formula by system."""

    label: str
    unit: str
    where: str
    cells: Mapping[str, Formula]


Maker = Callable[[Case, Sheets, str], Formula]


def measure_rows(case: Case, sheets: Sheets) -> Iterator[Row]:
    """Measures that systems are compared by, one row each."""
    stand = any(outcome.lives for outcome in case.systems.values())
    land = "Land and stand value" if stand else "Land expectation value"
    made: tuple[tuple[str, str, str, Maker], ...] = (
        ("Discount rate, real", "a year", "Assumptions", _rate),
        ("Equal annual income", "$/ac/yr", "Cycles", _income),
        ("   before tax and administration", "$/ac/yr", "Cycles", _margin),
        (land, "$/ac", "Cycles", _land),
        ("Net present value, end values in it", "$/ac", "Cash flows", _npv),
        ("   left at the end, in that year's dollars", "$/ac", "Cash flows", _end),
        ("Benefit / cost, discounted", "ratio", "Cash flows", _ratio),
        ("Paid back in year", "year", "Cash flows", _payback),
        ("Deepest cash since the start", "$/ac", "Cash flows", _deepest),
    )
    for label, unit, where, maker in made:
        yield Row(label, unit, where, {system: maker(case, sheets, system) for system in case.systems})


def _rate(case: Case, sheets: Sheets, system: str) -> Formula:
    return Formula(sheets.named.rate, case.systems[system].rate, "percent two")


def _income(case: Case, sheets: Sheets, system: str) -> Formula:
    return Formula(sheets.cycles[system].income, case.systems[system].measures.equal_annual_income)


def _margin(case: Case, sheets: Sheets, system: str) -> Formula:
    return Formula(sheets.cycles[system].margin, case.systems[system].measures.equal_annual_margin)


def _land(case: Case, sheets: Sheets, system: str) -> Formula:
    return Formula(sheets.cycles[system].land, land_value(case.systems[system].measures))


def _npv(case: Case, sheets: Sheets, system: str) -> Formula:
    return Formula(f"SUM({sheets.cash[system].column(cash.PRESENT)})", case.systems[system].measures.npv)


def _end(case: Case, sheets: Sheets, system: str) -> Formula:
    return Formula(f"SUM({sheets.cash[system].column(cash.END_COL)})", case.systems[system].end_value_per_ac)


def _ratio(case: Case, sheets: Sheets, system: str) -> Formula:
    block, value = sheets.cash[system], case.systems[system].measures.benefit_cost
    factor = block.column(cash.FACTOR)
    benefits, costs = (f"SUMPRODUCT({block.column(col)},{factor})" for col in (cash.BENEFITS, cash.COSTS))
    shown = value if math.isfinite(value) else NO_COST
    return Formula(f'IF({costs}>0,{benefits}/{costs},"{NO_COST}")', shown, "ratio")


def _payback(case: Case, sheets: Sheets, system: str) -> Formula:
    block, value = sheets.cash[system], case.systems[system].measures.payback_year
    since, year, yearly = (block.column(col) for col in (cash.SINCE, cash.YEAR, cash.CASH_COL))
    after = f"SUMPRODUCT(MAX(({since}<-1E-12*SUMPRODUCT(ABS({yearly})))*({year}+1)))"
    return Formula(f'IF({after}>{case.horizon},"{NEVER}",{after})', NEVER if value is None else value, "year")


def _deepest(case: Case, sheets: Sheets, system: str) -> Formula:
    since = sheets.cash[system].column(cash.SINCE)
    return Formula(f"MIN(0,MIN({since}))", case.systems[system].measures.deepest_cash)


def field_rows(case: Case, sheets: Sheets) -> Iterator[Row]:
    """The same for the whole field."""
    acres = case.plan.scenario.land.acres
    made: tuple[tuple[str, str, Maker], ...] = (
        ("Equal annual income, whole field", "$/yr", _income),
        ("Net present value, whole field", "$", _npv),
        ("Deepest cash, whole field", "$", _deepest),
    )
    for label, unit, maker in made:
        cells = {}
        for system in case.systems:
            one = maker(case, sheets, system)
            whole = one.value * acres if isinstance(one.value, float) else one.value
            cells[system] = Formula(f"({one.text})*{sheets.named.acres}", whole)
        yield Row(label, unit, "Assumptions", cells)


def enterprise_rows(case: Case, sheets: Sheets) -> Iterator[Row]:
    """Present value by enterprise; they add up to the net present value."""
    worth = {system: outcome.measures.by_enterprise for system, outcome in case.systems.items()}
    names = dict.fromkeys(name for of in worth.values() for name in of)
    for name in names:
        if name == LOAN and not any(LOAN in of for of in worth.values()):
            continue
        cells = {
            s: Formula(_worth_of(name, case.names[s], sheets.ledger), of.get(name, 0.0)) for s, of in worth.items()
        }
        words = enterprise_words(name)
        yield Row(f"   {words[:1].upper()}{words[1:]}", "$/ac", "Ledger", cells)


def _worth_of(enterprise: str, system: str, ledger: LedgerCells) -> str:
    named = plain_text(enterprise).replace('"', '""')
    return f'SUMPRODUCT(({ledger.system}="{system}")*({ledger.enterprise}="{named}")*{ledger.present})'


def decade_rows(case: Case, sheets: Sheets) -> Iterator[Row]:
    """Undiscounted cash by decade."""
    for span in case.plan.measures.by_decade:
        first, last = (int(year) for year in span.split("-"))
        cells = {}
        for system, block in sheets.cash.items():
            area = block.page.column(block.first + first, block.first + last, cash.CASH_COL)
            cells[system] = Formula(f"SUM({area})", case.systems[system].measures.by_decade[span])
        yield Row(f"   Years {span.replace('-', ' to ')}", "$/ac", "Cash flows", cells)
