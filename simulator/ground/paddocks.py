"""A field in paddocks of like area: cross-fences, gates, water, and the farthest an animal walks to drink."""

from itertools import pairwise
from typing import Any, Final, NamedTuple

import numpy as np
import shapely
from scipy.optimize import brentq

from simulator.errors import InputError, Problem
from simulator.ground.field import Field
from simulator.ground.net import turned, turned_back
from simulator.ground.rows import Rows
from simulator.scenario.trees import Layout as Pattern
from simulator.units import SQUARE_FEET_PER_ACRE, FloatArray

TOUCHING_FT: Final = 3.0
"""Water this near to a fence serves both sides of it."""
PLACES: Final = 41
"""Places along a cross-fence that are tried for a trough."""


class Paddock(NamedTuple):
    """One paddock: its acres, the farthest straight walk to water [ft], and its shape on the map."""

    acres: float
    walk_ft: float
    shape: Any


class Paddocks(NamedTuple):
    """A field in paddocks.

    Attributes
    ----------
    lines
        ``along`` or ``across`` the rows.
    paddocks
        From one end of the field to the other.
    fences
        Cross-fences on the map, one shape each.
    water_ft
        Water points on the map [ft], (points, 2): those of the file, then those proposed.
    proposed
        How many of them are proposed.
    gates
        In the perimeter, in each cross-fence, and where one crosses a lane.
    """

    lines: str
    paddocks: list[Paddock]
    fences: list[Any]
    water_ft: FloatArray
    proposed: int
    gates: int


def paddocks_of(field: Field, rows: Rows, pattern: Pattern, count: int, lines: str) -> Paddocks:
    """Divide a field into paddocks of like area.

    Parameters
    ----------
    field
        The field; lanes, decks and holes carry no animals.
    rows, pattern
        The rows; fences along them stand in the middle of the nearest alley, so areas differ a little.
    count
        How many paddocks.
    lines
        ``along`` the rows or ``across`` them.

    Returns
    -------
    Paddocks
        Where the file has no water in a paddock, one trough is proposed in the fence between each two of them.

    Raises
    ------
    InputError
        Where paddocks would be narrower than an alley.
    """
    closed = shapely.union_all([field.holes, field.lanes, field.decks])
    ground = turned(field.outline.difference(closed), rows.azimuth_deg)
    axis = 0 if lines == "along" else 1
    cuts = _cuts(ground, count, axis)
    if axis == 0:
        cuts = _in_alleys(cuts, rows, pattern)
        _check(cuts, count)
    low, high = shapely.bounds(ground)[axis], shapely.bounds(ground)[axis + 2]
    edges = [low, *cuts, high]
    shapes = [_slab(ground, a, b, axis) for a, b in pairwise(edges)]
    whole = turned(field.outline.difference(field.holes), rows.azimuth_deg)
    fences = [shapely.intersection(_line(whole, cut, axis), whole) for cut in cuts]
    water, proposed = _water(turned(field.troughs, rows.azimuth_deg), shapes, fences)
    paddocks = [_paddock(shape, water, rows.azimuth_deg) for shape in shapes]
    on_map = shapely.get_coordinates(turned_back(shapely.multipoints(water), rows.azimuth_deg))
    perimeter = max(len(shapely.get_parts(field.outline)), len(shapely.get_parts(field.gates)))
    back = [turned_back(fence, rows.azimuth_deg) for fence in fences]
    at_lanes = sum(fence.intersects(part) for fence in back for part in shapely.get_parts(field.lanes))
    return Paddocks(lines, paddocks, back, on_map, proposed, perimeter + len(cuts) + at_lanes)


def _cuts(ground: Any, count: int, axis: int) -> list[float]:  # noqa: ANN401 - a shape of shapely
    """Where lines across an axis cut a shape into equal areas.

    Parameters
    ----------
    ground
        The shape [ft].
    count
        Parts wanted [1].
    axis
        0 across from west to east, 1 from south to north.

    Returns
    -------
    list of float
        Places of the lines [ft], within .01 ft.

    References
    ----------
    Definition.
    """
    low, high = shapely.bounds(ground)[axis], shapely.bounds(ground)[axis + 2]

    def beyond(cut: float, share: float) -> float:
        return float(_slab(ground, low, cut, axis).area / ground.area - share)

    return [float(brentq(beyond, low, high, args=(k / count,), xtol=0.01)) for k in range(1, count)]


def _slab(ground: Any, low: float, high: float, axis: int) -> Any:  # noqa: ANN401 - a shape of shapely
    west, south, east, north = shapely.bounds(ground)
    box = (low, south, high, north) if axis == 0 else (west, low, east, high)
    return ground.intersection(shapely.box(*box))


