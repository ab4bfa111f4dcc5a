"""Rows on the ground in a browser: the map turns under a hand and under keys, counts follow, the plan takes them."""

import json
import math
import re
import zipfile
from collections.abc import Iterator
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from browser import violations
from fields import FEET, collection, feature, field, rectangle
from paging import Served, served
from simulator.ground import Options, features_of, field_of, lay_out
from simulator.scenario.file import load, load_text
from visiting import PHONE, Visit, visiting
from workbench.examples import example_text

if TYPE_CHECKING:
    from playwright.sync_api import Browser

HANDLE = "#ground-handle"


@pytest.fixture(scope="module")
def server() -> Iterator[Served]:
    with served() as started:
        yield started


@pytest.fixture
def visit(browser: "Browser", server: Served) -> Iterator[Visit]:
    """A visit that must end without a word on the console and without a request to anybody else."""
    address = str(server.client.base_url).rstrip("/")
    with visiting(browser, address) as started:
        _show(started)
        yield started
        assert started.complaints == []
        assert [url for url in started.asked if not url.startswith((address, f"blob:{address}", "about:"))] == []


def _show(visit: Visit, fragment: str = "#view=land&year=15") -> None:
    visit.open(fragment)
    visit.page.locator("#ground").scroll_into_view_if_needed()
    _rest(visit)


def _rest(visit: Visit) -> None:
    """Wait until the rows lie as they were asked for last."""
    visit.page.locator("#ground-counts b").first.wait_for()
    visit.page.locator("#ground:not([aria-busy])").wait_for()
    visit.page.locator("body:not(.busy)").wait_for()


def _counts(visit: Visit) -> dict[str, str]:
    found = visit.page.eval_on_selector_all(
        "#ground-counts [data-count]", "all => all.map(it => [it.dataset.count, it.querySelector('b').textContent])"
    )
    return dict(found)


def _by_python(**asked: float | bool) -> dict[str, str]:
    """The same counts from `lay_out` itself, on the packaged field, written as the page writes them."""
    text = resources.files("workbench.scenarios").joinpath("north-field.geojson").read_text(encoding="utf-8")
    scenario = load_text(example_text(), "packaged")
    ground = field_of(features_of(text, "field"), None, scenario.land.latitude_deg)
    return _written(lay_out(ground, scenario, Options()._replace(**asked)).document())


def _written(layout: dict[str, Any]) -> dict[str, str]:
    tens = {"feet": layout["row_length_ft"], "walk": layout["paddocks"]["farthest_walk_ft"]}
    return {
        "net": f"{math.floor(layout['net_ac'] * 10 + 0.5) / 10:g}",
        "rows": f"{layout['rows']:,}",
        "trees": f"{layout['trees']:,}",
        "order": f"{layout['order']['total']:,}",
        "short": f"{layout['short_rows']:,}",
        **{name: f"{math.floor(value / 10 + 0.5) * 10:,}" for name, value in tens.items()},
    }


def test_the_map_is_there_and_counts_what_the_layout_counts(visit: Visit) -> None:
    assert _counts(visit) == _by_python()
    page = visit.page
    drawn = page.get_attribute("#ground-drawing path.ground-rows", "d") or ""
    assert drawn.count("M") == int(_counts(visit)["rows"])
    said = page.get_attribute("#ground-drawing svg", "aria-label") or ""
    assert said.startswith("Map of the field, north up: 86 rows; rows run north and south.")
    names = page.locator("#ground-drawing .ground-name").all_text_contents()
    assert {"pond", "branch", "loading deck", "start"} <= set(names)
    assert violations(page) == []


def test_keys_turn_it_and_every_count_follows(visit: Visit) -> None:
    page = visit.page
    page.focus(HANDLE)
    for key in ("PageUp", "PageUp", "ArrowRight", "ArrowLeft"):
        page.keyboard.press(key)
    assert page.get_attribute(HANDLE, "aria-valuenow") == "20"
    assert page.get_attribute(HANDLE, "aria-valuetext") == "rows run 20 degrees east of north"
    _rest(visit)
    assert _counts(visit) == _by_python(azimuth_deg=20.0)
    assert page.inner_text('[data-count="trees"] .small') == "126 fewer"  # 7,514 in the plan's direction, 7,388 here
    page.keyboard.press("Home")
    page.keyboard.press("ArrowLeft")
    assert page.get_attribute(HANDLE, "aria-valuetext") == "rows run 1 degree west of north"
    page.fill("#ground-degrees", "270")
    assert page.get_attribute(HANDLE, "aria-valuetext") == "rows run east and west"
    _rest(visit)
    assert _counts(visit) == _by_python(azimuth_deg=90.0)
    page.fill("#ground-degrees", "400")
    assert page.inner_text("#ground-degrees-wrong") == "Degrees from 0 to 360."
    page.click("#ground-back")
    _rest(visit)
    assert _counts(visit) == _by_python()


