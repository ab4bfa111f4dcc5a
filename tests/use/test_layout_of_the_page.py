"""Rows on the ground as the page asks for them: Python's own layout, a map in tenths of feet, problems in place."""

import json
import zipfile
from collections.abc import Iterator
from importlib import resources
from io import BytesIO
from itertools import pairwise
from typing import Any

import httpx
import numpy as np
import pytest

from fields import FEET, collection, feature, field, rectangle
from paging import TOKEN, Served, served
from simulator.ground import Options, features_of, field_of, lay_out
from simulator.scenario.file import load_text
from workbench.examples import example_text
from workbench.ground_plan import ground_plan_text

LATITUDE_DEG = 31.3
SQUARE_FEET_PER_ACRE = 43560.0


@pytest.fixture(scope="module")
def page() -> Iterator[Served]:
    with served() as started:
        yield started


def _ask(page: Served, **asked: object) -> httpx.Response:
    given = {"plan": page.plan, "field": None, "azimuth": None, "options": {}} | asked
    return page.client.post("/api/layout", json=given)


def _packaged() -> str:
    return resources.files("workbench.scenarios").joinpath("north-field.geojson").read_text(encoding="utf-8")


def _degrees(width: float, height: float) -> str:
    """A rectangle of feet, written as longitude and latitude."""
    made = field(feature([rectangle(900.0, 900.0)]))  # of which the map alone is used
    return collection(feature([made.projection.lonlat(rectangle(width, height)).tolist()]))


@pytest.mark.parametrize("azimuth", [None, 20, 111.5], ids=str)
def test_the_answer_is_the_layout_itself(page: Served, azimuth: float | None) -> None:
    answer = _ask(page, azimuth=azimuth, options={"paddocks": 3, "headland_ft": 40, "declination": -4.5})
    scenario = load_text(example_text(), "packaged")
    ground = field_of(features_of(_packaged(), "field"), None, LATITUDE_DEG)
    layout = lay_out(ground, scenario, Options(azimuth_deg=azimuth, paddocks=3, headland_ft=40.0, declination_deg=-4.5))
    found = answer.json()
    assert found["layout"] == json.loads(json.dumps(layout.document()))
    assert found["use"]["land.ground"]["trees_ordered"] == layout.order.total
    plan = load_text(ground_plan_text(layout), "written")  # what `halfshade layout --write-plan` writes of the same
    assert plan.land.acres == found["use"]["land.acres"]
    assert plan.land.ground is not None
    assert plan.land.ground.model_dump(exclude_none=True) == pytest.approx(found["use"]["land.ground"])


def test_the_map_adds_up_to_the_layout(page: Served) -> None:
    found = _ask(page, azimuth=35).json()
    picture, layout = found["picture"], found["layout"]
    rows = np.array(picture["rows"])
    long = np.hypot(rows[:, 2] - rows[:, 0], rows[:, 3] - rows[:, 1])
    assert len(rows) == layout["rows"]
    assert long.sum() == pytest.approx(layout["row_length_ft"], abs=0.1 * len(rows))
    bearing = np.degrees(np.arctan2(rows[:, 2] - rows[:, 0], rows[:, 3] - rows[:, 1])) % 180.0
    assert bearing[long > 300.0] == pytest.approx(35.0, abs=0.05)
    assert int(rows[:, 4].max()) == layout["sets"]
    shares = {"net": layout["net_ac"], "headlands": layout["headland_ac"], "unusable": layout["unusable_ac"]}
    for part, acres in shares.items():
        assert sum(map(_acres, picture[part])) == pytest.approx(acres, abs=0.02), part
    assert all(round(number, 1) == number for row in picture["rows"] for number in row)
    assert {label["text"] for label in picture["labels"]} == {"pond", "branch", "lane", "loading deck", "lane gate"}


def _acres(rings: list[list[list[float]]]) -> float:
    """Area by the trapezoid rule around each ring; what lies within holes is taken off."""
    areas = [abs(sum(x * v - u * y for (x, y), (u, v) in pairwise(ring))) / 2.0 for ring in rings]
    return (areas[0] - sum(areas[1:])) / SQUARE_FEET_PER_ACRE


def test_the_best_direction_comes_with_its_reason(page: Served) -> None:
    found = _ask(page, options={"best_azimuth": True}).json()
    trees = {each["azimuth_deg"]: each["trees"] for each in found["layout"]["azimuth"]["looked_at"]}
    assert trees[found["layout"]["azimuth"]["true_deg"]] == found["layout"]["trees"]
    assert found["words"]["reason"]
    assert any("as planned" in said for said in found["words"]["others"])


