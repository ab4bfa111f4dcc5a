"""Fields for the tests: outlines in feet around a spot in the open sea, and plans to lay on them."""

import json
from collections.abc import Mapping
from functools import cache
from typing import Any

import numpy as np
import shapely

from simulator import change
from simulator.ground import Field, features_of, field_of
from simulator.ground.net import turned_back
from simulator.ground.rows import Rows
from simulator.scenario.file import load_text
from simulator.scenario.model import Scenario
from simulator.units import FloatArray
from workbench.examples import example_text

FEET = "+proj=aeqd +lat_0=31.3 +lon_0=-75 +datum=WGS84 +units=ft +type=crs"
LATITUDE_DEG = 31.3
SQUARE_FEET_PER_ACRE = 43560.0


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


def trees_on_map(rows: Rows) -> FloatArray:
    """Every planting spot on the map [ft], (trees, 2), row by row."""
    row = np.repeat(np.arange(len(rows.x_ft)), rows.trees)
    place = np.arange(len(row)) - np.repeat(np.cumsum(rows.trees) - rows.trees, rows.trees)
    spots = np.column_stack([rows.x_ft[row], rows.start_ft[row] + place * rows.in_row_ft])
    return np.asarray(shapely.get_coordinates(turned_back(shapely.multipoints(spots), rows.azimuth_deg)), float)
