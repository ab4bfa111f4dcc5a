"""Selling the land before the plan is through: what was earned till then, what stands, and the land."""

from typing import NamedTuple

import numpy as np

from simulator.enterprises.lump_sum import MARK
from simulator.errors import InputError, Problem
from simulator.finance import net_present_value
from simulator.herd_accounts import keys_of, words_for
from simulator.ledger import unit_prices
from simulator.lives import HarvestRow, harvests_of
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
        Year of the sale, 1 to the horizon [yr].

    Returns
    -------
    EarlySale
        Present value [$/ac] and its parts. Nobody replants land that he sells, and timber signed away but not yet cut
        is
        counted as standing. What the land cost is left out as everywhere; a buyer's discount for young trees is not
        known
        here.

    Raises
    ------
    InputError
        If the year lies outside the horizon.

    References
    ----------
    As for :func:`simulator.finance.net_present_value`.
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
    signed = np.array([line.key.endswith(MARK) for line in outcome.flows.lines])
    unwanted = float(outcome.amount[year, signed].sum())
    if year < len(outcome.cash_per_ac) - 1:
        unwanted += sum(_begun_again(outcome, cut) for cut in harvests_of(outcome) if cut.year == year)
    return unwanted


def _begun_again(outcome: Outcome, cut: HarvestRow) -> float:
    """Cash of what is planted or sown in the row of a harvest [$/ac]."""
    if outcome.lives and cut.life is outcome.lives[0]:
        # the harvest's row holds the whole of year 0 of what follows a stand that was found
        flows = outcome.lives[1].flows
        begun = flows.quantity[0]
    else:
        # the flows hold what a replanting costs beyond year 0, in which a boarded herd may stand as well
        flows = cut.life.flows
        bought = keys_of(words_for(cut.life.scenario.use.animals)).bought
        begun = np.where([line.key == bought for line in flows.lines], 0.0, flows.quantity[0]) + flows.replanting
    # timber signed away is counted by itself
    begun = np.where([line.key.endswith(MARK) for line in flows.lines], 0.0, begun)
    return float((begun * unit_prices(flows.lines, outcome.prices)).sum())
