"""A block of yearly rows on a sheet, and the column that tells how often its cash turns sign."""

from typing import NamedTuple

import numpy as np

from simulator.finance import ROUNDING
from simulator.units import FloatArray, IntArray
from workbench.workbook.page import Page


class Block(NamedTuple):
    """Rows of one system on a sheet, first to last, one a year."""

    page: Page
    first: int
    last: int

    def column(self, col: int) -> str:
        """Address of one of its columns."""
        return self.page.column(self.first, self.last, col)

    def turns(self, col: int) -> str:
        """Formula of the number of turns of sign, from its column of signs."""
        later = self.page.column(self.first + 1, self.last, col)
        before = self.page.column(self.first, self.last - 1, col)
        return f"SUMPRODUCT(({later}<>{before})*({before}<>0))"


def signs_so_far(cash: FloatArray) -> IntArray:
    """Sign of the last amount that is more than rounding, year by year; 0 before the first."""
    size = np.abs(cash)
    sign, signs = 0, []
    for amount, is_money in zip(cash, size > ROUNDING * size.max(initial=0.0), strict=True):
        sign = int(np.sign(amount)) if is_money else sign
        signs.append(sign)
    return np.array(signs)


def write_signs(block: Block, col: int, cash_col: str, cash: FloatArray) -> None:
    """Write the column of signs of a column of cash, named by its letter."""
    whole = f"${cash_col}${block.first + 1}:${cash_col}${block.last + 1}"
    for row, sign in enumerate(signs_so_far(cash), start=block.first):
        before = "0" if row == block.first else block.page.local(row - 1, col)
        mine = f"{cash_col}{row + 1}"
        is_nothing = f"ABS({mine})<={ROUNDING:.0E}*MAX(MAX({whole}),-MIN({whole}))"
        block.page.formula(row, col, f"IF({is_nothing},{before},SIGN({mine}))", int(sign), "year")
