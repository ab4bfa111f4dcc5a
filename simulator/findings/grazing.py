"""Warnings about what grazing is worth: a tenant's fertiliser, fence and water that it no longer pays, a herd moved."""

from collections.abc import Iterator
from typing import Final

import numpy as np

from simulator.findings.animals import tables_of
from simulator.findings.years import in_years
from simulator.geometry import geometry_of
from simulator.herd_accounts import keys_of, words_for
from simulator.interest import capital_recovery
from simulator.result import Outcome
from simulator.schedule import calendar_of
from simulator.units import BoolArray, FloatArray

DEAR: Final = 1.5
"""A tenant pays no more than so many times the rent by the month; assumed for this project."""
WORTH_A_WORD_YR, WORTH_A_WORD_SHARE = 3, 0.25
"""Fewer years in which grazing does not pay, or a smaller share scattered among the others, are left unsaid."""
RUNNING: Final = ("sale", "upkeep", "labour")


def grazing_findings(outcome: Outcome) -> Iterator[tuple[str, str]]:
    """What a reader must know of the money in grazing, as code and message.

    Parameters
    ----------
    outcome
        What came out.

    Yields
    ------
    tuple of str
        Stable code, and message in plain words.
    """
    yield from _herd_moved(outcome)
    grazed = _first_cycle(outcome) & (outcome.states["animal_unit_months_ac"] > 0)
    if grazed.any():
        yield from _tenants_nitrogen(outcome, grazed)
        yield from _unpaid_fence(outcome, grazed)


def _first_cycle(outcome: Outcome) -> BoolArray:
    """Rows up to the first harvest, or all: what ends with a tree cycle begins again in the next."""
    scenario, rows = outcome.scenario, np.arange(len(outcome.cash_per_ac))
    last = scenario.harvest.year if scenario.harvest is not None and scenario.trees is not None else len(rows)
    return np.asarray(rows <= last)


def _herd_moved(outcome: Outcome) -> Iterator[tuple[str, str]]:
    words = words_for(outcome.scenario.use.animals)
    moved = -float(_of_lines(outcome, keys_of(words).displaced)[0])
    if moved > 0:
        message = (
            f"Year 0 pays ${moved:,.0f} an acre for moving the present herd: hauling and commission "
            f"(booked under grazing). The {words.heads} themselves are charged at market value in every plan "
            "alike, so a plan that gives them up books no sale, a plan that keeps them buys them."
        )
        yield "herd_moved", message


def _of_lines(outcome: Outcome, *keys: str) -> FloatArray:
    """Signed dollars of some lines by year [$/ac], (years,)."""
    kept = np.array([line.key in keys for line in outcome.flows.lines])
    return np.asarray(outcome.amount[:, kept].sum(axis=1))


def _tenants_nitrogen(outcome: Outcome, grazed: BoolArray) -> Iterator[tuple[str, str]]:
    """A tenant by the acre brings the nitrogen; beside the rent it must stay near what a month of grazing costs."""
    use, usual = outcome.scenario.use, outcome.prices["grazing_lease_month"]
    if use.tenure != "leased" or use.lease_basis != "acre":
        return
    nitrogen = _nitrogen_lb_ac(outcome) * outcome.prices["nitrogen"]
    paid = _of_lines(outcome, "grazing_lease") + nitrogen
    months = outcome.states["animal_unit_months_ac"]
    each = np.divide(paid, months, out=np.zeros_like(paid), where=grazed)
    dear = grazed & (nitrogen > 0) & (each > DEAR * usual)
    if dear.any():
        low, high = each[dear].min(), each[dear].max()
        price = f"${low:,.0f}" if round(low) == round(high) else f"${low:,.0f} to ${high:,.0f}"
        message = (
            f"{_when(dear, grazed)} the tenant would pay {price} an animal-unit month in rent and nitrogen, where "
            f"grazing is let at ${usual:,.0f}: he will not. Spread less nitrogen from then on, or expect "
            "less grass and no such rent."
        )
        yield "tenants_nitrogen", message


def _nitrogen_lb_ac(outcome: Outcome) -> FloatArray:
    """Nitrogen that the plan has spread on its grass ground by year [lb/ac of the field], (years,)."""
    scenario, tables = outcome.scenario, tables_of(outcome)
    stumps = tables.practice.ground.stumps_and_landings_share
    field = geometry_of([scenario], tables.tree.planting.strip_width_ft, 1, stumps)
    ground = field.grass_ground[0] * field.rows_share[0]
    rates = calendar_of([scenario], scenario.money.horizon_years).nitrogen_lb_ac[0]
    return np.asarray(rates[outcome.states["age"].astype(int)] * ground)


def _unpaid_fence(outcome: Outcome, grazed: BoolArray) -> Iterator[tuple[str, str]]:
    """Years in which what grazing leaves is less than a year's share of fence and water."""
    words, life = words_for(outcome.scenario.use.animals), outcome.scenario.land.fence_life_years
    built = -_of_lines(outcome, words.cross_fence, words.perimeter_fence)
    if not built.any():
        return
    years = life if life is not None else tables_of(outcome).practice.ground.fence_life_yr
    charge = float(capital_recovery(built[np.flatnonzero(built)[0]], outcome.rate, years))
    running = np.array([line.enterprise == "grazing" and line.account in RUNNING for line in outcome.flows.lines])
    left = outcome.amount[:, running].sum(axis=1)
    unpaid = grazed & (left < charge)
    scattered = not _to_the_end(unpaid, grazed)
    if unpaid.sum() < WORTH_A_WORD_YR or (scattered and unpaid.sum() < WORTH_A_WORD_SHARE * grazed.sum()):
        return
    what = "rent" if outcome.scenario.use.tenure == "leased" else f"what the {words.heads} leave after care and hours"
    worth = f"about ${charge:,.0f} an acre a year"
    if unpaid[grazed].all():
        yield "grazing_unpaid", f"{_capital(what)} covers fence and water ({worth}) in no year."
    else:
        verb = "does not cover" if scattered else "no longer covers"
        yield "grazing_unpaid", f"{_when(unpaid, grazed)} {what} {verb} fence and water ({worth})."


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _to_the_end(flag: BoolArray, grazed: BoolArray) -> bool:
    """Whether it holds in every year with animals from its first year on."""
    first = int(np.argmax(flag))
    return bool(flag.any() and flag[first:][grazed[first:]].all())


def _when(flag: BoolArray, grazed: BoolArray) -> str:
    return f"From year {int(np.argmax(flag))}" if _to_the_end(flag, grazed) else f"In {in_years(flag)}"
