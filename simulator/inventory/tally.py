"""The tally of a cruise read from a comma-separated table, with everything wrong in it listed at once."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final, NamedTuple

import numpy as np

from simulator.csv_rows import NUMBER, Layout, Row, Rows, read_rows, shown
from simulator.errors import InputError, Problem
from simulator.parameters.catalogue import tree_names
from simulator.units import FloatArray, IntArray

COLUMNS: Final = ("plot", "dbh_in")
PLACES: Final = {
    "x_ft": (-1e6, 1e6),
    "y_ft": (-1e6, 1e6),
    "azimuth_deg": (0.0, 360.0),
    "distance_ft": (0.0, 1e4),
}
OTHER_UNIT: Final = {
    "dbh_in": "Diameters are in inches: divide centimetres by 2.54.",
    "height_ft": "Heights are in feet: multiply metres by 3.28.",
}
OPTIONAL: Final = ("species", "height_ft", "code", "tree", *PLACES)
CODES: Final = ("", "pole", "sawtimber", "chip-and-saw", "pulpwood", "cull")
"""What the cruiser thinks a stem will make; nothing said: the usual shares of the species."""
HARDWOOD: Final = "hardwood"
"""Counted in trees and basal area; Halfshade has no stem equations for hardwoods and makes no tons of them."""

LARGEST_DBH_IN: Final = 48.0
"""No southern pine is so thick; a larger number is a slip or centimetres."""
CENTIMETRES_MEDIAN_IN: Final = 24.0
"""A stand whose middle tree were thicker than this was most likely measured in centimetres."""
MOST_TOO_THICK: Final = 3
"""Slips of the pen that are named one by one; with more the unit is wrong."""
GREATEST_HEIGHT_FT: Final = 160.0
SLENDEREST_FT_PER_IN: Final = 20.0
STOUTEST_FT_PER_IN: Final = 2.8
"""Even open-grown pines stand taller for their diameter than this; judgement of practice, no source."""
SHORTEST_FT: Final = 4.5
LAYOUT: Final = Layout(
    COLUMNS,
    50_000_000,
    "Split the tally by tract.",
    "Write the line plot,species,dbh_in and one line a tree below it; a plot without trees has an empty dbh_in.",
)


class Tally(NamedTuple):
    """Trees and plots of a cruise.

    Attributes
    ----------
    plot_names
        Plots in the order in which they appear, those without trees among them.
    plot
        Number of each tree's plot in ``plot_names``, (trees,).
    species
        Catalogue id or ``hardwood`` of each tree.
    dbh_in
        Diameter at 4.5 ft [in], (trees,).
    height_ft
        Total height [ft], NaN where not measured, (trees,).
    code
        What the cruiser thinks the stem will make, one of ``CODES``.
    tree
        Number or name of each tree, empty where not given.
    x_ft, y_ft, azimuth_deg, distance_ft
        Place by coordinates or from the plot's centre [ft], [degrees], NaN where not given, (trees,).
    unused_columns
        Columns that nothing reads.
    """

    plot_names: list[str]
    plot: IntArray
    species: list[str]
    dbh_in: FloatArray
    height_ft: FloatArray
    code: list[str]
    tree: list[str]
    x_ft: FloatArray
    y_ft: FloatArray
    azimuth_deg: FloatArray
    distance_ft: FloatArray
    unused_columns: list[str]


class _Tree(NamedTuple):
    plot: str
    species: str
    dbh_in: float
    height_ft: float
    code: str
    name: str
    place: tuple[float, ...]


def read_tally(
    path: Path, default_species: str = "loblolly", *, large_trees: bool = False, one_plot: bool = False
) -> Tally:
    """Read the trees of a cruise.

    Parameters
    ----------
    path
        Table with the columns plot and dbh_in, and any of species, height_ft, code, tree, x_ft, y_ft, azimuth_deg and
        distance_ft.
    default_species
        Catalogue id of trees whose species is not given.
    large_trees
        Believe diameters that look like centimetres.
    one_plot
        All trees stand on one plot, which needs no column of its own.

    Returns
    -------
    Tally

    Raises
    ------
    InputError
        With every problem found, in file order.
    """
    read = read_rows(path, LAYOUT._replace(required=COLUMNS[1:]) if one_plot else LAYOUT)
    if one_plot:
        read = read._replace(rows=[Row(row.line, {**row.cells, "plot": "all"}) for row in read.rows])
    known = [*tree_names(), HARDWOOD]
    problems = [*read.problems, *_duplicates(read, path)]
    plots: dict[str, int] = {}
    trees: list[_Tree] = []
    for row in read.rows:
        tree, wrong = _tree(row, known, default_species, path)
        problems += wrong
        plots.setdefault(row.cells.get("plot", ""), len(plots))
        if tree is not None:
            trees.append(tree)
    problems = _thick_as_one(problems)
    problems += _centimetres(trees, path) if not (problems or large_trees) else []
    if not trees and not problems:
        problems.append(Problem("dbh_in", "no plot holds a tree", "", "Give at least one measured tree.", str(path)))
    if problems:
        raise InputError(sorted(problems, key=lambda problem: problem.line or 0))
    return _tally(trees, plots, read.names)


def _tally(trees: Sequence[_Tree], plots: Mapping[str, int], names: Sequence[str]) -> Tally:
    return Tally(
        plot_names=list(plots),
        plot=np.array([plots[tree.plot] for tree in trees]),
        species=[tree.species for tree in trees],
        dbh_in=np.array([tree.dbh_in for tree in trees]),
        height_ft=np.array([tree.height_ft for tree in trees]),
        code=[tree.code for tree in trees],
        tree=[tree.name for tree in trees],
        **{name: np.array([tree.place[i] for tree in trees]) for i, name in enumerate(PLACES)},
        unused_columns=[name for name in names if name and name not in {*COLUMNS, *OPTIONAL}],
    )


def _tree(row: Row, known: Sequence[str], default: str, path: Path) -> tuple[_Tree | None, list[Problem]]:
    """One row as a tree; ``None`` where it only says that its plot is empty, or is wrong."""
    cells = row.cells
    problems = []
    if not cells.get("plot"):
        remedy = "Write the number or name of the plot in every row."
        problems.append(Problem("plot", "is missing", "", remedy, str(path), row.line))
    if not cells.get("dbh_in"):
        alone = any(cells.get(name) for name in ("height_ft", "code", "tree", *PLACES))
        if alone:
            remedy = "Give the diameter, or leave the whole row empty but for the plot."
            problems.append(Problem("dbh_in", "is missing for a tree", "", remedy, str(path), row.line))
        return None, problems
    dbh, wrong = _number(row, "dbh_in", (0.1, LARGEST_DBH_IN), path)
    problems += wrong
    height, wrong = _number(row, "height_ft", (SHORTEST_FT, GREATEST_HEIGHT_FT), path)
    problems += wrong
    place = [_number(row, name, limits, path) for name, limits in PLACES.items()]
    problems += [problem for _, wrong in place for problem in wrong]
    species = cells.get("species", "").casefold() or default
    problems += _word(row, "species", species, known, path)
    code = cells.get("code", "").casefold()
    problems += _word(row, "code", code, CODES, path)
    problems += _slender(row, dbh, height, path) if not problems else []
    if problems:
        return None, problems
    return _Tree(cells["plot"], species, dbh, height, code, cells.get("tree", ""), tuple(at for at, _ in place)), []


def _slender(row: Row, dbh: float, height: float, path: Path) -> list[Problem]:
    if not height / dbh > SLENDEREST_FT_PER_IN:
        return []
    rule = f"is more than {SLENDEREST_FT_PER_IN:g} ft of height for each inch of diameter"
    remedy = "Check height and diameter; both are in US units."
    return [Problem("height_ft", rule, shown(row.cells["height_ft"]), remedy, str(path), row.line)]


def _number(row: Row, name: str, limits: tuple[float, float], path: Path) -> tuple[float, list[Problem]]:
    """Value of a cell; NaN where it is empty or wrong."""
    text, (low, high) = row.cells.get(name, ""), limits
    if not text:
        return float("nan"), []
    if not NUMBER.fullmatch(text):
        remedy = "Write it like 9.6: no unit, no decimal comma."
        return float("nan"), [Problem(name, "must be a plain number", shown(text), remedy, str(path), row.line)]
    value = float(text)
    if not low <= value <= high:
        rule = f"must be {low:g} to {high:g}"
        remedy = OTHER_UNIT.get(name, "Mind the unit.")
        return float("nan"), [Problem(name, rule, shown(text), remedy, str(path), row.line)]
    return value, []


def _word(row: Row, name: str, word: str, known: Sequence[str], path: Path) -> list[Problem]:
    if word in known:
        return []
    remedy = f"Use one of: {', '.join(each for each in known if each)}."
    return [Problem(name, f"is not a known {name}", shown(row.cells.get(name, "")), remedy, str(path), row.line)]


def _duplicates(read: Rows, path: Path) -> list[Problem]:
    if "tree" not in read.names:
        return []
    seen: dict[tuple[str, str], int] = {}
    problems = []
    for row in read.rows:
        key = (row.cells.get("plot", ""), row.cells.get("tree", ""))
        if not key[1]:
            continue
        if key in seen:
            rule = f"stands in line {seen[key]} already, on the same plot"
            remedy = "Give every tree of a plot its own number."
            problems.append(Problem("tree", rule, shown(key[1]), remedy, str(path), row.line))
        seen.setdefault(key, row.line)
    return problems


def _thick_as_one(problems: list[Problem]) -> list[Problem]:
    """One line for many trees that are too thick: nobody reads fifty to learn that the unit is wrong."""
    thick = [i for i, each in enumerate(problems) if each.field == "dbh_in" and _above_largest(each.received)]
    if len(thick) <= MOST_TOO_THICK:
        return problems
    rule = f"looks like centimetres: {len(thick)} trees are thicker than {LARGEST_DBH_IN:g}, here the first"
    first = replace(problems[thick[0]], rule=rule, remedy="Give inches: divide centimetres by 2.54.")
    return [first, *(each for i, each in enumerate(problems) if i not in set(thick))]


def _above_largest(received: str) -> bool:
    text = received.strip('"')
    return NUMBER.fullmatch(text) is not None and float(text) > LARGEST_DBH_IN


def _centimetres(trees: Sequence[_Tree], path: Path) -> list[Problem]:
    """Say so where the diameters as a whole look like centimetres."""
    middle = float(np.median([tree.dbh_in for tree in trees])) if trees else 0.0
    heights = [tree.height_ft / tree.dbh_in for tree in trees if tree.height_ft == tree.height_ft]
    stout = bool(heights) and float(np.median(heights)) < STOUTEST_FT_PER_IN and middle > 10.0
    if middle <= CENTIMETRES_MEDIAN_IN and not stout:
        return []
    rule = f"looks like centimetres: half of the trees are thicker than {middle:.1f}"
    remedy = "Give inches: divide centimetres by 2.54. Where the trees are that thick, add --large-trees."
    return [Problem("dbh_in", rule, f"{middle:.1f}", remedy, str(path))]