@pytest.mark.parametrize(
    ("asked", "place", "said"),
    [
        ({"field": "no outline"}, "field", "not GeoJSON"),
        ({"field": ""}, "field", "is empty"),
        ({"field": 7}, "field", "must be GeoJSON text"),
        ({"field": collection(feature([[[-75, 31], [-75.005, 31.004], [-75, 31.004], [-75.005, 31], [-75, 31]]]))},
         "field", "crosses itself"),
        ({"field": collection(feature([rectangle(1e6, 1e6)]))}, "field", "“Coordinate system”"),
        ({"field": _degrees(30.0, 30.0)}, "field", "too little for rows"),
        ({"options": {"crs": FEET}}, "options.crs", "by its number only"),
        ({"options": {"crs": "EPSG:999999"}}, "options.crs", "not known"),
        ({"options": {"headland_ft": 900}}, "options.headland_ft", "between 0 and 300"),
        ({"options": {"headland_ft": "9"}}, "options.headland_ft", "must be a number"),
        ({"options": {"headland_ft": True}}, "options.headland_ft", "must be a number"),
        ({"options": {"paddocks": 2.5}}, "options.paddocks", "whole number"),
        ({"options": {"paddocks": 60}}, "options.paddocks", "narrower than an alley"),
        ({"options": {"paddock_lines": "round"}}, "options.paddock_lines", "choices"),
        ({"options": {"shell": 1}}, "options.shell", "no option"),
        ({"options": [1]}, "options.options", "table"),
        ({"azimuth": 500}, "azimuth", "between 0 and 360"),
        ({"azimuth": "north"}, "azimuth", "must be a number"),
    ],
    ids=lambda given: str(given)[:40],
)  # fmt: skip
def test_what_is_wrong_is_said_at_its_place(page: Served, asked: dict[str, Any], place: str, said: str) -> None:
    answer = _ask(page, **asked)
    assert answer.status_code == 422, answer.text
    [problem] = answer.json()["problems"]
    assert problem["field"] == place
    assert said.lower() in problem["message"].lower()
    assert "--" not in problem["message"]
    assert "Traceback" not in answer.text


def test_problems_of_the_plan_keep_their_path(page: Served) -> None:
    narrow = page.plan | {"land": {**page.plan["land"], "acres": -4}}
    assert _ask(page, plan=narrow).json()["problems"][0]["field"] == "land.acres"
    stand = page.client.post("/api/example", json={"id": "standing-pines"}).json()["plan"]
    answer = _ask(page, plan=stand)
    assert answer.status_code == 422
    assert answer.json()["problems"][0]["field"] == "stand"


def test_the_same_doors_are_shut_as_elsewhere(page: Served) -> None:
    given = {"plan": page.plan}
    bare = httpx.Client(base_url=page.client.base_url, trust_env=False)
    for path in ("/api/layout", "/api/download/ground"):
        assert bare.post(path, json=given).status_code == 403
        assert page.client.post(path, json=given, headers={"Origin": "http://elsewhere.example"}).status_code == 403
        assert page.client.post(path, json=given | {"field": " " * 1_000_001}).status_code == 413
        assert page.client.post(path, content=b"[]").status_code == 400
        assert page.client.post(path, json={"field": None}).status_code == 400
        assert page.client.get(path).status_code in {404, 405}
    assert TOKEN in page.client.headers
    bare.close()


def test_files_hold_the_layout_that_was_asked_for(page: Served) -> None:
    given = {"plan": page.plan, "field": _degrees(1200.0, 900.0), "azimuth": 90}
    answer = page.client.post("/api/download/ground", json=given)
    assert answer.headers["content-disposition"] == 'attachment; filename="north-field-on-the-ground.zip"'
    with zipfile.ZipFile(BytesIO(answer.content)) as files:
        layout = json.loads(files.read("layout.json"))
        assert set(files.namelist()) == {
            "layout.json", "rows.geojson", "rows.csv", "order.csv", "stakes.gpx", "rows.kml", "card.html", "map.png",
            "map.svg",
        }  # fmt: skip
        assert len(files.read("rows.csv").decode().splitlines()) == layout["rows"] + 1
    assert layout["field_ac"] == pytest.approx(1200.0 * 900.0 / SQUARE_FEET_PER_ACRE, rel=1e-5)
    assert layout["azimuth"]["true_deg"] == 90.0
    assert page.client.post("/api/download/ground", json=given).content == answer.content
    assert page.client.post("/api/download/ground", json=given | {"field": "x"}).status_code == 422
