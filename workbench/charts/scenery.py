"""Things of known size that stand in a cross-section so that a reader sees how large the trees are."""

from collections.abc import Sequence
from typing import Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Circle, Ellipse, Polygon, Rectangle

from workbench.look import INK, SCENERY

PERSON_FT: Final = 6.0
COW_FT: Final = 4.8
BALE_FT: Final = 5.0
TRACTOR_FT: Final = 9.0
MACHINE_COLOR: Final = "#5b4a86"
GLASS_COLOR: Final = "#cfd8e6"

# Outline of a cow seen from the side, head to the right: shares of its length and of the height of its back.
_COW: Final[Sequence[tuple[float, float]]] = (
    (0.00, 0.55), (0.02, 0.92), (0.08, 1.00), (0.40, 0.97), (0.62, 1.00), (0.74, 1.03), (0.80, 1.12), (0.86, 1.16),
    (0.92, 1.06), (1.00, 0.86), (0.98, 0.78), (0.90, 0.80), (0.82, 0.72), (0.76, 0.50), (0.74, 0.00), (0.68, 0.00),
    (0.67, 0.40), (0.60, 0.42), (0.30, 0.38), (0.22, 0.44), (0.18, 0.00), (0.11, 0.00), (0.10, 0.40), (0.05, 0.52),
    (0.03, 0.20), (0.00, 0.20),
)  # fmt: skip
COW_LENGTH_FT: Final = 7.5
STOCKER_LENGTH_FT: Final = 6.0
SMALL_STOCK_LENGTH_FT: Final = 3.5
SMALL_STOCK_FT: Final = 3.0

# Outline of a sheep or goat: shares of its length and of the height of its head.
_SMALL_STOCK: Final[Sequence[tuple[float, float]]] = (
    (0.00, 0.58), (0.03, 0.74), (0.12, 0.81), (0.35, 0.83), (0.58, 0.80), (0.68, 0.84), (0.76, 0.97), (0.82, 1.00),
    (0.87, 0.95), (1.00, 0.82), (0.97, 0.75), (0.87, 0.76), (0.80, 0.62), (0.76, 0.44), (0.74, 0.00), (0.69, 0.00),
    (0.67, 0.36), (0.40, 0.32), (0.20, 0.36), (0.18, 0.00), (0.12, 0.00), (0.09, 0.38), (0.03, 0.46),
)  # fmt: skip
_HORN: Final[Sequence[tuple[float, float]]] = ((0.79, 0.97), (0.70, 1.13), (0.83, 0.99))


def draw_person(axes: Axes, place_ft: float) -> None:
    """A person, 6 ft tall, standing at a place across the slice [ft]."""
    axes.add_artist(Circle((place_ft, PERSON_FT - 0.45), 0.45, color=SCENERY["person"], linewidth=0, zorder=6))
    body = [(-0.75, 5.0), (0.75, 5.0), (0.85, 2.7), (0.5, 2.7), (0.45, 0.0), (0.1, 0.0), (0.0, 2.3)]
    left = [(-x, y) for x, y in reversed(body[2:6])]
    outline = [(place_ft + x, y) for x, y in (*body, *left)]
    axes.add_artist(Polygon(outline, color=SCENERY["person"], linewidth=0, zorder=6, gid="person"))


def draw_cow(axes: Axes, place_ft: float, *, faces_left: bool = False, length_ft: float = COW_LENGTH_FT) -> None:
    """A cow, about 5 ft at the top of its head, or cattle of another length, centred at a place in the slice [ft]."""
    along, up = np.array(_COW).T
    along = 1.0 - along if faces_left else along
    tall = COW_FT * length_ft / COW_LENGTH_FT
    outline = np.column_stack((place_ft + (along - 0.5) * length_ft, up * tall / 1.16))
    axes.add_artist(Polygon(outline, color=SCENERY["cow"], linewidth=0, zorder=5, gid="cow"))


