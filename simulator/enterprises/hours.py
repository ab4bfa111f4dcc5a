"""The hours of a plan by month, and those that are hired because the owner has no more."""

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from simulator.accounts import Line
from simulator.enterprises.extra import Facts, Ledger
from simulator.units import FloatArray

MONTHS = 12


def _is_labour(line: Line) -> bool:
    return line.account == "labour" and line.unit == "h" and line.prices == ("wage",)


def _shares(line: Line, months: Mapping[str, FloatArray]) -> FloatArray:
    """Twelve shares of the hours of a line [1], (12,); even where nothing is known."""
    return months.get(line.key, np.full(MONTHS, 1.0 / MONTHS))


def hours_by_month(ledger: Ledger, months: Mapping[str, FloatArray], acres: float) -> FloatArray:
    """Hours on the whole tract by year and month.

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
        Hours [h], (rows, 12).

    References
    ----------
    Definition; shares of months: practice, no source.
    """
    total = np.zeros((len(ledger.quantity), MONTHS))
    for place, line in enumerate(ledger.lines):
        if _is_labour(line):
            total += acres * ledger.quantity[:, place, None] * _shares(line, months)
    return total


class OwnHours(NamedTuple):
    """What the owner can do alone.

    Attributes
    ----------
    month_h, acres
        Hours that the owner has in a month [h], and the tract [ac].
    months
        Twelve shares of the hours by line [1].
    """

    month_h: float
    acres: float
    months: Mapping[str, FloatArray]


def with_hired_hours(ledger: Ledger, own: OwnHours, facts: Facts) -> Ledger:
    """Hire what a month asks beyond the owner's hours, each line of labour in proportion.

    Parameters
    ----------
    ledger
        With all hours at the owner's wage.
    own
        The owner's hours.
    facts
        The plan's years.

    Returns
    -------
    Ledger
        Own hours stay in their line; hired ones stand in a line of the same name that ends in ``_hired``. Of a
        replanting that much is hired by which it raises the hours hired in the row of its harvest, so that it does
        not matter whether that row lies inside the horizon.
    """
    away = _hired(ledger.quantity, ledger, own)
    again = _hired_for_replanting(ledger, own, facts)
    split = ledger._replace(quantity=ledger.quantity - away, replanting=ledger.replanting - again)
    for place, line in enumerate(ledger.lines):
        if _is_labour(line):
            hired = line._replace(key=f"{line.key}_hired", prices=("hired_wage",))
            split = split.joined(hired, away[:, place], float(again[place]))
    return split


def _hired(quantity: FloatArray, ledger: Ledger, own: OwnHours) -> FloatArray:
    """Hours hired by row and line.

    Parameters
    ----------
    quantity
        Quantities of the ledger, hours among them [h/ac], (rows, lines).
    ledger
        Its lines.
    own
        The owner's hours.

    Returns
    -------
    FloatArray
        Hours hired [h/ac], (rows, lines); 0 in lines that are no labour.

    References
    ----------
    Each line in proportion: assumed for this project.
    """
    hours = hours_by_month(ledger._replace(quantity=quantity), own.months, own.acres)
    over = np.maximum(hours - own.month_h, 0.0)
    share = np.divide(over, hours, out=np.zeros_like(hours), where=hours > 0)
    away = np.zeros_like(quantity)
    for place, line in enumerate(ledger.lines):
        if _is_labour(line):
            away[:, place] = quantity[:, place] * (share * _shares(line, own.months)).sum(axis=1)
    return away


def _hired_for_replanting(ledger: Ledger, own: OwnHours, facts: Facts) -> FloatArray:
    """What the replanting adds to the hours hired in the row of the first harvest, (lines,)."""
    harvest = facts.scenario.harvest
    if harvest is None or not ledger.replanting.any() or harvest.year >= len(ledger.quantity):
        return np.zeros_like(ledger.replanting)
    row = ledger.quantity[harvest.year]
    inside = bool(facts.replanted[harvest.year])
    without, together = (row - ledger.replanting, row) if inside else (row, row + ledger.replanting)
    one, both = (_hired(np.maximum(each, 0.0)[None, :], ledger, own)[0] for each in (without, together))
    return np.asarray(both - one)
