"""Chart of the few factors that move a plan's yearly income most."""

from collections.abc import Sequence

from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter

from workbench.charts.style import FAINT, INK, PAPER, SMALL_PT, SYSTEM_INK, house_style, letter_figure, write_finding
from workbench.words import dollars

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
        figure = letter_figure(1.25 + 0.36 * len(bars))
        write_finding(figure, finding)
        axes = figure.subplots()
        for place, (_, low, high, at_low, at_high) in enumerate(bars):
            for words, at, other, color in ((low, at_low, at_high, LOW_COLOR), (high, at_high, at_low, HIGH_COLOR)):
                axes.barh(place, at - now, 0.62, left=now, color=color)
                right = at > other
                axes.annotate(
                    f"{words}: {dollars(at, yearly=True)}".replace("-$", "−$"), (at, place), (3 if right else -3, 0),
                    textcoords="offset points", va="center_baseline", ha="left" if right else "right",
                    fontsize=SMALL_PT, bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 0.6},
                )  # fmt: skip
        axes.axvline(now, color=INK, linewidth=0.8)
        axes.axvline(0.0, color=FAINT, linewidth=0.6, linestyle=":")
        axes.set_yticks(range(len(bars)), [name for name, *_ in bars])
        axes.invert_yaxis()
        axes.margins(x=0.24)
        axes.tick_params(axis="y", length=0)
        axes.set_xlabel("equal annual income of the plan [$/ac a year]; line: as the plan stands; dots: nothing earned")
        axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: dollars(value, yearly=True).replace("-$", "−$")))
    return figure
