"""A field on a flat map in feet: its outline, and what lies in it."""

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, Final, NamedTuple

import numpy as np
import shapely

from simulator.errors import InputError, Problem
from simulator.ground.crossings import MOST_MEETINGS, meets_itself_too_often
from simulator.ground.features import Feature, FieldFile, read_features
from simulator.ground.projection import Projection, geodesic_acres, project
from simulator.parameters.field_work import load_field_layout
from simulator.units import SQUARE_FEET_PER_ACRE

MOST_ACRES: Final = 50_000.0
LEAST_ACRES: Final = 0.05
FEET_PER_MILE: Final = 5280.0
FARTHEST_MILES: Final = 30.0
REPAIR_SHARE: Final = 0.01
"""An outline whose area changes by less when it is repaired was a slip of the hand, not another field."""
OVERLAP_SHARE: Final = 0.001
SPIKE_SHARE: Final = 0.7
"""Of an outline's length, what one corner adds beyond which it looks like a slip."""


class Field(NamedTuple):
    """A field as drawn; shapes in feet on the projection's map.

    Attributes
    ----------
    file
        What messages call the file.
    projection
        Back to the globe.
    outline
        The field with its holes filled: what a deed would call its acres.
    holes
        Ponds, rocks, houses: rings within the outline and features of use ``hole``, as one shape.
    waters
        Streams and ponds that ask for a buffer, as one shape; a stream that is drawn as a line has its width.
    lanes, decks
        Access lanes and loading decks, each as one shape.
    troughs, fences, gates
        Water points, fences that stand and gates.
    notes
        What was put right or looks odd: code and message.
    """

    file: str
    projection: Projection
    outline: Any
    holes: Any
    waters: Any
    lanes: Any
    decks: Any
    troughs: Any
    fences: Any
    gates: Any
    notes: tuple[tuple[str, str], ...]

    @property
    def acres(self) -> float:
        """Area of the outline, holes included [ac]."""
        return float(self.outline.area) / SQUARE_FEET_PER_ACRE


def read_field(path: Path, system: str | None, latitude_deg: float) -> Field:
    """Read a field from a GeoJSON file.

    Parameters
    ----------
    path
        The file.
    system
        Coordinate system that the person names, or None.
    latitude_deg
        The plan's latitude [degrees], by which swapped numbers are found.

    Returns
    -------
    Field

    Raises
    ------
    InputError
        With what is wrong, in which feature and where, and what to do.
    """
    return field_of(read_features(path), system, latitude_deg)


def field_of(source: FieldFile, system: str | None, latitude_deg: float) -> Field:
    """As :func:`read_field`, from a file that has been read."""
    projection = project(source, system, latitude_deg)
    flat, notes = _mended(source, projection)
    habits = load_field_layout()
    fields = [(feature, shape) for feature, shape in flat if feature.use == "field"]
    _check_places([shape for _, shape in fields], source.file)
    _check_overlaps(fields, source.file, projection)
    drawn = shapely.union_all([shape for _, shape in fields])
    outline = shapely.union_all([shapely.polygons(part.exterior) for part in shapely.get_parts(drawn)])
    _check_acres(outline, source.file)
    of = {use: [(f, s) for f, s in flat if f.use == use] for use in ("hole", "stream", "water", "lane", "deck")}
    lanes = [_widened(s, f.numbers.get("width_ft", habits.lane_width_ft)) for f, s in of["lane"]]
    streams = [_widened(s, f.numbers.get("width_ft", 0.0)) for f, s in of["stream"]]
    decks = [_deck(s, f.numbers.get("acres", habits.deck_ac)) for f, s in of["deck"]]
    ponds = [s for _, s in of["water"] if s.area > 0.0]
    near = outline.buffer(habits.fence_near_ft)
    field = Field(
        file=source.file,
        projection=projection,
        outline=outline,
        holes=shapely.union_all([outline.difference(drawn), *(s for _, s in of["hole"]), *ponds]),
        waters=shapely.union_all([*streams, *ponds]),
        lanes=shapely.union_all(lanes),
        decks=shapely.union_all(decks),
        troughs=shapely.union_all([s for _, s in of["water"] if s.area == 0.0]).intersection(near),
        fences=shapely.union_all([s for f, s in flat if f.use == "fence"]),
        gates=shapely.union_all([s for f, s in flat if f.use == "gate"]).intersection(near),
        notes=(),
    )
    return field._replace(notes=(*notes, *_doubts(field, flat, latitude_deg)))


