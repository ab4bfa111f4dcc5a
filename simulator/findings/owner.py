"""Warnings about what a landowner faces: contracts broken, debts left, taxes of a changed use, sprays, machines."""

import calendar
from collections.abc import Iterator

import numpy as np

from simulator.enterprises.cost_share import REPAID
from simulator.enterprises.loans import loans_of
from simulator.enterprises.other_income import suits, worth_its_hours
from simulator.enterprises.setting import has_wide_alley
from simulator.findings.years import in_years
from simulator.result import Outcome
from simulator.scenario.advice import advice_of

MONTH_NAMES = tuple(calendar.month_name[1:])


def owner_findings(outcome: Outcome) -> Iterator[tuple[str, str]]:
    """What an owner must know of one plan, as code and message."""
    for check in (_help_repaid, _loans, _taxes, _lump_sum, _leased_in, _busiest_month, _not_worked):
        yield from check(outcome)
    yield from advice_of(outcome.scenario)


def _help_repaid(outcome: Outcome) -> Iterator[tuple[str, str]]:
    back = np.array([line.key.startswith(REPAID) for line in outcome.flows.lines])
    paid = -outcome.amount[:, back].sum(axis=1) if back.any() else np.zeros(1)
    for year in np.flatnonzero(paid > 0):
        message = (
            f"Help is paid back in year {year}, ${paid[year]:,.0f} an acre: the plan does not keep what was helped for "
            "the years its contract asks. Ask the agency before signing and before cutting."
        )
        yield "help_repaid", message


def _loans(outcome: Outcome) -> Iterator[tuple[str, str]]:
    last = len(outcome.cash_per_ac) - 1
    for loan, (name, years) in zip(outcome.scenario.loan, loans_of(outcome.scenario, last + 1), strict=True):
        if loan.first_year > last:
            message = (
                f"{name.capitalize()} would be paid out in year {loan.first_year}, after the last year of the horizon, "
                f"{last}: nothing of it is in the figures."
            )
            yield "loan_too_late", message
        if years.owed[last] > 0:
            yield "loan_left", f"{name.capitalize()}: ${years.owed[last]:,.0f} an acre is still owed in year {last}."
    if outcome.scenario.loan and outcome.cash_after_loans_per_ac.cumsum().min() < -1.0:
        deepest = outcome.cash_after_loans_per_ac.cumsum()
        year = int(np.argmin(deepest))
        yield (
            "cash_after_loans",
            f"After loans the owner is out ${-deepest[year]:,.0f} an acre at the deepest, in year {year}.",
        )


def _taxes(outcome: Outcome) -> Iterator[tuple[str, str]]:
    land, trees = outcome.scenario.land, outcome.scenario.trees is not None
    if land.tax_trees_per_ac is None and land.tax_grass_per_ac is None:
        return
    stand = outcome.scenario.stand
    changes = trees == (land.former_use == "pasture") if stand is None else stand.after_harvest == "pasture"
    if changes:
        message = (
            "The plan changes what the land is used for: where land is taxed by its present use, a change can call up "
            "back taxes (rollback) or end the lower rate. Nothing of that is in the figures; ask the assessor first."
        )
        yield "use_changes", message


def _lump_sum(outcome: Outcome) -> Iterator[tuple[str, str]]:
    if outcome.scenario.money.timber_sale == "lump sum" and outcome.scenario.trees is not None:
        message = (
            "Timber is sold for a lump sum: paid at signing, a year before the cut. The buyer bears the risk of the "
            "count and picks his time in the contract's window, usually 12 to 24 months; until then he has the ground."
        )
        yield "lump_sum", message


def _leased_in(outcome: Outcome) -> Iterator[tuple[str, str]]:
    if outcome.scenario.land.rent_paid_per_ac > 0 and outcome.scenario.trees is not None:
        yield (
            "leased_in",
            "The land is leased in: a lease must outlast the trees and say whose they are when it ends.",
        )


def _busiest_month(outcome: Outcome) -> Iterator[tuple[str, str]]:
    own, hours = outcome.scenario.labour.own_hours_month, outcome.hours_by_month
    if own is None or not hours.any():
        return
    year, month = divmod(int(np.argmax(hours.round(6))), hours.shape[1])
    hired = np.maximum(hours - own, 0.0)
    mean = hired[1:].sum(axis=1).mean()
    message = (
        f"The busiest month is {MONTH_NAMES[month]} of year {year}: {hours[year, month]:,.0f} hours on the tract, "
        f"and you have {own:g}."
    )
    if round(mean) > 0:
        message += f" In the mean of all years {mean:,.0f} hours are hired."
    yield "busiest_month", message


def _not_worked(outcome: Outcome) -> Iterator[tuple[str, str]]:
    """Name the years in which a small enterprise does not pay its hours and is left alone."""
    states = outcome.states
    start = outcome.scenario.stand.age if outcome.scenario.stand else 0
    age, later = states["age"] - start, np.arange(len(states["age"])) > 0
    for other in outcome.scenario.other:
        if not suits(other, trees=outcome.scenario.trees is not None, alley=has_wide_alley(outcome.scenario)):
            continue
        stands = (states["trees_per_ac"] > 0) | (other.needs == "any")
        due = later & stands & (age >= other.first_year) & (age <= other.last_year)
        idle = due & ~worth_its_hours(other, states["light_warm"], outcome.prices)
        if idle.any():
            name = other.name[:1].upper() + other.name[1:]
            message = (
                f"{name} is not worked in {in_years(idle)}: in that light it brings nothing or less than its hours at "
                "the wage. Its ground is not given back to the grass; state a last_year to do so."
            )
            yield "other_not_worked", message
