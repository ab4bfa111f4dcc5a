"""Ground of a cross-section: where grass grows, and how much light falls on each part of it."""

from typing import Final, NamedTuple

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import LinearSegmentedColormap, Normalize
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle

from simulator.parameters.growth import load_tree
from simulator.result import Outcome
from simulator.scenario.rows import period_ft
from simulator.units import FloatArray
from workbench.look import GRASS_COLOR, LIGHT_RAMP, STRIP_COLOR, TALLEST_GRASS_FT

LIGHT_COLORS: Final = LinearSegmentedColormap.from_list("halfshade_light", list(LIGHT_RAMP))
LIGHT_SCALE: Final = Normalize(0.0, 1.0)
GROUND_DEPTH_FT: Final = 3.2
TUFT_EVERY_FT: Final = 0.9


class Tile(NamedTuple):
    """A stretch of grass ground across the slice [ft] and the share of open light on it."""

    start_ft: float
    end_ft: float
    light: float


def tiles_of_cell(outcome: Outcome, year: int) -> list[Tile]:
    """Grass ground of one repeating cell, cut into the stretches that light was measured for.

    Parameters
    ----------
    outcome
        A system.
    year
        Row.

    Returns
    -------
    list of Tile
        Across the cell in order; ground between tiles is tree strip.
    """
    light, points = outcome.profile_warm[year], outcome.drawing["points_ft"]
    trees, cell = outcome.scenario.trees, float(outcome.drawing["cell_ft"])
    if trees is None:
        return [Tile(0.0, cell, float(light.mean()))]
    if outcome.scenario.stand is not None:
        return _cut_halfway(0.0, cell, points, light)
    layout = trees.layout
    half_strip = min(load_tree(trees.species).planting.strip_width_ft, layout.alley_ft) / 2.0
    period = period_ft(layout.rows_in_set, layout.row_gap_ft, layout.alley_ft)
    tiles = []
    for first in np.arange(round(cell / period)) * period:
        start, end = first + period - layout.alley_ft + half_strip, first + period - half_strip
        inside = (points >= start - 1e-6) & (points <= end + 1e-6)
        tiles += _cut_halfway(float(start), float(end), points[inside], light[inside])
    return tiles


def _cut_halfway(start: float, end: float, points: FloatArray, light: FloatArray) -> list[Tile]:
    """Tiles around points, with their seams halfway between neighbours."""
    if len(points) == 0 or end <= start:
        return []
    seams = [start, *((points[1:] + points[:-1]) / 2.0), end]
    return [Tile(float(seams[i]), float(seams[i + 1]), float(light[i])) for i in range(len(points))]


def draw_ground(axes: Axes, outcome: Outcome, year: int) -> None:
    """Colour the ground by warm-season light and let grass stand on it, taller where it is lighter.

    Parameters
    ----------
    axes
        Panel with its limits set.
    outcome
        A system.
    year
        Row.
    """
    left, right = axes.get_xlim()
    axes.add_patch(Rectangle((left, -GROUND_DEPTH_FT), right - left, GROUND_DEPTH_FT, color=STRIP_COLOR, linewidth=0))
    cell = float(outcome.drawing["cell_ft"])
    tiles = tiles_of_cell(outcome, year)
    if outcome.scenario.trees is None:
        tiles, cell = [Tile(left, right, tiles[0].light)], right - left
    tufts = [np.empty((0, 2))]
    for shift in np.arange(np.floor(left / cell) - 1, np.ceil(right / cell) + 1) * cell:
        for tile in tiles:
            start, end = max(tile.start_ft + shift, left), min(tile.end_ft + shift, right)
            if end > start:
                _draw_tile(axes, Tile(start, end, tile.light))
                tufts.append(_tufts(Tile(start, end, tile.light)))
    # one line for all the grass of a panel: thousands of little ones make a file that takes seconds to lay out
    across, up = np.concatenate(tufts).T
    axes.add_line(Line2D(across, up, color=GRASS_COLOR, linewidth=0.5, zorder=2))


def _draw_tile(axes: Axes, tile: Tile) -> None:
    color = LIGHT_COLORS(LIGHT_SCALE(tile.light))
    width = tile.end_ft - tile.start_ft
    patch = Rectangle((tile.start_ft, -GROUND_DEPTH_FT), width, GROUND_DEPTH_FT, facecolor=color, edgecolor=color)
    patch.set_linewidth(0.2)
    patch.set_gid("light-tile")
    axes.add_artist(patch)  # not as a patch, for which matplotlib would look whether the limits still hold it


def _tufts(tile: Tile) -> FloatArray:
    """Corners of the tufts on a tile, with a gap after each [ft], (corners, 2)."""
    blades = np.arange(tile.start_ft + TUFT_EVERY_FT / 2.0, tile.end_ft, TUFT_EVERY_FT)
    tops = TALLEST_GRASS_FT * tile.light * (0.8 + 0.2 * np.cos(7.0 * blades))
    nothing = np.full_like(blades, np.nan)
    across = np.stack([blades - 0.2, blades, blades + 0.2, nothing], axis=1)
    up = np.stack([np.zeros_like(tops), tops, np.zeros_like(tops), nothing], axis=1)
    return np.stack([across.ravel(), up.ravel()], axis=1)
