"""Charts of a sweep: tornado, indices, elementary effects, and the output along each factor."""

import math
from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from optimize.sensitivity.study import Study
from workbench.charts.style import (
    FAINT,
    INK,
    SMALL_PT,
    house_style,
    letter_figure,
    write_finding,
    write_side_note,
    write_small_print,
)
from workbench.sweep_words import factor_value, figure_of, output_words

LOW_COLOR, HIGH_COLOR = "#d39a1f", "#14707c"
MOST_BARS = 20
MOST_PANELS = 12
ACROSS = 3


def tornado_figure(study: Study) -> Figure | None:
    """Draw how far each factor moves the output; None where none moves it."""
    if not any(swing.width > 0 for swing in study.swings):
        return None
    shown = study.swings[:MOST_BARS]
    with house_style():
        figure = letter_figure(1.5 + 0.24 * len(shown))
        first = shown[0]
        ends = figure_of(study, first.at_low), figure_of(study, first.at_high)
        low, high = (factor_value(study, first.name, end) for end in (first.low, first.high))
        moved = f"{ends[0]} at {low}, {ends[1]} at {high}"
        write_finding(figure, f"What moves {output_words(study)} most: {first.name}, {moved}")
        draw_tornado(figure.subplots(), study)
        write_small_print(figure, _how_ends_were_taken(study))
    return figure


def draw_tornado(axes: Axes, study: Study) -> None:
    """Draw the tornado of a study into a panel: one bar a factor, the widest on top."""
    shown = study.swings[:MOST_BARS]
    middle = study.middle
    for place, swing in enumerate(shown):
        for value, at, color in ((swing.low, swing.at_low, LOW_COLOR), (swing.high, swing.at_high, HIGH_COLOR)):
            axes.barh(place, at - middle, 0.72, left=middle, color=color)
            other = swing.at_high if value == swing.low else swing.at_low
            hidden = (at - middle) * (other - middle) > 0 and abs(at - middle) < abs(other - middle)
            side = 3 if (at >= middle) != hidden else -3
            axes.annotate(
                factor_value(study, swing.name, value), (middle if hidden else at, place), (side, 0),
                textcoords="offset points", va="center_baseline", ha="left" if side > 0 else "right",
                fontsize=SMALL_PT - 0.5,
            )  # fmt: skip
    axes.axvline(middle, color=INK, linewidth=0.6)
    axes.set_yticks(range(len(shown)), [swing.name for swing in shown])
    axes.invert_yaxis()
    axes.margins(x=0.14)
    axes.tick_params(axis="y", length=0)
    axes.set_xlabel(f"{output_words(study)} [{study.unit}]")
    more = len(study.swings) - len(shown)
    write_side_note(axes, f"ochre: factor low; blue: high{f'; {more} narrower ones not drawn' if more else ''}")


def _how_ends_were_taken(study: Study) -> str:
    if study.design == "one at a time":
        return "One factor at a time, everything else as in the scenario; the line is the scenario as it is."
    return (
        "Ends: mean output of the scenarios in the lowest and highest tenth of each factor (each value where there are "
        "few), all other factors varying; the line is the mean of all scenarios."
    )


def indices_figure(study: Study) -> Figure | None:
    """Draw Sobol' first and total indices with their intervals; None for other designs."""
    if study.sobol is None:
        return None
    names = sorted(study.sobol, key=lambda name: -study.sobol[name].total if study.sobol else 0.0)[:MOST_BARS]
    with house_style():
        figure = letter_figure(1.5 + 0.34 * len(names))
        leader = study.sobol[names[0]]
        write_finding(
            figure, f"{names[0]} has a part in {100 * leader.total:.0f} % of the spread of {output_words(study)}"
        )
        axes = figure.subplots()
        for shift, kind, color in ((-0.18, "first", HIGH_COLOR), (0.18, "total", LOW_COLOR)):
            values = [getattr(study.sobol[name], kind) for name in names]
            widths = [getattr(study.sobol[name], f"{kind}_half_width") for name in names]
            places = np.arange(len(names)) + shift
            axes.barh(places, values, 0.32, xerr=widths, color=color, error_kw={"linewidth": 0.7, "ecolor": INK})
        axes.set_yticks(range(len(names)), names)
        axes.invert_yaxis()
        axes.axvline(0.0, color=INK, linewidth=0.6)
        axes.tick_params(axis="y", length=0)
        axes.set_xlabel("share of the variance [1]")
        write_side_note(axes, "blue: by itself (first); ochre: with others too (total); lines: 95 % intervals")
        write_small_print(
            figure,
            "By itself: what would go if the factor were known; with others too: what would be left if it alone were "
            "unknown. They hold for the ranges and distributions of this sweep and for no others; below 0 or above 1: "
            "too few samples.",
        )
    return figure


def effects_figure(study: Study) -> Figure | None:
    """Draw Morris' effects, mean size against spread; None for other designs."""
    if study.morris is None:
        return None
    with house_style():
        figure = letter_figure(4.2)
        top = max(study.morris, key=lambda name: study.morris[name].mean_size if study.morris else 0.0)
        write_finding(figure, f"What moves {output_words(study)} most: {top}")
        axes = figure.subplots()
        for name, effect in study.morris.items():
            axes.plot(effect.mean_size, effect.spread, "o", color=HIGH_COLOR, markersize=4)
            axes.annotate(
                name, (effect.mean_size, effect.spread), (4, 3), textcoords="offset points", fontsize=SMALL_PT
            )
        most = max([effect.mean_size for effect in study.morris.values()])
        axes.plot([0.0, most], [0.0, most], color=FAINT, linewidth=0.6, linestyle=":")
        axes.set_xlim(left=0.0)
        axes.set_ylim(bottom=0.0)
        axes.margins(0.12)
        axes.set_xlabel(f"mean size of the effect of a factor's whole range [{study.unit}]")
        axes.set_ylabel(f"spread of the effect [{study.unit}]")
        write_side_note(axes, "above the dotted line an effect depends on the other factors or bends")
    return figure


def dependence_figure(study: Study) -> Figure | None:
    """Draw the output along each factor; None where no factor has two values."""
    names = [swing.name for swing in study.swings if len(study.along.get(swing.name, [])) > 1][:MOST_PANELS]
    if not names:
        return None
    rows = math.ceil(len(names) / ACROSS)
    with house_style():
        figure = letter_figure(1.0 + 1.7 * rows)
        write_finding(figure, f"{output_words(study, capital=True)} along each factor")
        panels: Sequence[Axes] = figure.subplots(rows, ACROSS, sharey=True, squeeze=False).ravel().tolist()
        for panel, name in zip(panels, names, strict=False):
            draw_dependence(panel, study, name)
        for panel in panels[len(names) :]:
            panel.set_visible(False)
        for panel in panels[::ACROSS]:
            panel.set_ylabel(f"[{study.unit}]")
        write_small_print(figure, "Line: mean over the other factors. Shaded: eight scenarios in ten.")
    return figure


def draw_dependence(axes: Axes, study: Study, name: str) -> None:
    """Draw the mean output and the middle eight tenths of it along one factor."""
    points = study.along[name]
    values = [point.value for point in points]
    axes.fill_between(
        values, [point.low for point in points], [point.high for point in points], color=HIGH_COLOR, alpha=0.15,
        linewidth=0,
    )  # fmt: skip
    axes.plot(values, [point.mean for point in points], color=HIGH_COLOR, marker=".", markersize=3)
    axes.grid(axis="y")
    unit = study.units.get(name, "")
    axes.set_xlabel(f"{name} [{unit}]" if unit else name, fontsize=SMALL_PT)
