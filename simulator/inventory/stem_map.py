"""A stem map: where every tree stands, read from a table of coordinates or of bearings and distances."""

from pathlib import Path
from typing import Final, NamedTuple

import numpy as np
from scipy.spatial import cKDTree

from simulator.csv_rows import Layout, read_rows
from simulator.errors import InputError, Problem
from simulator.inventory.heights import completed_heights_ft
from simulator.inventory.tally import HARDWOOD, Tally, read_tally
from simulator.units import FloatArray

LAYOUT: Final = Layout(
    ("tree", "dbh_in"), 50_000_000, "Split the map by tract.", "Write the line tree,x_ft,y_ft,dbh_in and one a tree."
)
CLOSEST_FT: Final = 0.1
"""Two stems nearer than this are one tree tallied twice."""


class StemMap(NamedTuple):
    """Trees and their places.

    Attributes
    ----------
    tree
        Number or name of each tree, unique.
    x_ft, y_ft
        Place, east and north [ft], (trees,).
    dbh_in, height_ft
        Diameter [in] and total height [ft], measured or from the map's own curve, (trees,).
    code
        What the forester thinks each stem will make; see `tally.CODES`.
    species
        The one species of the map.
    """

    tree: list[str]
    x_ft: FloatArray
    y_ft: FloatArray
    dbh_in: FloatArray
    height_ft: FloatArray
    code: list[str]
    species: str


def read_stem_map(path: Path, species: str, *, large_trees: bool = False) -> StemMap:
    """Read a stem map.

    Parameters
    ----------
    path
        Table with tree and dbh_in; x_ft and y_ft, or azimuth_deg and distance_ft from one centre; and any of plot,
        species, height_ft and code.
    species
        Catalogue id of trees whose species is not given.
    large_trees
        Believe diameters that look like centimetres.

    Returns
    -------
    StemMap

    Raises
    ------
    InputError
        With every problem found.
    """
    read = read_rows(path, LAYOUT)
    with_plot = "plot" in read.names
    tally = read_tally(path, species, large_trees=large_trees, one_plot=not with_plot)
    kinds = sorted(set(tally.species) - {HARDWOOD})
    problems = []
    if len(kinds) != 1 or HARDWOOD in tally.species:
        found = ", ".join(sorted(set(tally.species)))
        remedy = "Mark one species at a time; leave the others out of the table."
        problems.append(Problem("species", "a map to mark holds one species", found, remedy, str(path)))
    if len(tally.plot_names) > 1:
        problems.append(Problem("plot", "a map is of one place", "", "Give one table for each map.", str(path)))
    if any(not tree for tree in tally.tree):
        problems.append(Problem("tree", "is missing for a tree", "", "Number every tree.", str(path)))
    x, y, missing = _places(tally, str(path))
    problems += missing
    if not problems:
        problems += _too_close(tally, x, y, str(path))
    if not np.isfinite(tally.height_ft).any():
        remedy = "Measure a few heights; the others follow from them."
        problems.append(Problem("height_ft", "no tree has a height", "", remedy, str(path)))
    if problems:
        raise InputError(problems)
    heights, _ = completed_heights_ft(tally.dbh_in, tally.height_ft, np.zeros(len(x)))
    return StemMap(tally.tree, x, y, tally.dbh_in, heights, tally.code, kinds[0])


def _places(tally: Tally, name: str) -> tuple[FloatArray, FloatArray, list[Problem]]:
    turn = np.radians(tally.azimuth_deg)
    x = np.where(np.isfinite(tally.x_ft), tally.x_ft, tally.distance_ft * np.sin(turn))
    y = np.where(np.isfinite(tally.y_ft), tally.y_ft, tally.distance_ft * np.cos(turn))
    lost = [tree for tree, ok in zip(tally.tree, np.isfinite(x) & np.isfinite(y), strict=True) if not ok]
    if not lost:
        return x, y, []
    remedy = "Give x_ft and y_ft, or azimuth_deg and distance_ft, of every tree."
    return x, y, [Problem("x_ft", f"{len(lost)} trees have no place, first tree {lost[0]}", "", remedy, name)]


def _too_close(tally: Tally, x: FloatArray, y: FloatArray, name: str) -> list[Problem]:
    pairs = cKDTree(np.column_stack([x, y])).query_pairs(CLOSEST_FT)
    if not pairs:
        return []
    one, other = min(pairs)
    rule = f"trees {tally.tree[one]} and {tally.tree[other]} stand at one place"
    return [Problem("x_ft", rule, "", "Give each stem its own place; a forked tree is one stem.", name)]
