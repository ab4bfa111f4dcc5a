"""The command `halfshade mark` as a person meets it."""

import csv
import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

Run = Callable[..., object]


@pytest.fixture
def stem_map(tmp_path: Path) -> Path:
    """A plantation of 9 x 8 ft on a square quarter acre, its sizes drawn once."""
    rng = np.random.default_rng(11)
    rows = ["tree,x_ft,y_ft,dbh_in,height_ft,code"]
    for i in range(11):
        for j in range(13):
            number = i * 13 + j + 1
            dbh, code = max(4.0, rng.normal(7.5, 1.2)), ("cull", "pulpwood", "", "", "", "sawtimber")[number % 6]
            rows.append(f"{number},{9 * i},{8 * j},{dbh:.1f},{50 if number % 5 == 0 else ''},{code}")
    path = tmp_path / "map.csv"
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return path


def _document(halfshade: Run, *arguments: object) -> dict:
    return json.loads(halfshade("mark", *arguments, "--json").stdout)


def test_it_leaves_as_many_as_asked(halfshade: Run, stem_map: Path) -> None:
    found = _document(halfshade, stem_map, "--leave-trees", "150")
    assert found["after"]["trees_per_ac"] == pytest.approx(150, abs=0.5 / found["acres"])
    assert found["after"]["light"]["mean"] > found["before"]["light"]["mean"]
    assert all(tree["reason"] for tree in found["take"])


def test_it_leaves_the_basal_area_asked_for(halfshade: Run, stem_map: Path) -> None:
    found = _document(halfshade, stem_map, "--leave-basal-area", "60")
    assert 55 < found["after"]["basal_area_ft2_ac"] <= 60


def test_it_opens_the_canopy_to_the_light_asked_for(halfshade: Run, stem_map: Path) -> None:
    found = _document(halfshade, stem_map, "--light", "0.5", "--age", "16")
    assert 0.5 <= found["after"]["light"]["mean"] < 0.53


def test_orchard_trees_are_salvage_whatever_their_code(halfshade: Run, stem_map: Path) -> None:
    taken = _document(halfshade, stem_map, "--species", "pecan", "--leave-trees", "60")["take"]
    assert {tree["code"] for tree in taken} == {"cull", "pulpwood", "", "sawtimber"}
    assert all(tree["product"] == ("" if tree["code"] == "cull" else "salvage") for tree in taken)


