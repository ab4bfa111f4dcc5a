"""Sales of wood for people: a table of every lot, and how far thinning and layout move wood up from pulpwood."""

from collections.abc import Iterator, Sequence
from typing import Final

from simulator.comparison import Comparison
from simulator.result import Outcome
from simulator.sales import Mix, SaleRow, mix_of, sale_acres, sales_of
from simulator.scenario.sale import DELIVERED
from workbench.output import print_table, print_text
from workbench.words import spoken_names_of

HEADINGS: Final = {
    "pulpwood": "pulp",
    "chip_and_saw": "c+saw",
    "sawtimber": "saw",
    "pole": "pole",
    "salvage_wood": "salvage",
}


def print_sales(outcome: Outcome) -> None:
    """Print every lot of wood that a plan offers, and why no bid is likely; nothing without any."""
    sales = shown_sales(sales_of(outcome))
    if not sales:
        return
    products = [product for product in HEADINGS if any(product in sale.ton_ac for sale in sales)]
    titles = [HEADINGS[product] for product in products]
    columns = ["year, cut", *(f"{title}\nton" for title in titles), "loads", "a tree\nton"]
    columns += [*(f"{title}\n$/ton" for title in titles), "left\n$/ton", "left\n$/ac", "bid"]
    rows = [_row(sale, products) for sale in sales]
    print_text("\n")
    title = f"Sales of wood, per acre; loads from {sale_acres(outcome.scenario):g} acres"
    print_table(title, columns, rows, note=_note(outcome, sales))
    for sale in sales:
        if sale.reason:
            print_text(f"Year {sale.year}, {sale.cut}: {sale.reason}.\n")


def shown_sales(sales: Sequence[SaleRow]) -> list[SaleRow]:
    """Sales without those that only wait another year for a bid on pulpwood."""
    waits = [sale.answer == "no_pulpwood_bid" for sale in sales]
    return [sale for place, sale in enumerate(sales) if not (waits[place] and place and waits[place - 1])]


def _row(sale: SaleRow, products: Sequence[str]) -> list[str]:
    tons = [f"{sale.ton_ac[product]:.1f}" if product in sale.ton_ac else "" for product in products]
    stumpage = [f"{round(sale.stumpage_per_ton[product]):d}" if product in sale.ton_ac else "" for product in products]
    bid = "no" if sale.reason else "few" if sale.small else "yes"
    left = [f"{round(sale.left_per_ton):d}", f"{round(sale.left_per_ac):,d}"]
    return [f"{sale.year}, {sale.cut}", *tons, f"{sale.loads:.0f}", f"{sale.mean_tree_ton:.2f}", *stumpage, *left, bid]


def _note(outcome: Outcome, sales: Sequence[SaleRow]) -> str:
    sale, mix = outcome.scenario.sale, mix_of(outcome)
    before = "before the seller's fee and cleaning up after the loggers"
    priced = (
        f"Left: the mill's price less cutting, loading, {sale.haul_miles:g} miles and moving in; {before}."
        if sale.pricing == DELIVERED
        else f"Left: price of standing wood, {before}."
    )
    if any(each.small for each in sales):
        priced += " Few: so few loads that few loggers will bid."
    if mix is None or not mix.share["pulpwood"]:
        return priced
    return f"{priced} Of 100 tons a cycle sells, {_hundredths(mix, 'pulpwood')} are pulpwood."


def _hundredths(mix: Mix, *products: str) -> str:
    return f"{100.0 * sum(mix.share[product] for product in products):.0f}"


def wood_mix(comparison: Comparison) -> Iterator[str]:
    """Say what share of the wood is pulpwood and what a ton brings, both together against trees alone."""
    names = spoken_names_of(comparison.systems)
    mine, theirs = (mix_of(comparison.systems[name]) for name in ("silvopasture", "plantation"))
    if mine is None or theirs is None or comparison.systems["silvopasture"].states["nuts_lb_ac"].any():
        return
    name, other = names["silvopasture"], names["plantation"]
    verb = "sell" if name == "both together" else "sells"
    yield (
        f"Of 100 tons of wood, {name} {verb} {_small_and_large(mine)}, {other} {_small_and_large(theirs)}: "
        f"a ton brings ${mine.per_ton:.0f} against ${theirs.per_ton:.0f}, "
        f"with {sum(mine.ton_ac.values()):.0f} tons an acre in a cycle against {sum(theirs.ton_ac.values()):.0f}."
    )


def _small_and_large(mix: Mix) -> str:
    return (
        f"{_hundredths(mix, 'pulpwood')} as pulpwood and {_hundredths(mix, 'sawtimber', 'pole')} as sawtimber or poles"
    )


def bids_and_prices(comparison: Comparison) -> Iterator[str]:
    """Say how far switch prices reach where a sale may lose its bid."""
    if any(outcome.scenario.sale.pricing == DELIVERED and outcome.offers for outcome in comparison.systems.values()):
        yield (
            "Switch prices are looked for only as far as every sale of wood keeps its bid; "
            "price sets and the band are run anew where one is won or lost."
        )
