"""Chart of waiting: what thinning is worth by its year, and at which price to act in each year."""

import math

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator, StrMethodFormatter

from optimize.waiting.answer import Answer
from optimize.waiting.moving import ALL_WOOD
from optimize.waiting.program import Program
from optimize.waiting.stages import CLEAR, HOLD, THIN
from simulator.units import FloatArray
from workbench.charts.style import (
    FAINT,
    INK,
    PAPER,
    SMALL_PT,
    SYSTEM_INK,
    house_style,
    label_line_ends,
    letter_figure,
    write_finding,
    write_side_note,
    write_small_print,
)
from workbench.waiting_prices import ACTIONS, item_words
from workbench.waiting_words import sentence, verdict

BANDS = {HOLD: "#e6ecec", THIN: "#8fc1c0", CLEAR: "#c7a37f"}
"""Leave, thin, clearcut: light, middle, dark enough for a photocopier."""
FAR_TIMES = 2.2
"""The axis of prices ends at so many times today's price."""


def waiting_figure(found: Answer, item: str, unit: str) -> Figure:
    """Draw the worth of thinning by its year beside the other answers, and the price to act at by year.

    Parameters
    ----------
    found
        The answer.
    item, unit
        The price, and what it is counted in.
    """
    with house_style():
        figure = letter_figure(5.4)
        write_finding(figure, sentence(found))
        worth, price = figure.subplots(2, 1, sharex=True, height_ratios=[1.25, 1.0])
        _draw_worth(worth, found)
        _draw_prices(price, found.programs[item], item, unit)
        last = found.question.longest_wait
        price.set_xlabel("year of the first thinning, from now")
        price.set_xticks(range(0, last + 1, 1 if last <= 10 else 2))
        price.set_xlim(-0.5, last + 0.5)
        write_small_print(
            figure,
            f"Each answer at its own best harvest; real rate {found.grown.rate:.1%} a year. A diameter "
            "class reaches a better product in one year, so that neighbouring years differ in jumps. Below: what to do "
            "with the stand still unthinned in that year, other prices standing; prices and their movements are "
            "invented unless the file states them. Not advice: ask a registered forester.",
        )
    return figure


def _draw_worth(panel: Axes, found: Answer) -> None:
    values = np.array([choice.present_value for choice in found.thinned])
    ink = SYSTEM_INK["silvopasture"]
    waits = np.arange(len(values))
    panel.plot(waits, values, color=ink.color, marker="o", markersize=4.5)
    best = found.best_wait
    if best is not None:
        panel.plot(best, values[best], marker="o", markersize=10, markerfacecolor="none", markeredgecolor=INK)
    ends = [(float(values[np.isfinite(values)][-1]), "thinned in\nthat year", ink.words)] if best is not None else []
    others = [
        ("never thinned", found.hold.present_value, "plantation"),
        ("clearcut now", found.clearcut.present_value, "pasture"),
    ]
    if found.kept is not None and found.kept.measures.land_expectation is not None:
        others.append(("thinned now for\nwood, no grass", found.kept.measures.land_expectation, "open_later"))
    for name, value, key in others:
        style = SYSTEM_INK[key]
        panel.axhline(value, color=style.color, linestyle=style.dash, linewidth=1.3)
        ends.append((value, name, style.words))
    _write_values(panel, values)
    panel.set_ylabel("land and stand [$/ac]")
    panel.yaxis.set_major_formatter(StrMethodFormatter("{x:,.0f}"))
    panel.yaxis.set_major_locator(MaxNLocator(6))
    panel.margins(y=0.14)
    panel.grid(axis="y")
    label_line_ends(panel, ends, least_gap=0.11)
    kind = verdict(found).kind.replace("_", " ")
    write_side_note(
        panel, f"the ring: best year to thin; best of the table: {'never thin' if kind == 'hold' else kind}"
    )


def _write_values(panel: Axes, values: FloatArray) -> None:
    """Write each worth below its point, or that the thinning cannot be done."""
    for wait, value in enumerate(values.tolist()):
        if math.isfinite(value):
            panel.annotate(
                f"{value:,.0f}",
                (wait, value),
                (0, -13),
                textcoords="offset points",
                ha="center",
                fontsize=SMALL_PT,
                bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 0.8},
            )
        else:
            panel.text(wait, 0.03, "cannot", transform=panel.get_xaxis_transform(), ha="center", fontsize=SMALL_PT)


def _draw_prices(panel: Axes, program: Program, item: str, unit: str) -> None:
    """Bands of prices by year: leave, thin, clearcut."""
    today = float(program.market.today[0])
    scale = 100.0 if item == ALL_WOOD else 1.0
    top = FAR_TIMES * today * scale
    for year, ranges in enumerate(program.ranges):
        for each in ranges:
            low, high = each.low * scale, min(each.high * scale, top)
            if low < top:
                panel.bar(
                    year, high - low, bottom=low, width=0.86, color=BANDS[each.action], edgecolor="white", linewidth=0.5
                )
                if (high - low) / top > 0.12:
                    panel.text(
                        year,
                        low + 0.3 * (high - low),
                        ACTIONS[each.action],
                        ha="center",
                        va="center",
                        fontsize=SMALL_PT - 0.5,
                    )
    panel.axhline(today * scale, color=INK, linestyle=":", linewidth=1.2)
    panel.text(
        1.012, today * scale / top, "today", color=INK, transform=panel.transAxes, va="center", fontsize=SMALL_PT + 0.5
    )
    panel.set_ylim(0.0, top)
    panel.set_ylabel("all wood [% of today's]" if item == ALL_WOOD else f"{item_words(item)} [{unit}]")
    panel.tick_params(axis="x", length=0)
    panel.set_title("What to do at which price, if the stand is still unthinned", fontsize=8.5)
    panel.spines["left"].set_color(FAINT)
