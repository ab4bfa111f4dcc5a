"""What of a field can carry rows: the setback, buffers, lanes, decks and headlands taken off."""

import math
from typing import Any, NamedTuple

import numpy as np
import shapely
from shapely.affinity import rotate

from simulator.ground.field import Field
from simulator.ground.options import Margins
from simulator.parameters.field_work import load_field_layout

ROUND: int = 8
"""Chords to a quarter of a circle in buffers; a 35-ft buffer is then within 2 inches."""


class Ground(NamedTuple):
    """The field in three parts that share nothing and leave nothing out, turned so that the rows run north.

    Attributes
    ----------
    outline
        The whole field.
    unusable
        Holes, buffers, lanes, decks and the setback along the fence.
    headland
        Where machines turn at the ends of rows.
    workable
        Where rows and alleys are.
    """

    outline: Any
    unusable: Any
    headland: Any
    workable: Any


def turned(shape: Any, azimuth_deg: float) -> Any:  # noqa: ANN401 - a shape of shapely
    """A shape of the map turned so that what ran at the azimuth runs north; the origin stays."""
    return rotate(shape, azimuth_deg, origin=(0.0, 0.0))


def turned_back(shape: Any, azimuth_deg: float) -> Any:  # noqa: ANN401 - a shape of shapely
    """A turned shape as it lies on the map."""
    return rotate(shape, -azimuth_deg, origin=(0.0, 0.0))


def usable_of(field: Field, margins: Margins) -> tuple[Any, Any]:
    """What setback and buffers leave of a field, before and after lanes and decks, as they lie on the map."""
    kept = field.outline.buffer(-margins.setback_ft, quad_segs=ROUND) if margins.setback_ft else field.outline
    taken = [shape for shape in (field.holes.buffer(margins.setback_ft, quad_segs=ROUND),) if not shape.is_empty]
    taken.append(field.waters.buffer(max(margins.stream_buffer_ft, 0.01), quad_segs=ROUND))
    before = kept.difference(shapely.union_all(taken))
    return before, before.difference(shapely.union_all([field.lanes, field.decks]))


def ground_of(field: Field, margins: Margins, azimuth_deg: float) -> Ground:
    """Divide a field for rows of one direction.

    Parameters
    ----------
    field
        The field.
    margins
        What is kept free of trees [ft].
    azimuth_deg
        Direction of the rows [degrees].

    Returns
    -------
    Ground
        A headland lies wherever a side meets the rows at more than the habit's angle; along the other sides nobody
        turns. A lane or a deck needs none: machines turn on it.
    """
    before, after = (turned(shape, azimuth_deg) for shape in usable_of(field, margins))
    outline = turned(field.outline, azimuth_deg)
    turning = _turning(before, margins.headland_ft)
    # cut by the whole strip, which reaches beyond the edge: cutting by its inner part would leave slivers along it
    return Ground(outline, outline.difference(after), after.intersection(turning), after.difference(turning))


def _turning(shape: Any, headland_ft: float) -> Any:  # noqa: ANN401 - a shape of shapely
    """Ground within a headland's width of the sides that rows run into."""
    if headland_ft == 0.0 or shape.is_empty:
        return shapely.Polygon()
    segments = []
    for ring in shapely.get_rings(shapely.get_parts(shape)):
        xy = shapely.get_coordinates(ring)
        run = np.abs(np.diff(xy, axis=0))
        flat = np.arctan2(run[:, 0], run[:, 1]) > math.radians(load_field_layout().side_parallel_deg)
        segments.append(shapely.linestrings(np.stack([xy[:-1], xy[1:]], axis=1)[flat]))
    lines = np.concatenate(segments)
    return shapely.buffer(shapely.line_merge(shapely.multilinestrings(lines)), headland_ft, quad_segs=ROUND)
