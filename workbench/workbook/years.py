"""The yearly table of the land: trees, light, grass and animals, as they were grown."""

import math
from collections.abc import Mapping
from typing import Final

import numpy as np

from simulator.accounts import WOOD_PRODUCTS
from simulator.result import Outcome
from simulator.units import FloatArray
from workbench.documents import YEAR_COLUMNS
from workbench.workbook.block import Block
from workbench.workbook.case import Case
from workbench.workbook.page import Page

UNITS: Final = {
    "_per_ac": "1/ac",
    "_ft2_ac": "ft²/ac",
    "_lb_ac": "lb/ac",
    "_ton_ac": "ton/ac",
    "_bales_ac": "bales/ac",
    "_months_ac": "months/ac",
    "_in": "in",
    "_ft": "ft",
}
"""Endings of names and the units they stand for."""
KEPT_IN_THE_NAME: Final = ("_bales_ac", "_months_ac")
SHARES: Final = "share"
WHOLE_FIELD: Final = {"head": "own animals on the whole field [head]"}
ALWAYS: Final = ("forage_lb_ac", "standing_ton_ac")
COLUMNS_A_PAGE: Final = 16
NOTES: Final = (
    (
        "As the program grew it, per acre of the whole field; the stand as it was before the year's cut. Columns "
        "that are nothing in every system are left out."
    ),
    "Light is a share of open sky. These figures do not follow prices or the rate: run the program anew.",
)


class YearCells(dict[str, Block]):
    """Rows by system; ``col`` gives the column of each state."""

    col: Mapping[str, int]


def write_years(case: Case, page: Page) -> YearCells:
    """Write the yearly table of one comparison.

    Parameters
    ----------
    case
        The comparison.
    page
        The sheet.

    Returns
    -------
    YearCells
    """
    columns = {system: _columns_of(outcome) for system, outcome in case.systems.items()}
    shown = [name for name in columns["silvopasture"] if any(of[name].any() for of in columns.values())]
    shown = [name for name in columns["silvopasture"] if name in shown or name in ALWAYS or name.startswith("wood_")]
    page.widths(17, 6, *(11 for _ in shown))
    head = page.title(f"Years: {case.title}", *NOTES, last_col=min(len(shown), 14) + 1)
    page.row_of_heads(head, ("System", "Year", *(heading(name) for name in shown)))
    cells, row = YearCells(), head + 1
    for system, of in columns.items():
        cells[system] = Block(page, row, row + case.horizon)
        _write_system(cells[system], case.names[system], {name: of[name] for name in shown})
        row += case.horizon + 1
    cells.col = {name: col for col, name in enumerate(shown, start=2)}
    page.sheet.freeze_panes(head + 1, 2)
    page.sheet.repeat_columns(0, 1)
    page.sheet.set_h_pagebreaks([block.last + 1 for block in cells.values()][:-1])
    page.printed(row - 1, len(shown) + 1, (head, head), pages_wide=math.ceil(len(shown) / COLUMNS_A_PAGE))
    return cells


def _columns_of(outcome: Outcome) -> dict[str, FloatArray]:
    wood = {f"wood_{product}_ton_ac": outcome.wood_ton_ac[:, i] for i, product in enumerate(WOOD_PRODUCTS)}
    return {"age": outcome.states["age"], **{name: outcome.states[name] for name in YEAR_COLUMNS}, **wood}


def _write_system(block: Block, name: str, columns: Mapping[str, FloatArray]) -> None:
    for year, row in enumerate(range(block.first, block.last + 1)):
        block.page.text(row, 0, name)
        block.page.number(row, 1, year, "year")
        for col, values in enumerate(columns.values(), start=2):
            value = float(values[year])
            if np.isfinite(value):
                block.page.number(row, col, value, "whole" if abs(value) >= 100 else "state")


def heading(name: str) -> str:
    """A state's name in words with its unit."""
    if name in WHOLE_FIELD:
        return WHOLE_FIELD[name]
    if name == "age":
        return "age of the trees or grass [yr]"
    for ending, unit in UNITS.items():
        if name.endswith(ending):
            stem = name.removesuffix("_ac" if ending in KEPT_IN_THE_NAME else ending)
            return f"{stem.replace('_', ' ')} [{unit}]"
    return f"{name.replace('_', ' ')} [{SHARES}]"