def _mended(source: FieldFile, projection: Projection) -> tuple[list[tuple[Feature, Any]], list[tuple[str, str]]]:
    """Every feature on the map; outlines that cross themselves are repaired where that changes next to nothing."""
    flat, notes, problems = [], [], []
    for feature in source.features:
        shape = projection.flat(feature.geometry)
        if feature.geometry.geom_type.endswith("LineString") and shape.length == 0.0:
            remedy = "Draw it, or take it out."
            problems.append(Problem(feature.place, "is a line of no length", "", remedy, source.file))
            continue
        if not shape.is_valid and feature.geometry.geom_type.endswith("Polygon"):
            if meets_itself_too_often(shape):
                problems.append(_tangle(feature, source.file))
                continue
            mended = _polygons(shapely.make_valid(shape))
            # what no reading of the outline holds alike: both what repairing lost and what it won
            change = abs(mended.area - _ring_area(shape)) / max(mended.area, 1.0)
            where = _where(shape, projection)
            if change > REPAIR_SHARE or mended.is_empty:
                rule = f"{_fault(shape)} at {where}, so its area is unclear"
                remedy = "Move the corners there so that the outline runs once around the field."
                problems.append(Problem(feature.place, rule, "", remedy, source.file))
                continue
            said = f"{feature.place} {_fault(shape)} at {where}; repaired, its area changes by {100 * change:.2g} %."
            notes.append(("repaired", said))
            shape = mended
        flat.append((feature, shape))
    if problems:
        raise InputError(problems)
    return flat, notes


def _tangle(feature: Feature, file: str) -> Problem:
    rule = f"crosses or touches itself in more than {MOST_MEETINGS} places"
    return Problem(feature.place, rule, "", "Draw it anew, once around the field.", file)


def _polygons(shape: Any) -> Any:  # noqa: ANN401 - a shape of shapely
    parts = [part for part in shapely.get_parts(shape) if part.geom_type.endswith("Polygon")]
    return shapely.union_all(parts)


def _ring_area(shape: Any) -> float:  # noqa: ANN401 - a shape of shapely
    """Area within the rings as they run; loops that run the other way count against it."""
    return float(sum(abs(part.area) for part in shapely.get_parts(shape)))


def _fault(shape: Any) -> str:  # noqa: ANN401 - a shape of shapely
    reason = str(shapely.is_valid_reason(shape)).partition("[")[0].lower()
    return "crosses itself" if "self-intersection" in reason else f"is wrongly drawn ({reason})"


def _where(shape: Any, projection: Projection) -> str:  # noqa: ANN401 - a shape of shapely
    """The place of the fault in degrees; GEOS writes it in brackets."""
    reason = str(shapely.is_valid_reason(shape))
    place = reason.partition("[")[2].rstrip("]").split()
    if len(place) != 2:
        return reason.lower()
    lon, lat = projection.lonlat(np.array([[float(place[0]), float(place[1])]]))[0]
    return f"longitude {lon:.5f}, latitude {lat:.5f}"


def _widened(shape: Any, width_ft: float) -> Any:  # noqa: ANN401 - a shape of shapely
    """A line with its width; what is drawn as an area stays."""
    if shape.area > 0.0 or width_ft == 0.0:
        return shape
    return shape.buffer(width_ft / 2.0, cap_style="flat")


def _deck(shape: Any, acres: float) -> Any:  # noqa: ANN401 - a shape of shapely
    if shape.area > 0.0:
        return shape
    return shape.buffer(float(np.sqrt(acres * SQUARE_FEET_PER_ACRE / np.pi)), quad_segs=16)


