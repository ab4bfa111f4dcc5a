"""Chart of several plans beside each other: what each earns, and what its land would earn used singly."""

import textwrap
from collections.abc import Sequence

import numpy as np
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter

from workbench.charts.style import INK, SMALL_PT, SYSTEM_INK, house_style, letter_figure, write_finding
from workbench.words import dollars

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
        figure = letter_figure(1.1 + 0.62 * len(plans))
        write_finding(figure, finding)
        axes = figure.subplots()
        for place, (_, uses) in enumerate(plans):
            for lane, (system, name, income) in enumerate(uses):
                at = place + STEP * (lane - (len(uses) - 1) / 2.0)
                axes.barh(at, income, 0.9 * STEP, color=SYSTEM_INK[system].color)
                right = income >= 0
                axes.annotate(
                    f"{dollars(income, yearly=True)} {name}".replace("-$", "−$"), (income, at), (3 if right else -3, 0),
                    textcoords="offset points", va="center_baseline", ha="left" if right else "right",
                    fontsize=SMALL_PT - 0.5, color=SYSTEM_INK[system].words,
                )  # fmt: skip
        axes.set_yticks(np.arange(len(plans)), [textwrap.fill(title, NAME_CHARACTERS) for title, _ in plans])
        axes.invert_yaxis()
        axes.axvline(0.0, color=INK, linewidth=0.6)
        axes.margins(x=0.28)
        axes.tick_params(axis="y", length=0)
        axes.set_xlabel("equal annual income [$/ac a year]")
        axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: dollars(value, yearly=True).replace("-$", "−$")))
    return figure
