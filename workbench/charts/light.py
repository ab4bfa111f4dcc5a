"""Chart of the grass: light that reaches it, what grows, and what is grazed and cut."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import PercentFormatter, StrMethodFormatter

from simulator.comparison import Comparison
from simulator.result import Outcome
from workbench.charts.cuts import mark_cuts
from workbench.charts.style import (
    SYSTEM_INK,
    house_style,
    label_line_ends,
    letter_figure,
    system_name,
    write_finding,
    write_side_note,
    year_axis,
    year_words,
)

USES = (
    ("animal_unit_months_ac", "grazed\n[animal-unit months/ac]", "Grazing"),
    ("hay_ton_ac", "hay cut\n[tons/ac]", "Hay"),
    ("straw_bales_ac", "straw raked\n[bales/ac]", "Pine straw"),
)
LIT = ("silvopasture", "kept_up", "open_later", "plantation")
"""Systems whose light is worth a line; open pasture is the top of the scale."""


def light_and_forage_figure(comparison: Comparison) -> Figure:
    """Draw the light on the grass, the forage grown, and its use, year by year.

    Parameters
    ----------
    comparison
        Three systems on one piece of land.

    Returns
    -------
    Figure
        A year's value is drawn over the year that ends at its number; cuts fall at the end of their year.
    """
    used = [use for use in USES if any(outcome.states[use[0]].any() for outcome in comparison.systems.values())]
    with house_style():
        ratios = [2.7, 2.2, *(1.15 for _ in used)]
        figure = letter_figure(1.3 + 1.05 * sum(ratios))
        panels = figure.subplots(len(ratios), 1, gridspec_kw={"height_ratios": ratios})
        write_finding(figure, _finding(comparison))
        for place, panel in enumerate(panels):
            last = place == len(panels) - 1
            year_axis(panel, _horizon(comparison), label=last, numbers=last, words=year_words(comparison))
            panel.grid(axis="y")
        _draw_light(panels[0], comparison)
        _draw_forage(panels[1], comparison)
        for panel, use in zip(panels[2:], used, strict=True):
            _draw_use(panel, comparison, *use)
    return figure


def _horizon(comparison: Comparison) -> int:
    return len(comparison.systems["silvopasture"].cash_per_ac) - 1


def _lit(comparison: Comparison) -> list[str]:
    return [name for name in LIT if name in comparison.systems]


def _finding(comparison: Comparison) -> str:
    opened = _mean_forage(comparison.systems["pasture"])
    if opened <= 0:
        return "Light on the grass and what grows in it"
    parts = [
        f"{system_name(comparison, name)} {_mean_forage(comparison.systems[name]) / opened:.0%}"
        for name in _lit(comparison)
    ]
    over = "to the horizon" if comparison.systems["pasture"].lives else "in a cycle"
    return f"Forage grown {over} against open pasture: {', '.join(parts)}"


def _mean_forage(outcome: Outcome) -> float:
    """Mean of the first cycle, as in the land equivalent ratio; to the horizon where a stand was found."""
    if outcome.lives:
        return float(outcome.cycle_forage_lb_ac.mean())
    return float(outcome.states["forage_lb_ac"][1 : outcome.flows.cycle_yr + 1].mean())


def _with_trees(comparison: Comparison) -> dict[str, Outcome]:
    return {name: outcome for name, outcome in comparison.systems.items() if outcome.scenario.trees is not None}


def _draw_light(axes: Axes, comparison: Comparison) -> None:
    ends = []
    for name in _lit(comparison):
        states, ink = comparison.systems[name].states, SYSTEM_INK[name]
        edges = np.arange(len(states["light_warm"]))
        axes.stairs(
            states["light_warm"][1:], edges, baseline=None, color=ink.color, linewidth=1.7, gid=f"light-warm-{name}"
        )
        axes.stairs(
            states["light_cool"][1:], edges, baseline=None, color=ink.color, linewidth=0.8, linestyle=(0, (2, 1.2)),
            gid=f"light-cool-{name}",
        )  # fmt: skip
        ends.append((float(states["light_warm"][-1]), system_name(comparison, name), ink.words))
    axes.set_ylim(0.0, 1.04)
    axes.yaxis.set_major_formatter(PercentFormatter(1.0))
    axes.set_ylabel("light on the grass ground\n[% of open light]")
    pad = mark_cuts(axes, _with_trees(comparison))
    axes.set_title("Light", pad=pad)
    write_side_note(axes, "thick: warm season; thin, dashed: cool season", pad=pad)
    label_line_ends(axes, ends, least_gap=0.075)


def _draw_forage(axes: Axes, comparison: Comparison) -> None:
    ends = []
    for name, outcome in comparison.systems.items():
        forage, ink = outcome.states["forage_lb_ac"], SYSTEM_INK[name]
        axes.stairs(
            forage[1:], np.arange(len(forage)), baseline=None, color=ink.color, linestyle=ink.dash, linewidth=1.7,
            gid=f"forage-{name}",
        )  # fmt: skip
        ends.append((float(forage[-1]), system_name(comparison, name), ink.words))
    axes.set_ylim(0.0, 1.08 * max(axes.get_ylim()[1] / 1.05, 1.0))
    axes.yaxis.set_major_formatter(StrMethodFormatter("{x:,.0f}"))
    axes.set_ylabel("forage grown\n[lb dry matter/ac]")
    axes.set_title("Forage grown, used or not")
    write_side_note(axes, "per acre of the whole field, tree strips included")
    mark_cuts(axes, _with_trees(comparison), labels=False)
    label_line_ends(axes, ends, least_gap=0.095)


def _draw_use(axes: Axes, comparison: Comparison, column: str, label: str, title: str) -> None:
    ends = []
    for name, outcome in comparison.systems.items():
        values, ink = outcome.states[column], SYSTEM_INK[name]
        if not values.any():
            continue
        edges = np.arange(len(values))
        if name == "silvopasture":
            axes.stairs(values[1:], edges, fill=True, color=ink.color, alpha=0.55, gid=f"{column}-{name}")
        else:
            axes.stairs(
                values[1:], edges, baseline=None, color=ink.color, linestyle=ink.dash, linewidth=1.4,
                gid=f"{column}-{name}",
            )  # fmt: skip
        ends.append((float(values[np.flatnonzero(values)[-1]]), system_name(comparison, name), ink.words))
    axes.set_ylim(0.0, 1.12 * max(axes.get_ylim()[1] / 1.05, 1e-6))
    axes.set_ylabel(label)
    missing = [system_name(comparison, n) for n, o in comparison.systems.items() if not o.states[column].any()]
    axes.set_title(title)
    if missing:
        write_side_note(axes, f"none: {', '.join(missing)}")
    label_line_ends(axes, ends, least_gap=0.17)
