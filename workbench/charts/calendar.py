"""Chart of a property: which tract is planted, thinned, cut, hayed and grazed in which year, and the money."""

from typing import Final

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.ticker import FuncFormatter

from optimize.property.plan import PropertyPlan
from workbench.charts.style import (
    ENTERPRISE_COLOR,
    FAINT,
    INK,
    PAPER,
    SMALL_PT,
    house_style,
    letter_figure,
    write_finding,
    write_small_print,
    year_axis,
)
from workbench.property_words import dollars

MARKS: Final = {"planted": ("^", "#3f7a38", 36), "thinned": ("o", "#d98a2b", 30), "harvested": ("X", "#5a3a22", 46)}
MARK_NAMES: Final = {"planted": "planted", "thinned": "thinned", "harvested": "final cut"}
ROW_IN: Final = 0.3
NAME_CHARACTERS: Final = 22


def calendar_figure(plan: PropertyPlan, title: str) -> Figure:
    """Draw a property's calendar, tract by year, above its yearly cash.

    Parameters
    ----------
    plan
        A plan with its tracts.
    title
        Name of the property.

    Returns
    -------
    Figure
        Two panels; years count from now.
    """
    count = len(plan.tracts)
    with house_style():
        figure = letter_figure(3.4 + ROW_IN * count)
        upper, lower = figure.subplots(2, 1, gridspec_kw={"height_ratios": [0.6 + ROW_IN * count, 1.7]})
        write_finding(figure, f"{title or 'Property'}: {count} tracts, worth {dollars(plan.value)} together")
        _draw_tracts(upper, plan)
        _draw_cash(lower, plan)
        write_small_print(
            figure,
            "Real dollars of the whole property before income tax, end values left out. A comparison of plans at the "
            "prices of the files, no appraisal and no advice.",
        )
    return figure


def _draw_tracts(axes: Axes, plan: PropertyPlan) -> None:
    last = len(plan.flows["cash"]) - 1
    for place, _ in enumerate(plan.tracts):
        jobs = plan.jobs(place)
        axes.barh(place, last + 1, 0.78, left=-0.5, color="#f1f3f0", linewidth=0, zorder=0.5)
        for job, color, base, height in (
            ("grazed", ENTERPRISE_COLOR["grazing"], 0.39, -0.2),
            ("hay", ENTERPRISE_COLOR["hay"], 0.19, -0.2),
        ):
            axes.bar(jobs[job], height, 1.0, bottom=place + base, color=color, linewidth=0, zorder=1)
        for job, (mark, color, size) in MARKS.items():
            at = np.full(len(jobs[job]), place - 0.17)
            # a cut and the planting after it share a year: the planting stands a little later
            moved = jobs[job] + (0.45 if job == "planted" else 0.0) * np.isin(jobs[job], jobs["harvested"])
            axes.scatter(moved, at, size, marker=mark, color=color, edgecolors=PAPER, linewidths=0.5, zorder=3)
    names = [f"{_short(tract.name)}\n{tract.acres:g} ac" for tract in plan.tracts]
    axes.set_yticks(range(len(names)), names)
    axes.set_ylim(len(names) - 0.5, -0.5)
    axes.tick_params(axis="y", length=0)
    year_axis(axes, last, label=False)
    axes.grid(axis="x")
    handles: list[Artist] = [
        Line2D([], [], linestyle="", marker=mark, color=color, markersize=6, label=MARK_NAMES[job])
        for job, (mark, color, _) in MARKS.items()
    ]
    handles += [
        Patch(color=ENTERPRISE_COLOR["hay"], label="hay"),
        Patch(color=ENTERPRISE_COLOR["grazing"], label="grazed"),
    ]
    axes.legend(handles=handles, loc="lower left", bbox_to_anchor=(0.0, 1.0), ncols=len(handles), borderaxespad=0.2)


def _short(name: str) -> str:
    return name if len(name) <= NAME_CHARACTERS else f"{name[: NAME_CHARACTERS - 1]}…"


def _draw_cash(axes: Axes, plan: PropertyPlan) -> None:
    cash = plan.flows["cash"] / 1000.0
    years = np.arange(len(cash))
    axes.bar(years, cash, 0.8, color=np.where(cash >= 0, ENTERPRISE_COLOR["wood"], "#b0413a"), linewidth=0)
    axes.axhline(0.0, color=INK, linewidth=0.6)
    if len(plan.balance):
        axes.plot(years, plan.balance / 1000.0, drawstyle="steps-mid", color=FAINT, linewidth=1.0)
        axes.annotate(
            "on hand", (years[-1], plan.balance[-1] / 1000.0), (-2, 3), textcoords="offset points",
            ha="right", color=FAINT, fontsize=SMALL_PT,
        )  # fmt: skip
    axes.set_ylabel("cash [$1,000]")
    axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:,.0f}".replace("-", "−")))
    axes.grid(axis="y")
    axes.set_title("Net cash of all tracts in the year" + (", and money on hand" if len(plan.balance) else ""))
    year_axis(axes, len(cash) - 1, label=True, words="years from now")
