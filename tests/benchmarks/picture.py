"""The cost curves as a picture: time against size, both as logarithms, with the line that fits and the one expected."""

from collections.abc import Sequence
from typing import Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FixedLocator, FuncFormatter, NullFormatter, NullLocator

from benchmarks.figures import Curve
from benchmarks.record import ROOT
from benchmarks.tables import time_words
from workbench.charts.files import image
from workbench.charts.style import (
    FAINT,
    SMALL_PT,
    SYSTEM_INK,
    house_style,
    letter_figure,
    write_finding,
    write_side_note,
    write_small_print,
)

PICTURE: Final = ROOT / "docs" / "images" / "cost_curves.png"
DOTS_PER_INCH: Final = 100.0
ACROSS: Final = 2
PANEL_HEIGHT_IN: Final = 1.75
FEWEST_TICKS: Final = 3
FINDING: Final = "What more of each costs: in proportion or less, but for a finer grid of prices"
SMALL_PRINT: Final = (
    "Processor time, the least of the turns. Solid line: least squares through the logarithms of the points; its slope"
    " is the exponent. Dashed: the exponent expected, through the last point; the shade is how far off it may lie."
)


def cost_curves(curves: Sequence[Curve]) -> bytes:
    """Draw them as a PNG, the same bytes for the same curves."""
    down = -(-len(curves) // ACROSS)
    with house_style():
        figure = letter_figure(PANEL_HEIGHT_IN * down + 0.9)
        write_finding(figure, FINDING)
        panels = figure.subplots(down, ACROSS, squeeze=False).ravel()
        for panel, curve in zip(panels, curves, strict=False):
            _draw(panel, curve)
        for panel in panels[len(curves) :]:
            panel.set_axis_off()
        write_small_print(figure, SMALL_PRINT)
        return _content(figure)


def _content(figure: Figure) -> bytes:
    return image(figure, "png", DOTS_PER_INCH)


def _draw(panel: Axes, curve: Curve) -> None:
    sizes, taken = np.array(curve.sizes, dtype=float), np.array(curve.seconds)
    ours, other = SYSTEM_INK["silvopasture"], SYSTEM_INK["pasture"]
    reach = sizes / sizes[-1]
    low, high = (taken[-1] * reach ** (curve.expected + side * curve.within) for side in (1.0, -1.0))
    panel.fill_between(sizes, low, high, color=other.color, alpha=0.2, linewidth=0.0)
    panel.plot(sizes, taken[-1] * reach**curve.expected, color=other.color, linestyle="--", linewidth=1.0)
    fitted = np.exp(np.log(taken).mean() + curve.exponent * (np.log(sizes) - np.log(sizes).mean()))
    panel.plot(sizes, fitted, color=ours.color)
    panel.plot(sizes, taken, color=ours.color, linestyle="none", marker="o", markersize=4.0)
    panel.set(xscale="log", yscale="log", xlabel=curve.size)
    panel.xaxis.set_major_locator(FixedLocator(list(curve.sizes)))
    panel.xaxis.set_major_formatter(FuncFormatter(lambda size, _: f"{size:,.0f}"))
    _times_at_the_side(panel, float(min(low.min(), taken.min())), float(max(high.max(), taken.max())))
    panel.grid(visible=True, axis="y")
    panel.set_title(curve.name.replace("-", " "))
    expected = f"expected {curve.expected:.2f} ± {curve.within:.2f}{'' if curve.held else ', missed'}"
    write_side_note(panel, f"exponent {curve.exponent:.2f}, {expected}")


def _times_at_the_side(panel: Axes, low: float, high: float) -> None:
    """Times of one significant digit, as many as fit: a decade is rare in a panel."""
    ticks = [digit * 10.0**power for power in range(-6, 4) for digit in (1, 2, 5)]
    inside = [tick for tick in ticks if low / 1.5 <= tick <= high * 1.5]
    if len(inside) < FEWEST_TICKS:
        ticks = [digit * 10.0**power for power in range(-6, 4) for digit in range(1, 10)]
        inside = [tick for tick in ticks if low / 1.1 <= tick <= high * 1.1]
    panel.set_ylim(min(low, *inside) / 1.1, max(high, *inside) * 1.1)
    panel.yaxis.set_major_locator(FixedLocator(inside[:: 1 + len(inside) // 6]))
    panel.yaxis.set_major_formatter(FuncFormatter(lambda taken, _: time_words(taken)))
    for axis in (panel.xaxis, panel.yaxis):
        axis.set_minor_locator(NullLocator())
        axis.set_minor_formatter(NullFormatter())
    panel.tick_params(labelsize=SMALL_PT, color=FAINT)
