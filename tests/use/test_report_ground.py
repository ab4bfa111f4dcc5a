"""``halfshade report FILE --field F.geojson``: the map, the counts and the cautions of the rows on a field."""

import json
import re
from importlib import resources
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from simulator.errors import InputError
from simulator.ground import lay_out, read_field
from simulator.scenario.file import load_text
from workbench.commands.report import report
from workbench.examples import example_text
from workbench.ground_words import CAUTIONS


@pytest.fixture
def outline(tmp_path: Path) -> Path:
    text = resources.files("workbench.scenarios").joinpath("north-field.geojson").read_text(encoding="utf-8")
    path = tmp_path / "north.geojson"
    path.write_text(text, encoding="utf-8")
    return path


def _report(outline: Path, out: Path) -> Result:
    return CliRunner().invoke(report, ["--field", str(outline), "--no-pdf", "--out", str(out)], catch_exceptions=False)


def test_the_rows_are_drawn_counted_and_cautioned(outline: Path, tmp_path: Path) -> None:
    assert _report(outline, tmp_path / "out").exit_code == 0
    scenario = load_text(example_text(), "packaged")
    layout = lay_out(read_field(outline, None, scenario.land.latitude_deg), scenario)
    document = json.loads((tmp_path / "out" / "report.json").read_text(encoding="utf-8"))
    [plan] = document["plans"]
    assert plan["layout"] == json.loads(json.dumps(layout.document()))
    [section] = [each for each in plan["sections"] if each["key"] == "ground"]
    cells = dict(next(block["rows"] for block in section["blocks"] if block["kind"] == "table"))
    assert cells["Trees planted"] == f"{layout.order.spots:,}"
    assert cells["Seedlings to order, spares among them"] == f"{layout.order.first_order:,}"
    assert cells["Headlands, where machines turn"] == f"{layout.areas.headland_ac:.1f} ac"
    html = (tmp_path / "out" / "report.html").read_text(encoding="utf-8")
    alt = re.search(r'<figure id="figure-map"><img alt="([^"]+)" src="data:image/svg', html)
    assert alt is not None
    assert f"{len(layout.rows.trees)} rows at 0 degrees true" in alt[1]
    assert [caution for caution in CAUTIONS if caution not in html] == []
    assert "printed at 100 %" not in html
    recipe = json.loads((tmp_path / "out" / "made-with.json").read_text(encoding="utf-8"))
    assert "north.geojson" in recipe["inputs"]


def test_without_a_field_nothing_is_said_of_rows(tmp_path: Path) -> None:
    CliRunner().invoke(report, ["--no-pdf", "--out", str(tmp_path / "out")], catch_exceptions=False)
    [plan] = json.loads((tmp_path / "out" / "report.json").read_text(encoding="utf-8"))["plans"]
    assert "layout" not in plan
    assert "ground" not in [each["key"] for each in plan["sections"]]


def test_a_bad_outline_is_refused_before_anything_is_written(tmp_path: Path) -> None:
    bad = tmp_path / "bad.geojson"
    bad.write_text("{}", encoding="utf-8")
    with pytest.raises(InputError, match="no GeoJSON"):
        _report(bad, tmp_path / "out")
    assert not (tmp_path / "out" / "report.html").exists()