def test_files_hold_every_tree_and_a_map(halfshade: Run, stem_map: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    halfshade("mark", stem_map, "--leave-trees", "150", "--out", out)
    with (out / "marking.csv").open(newline="") as stream:
        rows = list(csv.DictReader(stream))
    document = json.loads((out / "mark.json").read_text())
    assert len(rows) == 143
    taken = {row["tree"] for row in rows if row["mark"] == "take"}
    assert taken == {tree["tree"] for tree in document["take"]}
    assert all(bool(row["reason"]) == (row["mark"] == "take") for row in rows)
    assert all(row["product"] == "" for row in rows if row["code"] == "cull")
    assert (out / "map.png").read_bytes().startswith(b"\x89PNG")
    assert "Take the" in (out / "map.svg").read_text()


def test_a_map_by_bearing_and_distance_is_the_same_map(halfshade: Run, tmp_path: Path) -> None:
    by_xy, by_bearing = tmp_path / "xy.csv", tmp_path / "bearing.csv"
    by_xy.write_text("tree,x_ft,y_ft,dbh_in,height_ft\n1,0,10,8,50\n2,10,0,9,52\n3,0,-10,7,47\n")
    by_bearing.write_text("tree,azimuth_deg,distance_ft,dbh_in,height_ft\n1,0,10,8,50\n2,90,10,9,52\n3,180,10,7,47\n")
    one, other = (_document(halfshade, path, "--leave-trees", "0") for path in (by_xy, by_bearing))
    assert one["acres"] == pytest.approx(other["acres"])
    assert [tree["tree"] for tree in one["take"]] == [tree["tree"] for tree in other["take"]]


def test_people_read_reasons_and_cautions(halfshade: Run, stem_map: Path) -> None:
    said = halfshade("mark", stem_map, "--leave-trees", "150").stdout
    for part in ("Trees to take", "cull", "Light on the ground", "registered forester", "trained fellers"):
        assert part in said
    cautions = " ".join(_document(halfshade, stem_map, "--leave-trees", "150")["cautions"])
    for part in ("registered forester", "trained fellers", "Logging safety rules"):
        assert part in cautions


HEAD = "tree,x_ft,y_ft,dbh_in,height_ft,species\n"
WRONG = {
    "two trees of one number": (HEAD + "1,0,0,8,50,\n1,9,0,8,50,\n", ":3: tree: stands in line 2 already"),
    "no place": (HEAD + "1,0,0,8,50,\n2,,,8,50,\n", "1 trees have no place, first tree 2"),
    "one place": (HEAD + "1,0,0,8,50,\n2,0,0,8,50,\n", "trees 1 and 2 stand at one place"),
    "no number": (HEAD + "1,0,0,8,50,\n,9,0,8,50,\n", "tree: is missing for a tree"),
    "two species": (HEAD + "1,0,0,8,50,loblolly\n2,9,0,8,50,hardwood\n", "a map to mark holds one species"),
    "text": (HEAD + "1,0,0,8,50,\n2,east,0,8,50,\n", ':3: x_ft: must be a plain number (received "east")'),
    "no heights": (HEAD + "1,0,0,8,,\n2,9,0,8,,\n", "no tree has a height"),
    "negative": (HEAD + "1,0,0,8,50,\n2,9,0,-8,50,\n", ":3: dbh_in: must be 0.1 to 48"),
    "thick": (HEAD + "1,0,0,8,50,\n2,9,0,thick,50,\n", ':3: dbh_in: must be a plain number (received "thick")'),
    "unknown species": (HEAD + "1,0,0,8,50,loblly\n", ':2: species: is not a known species (received "loblly")'),
    "no dbh": (HEAD + "1,0,0,8,50,\n2,9,0,,,\n", ":3: dbh_in: is missing for a tree"),
    "no trees": (HEAD, "has no rows"),
    "centimetres": (
        HEAD + "".join(f"{n},{9 * n},0,{d},50,\n" for n, d in enumerate((19, 20, 21, 22))),
        "dbh_in: looks like centimetres: half of the trees are thicker than 20.5",
    ),
    "great centimetres": (
        HEAD + "".join(f"{n},{9 * n},0,{d},,\n" for n, d in enumerate((49, 55, 60, 66, 31))),
        ":2: dbh_in: looks like centimetres: 4 trees are thicker than 48, here the first",
    ),
    "metres": (HEAD + "1,0,0,8,50,\n2,9,0,8,15000,\n", ":3: height_ft: must be 4.5 to 160"),
}


@pytest.mark.parametrize("case", WRONG)
def test_what_is_wrong_is_named(halfshade: Run, tmp_path: Path, case: str) -> None:
    text, message = WRONG[case]
    path, out = tmp_path / "map.csv", tmp_path / "out"
    path.write_text(text, encoding="utf-8")
    result = halfshade("mark", path, "--leave-trees", "100", "--out", out)
    assert result.returncode == 2
    assert message in result.stderr
    assert not out.exists()


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ((), "exactly one is needed"),
        (("--leave-trees", "100", "--light", "0.5"), "exactly one is needed"),
        (("--light", "50"), "--light: must be 0 to 1"),
        (("--light", "0.5", "--latitude", "90"), "--latitude: must be 24 to 40"),
    ],
)
def test_options_are_checked(halfshade: Run, stem_map: Path, options: tuple[str, ...], message: str) -> None:
    result = halfshade("mark", stem_map, *options)
    assert result.returncode == 2
    assert message in result.stderr
