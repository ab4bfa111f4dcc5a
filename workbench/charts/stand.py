"""Chart of the trees: height, diameter, basal area and number through time."""

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from simulator.comparison import Comparison
from simulator.result import Outcome
from workbench.charts.cuts import cuts_of, mark_cuts, path_through_cuts
from workbench.charts.style import (
    SMALL_PT,
    SYSTEM_INK,
    house_style,
    letter_figure,
    system_name,
    write_finding,
    write_small_print,
    year_axis,
    year_words,
)

PANELS: Sequence[tuple[str, str, str]] = (
    ("dominant_height_ft", "Dominant height", "[ft]"),
    ("quadratic_mean_dbh_in", "Quadratic mean dbh", "[in]"),
    ("basal_area_ft2_ac", "Basal area", "[ft²/ac]"),
    ("trees_per_ac", "Trees", "[trees/ac]"),
)


def stand_figure(comparison: Comparison) -> Figure:
    """Draw how the trees grow beside grass and alone, with the drop of every cut.

    Parameters
    ----------
    comparison
        Three systems on one piece of land.

    Returns
    -------
    Figure
        Four panels over the years.
    """
    systems = {name: outcome for name, outcome in comparison.systems.items() if _keeps_trees(outcome)}
    with house_style():
        figure = letter_figure(6.0)
        write_finding(figure, _finding(comparison, systems))
        panels = figure.subplots(2, 2).ravel()
        for place, (panel, (column, title, unit)) in enumerate(zip(panels, PANELS, strict=True)):
            year_axis(
                panel,
                len(comparison.systems["silvopasture"].cash_per_ac) - 1,
                label=place > 1,
                words=year_words(comparison),
            )
            panel.grid(axis="y")
            panel.set_ylabel(unit)
            _draw_column(panel, systems, column)
            panel.set_title(title, pad=mark_cuts(panel, systems, labels=place < 2))
        _name_lines(figure, comparison, systems)
    return figure


def _keeps_trees(outcome: Outcome) -> bool:
    """Whether trees stand after year 0: a stand that is cleared today leaves nothing to draw."""
    return outcome.scenario.trees is not None and bool(outcome.states["trees_per_ac"][1:].any())


def _finding(comparison: Comparison, systems: dict[str, Outcome]) -> str:
    """Say what is cut at last, or what stands at the horizon where the harvest lies beyond it."""
    parts, whole = [], True
    for name, outcome in systems.items():
        final = next((cut.year for cut in cuts_of(outcome) if cut.final), None)
        whole = whole and final is not None
        year = len(outcome.cash_per_ac) - 1 if final is None else final
        dbh, trees = outcome.states["quadratic_mean_dbh_in"][year], outcome.states["trees_per_ac"][year]
        parts.append(f"{system_name(comparison, name)} {trees:.0f} of {dbh:.1f} in")
    return f"Trees an acre at the harvest{'' if whole else ' or the horizon'}: {', '.join(parts)}"


def _draw_column(axes: Axes, systems: dict[str, Outcome], column: str) -> None:
    for name, outcome in systems.items():
        ink = SYSTEM_INK[name]
        years, values = path_through_cuts(outcome, column)
        wide = 2.2 if name == "plantation" and column == "dominant_height_ft" else 1.6
        axes.plot(years, values, color=ink.color, linestyle=ink.dash, linewidth=wide, gid=f"{column}-{name}")
        _bridge_unknown_drops(axes, outcome, column, ink.color)
    axes.set_ylim(bottom=0.0)


def _bridge_unknown_drops(axes: Axes, outcome: Outcome, column: str, color: str) -> None:
    """Join what stood before a thinning to the season after it, dotted: the state between is not recorded."""
    if column not in {"quadratic_mean_dbh_in", "basal_area_ft2_ac"}:
        return
    values = outcome.states[column]
    for cut in cuts_of(outcome):
        if not cut.final and cut.year + 1 < len(values):
            span = slice(cut.year, cut.year + 2)
            axes.plot(np.arange(len(values))[span], values[span], color=color, linewidth=1.2, linestyle=(0, (1, 1)))


def _name_lines(figure: Figure, comparison: Comparison, systems: dict[str, Outcome]) -> None:
    heights, _, below, _ = figure.axes
    handles = [line for line in heights.get_lines() if str(line.get_gid()).startswith("dominant_height")]
    names = [system_name(comparison, name) for name in systems]
    below.legend(
        handles, names, loc="upper left", bbox_to_anchor=(0.0, -0.27), ncols=2, handlelength=3.0, borderaxespad=0.0,
        fontsize=SMALL_PT + 0.5,
    )  # fmt: skip
    write_small_print(
        figure,
        "A cut falls at the end of its year. Dotted: from before a thinning to the season after it, because the "
        "smaller trees go first. Heights are of the dominant trees, which a thinning leaves. Cuts named above are "
        f'those of "{system_name(comparison, next(iter(systems)))}".',
    )
