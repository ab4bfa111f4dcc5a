"""The hours of a plan by month, and those that are hired because the owner has no more."""

from collections.abc import Mapping

import numpy as np

from simulator.accounts import Line
from simulator.enterprises.extra import Ledger
from simulator.units import FloatArray

MONTHS = 12


def _is_labour(line: Line) -> bool:
    return line.account == "labour" and line.unit == "h" and line.prices == ("wage",)


def _shares(line: Line, months: Mapping[str, FloatArray]) -> FloatArray:
    return months.get(line.key, np.full(MONTHS, 1.0 / MONTHS))


def hours_by_month(ledger: Ledger, months: Mapping[str, FloatArray], acres: float) -> FloatArray:
    """Hours on the whole tract by year and month [h], (rows, 12).

    Parameters
    ----------
    ledger
        Before any hours are hired.
    months
        Twelve shares by line [1]; a line without any falls evenly.
    acres
        Tract [ac].

    Returns
    -------
    FloatArray
    """
    total = np.zeros((len(ledger.quantity), MONTHS))
    for place, line in enumerate(ledger.lines):
        if _is_labour(line):
            total += acres * ledger.quantity[:, place, None] * _shares(line, months)
    return total


def with_hired_hours(
    ledger: Ledger, months: Mapping[str, FloatArray], hours: FloatArray, own_hours_month: float
) -> Ledger:
    """Hire what a month asks beyond the owner's hours, each line of labour in proportion.

    Parameters
    ----------
    ledger
        With all hours at the owner's wage.
    months
        Twelve shares by line [1].
    hours
        Hours on the tract by year and month [h], (rows, 12).
    own_hours_month
        Hours the owner has in a month [h].

    Returns
    -------
    Ledger
        Own hours stay in their line; hired ones stand in a line of the same name that ends in ``_hired``.
        What a replanting repeats is hired like the harvest's own year.
    """
    over = np.maximum(hours - own_hours_month, 0.0)
    hired = np.divide(over, hours, out=np.zeros_like(hours), where=hours > 0)
    quantity = ledger.quantity.copy()
    away: dict[int, FloatArray] = {}
    for place, line in enumerate(ledger.lines):
        if _is_labour(line):
            away[place] = quantity[:, place] * (hired * _shares(line, months)).sum(axis=1)
            quantity[:, place] -= away[place]
    split = ledger._replace(quantity=quantity)
    for place, paid in away.items():
        line = ledger.lines[place]
        split = split.joined(line._replace(key=f"{line.key}_hired", prices=("hired_wage",)), paid)
    return split
