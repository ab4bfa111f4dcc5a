"""Internal rates of return of many cash flows at once."""

from functools import cache
from math import comb
from typing import Final

import numpy as np

from simulator.finance import every_real_irr
from simulator.units import BoolArray, FloatArray, IntArray

BLOCK: Final = 4096
HALVINGS: Final = 52
ROUNDING: Final = 1e-12
LEFT_OF_A_FLOAT: Final = 1e-13
"""Part of the size of its terms below which the sign of a sum is rounding."""


def one_irr(cash: FloatArray) -> FloatArray:
    """Internal rate of return of each cash flow that has exactly one above -1.

    Parameters
    ----------
    cash
        Cash by year [$], (cases, years), finite.

    Returns
    -------
    FloatArray
        Rates [1/yr], (cases,); NaN where there is none or several.

    References
    ----------
    Descartes' rule of signs on the discount factor, below 1 and above 1 apart, after a Moebius transformation (Vincent
    1836, from memory): no change of sign means no root, one means exactly one. Cash flows with more changes go one
    by one through `simulator.finance.every_real_irr`.
    """
    rates = np.full(len(cash), np.nan)
    for first in range(0, len(cash), BLOCK):
        rows = slice(first, first + BLOCK)
        rates[rows] = _of_block(cash[rows])
    return rates


def _of_block(cash: FloatArray) -> FloatArray:
    """The same of one block: by halving where Descartes' rule is sure, else one by one."""
    kept = np.where(np.abs(cash) > ROUNDING * np.abs(cash).max(axis=1, initial=0.0, keepdims=True), cash, 0.0)
    below, above = _roots_counted(kept)
    at_par = np.abs(kept.sum(axis=1)) <= LEFT_OF_A_FLOAT * np.abs(kept).sum(axis=1)
    sure = (below >= 0) & (above >= 0) & ~at_par
    rates = np.full(len(kept), np.nan)
    for row in np.flatnonzero(~sure):
        roots = every_real_irr(kept[row])
        rates[row] = roots[0] if len(roots) == 1 else np.nan
    single = np.flatnonzero(sure & (below + above == 1))
    positive = below[single] == 1
    rates[single] = _halved(kept[single], positive)
    return rates


def _roots_counted(cash: FloatArray) -> tuple[IntArray, IntArray]:
    """Roots with a discount factor below 1 (a rate above 0) and above 1, (cases,) each; -1 where it is not sure."""
    shift = _shift(cash.shape[1])
    return _changes(cash[:, ::-1], shift), _changes(cash, shift)


@cache
def _shift(years: int) -> FloatArray:
    """Coefficients of a polynomial in x + 1 from those in x: Pascal's triangle."""
    return np.array([[float(comb(power, low)) for low in range(years)] for power in range(years)])


def _changes(coefficients: FloatArray, shift: FloatArray) -> IntArray:
    """Roots above 1 of polynomials, lowest power first, where Descartes' rule says exactly; else -1.

    Parameters
    ----------
    coefficients
        Coefficients of each polynomial [$], (cases, powers).
    shift
        Pascal's triangle [1], (powers, powers).

    Returns
    -------
    IntArray
        Number of roots [1], (cases,); -1 where there is more than one change of sign, or rounding decides.

    References
    ----------
    As for :func:`one_irr`.
    """
    moved = coefficients @ shift
    size = np.abs(coefficients) @ shift
    doubtful = (np.abs(moved) <= LEFT_OF_A_FLOAT * size) & (size > 0.0)
    signs = np.where(size > 0.0, np.sign(moved), 0.0)
    changes = _sign_changes(signs)
    return np.where(doubtful.any(axis=1) | (changes > 1), -1, changes)


def _sign_changes(signs: FloatArray) -> IntArray:
    """Changes of sign in each row, zeros left out, (cases,)."""
    last = np.zeros(len(signs))
    count = np.zeros(len(signs), np.int64)
    for year in range(signs.shape[1]):
        now = signs[:, year]
        count += (now * last) < 0
        last = np.where(now != 0.0, now, last)
    return count


def _halved(cash: FloatArray, positive: BoolArray) -> FloatArray:
    """The one root of each case by halving: the discount factor lies in 0..1, or its inverse does.

    Parameters
    ----------
    cash
        Cash by year [$], (cases, years).
    positive
        Where the rate lies above 0, (cases,).

    Returns
    -------
    FloatArray
        Rate [1/yr], (cases,).

    References
    ----------
    Bisection: common practice.
    """
    turned = np.where(positive[:, None], cash, cash[:, ::-1])
    low, high = np.zeros(len(cash)), np.ones(len(cash))
    side = np.sign(_at(turned, high))
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        right = np.sign(_at(turned, middle)) == side
        high, low = np.where(right, middle, high), np.where(right, low, middle)
    factor = (low + high) / 2.0
    return np.where(positive, 1.0 / factor - 1.0, factor - 1.0)


def _at(cash: FloatArray, factor: FloatArray) -> FloatArray:
    """Worth of each cash flow at a discount factor, by Horner's rule [$], (cases,)."""
    total = cash[:, -1].copy()
    for year in range(cash.shape[1] - 2, -1, -1):
        total *= factor
        total += cash[:, year]
    return total
