"""The command `halfshade calibrate` as a person meets it."""

import json
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

Run = Callable[..., object]
HEAD = "year,quantity,value,standard_error\n"
SOUND = HEAD + "10,dominant_height_ft,36,1\n10,quadratic_mean_dbh_in,7.0,0.2\n2,hay_ton_ac,1.9,\n"


@pytest.fixture
def scenario(halfshade: Run, tmp_path: Path) -> Path:
    path = tmp_path / "field.toml"
    path.write_text(halfshade("init").stdout, encoding="utf-8")
    return path


def _measured(folder: Path, text: str) -> Path:
    path = folder / "measured.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_it_shows_predicted_against_measured_and_leaves_the_file_alone(
    halfshade: Run, scenario: Path, tmp_path: Path
) -> None:
    before = scenario.read_bytes()
    out = tmp_path / "out"
    said = halfshade("calibrate", scenario, _measured(tmp_path, SOUND), "--out", out).stdout
    assert scenario.read_bytes() == before
    for part in ("Predicted against measured", "standard", "Nothing is changed in your file", "site_index_ft = "):
        assert part in said
    lines = tomllib.loads((out / "adjusted.toml").read_text())
    assert lines["land"]["site_index_ft"] > 68
    document = json.loads((out / "calibration.json").read_text())
    height = document["readings"][0]
    assert abs(height["predicted_after"] - 36) < abs(height["predicted_before"] - 36)


def test_the_adjusted_lines_make_a_scenario_that_predicts_what_was_shown(
    halfshade: Run, scenario: Path, tmp_path: Path
) -> None:
    document = json.loads(halfshade("calibrate", scenario, _measured(tmp_path, SOUND), "--json").stdout)
    text = scenario.read_text()
    for each in document["adjusted"]:
        line = f"{each['field']} = {each['after']!r}"
        anchor = {"land": "[land]", "pasture": "[pasture]"}[each["table"]]
        text = "\n".join(row for row in text.split("\n") if not row.startswith(f"{each['field']} ="))
        text = text.replace(f"\n{anchor}\n", f"\n{anchor}\n{line}\n")
    scenario.write_text(text, encoding="utf-8")
    years = json.loads(halfshade("run", scenario, "--json").stdout)["years"]
    assert years[10]["dominant_height_ft"] == pytest.approx(document["readings"][0]["predicted_after"], rel=1e-6)
    assert years[2]["hay_ton_ac"] == pytest.approx(document["readings"][2]["predicted_after"], rel=1e-6)


def test_what_the_measurements_cannot_move_is_said(halfshade: Run, scenario: Path, tmp_path: Path) -> None:
    measured = _measured(tmp_path, HEAD + "10,dominant_height_ft,36,1\n20,hay_ton_ac,1.5,0.2\n")
    assert "pasture.yield_multiplier is left alone" in halfshade("calibrate", scenario, measured).stdout
    document = json.loads(halfshade("calibrate", scenario, measured, "--json").stdout)
    assert document["left_alone"] == ["pasture.yield_multiplier"]


WRONG = {
    "unknown quantity": (HEAD + "10,height,36,1\n", ':2: quantity: is not a known quantity (received "height")'),
    "year beyond the horizon": (HEAD + "90,dominant_height_ft,36,1\n", ":2: year: must be a number, 1 to 40"),
    "broken year": (HEAD + "1.5,dominant_height_ft,36,1\n", ":2: year: must be a whole year"),
    "negative": (HEAD + "10,dominant_height_ft,-36,1\n", ":2: value: must be a number, 1 to 160"),
    "light in percent": (HEAD + "10,light_warm,40,\n", ":2: value: must be a number, 0 to 1"),
    "no error": (HEAD + "10,dominant_height_ft,36,0\n", ":2: standard_error: must be a number"),
    "nothing informs": (HEAD + "10,trees_per_ac,190,\n", "nothing measured informs any number"),
    "nothing moves": (HEAD + "20,hay_ton_ac,1.5,0.2\n", "none of the numbers that it could inform: pasture.yield"),
    "empty": (HEAD, "has no rows"),
}


@pytest.mark.parametrize("case", WRONG)
def test_what_is_wrong_is_named_with_its_line(halfshade: Run, scenario: Path, tmp_path: Path, case: str) -> None:
    text, message = WRONG[case]
    out = tmp_path / "out"
    result = halfshade("calibrate", scenario, _measured(tmp_path, text), "--out", out)
    assert result.returncode == 2
    assert message in result.stderr
    assert not out.exists()
