"""The rows of one herd on the grass of all tracts: where its females come from, and what they eat."""

import numpy as np

from optimize.property.couplings import Herd
from optimize.property.pool import Pool
from optimize.property.system import THOUSAND, Builder, Row, on
from simulator.interest import discount_factor

AUM_TOLD = 10.0


def add_herd(builder: Builder, pool: Pool, herd: Herd, rate: float) -> None:
    """The herd of each year comes from that of the year before, and has something to eat from year 1 on.

    Parameters
    ----------
    builder
        Takes the rows.
    pool
        Pathways of all tracts.
    herd
        Its terms.
    rate
        Real yearly discount rate [1/yr].

    Returns
    -------
    None

    References
    ----------
    Definition.
    """
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
