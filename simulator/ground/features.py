"""From a GeoJSON file to named features: what is a field, a hole, a stream, a lane; every fault with its feature."""

import json
import math
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Final, NamedTuple, NoReturn

import shapely
from shapely.geometry import shape

from simulator.errors import InputError, Problem
from simulator.named_files import Kind, text_of

GEOJSON: Final = Kind(
    50_000_000,
    "Draw the outline of the field and export it as GeoJSON.",
    "Name a GeoJSON file.",
    "Save only the field, with fewer points.",
    "Save it as GeoJSON in UTF-8.",
)
USES: Final[Mapping[str, tuple[str, ...]]] = {
    "field": ("Polygon",),
    "hole": ("Polygon",),
    "stream": ("Polygon", "LineString"),
    "lane": ("Polygon", "LineString"),
    "deck": ("Polygon", "Point"),
    "water": ("Polygon", "Point"),
    "fence": ("LineString",),
    "gate": ("Point",),
}
"""What a feature's property ``use`` may say, and the shapes it may have; several of a shape (Multi...) are fine."""
ALSO_HOLES: Final = ("pond", "rock", "house")
"""Other words for a hole."""
KINDS: Final = ("Point", "MultiPoint", "LineString", "MultiLineString", "Polygon", "MultiPolygon")
DEEPEST: Final = 4
"""Lists within lists of a MultiPolygon's coordinates; a message names no place deeper."""
LONGEST_NAME: Final = 40
MOST_DIGITS: Final = 15
WRITE: Final = 'Write one of "use": ' + ", ".join(f'"{use}"' for use in USES) + "."


class Feature(NamedTuple):
    """One feature of the file.

    Attributes
    ----------
    number
        Place in the file, from 1.
    name
        Its property ``name``, or the use.
    use
        A key of ``USES``.
    geometry
        As in the file, in the file's coordinates.
    numbers
        Its properties that are numbers, such as ``width_ft``.
    """

    number: int
    name: str
    use: str
    geometry: Any
    numbers: Mapping[str, float]

    @property
    def place(self) -> str:
        """How a message calls it."""
        return f"feature {self.number}" + (f" ({self.name})" if self.name != self.use else "")


class FieldFile(NamedTuple):
    """A file as read: features, the coordinate system it names if any, its name."""

    features: tuple[Feature, ...]
    system: str | None
    file: str


def read_features(path: Path) -> FieldFile:
    """Read a GeoJSON file (RFC 7946) of a field and what lies in it.

    Parameters
    ----------
    path
        A FeatureCollection, a Feature or a geometry. A polygon without the property ``use`` is a field.

    Returns
    -------
    FieldFile

    Raises
    ------
    InputError
        Where it is no GeoJSON, is empty, or a feature has no use, a wrong shape or a coordinate that is no number.
    """
    return features_of(text_of(path, GEOJSON), str(path))


def features_of(text: str, file: str) -> FieldFile:
    """As :func:`read_features`, from text; ``file`` is what messages call it."""
    if not text.strip():
        _refuse(file, "", "is empty", "Draw the outline of the field and export it as GeoJSON.")
    try:
        document = json.loads(text, parse_constant=_no_number, parse_int=_whole)
    except json.JSONDecodeError as error:
        where = f"line {error.lineno}, character {error.colno}"
        rule = f"is not GeoJSON, or a part of it is missing: it cannot be read from {where} on"
        _refuse(file, "", rule, "Export the outline as GeoJSON from the map program.")
    except ValueError as error:
        remedy, line = "Export the outline as GeoJSON from the map program.", getattr(error, "lineno", None)
        rule = f"is not GeoJSON: {getattr(error, 'msg', error)}"
        raise InputError([Problem("", rule, "", remedy, file, line)]) from error
    except RecursionError:
        _refuse(file, "", "is nested too deeply for GeoJSON", "Export the outline anew.")
    features, problems = [], []
    for number, item in enumerate(_items(document, file), 1):
        try:
            features.append(_feature(number, item, file))
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(problems)
    if not any(feature.use == "field" for feature in features):
        _refuse(file, "", "holds no field", 'Give at least one polygon, with "use": "field" or no use at all.')
    return FieldFile(tuple(features), _system(document, file), file)


def _no_number(name: str) -> NoReturn:
    raise ValueError(f"{name} is no number")


def _whole(digits: str) -> float:
    """A whole number; one with so many digits that none is meant is refused where it stands, as infinite."""
    return int(digits) if len(digits) <= MOST_DIGITS else math.inf


def _items(document: object, file: str) -> Sequence[Mapping[str, Any]]:
    kind = document.get("type") if isinstance(document, dict) else None
    if not isinstance(document, dict) or not isinstance(kind, str):
        _refuse(file, "", 'is JSON, but no GeoJSON: it has no "type"', "Export the outline as GeoJSON.")
    items = document.get("features") if kind == "FeatureCollection" else [document]
    if not isinstance(items, list) or not items:
        _refuse(file, "", "is empty: no features", "Draw the outline of the field and export it.")
    return [item if isinstance(item, dict) else {} for item in items]


