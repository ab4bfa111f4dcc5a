"""Lying bars of yearly income: dollars at the end of each, and along the foot."""

from collections.abc import Sequence
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter

from workbench.charts.style import letter_figure, write_finding
from workbench.words import dollars


def bars_panel(height_in: float, finding: str) -> tuple[Figure, Axes]:
    """An empty figure of one panel under its finding; to be called and filled within the house style."""
    figure = letter_figure(height_in)
    write_finding(figure, finding)
    return figure, figure.subplots()


def in_dollars(income: float) -> str:
    """A yearly income [$/ac/yr] as a chart prints it, with a true minus."""
    return dollars(income, yearly=True).replace("-$", "−$")


def write_beyond(axes: Axes, words: str, end: tuple[float, float], *, right: bool, **look: Any) -> None:  # noqa: ANN401
    """Write words beyond the end of a bar, to its right or to its left."""
    axes.annotate(
        words, end, (3 if right else -3, 0),
        textcoords="offset points", va="center_baseline", ha="left" if right else "right", **look,
    )  # fmt: skip


def finish_bars(axes: Axes, names: Sequence[str], words: str, room: float) -> None:
    """Name the bars, the first on top, and leave a share of the width as room for what is written beyond them."""
    axes.set_yticks(range(len(names)), names)
    axes.invert_yaxis()
    axes.margins(x=room)
    axes.tick_params(axis="y", length=0)
    axes.set_xlabel(words)
    axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: in_dollars(value)))
