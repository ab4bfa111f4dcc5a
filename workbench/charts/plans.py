"""Chart of several plans beside each other: what each earns, and what its land would earn used singly."""

import textwrap
from collections.abc import Sequence

from matplotlib.figure import Figure

from workbench.charts.style import INK, SMALL_PT, SYSTEM_INK, house_style
from workbench.charts.yearly_bars import bars_panel, finish_bars, in_dollars, write_beyond

NAME_CHARACTERS = 22
STEP = 0.27


def plans_figure(plans: Sequence[tuple[str, Sequence[tuple[str, str, float]]]], finding: str) -> Figure:
    """Draw a group of bars a plan.

    Parameters
    ----------
    plans
        Title of each plan and, for each use of its land, the key of the system, its name and its equal annual
        income [$/ac/yr].
    finding
        What it shows.

    Returns
    -------
    Figure
    """
    with house_style():
        figure, axes = bars_panel(1.1 + 0.62 * len(plans), finding)
        for place, (_, uses) in enumerate(plans):
            for lane, (system, name, income) in enumerate(uses):
                at = place + STEP * (lane - (len(uses) - 1) / 2.0)
                ink, said = SYSTEM_INK[system], f"{in_dollars(income)} {name}"
                axes.barh(at, income, 0.9 * STEP, color=ink.color)
                write_beyond(axes, said, (income, at), right=income >= 0, fontsize=SMALL_PT - 0.5, color=ink.words)
        axes.axvline(0.0, color=INK, linewidth=0.6)
        names = [textwrap.fill(title, NAME_CHARACTERS) for title, _ in plans]
        finish_bars(axes, names, "equal annual income [$/ac a year]", 0.28)
    return figure
