"""The map of a layout: printable to scale, north up, with a scale bar."""

import math
from typing import Any, Final, NamedTuple

from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch, Polygon
from matplotlib.path import Path

from simulator.ground.document import magnetic_deg
from simulator.ground.layout import Layout
from simulator.ground.outlines import box_of, inner_point, lines_of, points_of, polygons_of
from workbench.charts.style import ENTERPRISE_COLOR, FAINT, INK, PAPER, SMALL_PT, SYSTEM_INK, house_style
from workbench.ground_words import NO_SURVEY, acres, degrees, feet, needle_words

FEET_TO_THE_INCH: Final = (20, 30, 40, 50, 60, 80, 100, 150, 200, 250, 300, 400, 500, 600, 800, 1000, 1500, 2000, 3000)
"""Scales of engineers' rulers and their multiples; beyond them steps of 1,000."""
LETTER_IN: Final = (8.5, 11.0)
MARGIN_IN: Final = 0.5
HEAD_IN: Final = 0.85
FOOT_IN: Final = 1.75
WHITE_SHARE: Final = 0.94
"""Of the room for the map, the share that the field may fill: labels stand around it."""
TREES: Final = SYSTEM_INK["plantation"].color
GRASS: Final = SYSTEM_INK["pasture"].color
WATER: Final = ENTERPRISE_COLOR["grazing"]
FENCE: Final = SYSTEM_INK["silvopasture"].words
MOST_LABELLED_ROWS: Final = 12
LONGEST_NAME: Final = 48


class _Page(NamedTuple):
    width_in: float
    height_in: float
    feet_to_the_inch: float

    @property
    def map_in(self) -> tuple[float, float]:
        return self.width_in - 2.0 * MARGIN_IN, self.height_in - HEAD_IN - FOOT_IN


def map_figure(layout: Layout, *, to_scale: bool = True) -> Figure:
    """Draw the map on a Letter page, upright or across, at the largest round scale that holds the field.

    Parameters
    ----------
    layout
        Rows on a field.
    to_scale
        Whether the map says its scale; in a report, which fits it to the page, only the bar tells it.

    Returns
    -------
    Figure
        Printed at 100 %, an inch is the feet that the map says.
    """
    page = _page(layout)
    with house_style():
        figure = Figure(figsize=(page.width_in, page.height_in))
        width, height = page.map_in
        axes = figure.add_axes(
            (MARGIN_IN / page.width_in, FOOT_IN / page.height_in, width / page.width_in, height / page.height_in)
        )
        _frame(axes, layout, page)
        _draw_ground(axes, layout)
        _draw_rows(axes, layout)
        _draw_fences(axes, layout)
        _label_sides(axes, layout, page)
        _head(figure, layout, page, to_scale=to_scale)
        _foot(figure, layout, page)
    return figure


def _page(layout: Layout) -> _Page:
    west, south, east, north = box_of(layout.field.outline)
    pages = [LETTER_IN, LETTER_IN[::-1]]
    scaled = []
    for width, height in pages:
        across, up = _Page(width, height, 1.0).map_in
        least = max((east - west) / across, (north - south) / up) / WHITE_SHARE
        scale = next((step for step in FEET_TO_THE_INCH if step >= least), 1000 * math.ceil(least / 1000.0))
        scaled.append(_Page(width, height, float(scale)))
    return min(scaled, key=lambda page: page.feet_to_the_inch)


def _frame(axes: Axes, layout: Layout, page: _Page) -> None:
    west, south, east, north = box_of(layout.field.outline)
    across, up = (inches * page.feet_to_the_inch / 2.0 for inches in page.map_in)
    axes.set_xlim((west + east) / 2.0 - across, (west + east) / 2.0 + across)
    axes.set_ylim((south + north) / 2.0 - up, (south + north) / 2.0 + up)
    axes.set_aspect("equal")
    axes.set_axis_off()


def _fill(axes: Axes, shape: Any, **look: Any) -> None:  # noqa: ANN401 - a shape, and how matplotlib draws it
    for rings in polygons_of(shape):
        path = Path.make_compound_path(*(Path(ring, closed=True) for ring in rings))
        axes.add_patch(PathPatch(path, linewidth=0.0, **look))


