"""Quantities and money of a whole field, rounded as a person says them."""

import math
from collections.abc import Sequence

from workbench.words import dollars

PRECISE_BELOW = 10.0
WHOLE_BELOW = 100.0


def quantity(amount: float) -> str:
    """A quantity as said aloud: 0.4, 9.5, 66, 520, 8,700."""
    size = abs(amount)
    if size < PRECISE_BELOW:
        return f"{amount:.1f}".removesuffix(".0")
    if size < WHOLE_BELOW:
        return f"{round(amount):,}"
    step = 10 ** (math.floor(math.log10(size)) - 1)
    return f"{round(amount / step) * step:,}"


def span(amounts: Sequence[float]) -> str:
    """Quantities of several years: one where they are said alike, else the least and the most."""
    low, high = quantity(min(amounts)), quantity(max(amounts))
    return low if low == high else f"{low} to {high}" if low != "0" else f"up to {high}"


def net_span(amounts: Sequence[float]) -> str:
    """What several years bring less what they cost, whole dollars: one where they are said alike, else both ends."""
    ends = [f"{round(amount) + 0:,}" for amount in (min(amounts, key=abs), max(amounts, key=abs))]
    return ends[0] if ends[0] == ends[1] else " to ".join(ends)


def money_span(amounts: Sequence[float]) -> str:
    """Dollars of several years: one amount where they are said alike, else the least and the most; none for nothing."""
    if not any(amounts):
        return ""
    low, high = dollars(min(amounts)), dollars(max(amounts))
    return low if low == high else f"{low} to {high}" if low != "$0" else f"up to {high}"
