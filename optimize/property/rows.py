"""From couplings to rows: what each of them says of the pathways of all tracts, year by year."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from scipy import sparse

from optimize.property.couplings import Budget, Couplings, Even, Grazing, Herd, Labour, Renewal
from optimize.property.loads import add_load
from optimize.property.pool import Pool, Profile
from optimize.property.system import Builder, OnExtras, Row, System, on
from simulator.interest import discount_factor
from simulator.units import FloatArray

THOUSAND = 1000.0
"""Money is reckoned in thousands of dollars, so that the solver's tolerances are cents of them."""
HOURS_TOLD = 10.0
AUM_TOLD = 10.0
ACRES_TOLD = 10.0
TONS_TOLD = 100.0


def system_of(pool: Pool, couplings: Couplings, groups: Sequence[str], rate: float) -> System:
    """The whole problem of a property.

    Parameters
    ----------
    pool
        Pathways of all tracts.
    couplings
        What ties them together.
    groups
        Group of each tract, (tracts,); tracts of one group are cut together.
    rate
        Real yearly discount rate, for a herd.

    Returns
    -------
    System
    """
    builder = Builder(len(pool))
    cash = pool.flow("cash") / THOUSAND
    if couplings.herd is not None:
        _add_herd(builder, pool, couplings.herd, rate)
    if couplings.budget is not None:
        _add_budget(builder, cash, couplings.budget)
    if couplings.labour is not None:
        _add_labour(builder, pool, couplings.labour)
    if couplings.even_income is not None:
        _add_even(builder, "even_income", cash, couplings.even_income)
    if couplings.even_wood is not None:
        _add_even(builder, "even_wood", pool.flow("wood_ton"), couplings.even_wood)
    if couplings.load is not None:
        add_load(builder, pool, couplings.load, groups)
    if couplings.renewal is not None:
        _add_renewal(builder, pool, couplings.renewal)
    if couplings.grazing is not None:
        _add_grazing(builder, pool, couplings.grazing)
    return builder.system(pool.value / THOUSAND, pool.tract)


def profile_of(pool: Pool, couplings: Couplings) -> Profile:
    """What the couplings see of each pathway, for leaving out what is never better.

    Money counts as the balance it leads to: whoever is never behind in that is never short where the other is not.
    """
    better: list[FloatArray] = []
    alike: list[FloatArray] = []
    if couplings.budget is not None:
        better.append(_balances(pool.flow("cash"), couplings.budget.interest))
    if couplings.herd is not None:
        better.append(pool.flow("forage_aum"))
    if couplings.labour is not None:
        better.append(-pool.flow("labour_h"))
    if couplings.renewal is not None:
        better.append(-_fresh(pool, couplings.renewal))
    if couplings.grazing is not None:
        better.append(pool.flow("grazed"))
    if couplings.even_income is not None:
        alike.append(pool.flow("cash") @ _periods(couplings.even_income, pool.years).T)
    if couplings.even_wood is not None:
        alike.append(pool.flow("wood_ton") @ _periods(couplings.even_wood, pool.years).T)
    if couplings.load is not None:
        alike.append(pool.flow("wood_ton"))
    nothing = np.zeros((len(pool), 0))
    return Profile(np.column_stack([nothing, *better]), np.column_stack([nothing, *alike]))


def _balances(cash: FloatArray, interest: float) -> FloatArray:
    year = np.arange(cash.shape[1])
    grown = np.where(year[:, None] <= year, (1.0 + interest) ** np.maximum(year - year[:, None], 0), 0.0)
    return np.asarray(cash @ grown)


