"""How the ground falls: a plane through measured elevations, and the direction of its contour."""

import math
from pathlib import Path
from typing import Any, Final, NamedTuple

import numpy as np
import shapely

from simulator.csv_rows import NUMBER, Layout, read_rows, shown
from simulator.errors import InputError, Problem
from simulator.ground.field import Field
from simulator.units import FEET_PER_METRE, FloatArray

COLUMNS: Final = "Write columns lon,lat,elev_ft (or x,y in the field file's own system; elev_m for metres)."
TABLE: Final = Layout((), 50_000_000, "Thin the grid out: a point every 50 ft is plenty.", COLUMNS)
PLACES: Final = (("lon", "x"), ("lat", "y"))
HEIGHTS: Final = (("elev_ft", 1.0), ("z_ft", 1.0), ("elev", 1.0), ("z", 1.0), ("elev_m", FEET_PER_METRE))
"""Names of the column of elevation and feet in its unit; without a unit they are feet."""
LEAST_POINTS: Final = 6
LARGEST: Final = 1e9
"""No coordinate and no height is larger; a computer's sums would break."""
NARROWEST_SHARE: Final = 0.02
"""Points spread across the line that fits them by less than so much of their spread along it lie on one line."""
STEEPEST_PERCENT: Final = 100.0
"""A mean fall beyond this is no field's: heights in another unit, or a slip."""


class Heights(NamedTuple):
    """Elevations as read.

    Attributes
    ----------
    xy_ft
        Places on the field's map, east and north [ft], (points, 2).
    z_ft
        Height above anything [ft], (points,).
    file
        Where they were read.
    """

    xy_ft: FloatArray
    z_ft: FloatArray
    file: str


class Slope(NamedTuple):
    """The field's mean slope.

    Attributes
    ----------
    percent
        Fall over run along the steepest line [%].
    downhill_deg
        Direction in which the ground falls, clockwise from north [degrees].
    contour_deg
        Direction of the contour [degrees], 0 to below 180.
    explained_share
        Share of the variance of elevation that one plane explains [1]; low where the ground rolls.
    points
        Points within the field.
    """

    percent: float
    downhill_deg: float
    contour_deg: float
    explained_share: float
    points: int


def read_heights(path: Path, field: Field) -> Heights:
    """Read a table of elevations.

    Parameters
    ----------
    path
        Columns lon, lat and elev_ft, elev_m or elev (feet); or x, y in the coordinate system of the field's file and z.
    field
        The field it belongs to.

    Returns
    -------
    Heights

    Raises
    ------
    InputError
        With every line that cannot be read.
    """
    read = read_rows(path, TABLE)
    problems = list(read.problems)
    columns = [next((name for name in names if name in read.names), None) for names in PLACES]
    height = next(((name, feet) for name, feet in HEIGHTS if name in read.names), None)
    if None in columns or height is None:
        raise InputError([Problem("", "lacks a column", ",".join(read.names), COLUMNS, str(path))])
    wanted = [str(columns[0]), str(columns[1]), height[0]]
    for row in read.rows:
        for name in wanted:
            cell = row.cells.get(name, "").strip()
            if not (NUMBER.fullmatch(cell) and abs(float(cell)) < LARGEST):
                problems.append(Problem(name, "is not a number", shown(cell), "Correct it.", str(path), row.line))
    if problems:
        raise InputError(problems)
    table = np.array([[float(row.cells[name]) for name in wanted] for row in read.rows])
    change = field.projection.from_lonlat if wanted[0] == "lon" else field.projection.from_file
    xy = np.column_stack(change.transform(table[:, 0], table[:, 1]))
    return Heights(xy, table[:, 2] * height[1], str(path))


def slope_of(heights: Heights, outline: Any) -> Slope:  # noqa: ANN401 - a shape of shapely
    """Lay a plane through the elevations within a field by least squares.

    Parameters
    ----------
    heights
        Measured elevations.
    outline
        The field [ft].

    Returns
    -------
    Slope
        Fall [%], its direction and that of the contour [degrees], and how much of the elevations the plane explains
        [1].

    Raises
    ------
    InputError
        Where fewer than six points lie in the field, all lie on one line, or the ground falls as no field does.

    References
    ----------
    Least squares; common practice.
    """
    known = np.isfinite(heights.xy_ft).all(axis=1)
    inside = known & shapely.contains_xy(outline, heights.xy_ft[:, 0], heights.xy_ft[:, 1])
    xy, z = heights.xy_ft[inside], heights.z_ft[inside]
    columns = np.column_stack([xy, np.ones(len(xy))])
    if len(xy) < LEAST_POINTS or _on_one_line(xy):
        rule = f"needs at least {LEAST_POINTS} points within the field, not all on one line"
        remedy = "Check that the points belong to this field and are written as longitude, latitude."
        raise InputError([Problem("", rule, f"{len(xy)} points in the field", remedy, heights.file)])
    (east, north, _), *_ = np.linalg.lstsq(columns, z, rcond=None)
    left = z - columns @ np.linalg.lstsq(columns, z, rcond=None)[0]
    percent, downhill = 100.0 * math.hypot(east, north), math.degrees(math.atan2(-east, -north)) % 360.0
    if percent > STEEPEST_PERCENT:
        remedy = "Look for a slip, or for heights in another unit: elev_ft, or elev_m for metres."
        raise InputError([Problem("", "falls as no field does", f"{percent:,.0f} %", remedy, heights.file)])
    spread = float(((z - z.mean()) ** 2).sum())
    explained = 1.0 - float((left**2).sum()) / spread if spread > 0.0 else 1.0
    return Slope(percent, downhill, (downhill + 90.0) % 180.0, explained, len(xy))


def _on_one_line(xy_ft: FloatArray) -> bool:
    """Whether points lie on a line or next to it; a line in degrees is a little bent on the map."""
    along, across = np.linalg.svd(xy_ft - xy_ft.mean(axis=0), compute_uv=False)
    return bool(across <= NARROWEST_SHARE * along)
