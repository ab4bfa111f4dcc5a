"""One look for every chart: colours, type, and labels that stand beside what they name."""

import textwrap
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any, Final

from matplotlib import style
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.layout_engine import ConstrainedLayoutEngine

from simulator.comparison import Comparison
from workbench.look import ENTERPRISE_COLOR, ENTERPRISE_NAME, FAINT, GRID, INK, PAPER, SYSTEM_INK, Ink
from workbench.words import name_of

__all__ = [
    "ENTERPRISE_COLOR",
    "ENTERPRISE_NAME",
    "FAINT",
    "GRID",
    "INK",
    "LETTER_WIDTH_IN",
    "PAPER",
    "SMALL_PRINT_CHARACTERS",
    "SMALL_PT",
    "SYSTEM_INK",
    "TITLE_CHARACTERS",
    "YEARS_OF_A_PLANTING",
    "YEARS_OF_A_STAND",
    "Ink",
    "house_style",
    "label_line_ends",
    "lanes",
    "letter_figure",
    "spread_apart",
    "system_name",
    "title_lines",
    "write_finding",
    "write_side_note",
    "write_small_print",
    "year_axis",
    "year_words",
]

LETTER_WIDTH_IN: Final = 7.5
"""Width of every figure [in]: a Letter page between its margins, so that print needs no scaling."""
SMALL_PT: Final = 7.0
YEARS_OF_A_PLANTING: Final = "years since the start of the plan (planting)"
YEARS_OF_A_STAND: Final = "years from now"
TITLE_CHARACTERS: Final = 88
SMALL_PRINT_CHARACTERS: Final = 142

_STYLE: Final[dict[str, Any]] = {
    "font.family": ["sans-serif"],
    "font.sans-serif": ["DejaVu Sans", "Verdana", "Arial"],
    "font.size": 8.0,
    "text.color": INK,
    "axes.edgecolor": FAINT,
    "axes.labelcolor": INK,
    "axes.labelsize": 8.0,
    "axes.linewidth": 0.6,
    "axes.spines.right": False,
    "axes.spines.top": False,
    "axes.titlelocation": "left",
    "axes.titlesize": 8.5,
    "axes.titleweight": "bold",
    "axes.axisbelow": True,
    "axes.unicode_minus": True,
    "figure.facecolor": PAPER,
    "figure.titlesize": 10.0,
    "figure.titleweight": "bold",
    "grid.color": GRID,
    "grid.linewidth": 0.5,
    "hatch.linewidth": 0.4,
    "legend.fontsize": SMALL_PT,
    "legend.frameon": False,
    "lines.linewidth": 1.6,
    "lines.solid_capstyle": "butt",
    "svg.fonttype": "none",
    "svg.hashsalt": "halfshade",
    "text.parse_math": False,
    "xtick.color": FAINT,
    "xtick.labelcolor": INK,
    "xtick.labelsize": SMALL_PT + 0.5,
    "ytick.color": FAINT,
    "ytick.labelcolor": INK,
    "ytick.labelsize": SMALL_PT + 0.5,
}
_ONE_AT_A_TIME = threading.RLock()


@contextmanager
def house_style() -> Iterator[None]:
    """Draw in this style whatever a person's own settings file says, one drawing at a time.

    Matplotlib's settings belong to the process, so a second thread waits until the first has finished.
    """
    with _ONE_AT_A_TIME, style.context(["default", _STYLE]):
        yield


def system_name(comparison: Comparison, system: str) -> str:
    """Name of a system in words; a plan of trees only, or of grass only, is not called both together."""
    return name_of(system, comparison.systems[system].scenario)


def year_words(comparison: Comparison) -> str:
    """What the years of a comparison count from."""
    found = comparison.systems["silvopasture"].scenario.stand is not None
    return YEARS_OF_A_STAND if found else YEARS_OF_A_PLANTING


def letter_figure(height_in: float) -> Figure:
    """An empty figure as wide as a Letter page, whose panels make room for their labels by themselves."""
    layout = ConstrainedLayoutEngine(h_pad=0.06, w_pad=0.06, hspace=0.03, wspace=0.03)
    return Figure(figsize=(LETTER_WIDTH_IN, height_in), layout=layout)


