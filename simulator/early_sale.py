"""Selling the land before the plan is through: what was earned till then, what stands, and the land."""

from typing import NamedTuple

import numpy as np

from simulator.enterprises.lump_sum import MARK
from simulator.errors import InputError, Problem
from simulator.finance import net_present_value
from simulator.herd_accounts import keys_of, words_for
from simulator.ledger import unit_prices
from simulator.result import Outcome


class EarlySale(NamedTuple):
    """A plan broken off by selling the land at the end of a year, per acre, real dollars.

    Attributes
    ----------
    year
        Year of the sale.
    npv_per_ac
        Present value of all that follows [$/ac].
    cash_present_value_per_ac
        Present value of the cash till then, the year of the sale with it [$/ac].
    trees_per_ac, improvements_and_herd_per_ac
        Standing timber at stumpage after the fee, or the years left to an orchard, discounted; years left in fence and
        water, and the own herd [$/ac].
    bare_land_per_ac
        Price of the bare land as the scenario states it [$/ac]; None: it is not in the present value.
    """

    year: int
    npv_per_ac: float
    cash_present_value_per_ac: float
    trees_per_ac: float
    improvements_and_herd_per_ac: float
    bare_land_per_ac: float | None


def sell_in(outcome: Outcome, year: int) -> EarlySale:
    """Value a plan that ends with the sale of the land.

    Parameters
    ----------
    outcome
        The plan run on the exact light path, which records what could be sold each year.
    year
        Year of the sale, 1 to the horizon.

    Returns
    -------
    EarlySale
        Nobody replants land that he sells, and timber signed away but not yet cut is counted as standing. What the
        land cost is left out as everywhere; a buyer's discount for young trees is not known here.

    Raises
    ------
    InputError
        If the year lies outside the horizon.
    """
    last = len(outcome.cash_per_ac) - 1
    if not 1 <= year <= last:
        remedy = "Name a year within it, or raise money.horizon_years."
        raise InputError([Problem("--sell-in", f"must lie within years 1 to {last} of the horizon", str(year), remedy)])
    cash = outcome.cash_per_ac[: year + 1].copy()
    cash[year] -= _unwanted(outcome, year)
    parts = outcome.exit_value.by_enterprise(year, outcome.prices)
    land, trees = outcome.scenario.land.bare_land_price_per_ac, parts.pop("wood", 0.0) + parts.pop("nuts", 0.0)
    earned = float(net_present_value(cash, outcome.rate))
    sold = trees + sum(parts.values()) + (land or 0.0)
    return EarlySale(
        year=year,
        npv_per_ac=earned + sold / (1.0 + outcome.rate) ** year,
        cash_present_value_per_ac=earned,
        trees_per_ac=trees,
        improvements_and_herd_per_ac=sum(parts.values()),
        bare_land_per_ac=land,
    )


def _unwanted(outcome: Outcome, year: int) -> float:
    """Cash of the year of the sale that a seller does not have: the next planting, timber not yet cut [$/ac]."""
    lines, scenario = outcome.flows.lines, outcome.scenario
    signed = np.array([line.key.endswith(MARK) for line in lines])
    unwanted = float(outcome.amount[year, signed].sum())
    harvested = scenario.trees is not None and scenario.harvest is not None
    if harvested and outcome.states["age"][year] == scenario.harvest.year and year < len(outcome.cash_per_ac) - 1:  # type: ignore[union-attr]
        # the flows hold what a replanting costs beyond year 0, in which a boarded herd may stand as well
        bought = keys_of(words_for(scenario.use.animals)).bought
        first = np.where([line.key == bought for line in lines], 0.0, outcome.flows.quantity[0])
        planting = first + outcome.flows.replanting
        unwanted += float((planting * unit_prices(lines, outcome.prices)).sum())
    return unwanted
