"""Chart of the few factors that move a plan's yearly income most."""

from collections.abc import Sequence

from matplotlib.figure import Figure

from workbench.charts.style import FAINT, INK, PAPER, SMALL_PT, SYSTEM_INK, house_style
from workbench.charts.yearly_bars import bars_panel, finish_bars, in_dollars, write_beyond

LOW_COLOR, HIGH_COLOR = "#d39a1f", SYSTEM_INK["silvopasture"].color


def factors_figure(bars: Sequence[tuple[str, str, str, float, float]], now: float, finding: str) -> Figure:
    """Draw one bar a factor, from the income at its low end to that at its high end.

    Parameters
    ----------
    bars
        Name, low and high end in words, and income at either end [$/ac/yr]; the widest first.
    now
        Income as the plan stands [$/ac/yr].
    finding
        What it shows.

    Returns
    -------
    Figure
    """
    with house_style():
        figure, axes = bars_panel(1.25 + 0.36 * len(bars), finding)
        for place, (_, low, high, at_low, at_high) in enumerate(bars):
            for words, at, other, color in ((low, at_low, at_high, LOW_COLOR), (high, at_high, at_low, HIGH_COLOR)):
                axes.barh(place, at - now, 0.62, left=now, color=color)
                box = {"facecolor": PAPER, "edgecolor": "none", "pad": 0.6}
                said = f"{words}: {in_dollars(at)}"
                write_beyond(axes, said, (at, place), right=at > other, fontsize=SMALL_PT, bbox=box)
        axes.axvline(now, color=INK, linewidth=0.8)
        axes.axvline(0.0, color=FAINT, linewidth=0.6, linestyle=":")
        words = "equal annual income of the plan [$/ac a year]; line: as the plan stands; dots: nothing earned"
        finish_bars(axes, [name for name, *_ in bars], words, 0.24)
    return figure
