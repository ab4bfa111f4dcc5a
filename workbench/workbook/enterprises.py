"""Sales less costs of each enterprise by year: what carries a plan, and in which years."""

from collections.abc import Mapping
from typing import Final, NamedTuple

import numpy as np

from simulator.measures import END_VALUE
from simulator.result import Outcome
from simulator.units import FloatArray
from workbench.words import enterprise_words
from workbench.workbook.block import Block
from workbench.workbook.case import Case
from workbench.workbook.ledger import CASH, LedgerCells
from workbench.workbook.page import ROW_PT, Page

NOTES: Final = (
    "$ per acre of the whole field, real; sales less costs by enterprise, end values left out; + received, - paid.",
    "The second line of headings is the enterprise as the ledger writes it.",
)


class EnterpriseCells(NamedTuple):
    """Rows of a system, and the column of each of its enterprises."""

    block: Block
    col: Mapping[str, int]


def net_of(outcome: Outcome) -> dict[str, FloatArray]:
    """Cash of each enterprise by year [$/ac], end values left out, in the order of the ledger."""
    lines, amount = outcome.flows.lines, outcome.amount
    made = {}
    for name in dict.fromkeys(line.enterprise for line in lines):
        mine = np.array([line.enterprise == name and line.account != END_VALUE for line in lines])
        if amount[:, mine].any():
            made[name] = np.asarray(amount[:, mine].sum(axis=1))
    return made


def write_enterprises(case: Case, ledger: LedgerCells, page: Page) -> Mapping[str, EnterpriseCells]:
    """Write the sheet of enterprises of one comparison.

    Parameters
    ----------
    case
        The comparison.
    ledger
        Columns of its ledger.
    page
        The sheet.

    Returns
    -------
    Mapping
        Rows by system.
    """
    widest = 1 + max(len(net_of(outcome)) for outcome in case.systems.values())
    page.widths(7, *(15 for _ in range(max(widest, 7))))
    row = page.title(f"Cash by enterprise: {case.title}", *NOTES, last_col=max(widest, 7))
    cells, breaks = {}, []
    for system, outcome in case.systems.items():
        page.text(row, 0, case.names[system], "section")
        net = net_of(outcome)
        block = Block(page, row + 3, row + 3 + case.horizon)
        _write_heads(page, row + 1, list(net))
        _write_years(block, case.names[system], net, ledger)
        cells[system] = EnterpriseCells(block, {name: col for col, name in enumerate(net, start=1)})
        row = block.last + 2
        breaks.append(row)
    page.printed_in_blocks(row - 2, max(widest, 7), breaks[:-1], ROW_PT * (case.horizon + 12))
    return cells


def _write_heads(page: Page, row: int, names: list[str]) -> None:
    page.row_of_heads(row, ("Year", *(_capital(enterprise_words(name)) for name in names), "All"), ())
    page.row_of_heads(row + 1, ("", *names, ""), ())


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _write_years(block: Block, name: str, net: Mapping[str, FloatArray], ledger: LedgerCells) -> None:
    page, heads = block.page, block.first - 1
    for year, row in enumerate(range(block.first, block.last + 1)):
        page.number(row, 0, year, "year")
        # text is compared and not matched, because a name somebody chose may look like a number or a pattern
        mine = f'({ledger.system}="{name}")*({ledger.part}="{CASH}")*({ledger.year}=$A{row + 1})'
        for col, cash in enumerate(net.values(), start=1):
            own = page.local(heads, col).replace(str(heads + 1), f"${heads + 1}")
            formula = f"SUMPRODUCT({mine}*({ledger.enterprise}={own})*{ledger.amount})"
            page.formula(row, col, formula, float(cash[year]), "cents")
        total = sum(float(cash[year]) for cash in net.values())
        last = page.local(row, max(len(net), 1))
        page.formula(row, len(net) + 1, f"SUM(B{row + 1}:{last})" if net else "0", total, "cents")