def draw_small_stock(axes: Axes, place_ft: float, name: str, *, faces_left: bool = False) -> None:
    """A sheep or a goat, 3.5 ft long and 3 ft at the head, centred at a place across the slice [ft]."""
    for shape in (_SMALL_STOCK, *([_HORN] if name == "goat" else [])):
        along, up = np.array(shape).T
        along = 1.0 - along if faces_left else along
        outline = np.column_stack((place_ft + (along - 0.5) * SMALL_STOCK_LENGTH_FT, up * SMALL_STOCK_FT))
        axes.add_artist(Polygon(outline, color=SCENERY[name], linewidth=0, zorder=5, gid=name))


def draw_round_bale(axes: Axes, place_ft: float) -> None:
    """A round bale of hay, 5 ft across, seen from its end."""
    centre = (place_ft, BALE_FT / 2.0)
    bale = Circle(
        centre, BALE_FT / 2.0, facecolor=SCENERY["bale"], edgecolor=SCENERY["bale-edge"], linewidth=0.4, zorder=5
    )
    bale.set_gid("bale")
    axes.add_artist(bale)
    for share in (0.62, 0.28):
        axes.add_artist(
            Circle(centre, share * BALE_FT / 2.0, fill=False, edgecolor=SCENERY["bale-edge"], linewidth=0.3, zorder=5)
        )


def draw_straw_bales(axes: Axes, place_ft: float) -> None:
    """A small stack of square straw bales, each 1.2 ft high."""
    for x, y in ((-2.6, 0.0), (0.0, 0.0), (-1.3, 1.25)):
        axes.add_artist(
            Rectangle(
                (place_ft + x, y),
                2.5,
                1.2,
                facecolor=SCENERY["straw-bale"],
                edgecolor=SCENERY["straw-bale-edge"],
                linewidth=0.3,
                zorder=5,
            )
        )


def draw_tractor(axes: Axes, place_ft: float) -> None:
    """A tractor with a cab, 7 ft wide and 9 ft high, driving along the alley and seen from behind."""
    for x in (-3.5, 2.0):
        axes.add_artist(Rectangle((place_ft + x, 0.0), 1.5, 5.2, color=INK, linewidth=0, zorder=5))
    axes.add_artist(Rectangle((place_ft - 2.0, 1.6), 4.0, 2.6, color=MACHINE_COLOR, linewidth=0, zorder=5))
    cab = Rectangle((place_ft - 2.2, 4.2), 4.4, TRACTOR_FT - 4.2, facecolor=GLASS_COLOR, edgecolor=MACHINE_COLOR)
    cab.set(linewidth=1.0, zorder=5)
    cab.set_gid("tractor")
    axes.add_artist(cab)


def draw_crown(axes: Axes, centre: tuple[float, float], width_ft: float, height_ft: float, fullness: float) -> None:
    """A crown as the light meets it, an ellipse; paler where planting spots along the row stand empty."""
    crown = Ellipse(
        centre,
        width_ft,
        height_ft,
        facecolor=SCENERY["crown"],
        edgecolor=SCENERY["crown-edge"],
        linewidth=0.5,
        zorder=4,
    )
    crown.set_alpha(0.35 + 0.5 * fullness)
    crown.set_gid("crown")
    axes.add_artist(crown)


def draw_trunk(axes: Axes, place_ft: float, height_ft: float, dbh_in: float) -> None:
    """A stem that tapers to the tip, true to scale; a hairline keeps the thinnest visible."""
    half = dbh_in / 24.0
    tip = max(height_ft, 0.2)
    outline = [(place_ft - half, 0.0), (place_ft + half, 0.0), (place_ft, tip)]
    axes.add_artist(
        Polygon(outline, facecolor=SCENERY["stem"], edgecolor=SCENERY["stem"], linewidth=0.4, zorder=3, gid="stem")
    )
