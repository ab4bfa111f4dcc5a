"""The rows of money, hours, even sums, fresh cuts and grazing: one limit a year, or a period."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from scipy import sparse

from optimize.property.couplings import Budget, Even, Grazing, Labour, Renewal
from optimize.property.pool import Pool
from optimize.property.system import THOUSAND, Builder, OnExtras, Row, on
from simulator.units import FloatArray

HOURS_TOLD = 10.0
ACRES_TOLD = 10.0
TONS_TOLD = 100.0


def add_budget(builder: Builder, cash: FloatArray, budget: Budget) -> None:
    """Rows that keep money on hand above what the bank lends.

    Parameters
    ----------
    builder
        Takes the rows.
    cash
        Cash of each pathway by year [1,000 $], (pathways, years).
    budget
        Its terms.

    Returns
    -------
    None

    References
    ----------
    Definition.
    """
    years = np.arange(cash.shape[1])
    balance = builder.quantity("balance", len(years), low=-np.inf)
    added = np.where(years == 0, budget.start, budget.added_per_year) / THOUSAND
    builder.add(
        [Row("budget", f"balance of year {t}", gain=f"another $1,000 in year {t}") for t in years],
        -cash.T,
        [on(years, balance, 1.0), on(years[1:], balance[:-1], -1.0 - budget.interest), *_turned(builder.money)],
        low=added,
        high=added,
    )
    builder.add(
        [Row("budget", f"money on hand at the end of year {t}", "$1,000", soft=True) for t in years],
        on_extras=[on(years, balance, 1.0)],
        low=-budget.credit / THOUSAND,
    )


def _turned(parts: Sequence[OnExtras]) -> list[OnExtras]:
    return [part._replace(coefficient=-part.coefficient) for part in parts]


def add_labour(builder: Builder, pool: Pool, labour: Labour) -> None:
    """Rows that keep the hours of a year within what there is.

    Parameters
    ----------
    builder
        Takes the rows.
    pool
        Pathways of all tracts.
    labour
        Hours there are [h].

    Returns
    -------
    None

    References
    ----------
    Definition.
    """
    hours = pool.flow("labour_h")
    rows = [
        Row(
            "labour",
            f"hours in year {t}",
            "hours",
            soft=True,
            gain=f"another {HOURS_TOLD:g} hours in year {t}",
            step=HOURS_TOLD,
        )
        for t in range(hours.shape[1])
    ]
    builder.add(rows, hours.T, builder.hours, high=labour.hours_per_year)


def periods(even: Even, rows: int) -> FloatArray:
    """Which years each whole period holds, (periods, rows)."""
    starts = range(even.from_year, rows - even.period_years + 1, even.period_years)
    year = np.arange(rows)
    return np.array([(year >= first) & (year < first + even.period_years) for first in starts], dtype=np.float64)


def add_even(builder: Builder, family: str, flow: FloatArray, even: Even) -> None:
    """Sums of the periods first, then each beside the one before.

    Parameters
    ----------
    builder
        Takes the rows.
    family
        Income or wood.
    flow
        Income or wood of each pathway by year [1,000 $ or ton], (pathways, years).
    even
        Its terms.

    Returns
    -------
    None

    References
    ----------
    Definition.
    """
    holds = periods(even, flow.shape[1])
    spans = [f"years {years[0]}-{years[-1]}" for years in (np.flatnonzero(period) for period in holds)]
    income = family == "even_income"
    what, unit = ("income", "$1,000") if income else ("wood sold", "tons")
    step = 1.0 if income else TONS_TOLD
    told = "$1,000" if income else f"{TONS_TOLD:g} tons"
    total = builder.quantity(family, len(spans), low=-np.inf)
    places = np.arange(len(spans))
    extra = [_summed(part, holds) for part in _turned(builder.money)] if income else []
    builder.add(
        [Row(family, f"{what} of {span}") for span in spans],
        -(flow @ holds.T).T,
        [on(places, total, 1.0), *extra],
        low=0.0,
        high=0.0,
    )
    pairs = places[:-1]
    for words, share in (("above", 1.0 + even.within), ("below", 1.0 - even.within)):
        rows = [
            Row(family, f"{what} of {late} {words} that of {early}", unit, soft=True,
                gain=f"{told} more room for the {what} of {late} to be {words} that of {early}", step=step)
            for early, late in pairwise(spans)
        ]  # fmt: skip
        low, high = (-np.inf, 0.0) if words == "above" else (0.0, np.inf)
        terms = [on(pairs, total[1:], 1.0), on(pairs, total[:-1], -share)]
        builder.add(rows, on_extras=terms, low=low, high=high)


def _summed(part: OnExtras, holds: FloatArray) -> OnExtras:
    """Coefficients by year gathered into periods; years outside all periods fall away."""
    inside = np.asarray(holds.any(axis=0))[part.row]
    return OnExtras(holds.argmax(axis=0)[part.row[inside]], part.place[inside], part.coefficient[inside])


def freshly_cut(pool: Pool, renewal: Renewal) -> FloatArray:
    """Acres of each pathway harvested within the last years, by year, (pathways, years)."""
    harvested = pool.flow("harvested")
    fresh = harvested.copy()
    for ago in range(1, min(renewal.within_years, harvested.shape[1])):
        fresh[:, ago:] = np.maximum(fresh[:, ago:], harvested[:, :-ago])
    return fresh


def add_renewal(builder: Builder, pool: Pool, renewal: Renewal) -> None:
    """Rows that keep land freshly cut below a limit.

    Parameters
    ----------
    builder
        Takes the rows.
    pool
        Pathways of all tracts.
    renewal
        Most acres [ac], and for how long a harvested tract counts.

    Returns
    -------
    None

    References
    ----------
    Definition.
    """
    fresh = freshly_cut(pool, renewal)
    rows = [
        Row("renewal", f"land freshly cut in year {t}", "acres", soft=True,
            gain=f"another {ACRES_TOLD:g} acres allowed freshly cut in year {t}", step=ACRES_TOLD)
        for t in range(fresh.shape[1])
    ]  # fmt: skip
    builder.add(rows, sparse.csr_array(fresh.T), high=renewal.most_acres)


def add_grazing(builder: Builder, pool: Pool, grazing: Grazing) -> None:
    """Rows that keep land grazed above a limit.

    Parameters
    ----------
    builder
        Takes the rows.
    pool
        Pathways of all tracts.
    grazing
        Least acres [ac], and from when it counts.

    Returns
    -------
    None

    References
    ----------
    Definition.
    """
    grazed = pool.flow("grazed")[:, grazing.from_year :]
    rows = [
        Row("grazing", f"land grazed in year {t}", "acres", soft=True,
            gain=f"{ACRES_TOLD:g} acres fewer that must be grazed in year {t}", step=ACRES_TOLD)
        for t in range(grazing.from_year, pool.years)
    ]  # fmt: skip
    builder.add(rows, grazed.T, low=grazing.least_acres)
