"""Thin now or wait, and the factors that move the result most."""

from collections.abc import Iterator
from typing import Final

from optimize.what_if import GRASS, OWN, RATE, SITE, OtherThinning
from simulator.band import Swing
from simulator.errors import InputError
from workbench.band_words import item_in_words
from workbench.charts.factors import factors_figure
from workbench.report.blocks import Box, Picture, Section, Table, Text, listed, section
from workbench.report.gather import Gathered
from workbench.reports import whole
from workbench.sentences import findings_about
from workbench.words import UNITS, dollars, names_of, spoken_names_of

MOST_FACTORS: Final = 5
NAMES: Final = {RATE: "real discount rate", SITE: "site index", GRASS: "what the pasture grows"}
UNSEEN: Final = (
    "What beetles and ice take from a stand left dense is not in these amounts, and logs of the size that a mill wants "
    "are not certain either: ask a forester before a thinning is put off or left out."
)


def thin_or_wait(of: Gathered) -> Section | None:
    """Whether to thin now, for trees that stand; for a plan to plant, what its first thinning is worth at its time."""
    found = of.waiting
    if isinstance(found, InputError):
        said = tuple(f"{problem.rule[0].upper()}{problem.rule[1:]}. {problem.remedy}" for problem in found.problems)
        return section("thinning", "Thin now, or wait?", Box("This cannot be asked of the stand", said))
    if found is not None:
        from workbench.report.sections.waiting import now_or_later  # noqa: PLC0415 - only a standing stand pays for it

        return now_or_later(found)
    if not of.what_if.thinnings:
        return None
    first = of.scenario.thinning[0].year
    lines = [_other(other, of) for other in sorted(of.what_if.thinnings, key=lambda each: each.gain)]
    head = f"The plan thins first in year {first}. With everything else as it stands:"
    return section("thinning", "The first thinning: as planned, or otherwise?", Box(head, (*lines, UNSEEN)))


def _other(other: OtherThinning, of: Gathered) -> str:
    outcome = of.comparison.systems[OWN]
    planned = float(outcome.wood_ton_ac[: outcome.flows.cycle_yr + 1].sum())
    when = "Never thinned" if other.year is None else f"Thinned first in year {other.year}"
    less = "less" if other.gain > 0 else "more"
    money = dollars(abs(other.gain), yearly=True)
    said = "nearly the same income" if round(other.gain) == 0 else f"{money} an acre a year {less} than the plan"
    return (
        f"{when}: {said}, with {other.wood_ton_ac:.0f} tons of wood an acre sold in a cycle instead of {planned:.0f}."
    )


def what_matters_most(of: Gathered) -> Section:
    """The factors that move the plan's yearly income most, one at a time."""
    swings = of.what_if.swings[:MOST_FACTORS]
    names = spoken_names_of(of.comparison.systems)
    prices = listed(findings_about(of.comparison, "prices"))
    title = "What moves the result most"
    if not swings:
        return section(
            "sensitivity", title, Text("None of the prices, the rate, the site or the grass moves it."), prices
        )
    now = of.comparison.systems[OWN].measures.equal_annual_income
    bars = [
        (_name(each), _end(each, each.low), _end(each, each.high), each.at_low[OWN], each.at_high[OWN])
        for each in swings
    ]
    first = bars[0]
    finding = (
        f"What moves {names[OWN]} most: {first[0]}, "
        f"{dollars(first[3], yearly=True)} at {first[1]}, {dollars(first[4], yearly=True)} at {first[2]}"
    )
    return section(
        "sensitivity",
        title,
        Text(
            "Each number below is moved to the low and to the high end of what it may be, one at a time, everything "
            "else as it stands. Prices and rate are moved over the ranges of the price table and of common practice, "
            "site index and grass by what such numbers are commonly mistaken by."
        ),
        Picture("factors", _factors_alt(bars, now), lambda: factors_figure(bars, now, finding)),
        _factors_table(of, swings),
        prices,
    )


def _name(swing: Swing) -> str:
    return NAMES.get(swing.name) or item_in_words(swing.name).removeprefix("the ")


def _end(swing: Swing, value: float) -> str:
    if swing.name == RATE:
        return f"{value:.1%}"
    if swing.name == GRASS:
        return f"{value:.0%} of usual"
    if "share" in swing.unit:
        return f"{value:.0%}"
    if not swing.unit.startswith("$"):
        return f"{value:g}" if swing.unit == "1" else f"{value:g} {swing.unit}"
    return f"${value:,.0f}" if value >= 10.0 or not value else f"${value:,.2f}"


def _unit(swing: Swing) -> str:
    if not swing.unit.startswith("$"):
        return ""
    return f", $ {UNITS.get(swing.unit, f'for {swing.unit[2:]}')}"


def _factors_table(of: Gathered, swings: tuple[Swing, ...]) -> Table:
    names = names_of(of.comparison.systems)
    rows = tuple(_factor_row(swing, names) for swing in swings)
    columns = ("what is moved", "low, now, high", *(f"{name}, low to high" for name in names.values()), "earns most")
    return Table(
        "factors", "Equal annual income, $ an acre a year, as each number is moved", columns, rows, words=(0, 1, -1)
    )


def _factor_row(swing: Swing, names: dict[str, str]) -> tuple[str, ...]:
    ends = ", ".join(_end(swing, value) for value in (swing.low, swing.value, swing.high))
    both = [(whole(swing.at_low[name]), whole(swing.at_high[name])) for name in names]
    spans = [low if low == high else f"{low} to {high}" for low, high in both]
    leaders = [names[max(at, key=lambda name: at[name])] for at in (swing.at_low, swing.at_high)]
    lead = leaders[0] if leaders[0] == leaders[1] else f"{leaders[0]} at the low, {leaders[1]} at the high end"
    return (f"{_name(swing)}{_unit(swing)}", ends, *spans, lead)


def _factors_alt(bars: list[tuple[str, str, str, float, float]], now: float) -> str:
    return f"Bars round {dollars(now, yearly=True)} an acre a year, the widest on top: {'; '.join(_bars(bars))}."


def _bars(bars: list[tuple[str, str, str, float, float]]) -> Iterator[str]:
    for name, low, high, at_low, at_high in bars:
        yield f"{name} {dollars(at_low, yearly=True)} at {low} and {dollars(at_high, yearly=True)} at {high}"
