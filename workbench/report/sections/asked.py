"""Parts that a report has where they were asked for: the best plan of a search, and the odds."""

from typing import Final

import numpy as np

from optimize.risk.found import Odds
from optimize.risk.summary import TENTHS
from workbench.charts.odds import fan_figure
from workbench.charts.optimum import timeline_figure
from workbench.dangers import BY_KIND, DRY, STORM
from workbench.odds_report import odds_rows
from workbench.odds_words import notes, odds_names, sentence
from workbench.optimum_report import side_rows, sides_of
from workbench.optimum_words import answer, member_name, plan_in_short, proof
from workbench.report.blocks import Picture, Section, Table, Text, listed, section
from workbench.report.gather import Gathered, Optimum

SAID_OF_ALL: Final = (STORM, DRY)
"""Cautions that every report carries."""
COMMAND_HINT: Final = " Draw more with --draws."
"""What a client has no use for."""


def the_best_plan(of: Gathered) -> Section | None:
    """What a search for the best plan found."""
    optimum = of.optimum
    if optimum is None:
        return None
    found = optimum.found
    headings, rows = side_rows(found)
    plans = [f"{_flat(heading)}: {plan_in_short(member.outcome.scenario)}." for heading, member in sides_of(found)]
    return section(
        "optimum",
        "The best plan that a search found",
        Text(answer(found)),
        Text(optimum.why) if optimum.why else None,
        listed(plans),
        Table(
            "best-plans",
            "Best against best, per acre",
            ("measure", *(_flat(heading) for heading in headings)),
            tuple(tuple(row) for row in rows),
            "Searched by land expectation value.",
        ),
        Picture("best-timeline", _timeline_alt(optimum), lambda: timeline_figure(found)),
        Text(proof(found)),
    )


def _flat(heading: str) -> str:
    return heading.replace("\n", " ")


def _timeline_alt(optimum: Optimum) -> str:
    best = optimum.found.best
    tons = best.outcome.wood_ton_ac.sum(axis=1)
    cuts = [f"{tons[year]:.0f} tons in year {year}" for year in range(len(tons)) if tons[year] > 0.5]
    sold = f" Wood sold an acre: {', '.join(cuts)}." if cuts else ""
    return f"Line of time of the best plan, {member_name(best)}: {plan_in_short(best.outcome.scenario)}.{sold}"


def the_odds(of: Gathered) -> Section | None:
    """What draws of storms, fires and droughts leave of each use."""
    odds = of.odds
    if odds is None:
        return None
    risks = dict.fromkeys(BY_KIND[kind] for kind in odds.hazards if kind in BY_KIND)
    more = [line for line in risks if line not in SAID_OF_ALL]
    return section(
        "odds",
        "Risk: what may strike",
        Text(f"{sentence(odds)} So it is in {odds.draws:,} draws of {odds.scenario.money.horizon_years} years each."),
        Table("odds", "What the draws bring, per acre", ("measure", *odds_names(odds).values()), _rows(odds)),
        Picture("odds-cash", _fan_alt(odds), lambda: fan_figure(odds)),
        listed([*(line.removesuffix(COMMAND_HINT) for line in notes(odds)), *more]),
    )


def _rows(odds: Odds) -> tuple[tuple[str, ...], ...]:
    """Rows of the table; what stands indented under a heading of its own is named in full."""
    rows, head = [], ""
    for words, *cells in odds_rows(odds, None):
        if not any(cells):
            head = words
        else:
            rows.append((f"{head}: {words.strip()}" if words.startswith(" ") else words, *cells))
    return tuple(rows)


def _fan_alt(odds: Odds) -> str:
    names = odds_names(odds)
    said = []
    for system, drawn in odds.systems.items():
        low, middle, high = _tenths(drawn.cumulative[:, -1].tolist())
        said.append(f"{names[system]} ${middle:,.0f}, eight draws of ten from ${low:,.0f} to ${high:,.0f}")
    return f"Bands of cumulative cash an acre over the years. In the last year: {'; '.join(said)}.".replace("$-", "-$")


def _tenths(values: list[float]) -> tuple[float, float, float]:
    low, middle, high = np.quantile(values, TENTHS)
    return float(low), float(middle), float(high)