def test_a_hand_drags_it_and_a_hint_of_the_rows_turns_at_once(visit: Visit) -> None:
    page = visit.page
    rose, handle = page.locator("#rose").bounding_box(), page.locator(HANDLE).bounding_box()
    assert rose is not None
    assert handle is not None
    middle = (rose["x"] + rose["width"] / 2, rose["y"] + rose["height"] / 2)
    page.route("**/api/layout", lambda _: None)  # no answer: what turns now turns by itself
    page.mouse.move(handle["x"] + handle["width"] / 2, handle["y"] + handle["height"] / 2)
    page.mouse.down()
    page.mouse.move(middle[0] + 200, middle[1], steps=3)
    assert page.get_attribute(HANDLE, "aria-valuenow") == "90"
    assert page.locator("#ground-drawing .ground-ghost").is_visible()
    assert (page.get_attribute("#ground-drawing .ground-ghost", "transform") or "").startswith("rotate(90 ")
    page.unroute("**/api/layout")
    page.reload()
    _show(visit)
    page.mouse.move(handle["x"] + handle["width"] / 2, handle["y"] + handle["height"] / 2)
    page.mouse.down()
    page.mouse.move(middle[0] + 200, middle[1] + 200, steps=8)
    page.mouse.up()
    assert page.get_attribute(HANDLE, "aria-valuenow") == "135"
    _rest(visit)
    assert page.locator("#ground-drawing .ground-ghost").is_hidden()
    assert _counts(visit) == _by_python(azimuth_deg=135.0)


def test_the_plan_takes_direction_and_acres(visit: Visit, tmp_path: Path) -> None:
    page = visit.page
    _use(visit)
    assert page.locator("#ground-use").is_disabled()
    assert "against your last kept plan" in page.inner_text("#ground-against")
    with page.expect_download() as download:
        page.click("#save-file")
    saved = tmp_path / "plan.toml"
    download.value.save_as(saved)
    plan = load(saved)
    assert plan.trees is not None
    assert plan.land.ground is not None
    assert plan.trees.layout.row_azimuth_deg == 20.0
    assert f"{plan.land.ground.trees_ordered:,}" == _by_python(azimuth_deg=20.0)["order"]


def _use(visit: Visit) -> None:
    """Turn the rows to twenty degrees and take that into the plan."""
    visit.page.fill("#ground-degrees", "20")
    _rest(visit)
    visit.page.click("#ground-use")
    visit.page.locator("#ground-held", has_text="reckons with this field").wait_for()
    _rest(visit)


def test_the_address_holds_what_was_taken_and_undo_gives_it_back(visit: Visit) -> None:
    page = visit.page
    _use(visit)
    address = page.url
    assert "row_azimuth_deg%3D20" in address
    assert "land.ground" in address
    page.reload()
    _show(visit, address[address.index("#") :])
    assert page.get_attribute(HANDLE, "aria-valuenow") == "20"
    page.locator('.ground [data-do="undo"]').click()
    _rest(visit)
    assert "land.ground" not in page.url
    assert page.get_attribute(HANDLE, "aria-valuenow") == "0"


def test_the_best_direction_is_found_and_explained(visit: Visit) -> None:
    page = visit.page
    page.click("#ground-best")
    page.locator("#ground-others li").first.wait_for()
    _rest(visit)
    best = _by_python(best_azimuth=True)
    assert _counts(visit) == best
    assert "so the fewest turns" in page.inner_text("#ground-others")
    assert "--" not in page.inner_text("#ground")


def test_options_are_obeyed_and_refused_at_their_boxes(visit: Visit) -> None:
    page = visit.page
    page.click(".ground-options summary")
    page.fill("#ground-paddocks", "3")
    page.fill("#ground-headland_ft", "60")
    page.fill("#ground-declination", "-4")
    page.keyboard.press("Tab")
    _rest(visit)
    assert _counts(visit) == _by_python(paddocks=3, headland_ft=60.0, declination_deg=-4.0)
    assert page.inner_text("#ground-compass") == "4° by compass"
    assert page.locator("#ground-drawing .ground-fence").count() == 1
    page.fill("#ground-headland_ft", "900")
    page.keyboard.press("Tab")
    page.locator("#ground-headland_ft-wrong").wait_for()
    assert "between 0 and 300" in page.inner_text("#ground-headland_ft-wrong")
    assert page.get_attribute("#ground-headland_ft", "aria-invalid") == "true"
    assert violations(page) == []
    visit.complaints.clear()  # the browser itself notes that an answer was 422


