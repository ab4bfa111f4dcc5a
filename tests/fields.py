"""Fields for the tests: outlines in feet around a spot in the open sea, and plans to lay on them."""

import json
from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

from simulator import change
from simulator.ground import Field, features_of, field_of
from simulator.scenario.file import load_text
from simulator.scenario.model import Scenario
from workbench.examples import example_text

FEET = "+proj=aeqd +lat_0=31.3 +lon_0=-75 +datum=WGS84 +units=ft +type=crs"
LATITUDE_DEG = 31.3
SQUARE_FEET_PER_ACRE = 43560.0

Ring = Sequence[Sequence[float]]


def feature(coordinates: object, kind: str = "Polygon", **properties: object) -> dict[str, Any]:
    return {
        "type": "Feature",
        "properties": properties,
        "geometry": {"type": kind, "coordinates": json.loads(json.dumps(coordinates))},
    }


def collection(*features: Mapping[str, Any]) -> str:
    return json.dumps({"type": "FeatureCollection", "features": list(features)})


def field(*features: Mapping[str, Any], crs: str | None = FEET) -> Field:
    return field_of(features_of(collection(*features), "made.geojson"), crs, LATITUDE_DEG)


def rectangle(width: float, height: float, x: float = 0.0, y: float = 0.0) -> list[list[float]]:
    """A closed ring around a middle."""
    w, h = width / 2.0, height / 2.0
    return [[x - w, y - h], [x + w, y - h], [x + w, y + h], [x - w, y + h], [x - w, y - h]]


def plan(**layout: float) -> Scenario:
    """The packaged plan with another row pattern, and without thinnings, which would ask for so many trees."""
    return change(_base(), {f"trees.layout.{name}": value for name, value in layout.items()})


@cache
def _base() -> Scenario:
    return load_text(example_text(), "packaged example").model_copy(update={"thinning": ()})