def _line(ground: Any, cut: float, axis: int) -> Any:  # noqa: ANN401 - a shape of shapely
    west, south, east, north = shapely.bounds(ground)
    return shapely.LineString([(cut, south), (cut, north)] if axis == 0 else [(west, cut), (east, cut)])


def _in_alleys(cuts: list[float], rows: Rows, pattern: Pattern) -> list[float]:
    """Each cut moved to the middle of the nearest alley; where there is none it stays."""
    x = np.unique(rows.x_ft)
    wide = np.diff(x) >= min(pattern.alley_ft, np.diff(x).max(initial=0.0)) - 0.1
    middles = ((x[1:] + x[:-1]) / 2.0)[wide]
    return [float(middles[np.abs(middles - cut).argmin()]) for cut in cuts] if len(middles) else cuts


def _check(cuts: list[float], count: int) -> None:
    if len(set(cuts)) < len(cuts):
        remedy = "Ask for fewer, or for --paddock-lines across."
        raise InputError([Problem("--paddocks", "would be narrower than an alley", str(count), remedy)])


def _water(troughs: Any, shapes: list[Any], fences: list[Any]) -> tuple[FloatArray, int]:  # noqa: ANN401
    """The file's water points, and a trough for every paddock that has none: in its fence, for two of them."""
    given = shapely.get_coordinates(troughs).reshape(-1, 2)
    new: list[FloatArray] = []
    for i, shape in enumerate(shapes):
        if _reached(shape, np.array([*given, *new]).reshape(-1, 2)).any():
            continue
        fence = fences[i] if i < len(fences) else (fences[-1] if fences else None)
        sharing = shapes[i : i + 2] if i < len(fences) else [shape]
        places = _along(fence, sharing) if fence is not None and fence.length > 0.0 else np.empty((0, 2))
        if not len(places):  # the fence runs over a deck or lane, or there is none
            sharing, places = [shape], _inside(shape)
        walks = np.max([_walks(each, places) for each in sharing], axis=0)
        new.append(places[int(walks.argmin())])
    return np.array([*given, *new]).reshape(-1, 2), len(new)


def _along(fence: Any, sharing: list[Any]) -> FloatArray:  # noqa: ANN401 - a shape of shapely
    """Places along a fence from which all of its paddocks drink."""
    longest = max(shapely.get_parts(fence), key=lambda part: part.length)
    points = shapely.line_interpolate_point(longest, np.linspace(0.0, 1.0, PLACES), normalized=True)
    places = np.asarray(shapely.get_coordinates(points), float)
    return places[np.all([_reached(shape, places) for shape in sharing], axis=0)]


def _inside(shape: Any) -> FloatArray:  # noqa: ANN401 - a shape of shapely
    """Where a trough can stand in a paddock: on a grid within it; one place where it is narrower than the grid."""
    west, south, east, north = shapely.bounds(shape)
    grid = np.meshgrid(np.linspace(west, east, PLACES), np.linspace(south, north, PLACES))
    x, y = (axis.ravel() for axis in grid)
    inside = shapely.contains_xy(shape, x, y)
    if not inside.any():
        return np.asarray(shapely.get_coordinates(shape.representative_point()), float)
    return np.column_stack([x[inside], y[inside]])


def _walks(shape: Any, places: FloatArray) -> FloatArray:  # noqa: ANN401 - a shape of shapely
    """Farthest straight walk from anywhere in a shape to each place [ft]; the farthest point is a corner."""
    corners = shapely.get_coordinates(shapely.convex_hull(shape))
    return np.asarray(np.hypot(*(places[:, None, :] - corners[None]).transpose(2, 0, 1)).max(axis=1), float)


def _reached(shape: Any, water: FloatArray) -> Any:  # noqa: ANN401 - a shape of shapely
    return shapely.distance(shapely.points(water), shape) <= TOUCHING_FT


def _paddock(shape: Any, water: FloatArray, azimuth_deg: float) -> Paddock:  # noqa: ANN401 - a shape of shapely
    """One paddock: its area, and the walk to the nearest of its water points from where it is farthest to all of them.

    Parameters
    ----------
    shape
        The paddock, turned [ft].
    water
        Water points [ft], (points, 2).
    azimuth_deg
        Direction of the rows [degrees].

    Returns
    -------
    Paddock
        Area [ac] and walk in a straight line [ft].

    References
    ----------
    Definition.
    """
    mine = water[_reached(shape, water)]
    corners = shapely.get_coordinates(shapely.convex_hull(shape))
    # between several troughs the farthest point may lie inside
    from_ = np.vstack([corners, _inside(shape)]) if len(mine) > 1 else corners
    walk = np.hypot(*(mine[:, None, :] - from_[None]).transpose(2, 0, 1)).min(axis=0).max()
    return Paddock(float(shape.area) / SQUARE_FEET_PER_ACRE, float(walk), turned_back(shape, azimuth_deg))
