"""Draws that are alike so far: nothing has struck one of them that did not strike the other."""

from typing import Final, NamedTuple

import numpy as np

from optimize.risk.draws import Terms, outbreaks
from optimize.risk.lots import Lots
from simulator.parameters.hazards import load_events
from simulator.parameters.odds import HAZARDS
from simulator.schedule import NEVER
from simulator.units import BoolArray, IntArray

OF_SEEDLINGS: Final = ("seedling loss", "hogs")


class Cycle(NamedTuple):
    """When the stand of a plan is young: ages of its start and of its harvest, and whether hogs meet grass in use."""

    start_age: int
    harvest_age: int
    grass: bool


def pasts_of(lots: Lots, terms: Terms, last_year: int, cycle: Cycle) -> list[IntArray]:
    """Number of the past of each draw by the end of each row.

    Parameters
    ----------
    lots
        Numbers of the draws, of the years after year 0.
    terms
        How often hazards strike.
    last_year
        Last row grown.
    cycle
        When its trees are young; losses of seedlings part no draws in other years.

    Returns
    -------
    list of IntArray
        By row from 0, (draws,). Draws of one number have had exactly the same years.
    """
    draws = lots.outbreak.shape[1]
    may_strike = _may_strike(lots, terms)
    young = _maybe_young(may_strike, cycle)
    past, pasts = np.zeros(draws, np.int64), [np.zeros(draws, np.int64)]
    for row in range(last_year):
        if row < len(may_strike):
            struck = may_strike[row].copy()
            for place, kind in enumerate(HAZARDS):
                if kind in OF_SEEDLINGS and not (kind == "hogs" and cycle.grass):
                    struck[place] &= young[row]
            hit = struck.any(axis=0)
            if hit.any():
                # each strike has a severity of its own, so a draw that is struck parts from all others
                own = np.where(hit, np.arange(draws) + 1, 0)
                past = np.unique(past * (draws + 1) + own, return_inverse=True)[1]
        pasts.append(past)
    return pasts


def _may_strike(lots: Lots, terms: Terms) -> BoolArray:
    """Where a hazard strikes, or could if the stand were of the kind that it likes most, (years, hazards, draws)."""
    most = np.array([terms.at_most(kind) for kind in HAZARDS])
    likely = np.broadcast_to(most[:, None], lots.strikes.shape).copy()
    quiet = ~outbreaks(lots.outbreak, terms)
    likely[:, HAZARDS.index("beetles")] /= np.where(quiet, max(terms.numbers.outbreak.times, 1.0), 1.0)
    return np.asarray(lots.strikes < likely)


def _maybe_young(may_strike: BoolArray, cycle: Cycle) -> BoolArray:
    """Where trees may be seedlings: after planting, after the harvest, and after whatever may have ended a stand."""
    years, draws = len(may_strike), may_strike.shape[2]
    small = int(load_events().young.seedling_years)
    young = np.zeros((years + 1, draws), bool)
    planted = np.zeros((years + 1, draws), bool)
    planted[0] = cycle.start_age == 0
    first_cut = cycle.harvest_age - cycle.start_age
    for year in range(years + 1):
        if year > 0:
            planted[year] |= year == first_cut
            planted[year] |= may_strike[year - 1].any(axis=0)
            before = year - cycle.harvest_age
            planted[year] |= planted[before] if before >= 0 and cycle.harvest_age < NEVER else False
        young[year + 1 : year + 1 + small] |= planted[year]
    young[1 : max(small - cycle.start_age, 0) + 1] = True
    return young[1:]
