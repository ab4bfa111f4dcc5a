"""Timber on ground where trucks come only in dry weather: buyers pay less for it."""

from simulator.accounts import Line
from simulator.sale_accounts import WOOD_UNITS
from simulator.scenario.model import Scenario
from simulator.scenario.sale import DRY, DRY_ITEM

OF_A_SALE = ("sale", "logging", "upkeep", "end value")
"""Accounts in which timber, what it costs to bring it to the mill, and the fee stand."""


def is_timber(line: Line) -> bool:
    """Whether a line belongs to the sale of wood, or to its value standing."""
    return line.enterprise == "wood" and line.unit in WOOD_UNITS and line.account in OF_A_SALE


def with_access(lines: tuple[Line, ...], scenario: Scenario) -> tuple[Line, ...]:
    """The lines of a plan, those of timber at the price of dry weather where it asks for that.

    Parameters
    ----------
    lines
        Lines of its ledger.
    scenario
        The plan.

    Returns
    -------
    tuple of Line
        What is left for the owner falls by the price table's factor, storm-killed wood's too.
    """
    if scenario.sale.access != DRY:
        return lines
    return tuple(line._replace(prices=(*line.prices, DRY_ITEM)) if is_timber(line) else line for line in lines)
