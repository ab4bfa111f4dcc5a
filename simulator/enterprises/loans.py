"""Loans: what is paid out, what is paid back, what is still owed."""

from typing import NamedTuple

import numpy as np

from simulator.interest import capital_recovery, present_value_annuity
from simulator.scenario.model import Scenario
from simulator.scenario.owner import Loan
from simulator.units import FloatArray


class LoanYears(NamedTuple):
    """One loan by year, real dollars an acre of the tract, (rows,) each.

    Attributes
    ----------
    drawn, interest, principal
        Paid out to the owner; paid by him [$/ac].
    owed
        Principal still owed at the end of the year [$/ac].
    """

    drawn: FloatArray
    interest: FloatArray
    principal: FloatArray
    owed: FloatArray


def loan_years(loan: Loan, acres: float, inflation: float, rows: int) -> LoanYears:
    """Schedule of one loan.

    Parameters
    ----------
    loan
        Its terms. Payments are fixed in dollars as they will be; inflation makes them lighter.
    acres
        Tract [ac].
    inflation
        Yearly rise of prices, as a share [1]; 0 where the loan's rate is meant real.
    rows
        Years of the horizon and one [yr].

    Returns
    -------
    LoanYears
        Real dollars by year [$/ac]. What falls after the last row is not in it and shows as owed.

    References
    ----------
    Level payments as for :func:`simulator.interest.capital_recovery`; common practice of lenders.
    """
    amount = loan.amount_per_ac if loan.amount_per_ac is not None else (loan.amount or 0.0) / acres
    term = np.arange(rows) - loan.first_year
    running = (term >= 1) & (term <= loan.years)
    if loan.kind == "level payments":
        payment = float(capital_recovery(amount, loan.rate, loan.years))
        left = np.clip(loan.years - term, 1, loan.years)
        owed = present_value_annuity(payment, loan.rate, left)
    else:
        owed = np.full(rows, amount)
    owed = np.where((term < 0) | (term >= loan.years), 0.0, owed)
    before = np.append(0.0, owed[:-1])
    interest = np.where(running, before * loan.rate, 0.0)
    principal = np.where(running, before - owed, 0.0)
    real = (1.0 + inflation) ** -np.clip(term, 0, None)
    return LoanYears(np.where(term == 0, amount, 0.0), interest * real, principal * real, owed * real)


def loans_of(scenario: Scenario, rows: int) -> list[tuple[str, LoanYears]]:
    """Every loan of a plan with its name, real dollars an acre.

    Parameters
    ----------
    scenario
        The plan; a loan stands once in the horizon and is not repeated with the trees.
    rows
        Years of the horizon and one [yr].

    Returns
    -------
    list of tuple
    """
    money, acres = scenario.money, scenario.land.acres
    return [(loan.name, loan_years(loan, acres, money.inflation, rows)) for loan in scenario.loan]


def loan_cash_per_ac(scenario: Scenario, rows: int) -> FloatArray:
    """Money from loans less what is paid on them by year [$/ac], (rows,)."""
    total = np.zeros(rows)
    for _, years in loans_of(scenario, rows):
        total += years.drawn - years.interest - years.principal
    return total


def loan_rows(scenario: Scenario, rows: int, scenario_name: str = "") -> list[dict[str, object]]:
    """Rows of the ledger for every loan, account "loan", dollars an acre.

    Parameters
    ----------
    scenario
        The plan.
    rows
        Years of the horizon and one [yr].
    scenario_name
        Text for the first column.

    Returns
    -------
    list of dict
        Paid out positive, interest and principal negative.
    """
    found: list[dict[str, object]] = []
    for name, years in loans_of(scenario, rows):
        parts = (("drawn", years.drawn, 1.0), ("interest", years.interest, -1.0), ("principal", years.principal, -1.0))
        for part, amount, sign in parts:
            head = {"scenario": scenario_name or scenario.title, "account": "loan", "enterprise": "loan"}
            item = {"item": f"{name} {part}", "unit": "$", "price": 1.0}
            found += [
                {**head, **item, "year": int(year), "quantity": amount[year], "amount": sign * amount[year]}
                for year in np.flatnonzero(amount)
            ]
    return found