def _draw_ground(axes: Axes, layout: Layout) -> None:
    shapes, field = layout.shapes, layout.field
    _fill(axes, shapes.workable, facecolor=GRASS, alpha=0.20)
    _fill(axes, shapes.headland, facecolor=GRASS, alpha=0.50)
    _fill(axes, shapes.unusable, facecolor=FAINT, alpha=0.20)
    _fill(axes, shapes.unusable, facecolor="none", edgecolor=FAINT, hatch="////")
    _fill(axes, field.holes, facecolor=PAPER)
    _fill(axes, field.holes, facecolor=WATER, alpha=0.35)
    _fill(axes, field.waters, facecolor=WATER, alpha=0.60)
    _fill(axes, field.lanes, facecolor=PAPER, edgecolor=INK)
    _fill(axes, field.decks, facecolor=PAPER)
    for shape in (field.holes, field.waters, field.lanes, field.decks):
        for rings in polygons_of(shape):
            for ring in rings:
                axes.add_patch(Polygon(ring, fill=False, edgecolor=FAINT, linewidth=0.6))
    axes.add_collection(LineCollection(lines_of(field.waters), colors=WATER, linewidths=1.6))
    for name, shape in (("lane", field.lanes), ("deck", field.decks), ("stream or pond", field.waters)):
        if polygons_of(inside := shape.intersection(field.outline)):
            _label(axes, inner_point(inside), name, ha="center")


def _draw_rows(axes: Axes, layout: Layout) -> None:
    rows = lines_of(layout.rows.lines_on_map)
    axes.add_collection(LineCollection(rows, colors=TREES, linewidths=0.7))
    step = max(1, math.ceil(len(rows) / MOST_LABELLED_ROWS / 5.0) * 5)
    turn = (90.0 - layout.rows.azimuth_deg + 90.0) % 180.0 - 90.0
    for number in {0, *range(step - 1, len(rows), step)}:
        start = rows[number][0]
        axes.plot(*start, "o", color=TREES, markersize=2.4)
        axes.annotate(
            str(number + 1), start, (0, -2), textcoords="offset points", fontsize=SMALL_PT - 1.5, color=TREES,
            ha="right" if turn >= 0.0 else "left", va="center", rotation=turn, rotation_mode="anchor",
        )  # fmt: skip


def _draw_fences(axes: Axes, layout: Layout) -> None:
    field, paddocks = layout.field, layout.paddocks
    for rings in polygons_of(field.outline):
        axes.add_patch(Polygon(rings[0], fill=False, edgecolor=INK, linewidth=1.3))
    fences = [line for fence in paddocks.fences for line in lines_of(fence)]
    axes.add_collection(LineCollection(fences, colors=FENCE, linewidths=1.6, linestyles=(0, (5, 2))))
    for x, y in points_of(field.gates):
        axes.plot(x, y, "s", color=PAPER, markeredgecolor=INK, markersize=5.0)
        _label(axes, (x, y), "gate", (6.0, -7.0))
    for i, (x, y) in enumerate(paddocks.water_ft):
        axes.plot(x, y, "o", color=WATER, markeredgecolor=PAPER, markersize=6.5)
        proposed = i >= len(paddocks.water_ft) - paddocks.proposed
        _label(axes, (x, y), "water (proposed)" if proposed else "water", (6.0, 4.0))
    if len(paddocks.paddocks) > 1:
        for number, paddock in enumerate(paddocks.paddocks, 1):
            place = inner_point(paddock.shape)
            off = (0.0, 26.0) if _near_water(place, layout) else (0.0, 0.0)
            _label(axes, place, f"paddock {number}\n{acres(paddock.acres)}", off, ha="center")
    corner = layout.first.corner.xy_ft
    axes.plot(*corner, "^", color=INK, markersize=7.0)
    _label(axes, (float(corner[0]), float(corner[1])), "start here", (-4.0, -11.0), ha="center")


def _near_water(place: tuple[float, float], layout: Layout) -> bool:
    """Whether a label in the middle of a paddock would cover the one of its trough."""
    reach = 1.2 * _page(layout).feet_to_the_inch
    return any(math.dist(place, water) < reach for water in layout.paddocks.water_ft)


def _label(
    axes: Axes, place: tuple[float, float], text: str, off_pt: tuple[float, float] = (0.0, 0.0), ha: str = "left"
) -> None:
    axes.annotate(
        text, place, off_pt, textcoords="offset points", fontsize=SMALL_PT, ha=ha, va="center", color=INK,
        bbox={"facecolor": PAPER, "alpha": 0.8, "edgecolor": "none", "pad": 0.8},
    )  # fmt: skip


def _label_sides(axes: Axes, layout: Layout, page: _Page) -> None:
    """Length and bearing along every side that is long enough to carry them."""
    off = 0.11 * page.feet_to_the_inch
    for side in layout.sides:
        if side.length_ft < 1.2 * page.feet_to_the_inch:
            continue
        x, y = side.middle_ft
        out = math.radians(side.bearing_deg - 90.0)
        turn = (90.0 - side.bearing_deg + 90.0) % 180.0 - 90.0
        axes.text(
            x + off * math.sin(out), y + off * math.cos(out), f"{side.name.split()[0]} side {feet(side.length_ft)}",
            rotation=turn, ha="center", va="center", rotation_mode="anchor", fontsize=SMALL_PT, color=INK,
        )  # fmt: skip


