"""Charts of draws of hazards: bands of cumulative cash, and how the yearly income is spread."""

from typing import Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator, StrMethodFormatter

from optimize.risk.found import Drawn, Odds
from optimize.risk.summary import TENTHS, value_at_risk
from workbench.charts.style import (
    FAINT,
    INK,
    SMALL_PT,
    SYSTEM_INK,
    YEARS_OF_A_PLANTING,
    YEARS_OF_A_STAND,
    house_style,
    letter_figure,
    write_finding,
    write_side_note,
    write_small_print,
    year_axis,
)
from workbench.odds_words import ILLUSTRATIVE, draws_in_words, odds_names, sentence
from workbench.words import dollars

BINS: Final = 44
BROAD: Final = (0.005, 0.995)
"""Part of the draws that the axis of incomes shows; the rest is counted in the outermost bars."""


def fan_figure(odds: Odds) -> Figure:
    """Draw the cumulative cash of each system: half the draws above the line, eight in ten within the band.

    Parameters
    ----------
    odds
        What was drawn.
    """
    names = odds_names(odds)
    with house_style():
        figure = letter_figure(1.2 + 1.9 * len(names))
        panels = np.atleast_1d(figure.subplots(len(names), 1, sharex=True, sharey=True))
        write_finding(figure, _deepest_finding(odds))
        for panel, (system, drawn) in zip(panels, odds.systems.items(), strict=True):
            _fan(panel, system, names[system], drawn)
        words = YEARS_OF_A_STAND if odds.scenario.stand else YEARS_OF_A_PLANTING
        for panel in panels:
            year_axis(
                panel,
                odds.scenario.money.horizon_years,
                label=panel is panels[-1],
                numbers=panel is panels[-1],
                words=words,
            )
        write_small_print(
            figure, f"Cumulative cash, undiscounted, end values left out. {odds.draws:,} draws. {ILLUSTRATIVE}"
        )
    return figure


def _deepest_finding(odds: Odds) -> str:
    names = odds_names(odds)
    said = [
        f"{dollars(-float(np.quantile(drawn.deepest, TENTHS[0])))} with {names[system]}"
        for system, drawn in odds.systems.items()
    ]
    return f"In 9 of 10 draws the money out in an acre never passes {', '.join(said)}"


def _fan(panel: Axes, system: str, name: str, drawn: Drawn) -> None:
    ink, years = SYSTEM_INK[system], np.arange(drawn.cash.shape[1])
    low, middle, high = np.quantile(drawn.cumulative, TENTHS, axis=0)
    panel.fill_between(years, low, high, color=ink.color, alpha=0.25, linewidth=0, label="8 of 10 draws")
    panel.plot(years, np.quantile(drawn.cumulative, 0.02, axis=0), color=ink.color, linewidth=0.7, linestyle=":")
    panel.plot(years, middle, color=ink.color, label="half the draws above")
    panel.axhline(0.0, color=INK, linewidth=0.6)
    panel.set_title(name, color=ink.words)
    panel.set_ylabel("$/ac")
    panel.yaxis.set_major_formatter(StrMethodFormatter("{x:,.0f}"))
    panel.yaxis.set_major_locator(MaxNLocator(5))
    panel.grid(axis="y")
    write_side_note(panel, "line: half the draws above; band: 8 of 10 draws; dots: 2 of 100 draws below")


def income_odds_figure(odds: Odds) -> Figure:
    """Draw how many draws bring which yearly income, one system below the other.

    Parameters
    ----------
    odds
        What was drawn.
    """
    names = odds_names(odds)
    low, high = _limits(odds)
    with house_style():
        figure = letter_figure(1.3 + 1.5 * len(names))
        panels = np.atleast_1d(figure.subplots(len(names), 1, sharex=True))
        write_finding(figure, sentence(odds))
        for panel, (system, drawn) in zip(panels, odds.systems.items(), strict=True):
            _bars(panel, system, drawn, np.linspace(low, high, BINS + 1))
            panel.set_title(names[system], color=SYSTEM_INK[system].words)
            loses, risk = draws_in_words(float((drawn.worth < 0).mean())), value_at_risk(drawn.income)
            write_side_note(panel, f"below zero in {loses}; 5 of 100 draws below {dollars(risk, yearly=True)}")
        panels[-1].set_xlabel("equal annual income [$/ac/yr]")
        write_small_print(
            figure,
            f"{odds.draws:,} draws; the outermost bars hold what lies beyond. Solid mark: half the draws earn more; "
            f"open mark: nothing strikes. {ILLUSTRATIVE}",
        )
    return figure


def _limits(odds: Odds) -> tuple[float, float]:
    incomes = np.array([drawn.income for drawn in odds.systems.values()])
    marks = [drawn.untouched for drawn in odds.systems.values()]
    low, high = np.quantile(incomes, BROAD)
    low, high = min(float(low), *marks), max(float(high), *marks)
    room = max(0.03 * (high - low), 0.5)
    return low - room, high + room


def _bars(panel: Axes, system: str, drawn: Drawn, edges: np.ndarray) -> None:
    within = np.clip(drawn.income, edges[0], np.nextafter(edges[-1], edges[0]))
    count, _ = np.histogram(within, edges)
    share = 100.0 * count / len(within)
    color = SYSTEM_INK[system].color
    panel.bar(edges[:-1], share, width=np.diff(edges) * 0.92, align="edge", color=color)
    top = float(share.max()) * 1.16
    panel.plot(float(np.median(drawn.income)), top, marker="v", markersize=6, color=color)
    panel.plot(drawn.untouched, top, marker="v", markersize=6, markerfacecolor="none", markeredgecolor=INK)
    panel.axvline(0.0, color=FAINT, linewidth=0.8)
    panel.set_ylim(0.0, top * 1.12)
    panel.set_ylabel("draws in 100", fontsize=SMALL_PT)
    panel.yaxis.set_major_locator(MaxNLocator(3))
