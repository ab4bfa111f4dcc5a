"""From what grew to what an owner's books show: other income, dues, help, hired hours, lump sums."""

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from simulator.enterprises.cost_share import with_cost_share
from simulator.enterprises.dry_access import with_access
from simulator.enterprises.extra import Facts, Ledger
from simulator.enterprises.hours import OwnHours, hours_by_month, with_hired_hours
from simulator.enterprises.land_dues import with_dues_and_sprays
from simulator.enterprises.lump_sum import with_lump_sums
from simulator.enterprises.other_income import with_other_income
from simulator.parameters.upkeep import load_months
from simulator.units import FloatArray


class OwnersBooks(NamedTuple):
    """The ledger with the owner's lines, and the hours on the tract by year and month [h], (rows, 12)."""

    ledger: Ledger
    hours: FloatArray

    def padded_to(self, rows: int) -> "OwnersBooks":
        """The same books with empty rows after the last."""
        more = ((0, rows - len(self.hours)), (0, 0))
        ledger = self.ledger._replace(quantity=np.pad(self.ledger.quantity, more))
        return OwnersBooks(ledger, np.pad(self.hours, more))


def owners_books(ledger: Ledger, facts: Facts, prices: Mapping[str, float]) -> OwnersBooks:
    """Add what a landowner meets beside growing: in this order, so that help sees every cost.

    Parameters
    ----------
    ledger
        As grown, rows to the last year simulated.
    facts
        The plan's years.
    prices
        Value of every price item; only caps of help are reckoned with them here.

    Returns
    -------
    OwnersBooks
        The ledger itself where the plan asks for none of this.
    """
    scenario = facts.scenario
    ledger = ledger._replace(lines=with_access(ledger.lines, scenario))
    ledger = with_dues_and_sprays(with_other_income(ledger, facts, prices), facts)
    ledger = with_cost_share(ledger, facts, prices)
    hours = hours_by_month(ledger, load_months(), scenario.land.acres)
    if scenario.labour.own_hours_month is not None:
        own = OwnHours(scenario.labour.own_hours_month, scenario.land.acres, load_months())
        ledger = with_hired_hours(ledger, own, facts)
    if scenario.money.timber_sale == "lump sum":
        ledger = with_lump_sums(ledger)
    return OwnersBooks(ledger, hours)
