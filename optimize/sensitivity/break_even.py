"""Break-even values: where, along one factor, two systems earn the same."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from itertools import combinations
from typing import Final, NamedTuple

import numpy as np

from optimize.sweeps.job import Job, Task
from optimize.sweeps.outputs import output_named
from optimize.sweeps.work import worked
from simulator.units import FloatArray

FIRST_LOOK: Final = 17
"""Values at which a tie is looked for at first; two ties closer together are missed."""
PARTS: Final = 9
"""Parts of the bracket tried in each round: bisection, eight values at a time, as they are grown together."""
ROUNDS: Final = 4
PRICED_LOOK: Final = 2001
"""The same where nothing is grown."""
INCOME: Final = "equal annual income"
Incomes = Callable[[FloatArray], Mapping[str, FloatArray]]


class Tie(NamedTuple):
    """Where two systems earn the same.

    Attributes
    ----------
    one, other
        The two systems.
    value
        Of the factor, nearest to the one in force; ``None`` where they tie nowhere in the range.
    better_below, better_above
        Which of them earns more on either side; without a tie the same twice.
    """

    one: str
    other: str
    value: float | None
    better_below: str
    better_above: str


def incomes_along(job: Job, place: int) -> Incomes:
    """Equal annual income of every system as a function of one factor, everything else as in the scenario.

    Parameters
    ----------
    job
        The job of a sweep.
    place
        Place of a factor whose values are numbers.

    Returns
    -------
    callable
        Values, (cases,), to incomes by system [$/ac/yr], (cases,); NaN where a scenario cannot be run.
    """
    factors = tuple(replace(factor, values=None) if i == place else factor for i, factor in enumerate(job.factors))
    income = replace(job, factors=factors, outputs=(output_named(INCOME),), all_systems=True)
    ending = f"_{income.outputs[0].column}"

    def incomes(values: FloatArray) -> Mapping[str, FloatArray]:
        codes = np.full((len(values), len(job.factors)), np.nan)
        codes[:, place] = values
        done = worked(income, Task(0, np.arange(len(values)), codes))
        return {name.removesuffix(ending): column for name, column in done.columns.items()}

    return incomes


def ties(
    incomes: Incomes, now: float, ends: tuple[float, float], *, whole: bool = False, priced: bool = False
) -> list[Tie]:
    """Find where each two systems tie.

    Parameters
    ----------
    incomes
        Incomes by system along the factor.
    now
        Value in force.
    ends
        Lowest and highest value looked at.
    whole
        Whether the factor takes whole numbers only; a tie then is the first at which the order has changed.
    priced
        Whether the factor changes money alone: then so many values are looked at in one go that a straight line
        between two of them is exact enough.

    Returns
    -------
    list of Tie
        One for each pair of systems.
    """
    values = _between(*ends, PRICED_LOOK if priced else FIRST_LOOK, whole=whole)
    found = incomes(values)
    search = _Search(incomes, now, 0 if priced else ROUNDS, whole)
    return [_tie(search, pair, values, found[pair[0]] - found[pair[1]]) for pair in combinations(found, 2)]


class _Search(NamedTuple):
    incomes: Incomes
    now: float
    rounds: int
    whole: bool


def _tie(search: _Search, pair: tuple[str, str], values: FloatArray, lead: FloatArray) -> Tie:
    """Where two systems tie along a factor, nearest to the value in force.

    Parameters
    ----------
    search
        Incomes along the factor, and how often to look closer.
    pair
        Names of the two.
    values
        Values looked at, in the unit of the factor, (values,).
    lead
        Income of the first less that of the second there [$/ac/yr], (values,).

    Returns
    -------
    Tie
        Value of the tie in the unit of the factor; None where there is none.

    References
    ----------
    A straight line between two neighbouring values; derived.
    """
    one, other = pair
    place = _nearest_change(values, lead, search.now)
    if place is None:
        best = one if _leads(values, lead, search.now) else other
        return Tie(one, other, None, best, best)
    below, above = (one, other) if lead[place] > 0 else (other, one)
    for _ in range(search.rounds):
        inner = _between(float(values[place]), float(values[place + 1]), PARTS + 1, whole=search.whole)
        if len(inner) <= 2:
            break
        again = search.incomes(inner)
        inner_lead = again[one] - again[other]
        change = _nearest_change(inner, inner_lead, float(inner[0]))
        if change is None:
            break
        values, lead, place = inner, inner_lead, change
    low, high = float(values[place]), float(values[place + 1])
    crossing = low + (high - low) * float(lead[place] / (lead[place] - lead[place + 1]))
    return Tie(one, other, high if search.whole else crossing, below, above)


def _leads(values: FloatArray, lead: FloatArray, now: float) -> bool:
    """Whether the first of two systems earns more at the value nearest to the one in force."""
    known = np.isfinite(lead)
    return bool(known.any()) and float(lead[known][np.argmin(np.abs(values[known] - now))]) > 0.0


def _between(low: float, high: float, count: int, *, whole: bool) -> FloatArray:
    values = np.linspace(low, high, count)
    return np.unique(np.round(values)) if whole else values


def _nearest_change(values: FloatArray, lead: FloatArray, now: float) -> int | None:
    """Place before which the lead changes hands, nearest to the value in force; None where it never does."""
    with np.errstate(invalid="ignore"):
        changes = np.flatnonzero((lead[:-1] > 0) != (lead[1:] > 0))
    changes = changes[np.isfinite(lead[changes]) & np.isfinite(lead[changes + 1])]
    if not len(changes):
        return None
    middles = (values[changes] + values[changes + 1]) / 2.0
    return int(changes[np.argmin(np.abs(middles - now))])
