"""Shapes as plain arrays of points, for whoever draws or writes them."""

from typing import Any

import numpy as np
import shapely

from simulator.units import FloatArray


def polygons_of(shape: Any) -> list[list[FloatArray]]:  # noqa: ANN401 - a shape of shapely
    """Rings of every polygon in a shape, the outer one first, each (points, 2)."""
    flat = shapely.get_parts(shapely.get_parts(shape))
    parts = [part for part in flat if part.geom_type == "Polygon" and not part.is_empty]
    return [[shapely.get_coordinates(ring) for ring in shapely.get_rings(part)] for part in parts]


def lines_of(shape: Any) -> list[FloatArray]:  # noqa: ANN401 - a shape of shapely, or an array of them
    """Points of every line in a shape, each (points, 2)."""
    flat = shapely.get_parts(shapely.get_parts(shape))
    return [shapely.get_coordinates(part) for part in flat if part.geom_type == "LineString" and not part.is_empty]


def points_of(shape: Any) -> FloatArray:  # noqa: ANN401 - a shape of shapely
    """Points in a shape, (points, 2)."""
    return np.asarray(shapely.get_coordinates(shape), float).reshape(-1, 2)


def box_of(shape: Any) -> tuple[float, float, float, float]:  # noqa: ANN401 - a shape of shapely
    """West, south, east and north end of a shape."""
    west, south, east, north = (float(each) for each in shapely.bounds(shape))
    return west, south, east, north


def inner_point(shape: Any) -> tuple[float, float]:  # noqa: ANN401 - a shape of shapely
    """A point inside a shape, for its label: the middle of its largest part where that lies in it."""
    largest = max(shapely.get_parts(shape), key=lambda part: part.area)
    middle = largest.centroid
    if largest.contains(middle):
        return float(middle.x), float(middle.y)
    point = shapely.maximum_inscribed_circle(largest).coords[0]
    return float(point[0]), float(point[1])
