"""The command line `halfshade layout`, as a planting contractor and a cattleman use it."""

import csv
import hashlib
import json
import os
import re
import subprocess
import sys
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import pytest

import workbench
from fields import FEET, collection, feature, rectangle

Run = Callable[..., "subprocess.CompletedProcess[str]"]
ROOT = Path(__file__).parents[2]
GPX = {"g": "http://www.topografix.com/GPX/1/1"}
KML = {"k": "http://www.opengis.net/kml/2.2"}
SQUARE = [[-75.0, 31.3], [-74.996, 31.3], [-74.996, 31.3034], [-75.0, 31.3034], [-75.0, 31.3]]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Files of the packaged field, fenced into four, with a mower of 9 ft and a needle 5 degrees west."""
    path = tmp_path_factory.mktemp("layout")
    arguments = ["--paddocks", "4", "--declination", "-5", "--equipment-ft", "9"]
    arguments += ["--write-plan", "plan.toml", "--out", "out", "--json"]
    environment = {
        **os.environ,
        "PYTHONPATH": str(Path(workbench.__file__).parents[1]),
        "PYTHONUTF8": "1",
    }
    command = [sys.executable, "-m", "workbench", "layout", *arguments]
    done = subprocess.run(command, cwd=path, env=environment, capture_output=True, encoding="utf-8", check=False)
    assert done.returncode == 0, done.stderr
    (path / "stdout.json").write_text(done.stdout, encoding="utf-8")
    return path


def _read(path: Path) -> "ET.ElementTree[ET.Element]":
    return ET.parse(path)  # noqa: S314 - a file that this test had written


@pytest.fixture
def document(folder: Path) -> dict[str, object]:
    return dict(json.loads((folder / "stdout.json").read_text(encoding="utf-8")))


def test_the_packaged_field_is_the_example() -> None:
    packaged = ROOT / "workbench" / "scenarios" / "north-field.geojson"
    assert packaged.read_bytes() == (ROOT / "examples" / "north-field.geojson").read_bytes()
    assert "invented" in packaged.read_text(encoding="utf-8")


def test_json_is_one_document_and_adds_up(document: dict[str, Any], folder: Path) -> None:
    parts = ("tree_strip_ac", "alley_ac", "headland_ac", "unusable_ac")
    assert sum(document[part] for part in parts) == pytest.approx(document["field_ac"], rel=1e-9)
    assert document["field_ac"] == pytest.approx(40.0, abs=0.01)
    assert json.loads((folder / "out" / "layout.json").read_text(encoding="utf-8")) == document
    assert {each["code"] for each in document["warnings"]} == {"fence_deck", "fence_stream"}
    assert document["fence"]["gates"] == 4


def test_rows_agree_in_every_file(document: dict[str, float], folder: Path) -> None:
    with (folder / "out" / "rows.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert list(rows[0]) == ["row", "set", "length_ft", "trees", "start_lon", "start_lat", "end_lon", "end_lat"]
    assert len(rows) == document["rows"]
    assert sum(int(row["trees"]) for row in rows) == document["trees"]
    assert sum(float(row["length_ft"]) for row in rows) == pytest.approx(
        document["row_length_ft"], abs=0.05 * len(rows)
    )
    drawn = json.loads((folder / "out" / "rows.geojson").read_text(encoding="utf-8"))
    lines = [each for each in drawn["features"] if each["properties"]["use"] == "row"]
    assert [each["properties"]["trees"] for each in lines] == [int(row["trees"]) for row in rows]
    assert lines[0]["geometry"]["coordinates"][0] == [float(rows[0]["start_lon"]), float(rows[0]["start_lat"])]
    routes = _read(folder / "out" / "stakes.gpx").getroot()
    assert routes.tag == "{http://www.topografix.com/GPX/1/1}gpx"
    assert routes.get("version") == "1.1"
    assert len(routes.findall("g:rte", GPX)) == len(rows)
    place = routes.find("g:rte/g:rtept", GPX)
    assert place is not None
    assert (place.get("lon"), place.get("lat")) == (rows[0]["start_lon"], rows[0]["start_lat"])
    marks = _read(folder / "out" / "rows.kml").getroot()
    assert marks.tag == "{http://www.opengis.net/kml/2.2}kml"
    texts = [each.text or "" for each in marks.findall(".//k:LineString/k:coordinates", KML)]
    assert texts[0].split()[0] == f"{rows[0]['start_lon']},{rows[0]['start_lat']}"
    assert len(texts) == len(rows) + 4  # three cross-fences, one of them cut by the pond


def test_gpx_holds_its_waypoints_before_its_routes(folder: Path) -> None:
    """The order of elements in the GPX 1.1 schema: metadata, wpt, rte, trk."""
    kinds = [each.tag.rpartition("}")[2] for each in _read(folder / "out" / "stakes.gpx").getroot()]
    assert kinds == sorted(kinds, key=["wpt", "rte"].index)


def test_the_map_is_to_scale(folder: Path) -> None:
    """On a page of 8.5 by 11 inches the bar of 600 ft is as many inches long as the stated scale says."""
    svg = (folder / "out" / "map.svg").read_text(encoding="utf-8")
    size = re.search(r'width="([\d.]+)pt" height="([\d.]+)pt"', svg)
    assert size is not None
    assert sorted(float(each) / 72.0 for each in size.groups()) == [8.5, 11.0]
    for words in ("1 inch = 200 ft", "True north is up", "needle 5 degrees west", "A plan, no survey"):
        assert words in svg
    assert (folder / "out" / "map.png").read_bytes().startswith(b"\x89PNG")


def test_the_card_says_what_a_crew_needs(folder: Path, document: dict[str, float]) -> None:
    card = (folder / "out" / "card.html").read_text(encoding="utf-8")
    for words in (
        "0 degrees true, 5 by compass", "south-west corner", "8 ft from tree to tree", "utility-locating service",
        "Stream-side rules", "registered surveyor", f"{document['trees']:,} trees",
    ):  # fmt: skip
        assert words in card
    assert "http" not in card


def test_the_plan_carries_its_ground(folder: Path, document: dict[str, float]) -> None:
    written = tomllib.loads((folder / "plan.toml").read_text(encoding="utf-8"))
    ground = written["land"]["ground"]
    assert ground["alley_ac"] == pytest.approx(document["alley_ac"], abs=6e-4)
    total = sum(value for name, value in ground.items() if name.endswith("_ac"))
    assert total == pytest.approx(written["land"]["acres"], abs=2e-3)
    assert ground["edge_row_share"] == pytest.approx(document["edge_row_share"], abs=6e-4)


def test_an_order_for_a_small_field_with_gaps_to_fill_is_no_surprise(halfshade: Run, tmp_path: Path) -> None:
    """The plan that a layout writes never says that its own seedlings are too many."""
    small = [[-75.0 + 0.3 * (x + 75.0), 31.3 + 0.3 * (y - 31.3)] for x, y in SQUARE]
    (tmp_path / "field.geojson").write_text(collection(feature([small])), encoding="utf-8")
    made = halfshade("layout", "--field", "field.geojson", "--replant-share", "0.4", "--write-plan", "plan.toml")
    assert made.returncode == 0, made.stderr
    ground = tomllib.loads((tmp_path / "plan.toml").read_text(encoding="utf-8"))["land"]["ground"]
    assert f"order {ground['trees_ordered']:,} for this winter" in made.stdout
    grown = halfshade("run", "plan.toml")
    assert grown.returncode == 0, grown.stderr
    assert "are ordered" not in grown.stdout + grown.stderr


def test_same_field_same_bytes(folder: Path, halfshade: Run, tmp_path: Path) -> None:
    halfshade("layout", "--paddocks", "4", "--declination", "-5", "--equipment-ft", "9", "--out", "out")
    for name in ("map.png", "map.svg", "card.html", "rows.kml", "stakes.gpx", "rows.geojson", "rows.csv", "order.csv"):
        one, other = ((each / "out" / name).read_bytes() for each in (folder, tmp_path))
        assert hashlib.sha256(one).digest() == hashlib.sha256(other).digest(), name


def test_words_for_people(halfshade: Run) -> None:
    done = halfshade("layout", "--best-azimuth", "--equipment-ft", "9", "--paddocks", "3")
    assert done.returncode == 0, done.stderr
    for words in (
        "ac net",
        "seedlings" if "seedlings" in done.stdout else "order",
        "9-ft mower",
        "farthest walk to water",
    ):
        assert words in done.stdout
    assert "(the longest rows, so the fewest turns)" in done.stdout
    assert "light on the grass" in done.stdout
    assert not re.search(r"\d\.\d{3}", done.stdout), "digits that nobody would say"


def test_contour_rows_on_a_slope(halfshade: Run, tmp_path: Path) -> None:
    (tmp_path / "field.geojson").write_text(collection(feature([SQUARE])), encoding="utf-8")
    heights = [
        f"{-75.0 + 0.0004 * i:.5f},{31.3 + 0.00034 * j:.5f},{100.0 + 5.0 * j:.1f}"
        for i in range(1, 10)
        for j in range(1, 10)
    ]
    (tmp_path / "heights.csv").write_text("lon,lat,elev_ft\n" + "\n".join(heights) + "\n", encoding="utf-8")
    done = halfshade("layout", "--field", "field.geojson", "--best-azimuth", "--elevation", "heights.csv", "--json")
    document = json.loads(done.stdout)
    assert document["azimuth"]["true_deg"] == pytest.approx(90.0, abs=0.1)
    assert document["slope"]["percent"] == pytest.approx(100.0 * 5.0 / (0.00034 * 364_000 / 1.0), rel=0.01)


NARROW = rectangle(40.0, 2000.0)
WRONG = {
    "empty": ("", "is empty"),
    "no features": ('{"type": "FeatureCollection", "features": []}', "no features"),
    "no json": ("lon,lat\n1,2\n", "is not GeoJSON"),
    "cut short": ('{"type": "Feature",\n"geo', "cannot be read from line 2, character 1 on"),
    "no geojson": ('{"a": 1}', 'it has no "type"'),
    "not a number": (collection(feature([SQUARE])).replace("-74.996, 31.3]", "NaN, 31.3]", 1), "NaN is no number"),
    "text": (collection(feature([SQUARE])).replace("-74.996, 31.3]", '"x", 31.3]', 1), "coordinates[0][1]"),
    "bow": (collection(feature([[SQUARE[0], SQUARE[2], SQUARE[1], SQUARE[3], SQUARE[0]]])), "crosses itself at"),
    "swapped": (collection(feature([[[y, x] for x, y in SQUARE]])), "latitude first"),
    "no system": (collection(feature([rectangle(400.0, 400.0, 5e5, 3.46e6)])), "--crs EPSG:"),
    "typing slip": (collection(feature([[SQUARE[0], [-73.996, 31.3], *SQUARE[2:]]])), "is no field"),
    "huge": (collection(feature([[[-75.0, 31.3], [-74.8, 31.3], [-74.8, 31.5], [-75.0, 31.5]]])), "50,000"),
    "unknown use": (collection(feature([SQUARE], use="barn")), '"barn"'),
    "only a pond": (collection(feature([SQUARE], use="pond")), "holds no field"),
    "a line": (collection(feature(SQUARE, "LineString")), "is no field"),
    "overlap": (collection(feature([SQUARE]), feature([[[x + 1e-3, y] for x, y in SQUARE]])), "overlaps feature 1" ),
    "too many digits": (collection(feature([SQUARE])).replace("-74.996, 31.3]", f"1{'0' * 400}, 31.3]", 1), "[0][1]"),
    "far too many": (collection(feature([SQUARE])).replace("-74.996, 31.3]", f"1{'0' * 5000}, 31.3]", 1), "two num"),
    "no shape": (collection(feature([SQUARE], "Blob")), '"Blob"'),
    "shape in a list": (collection(feature([SQUARE])).replace('"Polygon"', '["Polygon"]'), "no shape of GeoJSON"),
    "deep": (collection(feature(1)).replace(": 1}", f": {'[' * 900}1{']' * 900}}}"), "coordinates[0][0][0][0]: "),
    "one point": (collection(feature([SQUARE]), feature([SQUARE[0]], "LineString", use="lane")), "at least two points"),
    "no length": (collection(feature([SQUARE]), feature([SQUARE[0]] * 2, "LineString", use="lane")), "no length"),
    "date line": (collection(feature([[[179.998 if x < -74.999 else -179.998, y] for x, y in SQUARE]])), "180th"),
    "no room": (collection(feature([SQUARE]), feature([SQUARE], use="pond")), "no ground for rows"),
}  # fmt: skip


@pytest.mark.parametrize("name", WRONG)
def test_bad_fields_are_refused(name: str, halfshade: Run, tmp_path: Path) -> None:
    text, words = WRONG[name]
    (tmp_path / "field.geojson").write_text(text, encoding="utf-8")
    done = halfshade("layout", "--field", "field.geojson", "--json", "--out", "out")
    assert (done.returncode, done.stdout) == (2, "")
    message = done.stderr.splitlines()[-1]
    assert message.startswith(("halfshade: field.geojson: ", "halfshade: field.geojson:1: "))
    assert words.replace("feature 1", "feature") in message or words in message
    assert message.count(". ") >= 1, "says what to do"
    assert not (tmp_path / "out").exists()


def test_a_field_smaller_than_an_alley(halfshade: Run, tmp_path: Path) -> None:
    (tmp_path / "field.geojson").write_text(collection(feature([NARROW])), encoding="utf-8")
    done = halfshade("layout", "--field", "field.geojson", "--crs", FEET)
    assert done.returncode == 2
    assert "smaller than one alley of 42 ft" in done.stderr


def test_a_slip_of_the_hand_is_repaired_and_said(halfshade: Run, tmp_path: Path) -> None:
    knot = [[-74.9999, 31.3034], [-75.0, 31.30339], [-74.99995, 31.30345]]
    ring = [*SQUARE[:3], *knot, SQUARE[0]]
    (tmp_path / "field.geojson").write_text(collection(feature([ring])), encoding="utf-8")
    done = halfshade("layout", "--field", "field.geojson")
    assert done.returncode == 0, done.stderr
    assert "crosses itself at longitude -74.99995, latitude 31.30339; repaired" in done.stdout


def test_another_size_than_the_plan_is_said(halfshade: Run, tmp_path: Path) -> None:
    (tmp_path / "field.geojson").write_text(collection(feature([SQUARE])), encoding="utf-8")
    done = halfshade("layout", "--field", "field.geojson")
    assert "The field holds 35.5 acres, the plan says 40" in done.stdout


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--azimuth", "nan"], "--azimuth"),
        (["--azimuth", "30", "--best-azimuth"], "Give one of the two"),
        (["--paddocks", "60"], "narrower than an alley"),
        (["--paddocks", "1" + "0" * 400], "between 1 and 60"),
        (["--write-plan", "nowhere/plan.toml", "--out", "out"], "a folder that is not there"),
        (["--fit-alley"], "--equipment-ft 9"),
        (["--crs", "EPSG:999999"], "not known"),
        (["--survival", "2"], "between 0.01 and 1"),
        (["--elevation", "none.csv"], "does not exist"),
    ],
)
def test_bad_options_are_refused(options: list[str], words: str, halfshade: Run, tmp_path: Path) -> None:
    done = halfshade("layout", *options)
    assert done.returncode == 2
    assert words in done.stderr
    assert not [path for path in tmp_path.rglob("*") if path.is_file()]


HEIGHTS = {
    "on one line": ([(0.0003 * i, 0.0003 * i, 5.0) for i in range(1, 11)], "not all on one line"),
    "beyond numbers": ([(0.0003 * i, 0.0003 * (i % 4), 1e300) for i in range(1, 11)], "is not a number"),
    "metres for feet": ([(0.0003 * i, 0.0003 * (i % 4), 1e3 * i) for i in range(1, 11)], "falls as no field does"),
}


@pytest.mark.parametrize("name", HEIGHTS)
def test_heights_that_make_no_slope_are_refused(name: str, halfshade: Run, tmp_path: Path) -> None:
    points, words = HEIGHTS[name]
    (tmp_path / "field.geojson").write_text(collection(feature([SQUARE])), encoding="utf-8")
    lines = [f"{x - 75.0:.6f},{y + 31.3001:.6f},{z:g}" for x, y, z in points]
    (tmp_path / "heights.csv").write_text("lon,lat,elev_ft\n" + "\n".join(lines), encoding="utf-8")
    done = halfshade("layout", "--field", "field.geojson", "--elevation", "heights.csv", "--best-azimuth")
    assert done.returncode == 2
    assert words in done.stderr


def test_names_steer_no_screen(halfshade: Run, tmp_path: Path) -> None:
    far = [[x + 0.02, y] for x, y in SQUARE]
    ponds = [feature([far], use="pond", name=name) for name in ("\x1b[31mred\n", "\u202eturned", "n" * 10_000)]
    text = collection(feature([SQUARE]), *ponds).replace("\\u202eturned", "\\ud800half")
    (tmp_path / "field.geojson").write_text(text, encoding="utf-8")
    done = halfshade("layout", "--field", "field.geojson", "--out", "out")
    assert done.returncode == 0, done.stderr
    assert done.stdout.count("lies outside the field") == 3
    assert "\x1b" not in done.stdout
    assert "(half)" in done.stdout
    assert max(len(line) for line in done.stdout.splitlines()) < 200


def test_water_and_gates_elsewhere_serve_nobody(halfshade: Run, tmp_path: Path) -> None:
    far = [feature([-74.9, 31.3], "Point", use=use) for use in ("water", "gate")]
    near = feature([-75.00003, 31.302], "Point", use="gate")
    (tmp_path / "field.geojson").write_text(collection(feature([SQUARE]), *far, near), encoding="utf-8")
    document = json.loads(halfshade("layout", "--field", "field.geojson", "--json").stdout)
    said = [each["message"] for each in document["warnings"] if each["code"] == "outside"]
    assert [text.partition(" lies")[0] for text in said] == ["feature 2", "feature 3"]
    assert document["paddocks"]["water_points_proposed"] == len(document["paddocks"]["water_points"]) == 1
    assert document["fence"]["gates"] == 1


def test_a_machine_wider_than_the_alley_is_said(halfshade: Run) -> None:
    done = halfshade("layout", "--equipment-ft", "60", "--json")
    said = [each["message"] for each in json.loads(done.stdout)["warnings"] if each["code"] == "machine_too_wide"]
    assert len(said) == 1
    assert "60 ft is wider than the 37 ft of grass in an alley" in said[0]


def test_any_title_leaves_files_that_open(halfshade: Run, tmp_path: Path) -> None:
    text = halfshade("init").stdout
    title = "<b>&amp; $x$ \u6771\u4eac " + "long " * 30
    (tmp_path / "plan.toml").write_text(re.sub(r"(?m)^title = .*$", f'title = "{title}"', text), encoding="utf-8")
    done = halfshade("layout", "plan.toml", "--out", "out")
    assert done.returncode == 0, done.stderr
    assert "Warning" not in done.stderr
    for name in ("rows.kml", "stakes.gpx", "map.svg"):
        _read(tmp_path / "out" / name)
    assert re.search(r">[^<]*…: \d+ rows, [\d,]+ trees on", (tmp_path / "out" / "map.svg").read_text(encoding="utf-8"))


def test_a_file_is_not_overwritten(halfshade: Run, tmp_path: Path) -> None:
    (tmp_path / "plan.toml").write_text("mine", encoding="utf-8")
    done = halfshade("layout", "--write-plan", "plan.toml")
    assert done.returncode == 2
    assert "exists already" in done.stderr
    assert (tmp_path / "plan.toml").read_text(encoding="utf-8") == "mine"


def test_grass_alone_has_no_rows(halfshade: Run, tmp_path: Path) -> None:
    text = halfshade("init", "--layout", "double").stdout
    kept = re.sub(r"(?ms)^\[trees\].*?(?=^\[pasture\])", "", text)
    (tmp_path / "grass.toml").write_text(kept, encoding="utf-8")
    done = halfshade("layout", "grass.toml")
    assert done.returncode == 2
    assert "grass alone" in done.stderr


def test_a_stand_is_not_laid_out(halfshade: Run, tmp_path: Path) -> None:
    (tmp_path / "stand.toml").write_text(halfshade("init", "--route", "stand").stdout, encoding="utf-8")
    done = halfshade("layout", "stand.toml")
    assert done.returncode == 2
    assert "stand" in done.stderr