def _check_places(shapes: Sequence[Any], file: str) -> None:
    box = shapely.total_bounds(shapely.geometrycollections(list(shapes)))
    miles = float(np.hypot(box[2] - box[0], box[3] - box[1])) / FEET_PER_MILE
    if miles > FARTHEST_MILES:
        remedy = "Look for a typing slip in a coordinate, or a wrong --crs; lay out one place at a time."
        raise InputError([Problem("", f"reaches over {miles:,.0f} miles, which is no field", "", remedy, file)])


def _check_acres(outline: Any, file: str) -> None:  # noqa: ANN401 - a shape of shapely
    acres = outline.area / SQUARE_FEET_PER_ACRE
    if acres > MOST_ACRES:
        rule = f"holds {acres:,.0f} acres; a field holds at most {MOST_ACRES:,.0f}"
        remedy = "Look for a typing slip in a coordinate, or feet read as metres (--crs)."
        raise InputError([Problem("", rule, "", remedy, file)])
    if acres < LEAST_ACRES:
        rule = f"holds only {acres:.2g} acres, too little for rows"
        raise InputError([Problem("", rule, "", "Look for metres read as degrees or a wrong --crs.", file)])


def _check_overlaps(fields: Sequence[tuple[Feature, Any]], file: str, projection: Projection) -> None:
    tree = shapely.STRtree([shape for _, shape in fields])
    problems = []
    for i, (feature, shape) in enumerate(fields):
        for j in sorted(int(j) for j in tree.query(shape) if j > i):
            other, beside = fields[j]
            common = shape.intersection(beside)
            if common.area <= OVERLAP_SHARE * min(shape.area, beside.area):
                continue
            lon, lat = projection.lonlat(shapely.get_coordinates(common.representative_point()))[0]
            rule = (
                f"overlaps {other.place} by {common.area / SQUARE_FEET_PER_ACRE:.2f} acres near longitude {lon:.5f}, "
                f"latitude {lat:.5f}"
            )
            remedy = 'Move one of them, or give what lies inside a field a use, such as "use": "hole".'
            problems.append(Problem(feature.place, rule, "", remedy, file))
    if problems:
        raise InputError(problems)


def _doubts(field: Field, flat: Sequence[tuple[Feature, Any]], latitude_deg: float) -> Iterator[tuple[str, str]]:
    near = field.outline.buffer(load_field_layout().fence_near_ft)
    for feature, shape in flat:
        # a fence, a gate and a trough in it are seldom drawn on the very line
        beside = feature.use in {"fence", "gate"} or (feature.use == "water" and shape.area == 0.0)
        if not shape.intersects(near if beside else field.outline):
            yield "outside", f"{feature.place} lies outside the field and changes nothing."
    yield from _spikes(field)
    off = abs(field.projection.lat_deg - latitude_deg)
    if off > 1.0:
        said = f"The field lies at {field.projection.lat_deg:.1f} degrees north, the plan at {latitude_deg:g}"
        yield "latitude", f"{said}: its sun is another one. Set land.latitude_deg."
    round_ = geodesic_acres(field.outline, field.projection)
    if abs(round_ - field.acres) > 1e-3 * round_:
        yield "map_area", f"The flat map's area is off by {100 * abs(field.acres / round_ - 1):.2g} %."


def _spikes(field: Field) -> Iterator[tuple[str, str]]:
    """A corner to which most of a large outline's length runs out and back."""
    for ring in shapely.get_rings(shapely.get_parts(field.outline)):
        xy = shapely.get_coordinates(ring)[:-1]
        before, after = np.roll(xy, 1, axis=0), np.roll(xy, -1, axis=0)
        out = np.hypot(*(xy - before).T) + np.hypot(*(xy - after).T)
        detour = out - np.hypot(*(after - before).T)
        if ring.length < FEET_PER_MILE or detour.max() < SPIKE_SHARE * ring.length:
            continue
        lon, lat = field.projection.lonlat(xy[detour.argmax()])[0]
        miles = detour.max() / 2.0 / FEET_PER_MILE
        place = f"The corner at longitude {lon:.5f}, latitude {lat:.5f}"
        yield "spike", f"{place} sticks out by {miles:.1f} miles: a slip in typing?"