def _outline(path: Path, width: float, height: float) -> dict[str, Any]:
    """Write a rectangle of feet as degrees; returned as `lay_out` of Python lays it."""
    made = field(feature([rectangle(width, height)]))
    ring = made.projection.lonlat(rectangle(width, height)).tolist()
    path.write_text(collection(feature([ring])), encoding="utf-8")
    scenario = load_text(example_text(), "packaged")
    own = field_of(features_of(path.read_text(encoding="utf-8"), "own"), None, scenario.land.latitude_deg)
    return lay_out(own, scenario).document()


def test_an_own_field_is_opened_and_said_to_be_lost_by_a_reload(visit: Visit, tmp_path: Path) -> None:
    page, own = visit.page, tmp_path / "home place.geojson"
    layout = _outline(own, 2000.0, 1000.0)
    page.set_input_files("#ground-file", own)
    page.locator("#ground-whose", has_text="home place.geojson").wait_for()
    _rest(visit)
    assert _counts(visit) == _written(layout)
    assert "45.9 acres" in page.inner_text("#ground-whose")  # 2,000 by 1,000 ft are 45.9 acres of 43,560 ft2
    assert "the plan says 40" in page.inner_text("#ground-notes")
    assert "--" not in page.inner_text("#ground")
    page.reload()
    _show(visit)
    assert "no longer holds “home place.geojson”" in page.inner_text("#ground-whose")
    assert _counts(visit) == _by_python()


def test_a_bad_outline_is_refused_at_its_button_and_the_map_stays(visit: Visit, tmp_path: Path) -> None:
    page, before = visit.page, _counts(visit)
    bad = {
        "text.geojson": ("no outline", "not GeoJSON"),
        "empty.geojson": ('{"type": "FeatureCollection", "features": []}', "no features"),
        "feet.geojson": (collection(feature([rectangle(9000.0, 9000.0)])), "Coordinate system"),
        "big.geojson": ('{"type": "Polygon"}' + " " * 1_000_001, "larger than this page takes"),
        "path.geojson": (
            json.dumps({"type": "FeatureCollection", "crs": {"properties": {"name": FEET}}})[:-1]
            + f', "features": [{json.dumps(feature([rectangle(900.0, 900.0)]))}]}}',
            "by its number only",
        ),
    }
    for name, (text, said) in bad.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
        page.set_input_files("#ground-file", tmp_path / name)
        page.locator("#ground-field-wrong", has_text=said).wait_for()
        assert "--crs" not in page.inner_text("#ground")
    assert violations(page) == []
    assert _counts(visit) == before
    visit.complaints.clear()  # the browser itself notes that an answer was 422


def test_stakes_and_card_are_taken_along(visit: Visit, tmp_path: Path) -> None:
    page = visit.page
    page.fill("#ground-degrees", "20")
    _rest(visit)
    with page.expect_download() as download:
        page.click("#ground-take")
    assert download.value.suggested_filename == "north-field-on-the-ground.zip"
    download.value.save_as(tmp_path / "ground.zip")
    with zipfile.ZipFile(tmp_path / "ground.zip") as archive:
        layout = json.loads(archive.read("layout.json"))
        assert {"rows.geojson", "rows.csv", "stakes.gpx", "rows.kml", "card.html", "map.png"} <= set(archive.namelist())
    assert layout["azimuth"]["true_deg"] == 20.0


def test_it_fits_a_phone_and_says_so_where_there_are_no_rows(browser: "Browser", server: Served) -> None:
    with visiting(browser, str(server.client.base_url).rstrip("/"), PHONE) as visit:
        _show(visit)
        visit.page.click(".ground-options summary")
        assert visit.wide() == PHONE["width"]
        assert violations(visit.page) == []
        visit.page.check("input[name=units][value=metric]", force=True)
        assert re.search(r"net hectares", visit.page.inner_text("#ground-counts"))
        visit.page.select_option("#examples", "standing-pines")
        visit.page.locator("#ground-none").wait_for()
        assert "stand already" in visit.page.inner_text("#ground-none")
        assert visit.complaints == []
