"""What an owner asks beside the measures, as JSON: debts, hours by month, the sale of the land."""

import calendar
from typing import Any

import numpy as np

from simulator.early_sale import EarlySale
from simulator.enterprises.loans import loans_of
from simulator.finance import deepest_cumulative_cash
from simulator.measures import DECADE_YR
from simulator.result import Outcome
from workbench.output import print_table
from workbench.words import dollars

MONTHS = tuple(calendar.month_abbr[1:])
ORCHARD_SOLD = "Orchard: nuts of the years left, discounted"


def owner_document(outcome: Outcome) -> dict[str, Any]:
    """Cash after loans and hours of one system; hours are on the whole tract, means of the years of a decade."""
    hours, last = outcome.hours_by_month, len(outcome.cash_per_ac) - 1
    spans = [(first, min(first + DECADE_YR, last + 1)) for first in range(1, last + 1, DECADE_YR)]
    mean = hours[1:].mean(axis=0)
    return {
        "deepest_cash_after_loans_per_ac": float(deepest_cumulative_cash(outcome.cash_after_loans_per_ac)),
        "loan_left_per_ac": float(sum(years.owed[last] for _, years in loans_of(outcome.scenario, last + 1))),
        "hours_by_month": {
            f"{first}-{end - 1}": dict(zip(MONTHS, hours[first:end].mean(axis=0).tolist(), strict=True))
            for first, end in spans
        },
        "busiest_month": MONTHS[int(np.argmax(mean.round(6)))] if mean.any() else None,
    }


def owner_year(outcome: Outcome, year: int) -> dict[str, float]:
    """What a year's row shows beside its states and cash [$/ac]."""
    return {
        "cash_after_loans_per_ac": float(outcome.cash_after_loans_per_ac[year]),
        "value_if_sold_per_ac": float(outcome.value_if_sold_per_ac[year]),
    }


def print_early_sale(sale: EarlySale, *, orchard: bool = False) -> None:
    """Print what the plan is worth that ends with the sale of the land."""
    land = "not stated" if sale.bare_land_per_ac is None else dollars(sale.bare_land_per_ac)
    rows = [
        [ORCHARD_SOLD if orchard else "Standing trees at stumpage, after the fee", dollars(sale.trees_per_ac)],
        ["Fence, water and own herd", dollars(sale.improvements_and_herd_per_ac)],
        ["Bare land", land],
        ["Present value of the cash till then", dollars(sale.cash_present_value_per_ac)],
        ["Present value of it all", dollars(sale.npv_per_ac)],
    ]
    what = "all that an orchard would bear" if orchard else "full stumpage for young timber"
    note = f"Buyers rarely pay {what}; taxes on the sale and what the land cost are left out."
    print_table(f"If the land is sold at the end of year {sale.year}, $/ac", ["", "value"], rows, note=note)
