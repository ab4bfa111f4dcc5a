"""The fence along a field: its sides with length and bearing, its corners by name, the gates."""

import math
from typing import Any, Final, NamedTuple

import numpy as np
import shapely

from simulator.ground.field import Field
from simulator.parameters.field_work import load_field_layout
from simulator.units import FloatArray

POINTS: Final = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")


class Side(NamedTuple):
    """One side of a field's outline.

    Attributes
    ----------
    name
        Where it lies, such as ``north``; the second of a name is ``north 2``.
    length_ft
        Along the outline [ft].
    bearing_deg
        From its first to its last corner, running clockwise around the field [degrees].
    fenced_ft
        Of it, along a fence that the file says stands [ft].
    middle_ft
        Half-way along it, on the map [ft].
    """

    name: str
    length_ft: float
    bearing_deg: float
    fenced_ft: float
    middle_ft: tuple[float, float]


class Corner(NamedTuple):
    """A corner of the outline: its name, such as ``south-west``, and its place on the map [ft]."""

    name: str
    xy_ft: FloatArray


def compass(degrees: float) -> str:
    """The nearest of eight points of the compass to a direction, clockwise from north [degrees]."""
    return POINTS[round(degrees / 45.0) % 8]


def bearing_deg(from_ft: FloatArray, to_ft: FloatArray) -> float:
    """Direction from one point of the map to another, clockwise from north.

    Parameters
    ----------
    from_ft, to_ft
        East and north of both points [ft], (2,) each.

    Returns
    -------
    float
        Direction, 0 to below 360 [degrees].

    References
    ----------
    Definition.
    """
    east, north = (float(each) for each in np.asarray(to_ft) - np.asarray(from_ft))
    return math.degrees(math.atan2(east, north)) % 360.0


def sides_of(field: Field) -> list[Side]:
    """Divide the outline at its corners; slight bends do not make a side.

    Parameters
    ----------
    field
        The field.

    Returns
    -------
    list of Side
        Clockwise, part by part; lengths add up to the outline's perimeter.
    """
    habits = load_field_layout()
    standing = field.fences.buffer(habits.fence_near_ft, cap_style="flat")
    sides: list[Side] = []
    named: dict[str, int] = {}
    for ring in _rings(field.outline):
        for part in _between_corners(ring, habits.corner_ft):
            ends = shapely.get_coordinates(part)[[0, -1]]
            bearing = bearing_deg(*ends)
            name = compass(bearing - 90.0)  # clockwise around the field its outside lies to the left
            named[name] = named.get(name, 0) + 1
            label = name if named[name] == 1 else f"{name} {named[name]}"
            fenced = float(part.intersection(standing).length)
            middle = shapely.line_interpolate_point(part, 0.5, normalized=True)
            sides.append(Side(label, float(part.length), bearing, fenced, (float(middle.x), float(middle.y))))
    return sides


def corners_of(field: Field) -> list[Corner]:
    """Corners of the outline, each called by where it lies seen from the middle of its part."""
    corners = []
    for ring in _rings(field.outline):
        middle = shapely.get_coordinates(shapely.polygons(ring).centroid)[0]
        places = shapely.get_coordinates(_corners(ring, load_field_layout().corner_ft))[:-1]
        corners += [Corner(compass(bearing_deg(middle, xy)), xy) for xy in places]
    return corners


def longest_side_deg(field: Field) -> float:
    """Direction of the longest side [degrees], 0 to below 180."""
    return max(sides_of(field), key=lambda side: side.length_ft).bearing_deg % 180.0


def _rings(outline: Any) -> list[Any]:  # noqa: ANN401 - a shape of shapely
    rings = [part.exterior for part in outline_parts(outline)]
    return [shapely.reverse(ring) if ring.is_ccw else ring for ring in rings]


def outline_parts(outline: Any) -> Any:  # noqa: ANN401 - shapes of shapely
    """The parts of a field, the largest first."""
    parts = shapely.get_parts(outline)
    return parts[np.argsort(-shapely.area(parts), kind="stable")]


def _corners(ring: Any, tolerance_ft: float) -> Any:  # noqa: ANN401 - a shape of shapely
    """The ring without its slight bends, begun at a true corner: the point farthest from the ring's middle."""
    xy = shapely.get_coordinates(ring)[:-1]
    far = int(np.hypot(*(xy - xy.mean(axis=0)).T).argmax())
    begun = shapely.linearrings(np.roll(xy, -far, axis=0))
    return shapely.simplify(begun, tolerance_ft)


def _between_corners(ring: Any, tolerance_ft: float) -> list[Any]:  # noqa: ANN401 - shapes of shapely
    corners = shapely.get_coordinates(_corners(ring, tolerance_ft))
    xy = shapely.get_coordinates(ring)[:-1]
    start = int(np.hypot(*(xy - corners[0]).T).argmin())
    xy = np.roll(xy, -start, axis=0)
    at = sorted({int(np.hypot(*(xy - corner).T).argmin()) for corner in corners[:-1]})
    closed = np.vstack([xy, xy[:1]])
    return [shapely.linestrings(closed[i : j + 1]) for i, j in zip(at, [*at[1:], len(xy)], strict=True)]
