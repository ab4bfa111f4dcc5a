"""Chart of the grass: light that reaches it, what grows, and what is grazed and cut."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import PercentFormatter, StrMethodFormatter

from simulator.comparison import Comparison
from simulator.result import Outcome
from workbench.charts.cuts import mark_cuts
from workbench.charts.style import (
    FAINT,
    LETTER_WIDTH_IN,
    SMALL_PT,
    SYSTEM_INK,
    house_style,
    label_line_ends,
    system_name,
    year_axis,
)

USES = (
    ("animal_unit_months_ac", "grazed\n[animal-unit months/ac]", "Grazing"),
    ("hay_ton_ac", "hay cut\n[tons/ac]", "Hay"),
    ("straw_bales_ac", "straw raked\n[bales/ac]", "Pine straw"),
)
COOL_WIDTH = 0.8


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
        ratios = [3.0, 2.4, *(1.3 for _ in used)]
        figure = Figure(figsize=(LETTER_WIDTH_IN, 1.3 + 1.05 * sum(ratios)), layout="constrained")
        figure.get_layout_engine().set(hspace=0.02, h_pad=0.05, w_pad=0.06)  # type: ignore[union-attr]
        panels = figure.subplots(len(ratios), 1, gridspec_kw={"height_ratios": ratios})
        figure.suptitle(_finding(comparison), x=0.01, ha="left")
        for place, panel in enumerate(panels):
            year_axis(panel, _horizon(comparison), label=place == len(panels) - 1)
            panel.grid(axis="y")
        _draw_light(panels[0], comparison)
        _draw_forage(panels[1], comparison)
        for panel, use in zip(panels[2:], used, strict=True):
            _draw_use(panel, comparison, *use)
    return figure


def _horizon(comparison: Comparison) -> int:
    return len(comparison.systems["silvopasture"].cash_per_ac) - 1


def _finding(comparison: Comparison) -> str:
    grown = {name: outcome.states["forage_lb_ac"][1:] for name, outcome in comparison.systems.items()}
    opened = grown["pasture"].mean()
    if opened <= 0:
        return "Light on the grass and what grows in it"
    parts = [f"{system_name(comparison, name)} {grown[name].mean() / opened:.0%}" for name in _lit(comparison)]
    return f"Forage grown over {_horizon(comparison)} years against open pasture: {', '.join(parts)}"


def _lit(comparison: Comparison) -> list[str]:
    """Systems whose light is worth a line; open pasture is the top of the scale."""
    return ["silvopasture", "plantation"]


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
            states["light_cool"][1:], edges, baseline=None, color=ink.color, linewidth=COOL_WIDTH, linestyle=(0, (2, 1.2)),
            gid=f"light-cool-{name}",
        )  # fmt: skip
        ends.append((float(states["light_warm"][-1]), system_name(comparison, name), ink.color))
    axes.set_ylim(0.0, 1.04)
    axes.yaxis.set_major_formatter(PercentFormatter(1.0))
    axes.set_ylabel("light on the grass ground\n[% of open light]")
    axes.set_title("Light: thick, warm season; thin and dashed, cool season", pad=24.0)
    mark_cuts(axes, _with_trees(comparison))
    label_line_ends(axes, ends, least_gap=0.075)


def _draw_forage(axes: Axes, comparison: Comparison) -> None:
    ends = []
    for name, outcome in comparison.systems.items():
        forage, ink = outcome.states["forage_lb_ac"], SYSTEM_INK[name]
        axes.stairs(
            forage[1:], np.arange(len(forage)), baseline=None, color=ink.color, linestyle=ink.dash, linewidth=1.7,
            gid=f"forage-{name}",
        )  # fmt: skip
        ends.append((float(forage[-1]), system_name(comparison, name), ink.color))
    axes.set_ylim(0.0, 1.08 * max(axes.get_ylim()[1] / 1.05, 1.0))
    axes.yaxis.set_major_formatter(StrMethodFormatter("{x:,.0f}"))
    axes.set_ylabel("forage grown\n[lb dry matter/ac]")
    axes.set_title("Forage, per acre of the whole field, rows and strips included")
    mark_cuts(axes, _with_trees(comparison), labels=False)
    label_line_ends(axes, ends, least_gap=0.095)


def _draw_use(axes: Axes, comparison: Comparison, column: str, label: str, title: str) -> None:
    ends = []
    for name, outcome in comparison.systems.items():
        values, ink = outcome.states[column], SYSTEM_INK[name]
        if not values.any():
            continue
        filled = name == "silvopasture"
        axes.stairs(
            values[1:], np.arange(len(values)), fill=filled, color=ink.color, linestyle="-" if filled else ink.dash,
            linewidth=0.0 if filled else 1.4, alpha=0.55 if filled else 1.0, gid=f"{column}-{name}",
        )  # fmt: skip
        ends.append((float(values[-1]), system_name(comparison, name), ink.color))
    axes.set_ylim(0.0, 1.12 * max(axes.get_ylim()[1] / 1.05, 1e-6))
    axes.set_ylabel(label)
    missing = [system_name(comparison, n) for n, o in comparison.systems.items() if not o.states[column].any()]
    axes.set_title(title)
    if missing:
        axes.set_title(f"none: {', '.join(missing)}", loc="right", fontsize=SMALL_PT, fontweight="normal", color=FAINT)
    label_line_ends(axes, ends, least_gap=0.17)