def _head(figure: Figure, layout: Layout, page: _Page, *, to_scale: bool) -> None:
    left, top = MARGIN_IN / page.width_in, 1.0 - 0.45 / page.height_in
    order, rows = layout.order, layout.rows
    name = layout.scenario.title or "Layout"
    name = name if len(name) <= LONGEST_NAME else f"{name[: LONGEST_NAME - 1].rstrip()}…"  # the counts must fit too
    title = f"{name}: {len(rows.trees)} rows, {order.spots:,} trees on {acres(layout.field.acres)}"
    figure.suptitle(title, x=left, y=top, ha="left", va="bottom")
    scale = f"1 inch = {page.feet_to_the_inch:,.0f} ft when printed at 100 % on Letter paper. " if to_scale else ""
    line = f"{scale}True north is up."
    figure.text(left, top - 0.17 / page.height_in, line, fontsize=SMALL_PT + 0.5, color=FAINT)


def _foot(figure: Figure, layout: Layout, page: _Page) -> None:
    width = page.width_in - 2.0 * MARGIN_IN
    across, up = page.width_in, page.height_in
    axes = figure.add_axes((MARGIN_IN / across, 0.3 / up, width / across, 1.35 / up))
    axes.set_xlim(0.0, width)
    axes.set_ylim(0.0, 1.35)
    axes.set_axis_off()
    _scale_bar(axes, page)
    _north(axes, layout, width)
    areas = layout.areas
    keys: tuple[tuple[dict[str, Any], str], ...] = (
        ({"facecolor": GRASS, "alpha": 0.20}, f"alleys {acres(areas.alley_ac)}"),
        ({"facecolor": TREES}, f"tree strips {acres(areas.tree_strip_ac)}"),
        ({"facecolor": GRASS, "alpha": 0.50}, f"headland {acres(areas.headland_ac)}"),
        ({"facecolor": "none", "edgecolor": FAINT, "hatch": "////"}, f"not used {acres(areas.unusable_ac)}"),
        ({"facecolor": WATER, "alpha": 0.35}, "ponds and holes"),
    )
    for number, (look, words) in enumerate(keys):
        x, y = (number % 3) * 1.75, 0.62 - 0.22 * (number // 3)
        axes.add_patch(Polygon([(x, y), (x + 0.22, y), (x + 0.22, y + 0.13), (x, y + 0.13)], linewidth=0.0, **look))
        axes.text(x + 0.29, y + 0.06, words, fontsize=SMALL_PT, va="center")
    if layout.paddocks.fences:
        axes.plot([3.5, 3.72], [0.46, 0.46], color=FENCE, linewidth=1.6, linestyle=(0, (3, 1)))
        axes.text(3.79, 0.46, "cross-fence", fontsize=SMALL_PT, va="center")
    axes.text(0.0, 0.02, NO_SURVEY, fontsize=SMALL_PT - 0.5, color=FAINT, va="bottom", wrap=False)


def _scale_bar(axes: Axes, page: _Page) -> None:
    for inch in range(3):
        color = INK if inch % 2 == 0 else PAPER
        corners = [(inch, 1.05), (inch + 1, 1.05), (inch + 1, 1.12), (inch, 1.12)]
        axes.add_patch(Polygon(corners, facecolor=color, edgecolor=INK, linewidth=0.6))
    for inch in range(4):
        axes.text(inch, 0.99, f"{inch * page.feet_to_the_inch:,.0f}", fontsize=SMALL_PT, ha="center", va="top")
    axes.text(3.25, 0.99, "ft", fontsize=SMALL_PT, va="top")


def _north(axes: Axes, layout: Layout, width_in: float) -> None:
    """True north, and where the needle points if the declination is known."""
    x, y, long = width_in - 0.55, 0.45, 0.70
    axes.annotate("", (x, y + long), (x, y), arrowprops={"arrowstyle": "-|>", "color": INK, "linewidth": 1.4})
    axes.text(x, y + long + 0.02, "N", ha="center", va="bottom", fontsize=9.0, fontweight="bold")
    declination = layout.options.declination_deg
    if declination is None:
        return
    turn = math.radians(declination)
    tip = (x + long * math.sin(turn), y + long * math.cos(turn))
    axes.annotate("", tip, (x, y), arrowprops={"arrowstyle": "-", "color": FAINT, "linewidth": 0.9})
    compass = degrees(magnetic_deg(layout.rows.azimuth_deg, declination))
    words = f"needle {needle_words(declination)}\nrows {compass} by compass"
    axes.text(x, y - 0.05, words, ha="center", va="top", fontsize=SMALL_PT - 0.5, color=FAINT)