def _system(document: Mapping[str, Any], file: str) -> str | None:
    """The name in the ``crs`` member of the format's older edition; RFC 7946 has none and means WGS 84."""
    member = document.get("crs")
    if member is None:
        return None
    properties = member.get("properties") if isinstance(member, dict) else None
    name = properties.get("name") if isinstance(properties, dict) else None
    if not isinstance(name, str):
        _refuse(file, "crs", "names no coordinate system", "Say which with --crs, such as --crs EPSG:26916.")
    return name


def _feature(number: int, item: Mapping[str, Any], file: str) -> Feature:
    place = f"feature {number}"
    geometry = item.get("geometry") if item.get("type") == "Feature" else item
    if isinstance(geometry, dict) and geometry.get("type") == "GeometryCollection":
        _refuse(file, place, "is several shapes in one", "Make each a feature of its own.")
    if not isinstance(geometry, dict) or "coordinates" not in geometry:
        _refuse(file, place, "has no shape", "Draw it, or take it out of the file.")
    stated = item.get("properties")
    properties: Mapping[str, Any] = stated if isinstance(stated, dict) else {}
    drawn = _shape(geometry, place, file)
    use, word = _use(properties, drawn.geom_type, place, file)
    label = _label(properties.get("name")) or word
    return Feature(number, label, use, drawn, dict(_numbers(properties, place, file)))


def _label(name: object) -> str:
    """A feature's name as a message prints it: one short line without letters that steer a screen."""
    if not isinstance(name, str):
        return ""
    kept = "".join(" " if unicodedata.category(letter)[0] in "CZ" else letter for letter in name)
    line = " ".join(kept.split())
    return line if len(line) <= LONGEST_NAME else f"{line[:LONGEST_NAME].rstrip()}..."


def _numbers(properties: Mapping[str, Any], place: str, file: str) -> Iterator[tuple[str, float]]:
    for key in ("width_ft", "acres"):
        value = properties.get(key)
        if value is None:
            continue
        if isinstance(value, bool) or not isinstance(value, int | float) or not 0 < value < 1e4:
            _refuse(
                file, f"{place}: {key}", "must be a number above 0 and below 10,000", "Correct it.", _received(value)
            )
        yield key, float(value)


def _use(properties: Mapping[str, Any], kind: str, place: str, file: str) -> tuple[str, str]:
    word = properties.get("use")
    if word is None and kind.endswith("Polygon"):
        return "field", "field"
    if word is None:
        _refuse(file, f"{place}: use", f"is missing, and a {kind} is no field", WRITE)
    use = "hole" if word in ALSO_HOLES else word
    if not isinstance(use, str) or use not in USES:
        _refuse(file, f"{place}: use", "is not known", WRITE, _received(word))
    if kind.removeprefix("Multi") not in USES[use]:
        _refuse(file, f"{place}: use", f'"{word}" must be a {" or ".join(USES[use])}', "Draw it so.", kind)
    return use, str(word)


def _shape(geometry: Mapping[str, Any], place: str, file: str) -> Any:  # noqa: ANN401 - a shape of shapely
    kind = geometry.get("type")
    if kind not in KINDS:
        rule = "is no shape of GeoJSON" if "type" in geometry else "is missing"
        received = _received(kind) if "type" in geometry else ""
        _refuse(file, f"{place}: type", rule, f"Write one of {', '.join(KINDS)}.", received)
    if geometry["coordinates"] == []:
        _refuse(file, place, "is empty: it has no points", "Draw it, or take it out of the file.")
    for path, value in _positions(geometry["coordinates"], ()):
        numbers = [each for each in value[:2] if isinstance(each, int | float) and not isinstance(each, bool)]
        if len(value) < 2 or len(numbers) < 2 or not all(math.isfinite(each) for each in numbers):
            where = "".join(f"[{step}]" for step in path[:DEEPEST])
            _refuse(file, f"{place}: coordinates{where}", "is not two numbers", "Correct it.", _received(value))
    try:
        drawn = shapely.force_2d(shape(geometry))
    except (shapely.errors.ShapelyError, ValueError, TypeError, AttributeError, IndexError, KeyError):
        remedy = "Draw it anew: a line takes at least two points, a polygon three corners."
        _refuse(file, place, f"has coordinates that make no {kind}", remedy)
    if drawn.is_empty:
        _refuse(file, place, "is empty", "Draw it, or take it out of the file.")
    return drawn


def _received(value: object) -> str:
    """A value as it stands in the file, cut where it is long."""
    text = json.dumps(value)
    return text if len(text) <= LONGEST_NAME else f"{text[:LONGEST_NAME]}..."


def _positions(value: Any, path: tuple[int, ...]) -> Iterator[tuple[tuple[int, ...], list[Any]]]:  # noqa: ANN401
    """Every position of nested coordinates with the way to it."""
    if not isinstance(value, list) or not any(isinstance(item, list) for item in value):
        yield path, value if isinstance(value, list) else [value]
        return
    for i, item in enumerate(value):
        yield from _positions(item, (*path, i))


def _refuse(file: str, field: str, rule: str, remedy: str, received: str = "") -> NoReturn:
    raise InputError([Problem(field, rule, received, remedy, file)])