def write_finding(figure: Figure, finding: str) -> None:
    """Write what the figure shows above it, in as many lines as it takes."""
    figure.suptitle(title_lines(finding), x=0.01, ha="left")


def title_lines(finding: str) -> str:
    """A title broken into lines that fit the width of a figure."""
    return textwrap.fill(finding, TITLE_CHARACTERS)


def write_small_print(figure: Figure, *paragraphs: str) -> None:
    """Write below the figure what a careful reader asks for."""
    text = "\n".join(textwrap.fill(paragraph, SMALL_PRINT_CHARACTERS) for paragraph in paragraphs)
    figure.supxlabel(text, x=0.01, ha="left", fontsize=SMALL_PT, color=FAINT)


def write_side_note(axes: Axes, note: str, *, pad: float | None = None) -> None:
    """Write a remark above a panel at its right end, opposite the title."""
    axes.set_title(note, loc="right", fontsize=SMALL_PT, fontweight="normal", color=FAINT, pad=pad)


def spread_apart(values: Sequence[float], gap: float) -> list[float]:
    """Move labels as little as needed to stand a gap apart, keeping their order.

    Parameters
    ----------
    values
        Where each label would like to stand.
    gap
        Least distance between neighbours, in the same unit.

    Returns
    -------
    list of float
        Where each stands, in the order given.
    """
    groups: list[tuple[float, list[int]]] = []
    for place in sorted(range(len(values)), key=lambda i: values[i]):
        groups.append((values[place], [place]))
        while len(groups) > 1 and _top(groups[-2], gap) + gap > _bottom(groups[-1], gap):
            (low, first), (high, last) = groups[-2:]
            middle = (low * len(first) + high * len(last)) / (len(first) + len(last))
            groups[-2:] = [(middle, first + last)]
    placed = dict[int, float]()
    for group in groups:
        placed |= {place: _bottom(group, gap) + gap * i for i, place in enumerate(group[1])}
    return [placed[i] for i in range(len(values))]


def _bottom(group: tuple[float, list[int]], gap: float) -> float:
    return group[0] - gap * (len(group[1]) - 1) / 2.0


def _top(group: tuple[float, list[int]], gap: float) -> float:
    return group[0] + gap * (len(group[1]) - 1) / 2.0


def lanes(places: Sequence[float], widths: Sequence[float]) -> list[int]:
    """Lane of each label so that no two in one lane touch; 0 is the lowest.

    Parameters
    ----------
    places
        Centres in ascending order.
    widths
        Room that each label needs, in the same unit.

    Returns
    -------
    list of int
    """
    ends: list[float] = []
    chosen = []
    for place, width in zip(places, widths, strict=True):
        free = next((lane for lane, end in enumerate(ends) if place - width / 2.0 >= end), len(ends))
        ends[free : free + 1] = [place + width / 2.0]
        chosen.append(free)
    return chosen


def label_line_ends(axes: Axes, ends: Sequence[tuple[float, str, str]], *, least_gap: float = 0.085) -> None:
    """Write each line's name at the right edge, in its colour.

    Parameters
    ----------
    axes
        Drawn already, with its limits set.
    ends
        Last value, name and colour of each line.
    least_gap
        Distance between labels as a share of the axis.
    """
    low, high = axes.get_ylim()
    heights = [(value - low) / (high - low) for value, _, _ in ends]
    for height, (_, text, color) in zip(spread_apart(heights, least_gap), ends, strict=True):
        axes.text(1.012, height, text, color=color, transform=axes.transAxes, va="center", fontsize=SMALL_PT + 0.5)


def year_axis(axes: Axes, horizon: int, *, label: bool, numbers: bool = True, words: str = YEARS_OF_A_PLANTING) -> None:
    """Years from planting along the foot of a panel, whole years only.

    Parameters
    ----------
    axes
        The panel.
    horizon
        Last year.
    label
        Whether to write what the axis is.
    numbers
        Whether to write the years.
    words
        What the axis is.
    """
    step = next(step for step in (1, 2, 5, 10, 20) if horizon / step <= 10)
    axes.set_xticks(range(0, horizon + 1, step))
    axes.set_xlim(-0.6, horizon + 0.6)
    axes.tick_params(length=2.5, labelbottom=numbers)
    if label:
        axes.set_xlabel(words)
