"""The map of a layout as plain numbers for the page to draw, in feet from the field's middle, north up."""

import re
from collections.abc import Iterator
from typing import Any, Final

import numpy as np

from simulator.ground import Field, Layout
from simulator.ground.features import FieldFile
from simulator.ground.outlines import box_of, lines_of, points_of, polygons_of
from simulator.units import FloatArray

DIGITS: Final = 1
LABELLED: Final = ("hole", "water", "stream", "lane", "deck", "gate")
WATERY: Final = re.compile(r"pond|lake|pool|water|reservoir", re.IGNORECASE)
MOST_LETTERS: Final = 24
MOST_LABELS: Final = 40
NEAR_FT: Final = 5.0
"""A thing this near to the field, such as a gate in its fence, is named on its map."""

Points = list[list[float]]


def picture_document(layout: Layout, source: FieldFile) -> dict[str, Any]:
    """Everything that the page draws of a layout.

    Parameters
    ----------
    layout
        Rows on a field.
    source
        The field's file, for the names of what lies in it.

    Returns
    -------
    dict
        Polygons as lists of rings, the outer one first; lines as lists of points; rows as west-east and south-north of
        start and end with the number of their set from 1; all in feet to a tenth.
    """
    field, shapes, paddocks = layout.field, layout.shapes, layout.paddocks
    return {
        "extents": [round(each, DIGITS) for each in box_of(field.outline)],
        "outline": _polygons(field.outline),
        "net": _polygons(shapes.workable),
        "headlands": _polygons(shapes.headland),
        "unusable": _polygons(shapes.unusable),
        "holes": _polygons(field.holes),
        "ponds": list(_ponds(field, source)),
        "streams": {"areas": _polygons(field.waters), "lines": _lines(field.waters)},
        "lanes": _polygons(field.lanes),
        "decks": _polygons(field.decks),
        "gates": _points(points_of(field.gates)),
        "rows": _rows(layout),
        "cross_fences": [line for fence in paddocks.fences for line in _lines(fence)],
        "water": _water(layout),
        "start": _points(np.atleast_2d(layout.first.corner.xy_ft))[0],
        "labels": list(_labels(field, source))[:MOST_LABELS],
    }


def _points(points: FloatArray) -> Points:
    return [[round(float(x), DIGITS), round(float(y), DIGITS)] for x, y in points]


def _polygons(shape: Any) -> list[list[Points]]:  # noqa: ANN401 - a shape of shapely
    return [[_points(ring) for ring in rings] for rings in polygons_of(shape)]


def _lines(shape: Any) -> list[Points]:  # noqa: ANN401 - a shape of shapely
    return [_points(line) for line in lines_of(shape)]


def _rows(layout: Layout) -> list[list[float]]:
    ends = [np.round(line, DIGITS).ravel().tolist() for line in lines_of(layout.rows.lines_on_map)]
    return [[*end, int(number) + 1] for end, number in zip(ends, layout.rows.set_number, strict=True)]


def _water(layout: Layout) -> list[dict[str, Any]]:
    paddocks = layout.paddocks
    built = len(paddocks.water_ft) - paddocks.proposed
    return [
        {"at": place, "proposed": number >= built}
        for number, place in enumerate(_points(paddocks.water_ft.reshape(-1, 2)))
    ]


def _ponds(field: Field, source: FieldFile) -> Iterator[list[Points]]:
    """Holes whose own names say that they hold water; all holes are alike to rows."""
    for feature in source.features:
        if feature.use == "hole" and WATERY.search(feature.name):
            yield from _polygons(field.projection.flat(feature.geometry))


def _labels(field: Field, source: FieldFile) -> Iterator[dict[str, Any]]:
    """The name of each thing that lies in the field, and where it is written."""
    for feature in source.features:
        if feature.use not in LABELLED:
            continue
        shape = field.projection.flat(feature.geometry)
        if "Line" in shape.geom_type:
            places = _middle_of_line(shape, field)
        else:
            near = field.outline.distance(shape.centroid) <= NEAR_FT
            places = points_of(shape.centroid) if near else np.empty((0, 2))
        for at in _points(places):
            yield {"text": feature.name[:MOST_LETTERS], "kind": feature.use, "at": at}


def _middle_of_line(shape: Any, field: Field) -> FloatArray:  # noqa: ANN401 - a shape of shapely
    """Half-way along the longest piece of a line that lies in the field, (1, 2); (0, 2) where none does."""
    pieces = lines_of(shape.intersection(field.outline))
    if not pieces:
        return np.empty((0, 2))
    runs = [np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(piece, axis=0).T))]) for piece in pieces]
    longest = int(np.argmax([run[-1] for run in runs]))
    run, piece = runs[longest], pieces[longest]
    return np.array([[np.interp(run[-1] / 2.0, run, piece[:, axis]) for axis in (0, 1)]])