def _add_herd(builder: Builder, pool: Pool, herd: Herd, rate: float) -> None:
    """The herd of each year comes from that of the year before, and has something to eat from year 1 on."""
    last = pool.years - 1
    years, sales = np.arange(last + 1), np.arange(last)
    factor = np.asarray(discount_factor(rate, years))
    margin = np.where(years > 0, herd.margin_per_head, 0.0) / THOUSAND
    end = np.where(years == last, herd.sold_price, 0.0) / THOUSAND
    most = np.inf if herd.most_head is None else herd.most_head
    head = builder.quantity(
        "head",
        last + 1,
        low=np.where(years > 0, herd.least_head, herd.start_head),
        high=np.where(years > 0, most, herd.start_head),
        value=factor * (margin + end),
    )
    prices = {
        "raised": -herd.raised_price / THOUSAND,
        "bought": -herd.bought_price / THOUSAND,
        "sold": herd.sold_price / THOUSAND,
    }
    moved = {name: builder.quantity(name, last, value=price * factor[:-1]) for name, price in prices.items()}
    cost = -herd.feed_price_per_aum / THOUSAND
    feed = builder.quantity(
        "feed", last, high=np.inf if herd.most_feed_aum is None else herd.most_feed_aum, value=cost * factor[1:]
    )
    builder.money += [on(years, head, margin), on(sales + 1, feed, cost)]
    builder.money += [on(sales, moved[name], price) for name, price in prices.items()]
    builder.hours.append(on(sales + 1, head[1:], herd.hours_per_head))
    builder.add(
        [Row("herd", f"herd after year {year}") for year in sales],
        on_extras=[
            on(sales, head[1:], 1.0),
            on(sales, head[:-1], -1.0),
            on(sales, moved["raised"], -1.0),
            on(sales, moved["bought"], -1.0),
            on(sales, moved["sold"], 1.0),
        ],
        low=0.0,
        high=0.0,
    )
    builder.add(
        [Row("herd", f"females raised in year {year}") for year in sales],
        on_extras=[on(sales, moved["raised"], 1.0), on(sales, head[:-1], -herd.raised_share)],
        high=0.0,
    )
    builder.add(
        [_herd_row(year) for year in range(1, last + 1)],
        pool.flow("forage_aum")[:, 1:].T,
        [on(sales, feed, 1.0), on(sales, head[1:], -herd.need_aum_per_head)],
        low=-herd.open_pasture_aum,
    )


def _herd_row(year: int) -> Row:
    gain = f"another {AUM_TOLD:g} animal-unit months of grass in year {year}"
    return Row("herd", f"forage of the herd in year {year}", "animal-unit months", soft=True, gain=gain, step=AUM_TOLD)


def _add_budget(builder: Builder, cash: FloatArray, budget: Budget) -> None:
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


def _add_labour(builder: Builder, pool: Pool, labour: Labour) -> None:
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


def _periods(even: Even, rows: int) -> FloatArray:
    """Which years each whole period holds, (periods, rows)."""
    starts = range(even.from_year, rows - even.period_years + 1, even.period_years)
    year = np.arange(rows)
    return np.array([(year >= first) & (year < first + even.period_years) for first in starts], dtype=np.float64)


def _add_even(builder: Builder, family: str, flow: FloatArray, even: Even) -> None:
    """Sums of the periods first, then each beside the one before."""
    holds = _periods(even, flow.shape[1])
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


def _fresh(pool: Pool, renewal: Renewal) -> FloatArray:
    """Acres of each pathway harvested within the last years, by year, (pathways, years)."""
    harvested = pool.flow("harvested")
    fresh = harvested.copy()
    for ago in range(1, min(renewal.within_years, harvested.shape[1])):
        fresh[:, ago:] = np.maximum(fresh[:, ago:], harvested[:, :-ago])
    return fresh


def _add_renewal(builder: Builder, pool: Pool, renewal: Renewal) -> None:
    fresh = _fresh(pool, renewal)
    rows = [
        Row("renewal", f"land freshly cut in year {t}", "acres", soft=True,
            gain=f"another {ACRES_TOLD:g} acres allowed freshly cut in year {t}", step=ACRES_TOLD)
        for t in range(fresh.shape[1])
    ]  # fmt: skip
    builder.add(rows, sparse.csr_array(fresh.T), high=renewal.most_acres)


def _add_grazing(builder: Builder, pool: Pool, grazing: Grazing) -> None:
    grazed = pool.flow("grazed")[:, grazing.from_year :]
    rows = [
        Row("grazing", f"land grazed in year {t}", "acres", soft=True,
            gain=f"{ACRES_TOLD:g} acres fewer that must be grazed in year {t}", step=ACRES_TOLD)
        for t in range(grazing.from_year, pool.years)
    ]  # fmt: skip
    builder.add(rows, grazed.T, low=grazing.least_acres)
