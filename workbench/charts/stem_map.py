"""The map of a marked stand: which trees go, drawn to scale."""

from typing import Final

from matplotlib.axes import Axes
from matplotlib.collections import PatchCollection
from matplotlib.figure import Figure
from matplotlib.patches import Circle

from simulator.inventory.map_light import free_crown_radius_ft
from simulator.inventory.stem_map import StemMap
from simulator.units import IntArray
from workbench.charts.style import FAINT, SMALL_PT, house_style, letter_figure, write_finding, write_small_print

KEPT: Final = "#14707c"
TAKEN: Final = "#a3452c"
MOST_NUMBERS: Final = 250
"""With more trees than this numbers would cover one another; the table has them all."""
SCALES_FT: Final = (5, 10, 20, 50, 100, 200, 500)


def stem_map_figure(stems: StemMap, taken: IntArray, box_ft: tuple[float, float]) -> Figure:
    """Draw the map: trees to leave as filled stems in a ring, trees to take as crosses.

    Parameters
    ----------
    stems
        The map.
    taken
        Places in it of the trees to take.
    box_ft
        Width and depth of the map [ft].

    Returns
    -------
    Figure
    """
    going = set(taken.tolist())
    radius = free_crown_radius_ft(stems)
    with house_style():
        figure = letter_figure(min(1.4 + 6.6 * box_ft[1] / box_ft[0], 10.0))
        axes = figure.subplots()
        rings = [Circle((stems.x_ft[i], stems.y_ft[i]), radius[i]) for i in range(len(stems.tree)) if i not in going]
        axes.add_collection(PatchCollection(rings, facecolor=KEPT, alpha=0.10, edgecolor="none"))
        for i, tree in enumerate(stems.tree):
            x, y, size = float(stems.x_ft[i]), float(stems.y_ft[i]), 2.0 + float(stems.dbh_in[i]) * 0.35
            if i in going:
                axes.plot([x], [y], "x", color=TAKEN, markersize=size, markeredgewidth=1.3)
            else:
                axes.plot([x], [y], "o", color=KEPT, markersize=size)
            if len(stems.tree) <= MOST_NUMBERS:
                color = TAKEN if i in going else KEPT
                axes.annotate(tree, (x, y), (3, 3), textcoords="offset points", fontsize=SMALL_PT - 1.5, color=color)
        axes.set_aspect("equal")
        margin = 0.04 * max(box_ft)
        axes.set_xlim(stems.x_ft.min() - margin, stems.x_ft.max() + margin)
        axes.set_ylim(stems.y_ft.min() - 2.5 * margin, stems.y_ft.max() + margin)
        axes.set_axis_off()
        _scale_and_north(axes, box_ft)
        left = len(stems.tree) - len(going)
        write_finding(figure, f"Take the {len(going)} trees with a cross, leave {left}")
        write_small_print(
            figure,
            "Filled stems stay, larger for thicker trees; pale rings are the crowns they could grow standing free. "
            "A proposal for a registered forester to walk; felling is for trained people.",
        )
    return figure


def _scale_and_north(axes: Axes, box_ft: tuple[float, float]) -> None:
    bar = next((feet for feet in reversed(SCALES_FT) if feet <= box_ft[0] / 4.0), SCALES_FT[0])
    x0, x1 = axes.get_xlim()
    y0, y1 = axes.get_ylim()
    low = y0 + 0.02 * (y1 - y0)
    axes.plot([x0, x0 + bar], [low, low], color=FAINT, linewidth=2.0)
    axes.text(x0 + bar, low, f"  {bar} ft", va="center", fontsize=SMALL_PT, color=FAINT)
    rise = 0.05 * (y1 - y0)
    axes.annotate("", (x1, low + rise), (x1, low), arrowprops={"arrowstyle": "->", "color": FAINT})
    axes.text(x1, low + rise, "N", ha="center", va="bottom", fontsize=SMALL_PT, color=FAINT)
