"""Outlines that people drew: the city districts that the package plotly carries as sample data.

Source: ``plotly/package_data/datasets/election.geojson.gz`` inside the plotly wheel: 58 outlines in longitude and
latitude, 102 to 8,696 acres. Areas are compared with those that pyproj's Geod reckons on the ellipsoid (Karney 2013).
"""

import gzip
import importlib.util
import json
from pathlib import Path
from typing import Any

import numpy as np
import pyproj
import pytest
import shapely

from fields import plan
from simulator import change
from simulator.ground import Options, features_of, field_of, lay_out

SQUARE_METRES_PER_ACRE = 4046.8564224
GEOD = pyproj.Geod(ellps="WGS84")


def districts() -> list[dict[str, Any]]:
    spec = importlib.util.find_spec("plotly")
    assert spec is not None
    assert spec.origin is not None
    path = Path(spec.origin).parent / "package_data" / "datasets" / "election.geojson.gz"
    with gzip.open(path, "rt", encoding="utf-8") as stream:
        return list(json.load(stream)["features"])


DISTRICTS = districts()


@pytest.mark.parametrize("number", range(0, len(DISTRICTS), 4))
def test_real_outlines_carry_rows(number: int) -> None:
    feature = DISTRICTS[number]
    shape = shapely.geometry.shape(feature["geometry"])
    round_acres = (
        sum(abs(GEOD.geometry_area_perimeter(part)[0]) for part in shapely.get_parts(shape)) / SQUARE_METRES_PER_ACRE
    )
    field = field_of(features_of(json.dumps(feature), "district.geojson"), None, 31.3)
    filled = field.outline.difference(field.holes)
    assert filled.area / 43560.0 == pytest.approx(round_acres, rel=1e-4)
    laid = lay_out(field, plan(), Options(azimuth_deg=37.0, paddocks=3))
    assert sum(laid.areas) == pytest.approx(field.acres, rel=1e-9)
    assert shapely.covers(laid.shapes.workable.buffer(0.01), laid.rows.lines_on_map).all()
    around = sum(side.length_ft for side in laid.sides)
    assert around == pytest.approx(field.outline.length, rel=1e-9)
    codes = {code for code, _ in laid.notes}
    assert {"latitude", "acres"} <= codes


@pytest.mark.parametrize("system", ["EPSG:32618", "EPSG:6624", "EPSG:2263"])
def test_a_projected_file_is_the_same_field(system: str) -> None:
    """UTM and Quebec's conic in metres, and a state plane in US survey feet, name the same ground."""
    feature = DISTRICTS[8]
    plain = field_of(features_of(json.dumps(feature), "district.geojson"), None, 31.3)
    to = pyproj.Transformer.from_crs("OGC:CRS84", system, always_xy=True)
    shape = shapely.geometry.shape(feature["geometry"])
    moved = shapely.transform(shape, lambda xy: np.column_stack(to.transform(xy[:, 0], xy[:, 1])))
    document = {"type": "Feature", "properties": {}, "geometry": shapely.geometry.mapping(moved)}
    by_option = field_of(features_of(json.dumps(document), "district.geojson"), system, 31.3)
    member = {"type": "name", "properties": {"name": f"urn:ogc:def:crs:EPSG::{system.removeprefix('EPSG:')}"}}
    by_file = field_of(features_of(json.dumps({**document, "crs": member}), "district.geojson"), None, 31.3)
    for other in (by_option, by_file):
        assert other.acres == pytest.approx(plain.acres, rel=2e-6)
        assert other.projection.lon_deg == pytest.approx(plain.projection.lon_deg, abs=1e-3)


def test_the_plan_of_a_real_outline_needs_the_latitude_of_its_sun() -> None:
    """A plan may lie up to 40 degrees north; the district at 45.5 is called another sun's."""
    north = change(plan(), {"land.latitude_deg": 40.0})
    field = field_of(features_of(json.dumps(DISTRICTS[0]), "district.geojson"), None, north.land.latitude_deg)
    assert any("its sun is another one" in message for _, message in field.notes)
