"""The command `halfshade cruise` as a person meets it."""

import csv
import json
import tomllib
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from simulator.enterprises.products import product_tons
from simulator.inventory.heights import fitted_curve, height_ft
from simulator.parameters.growth import load_tree
from simulator.parameters.wood import load_wood
from simulator.physics.height import dominant_height_ft

Run = Callable[..., object]

HEAD = "plot,species,dbh_in,height_ft,code\n"
SOUND = (
    HEAD
    + "1,loblolly,8.0,50,\n1,loblolly,10.0,55,\n1,loblolly,6.0,44,\n2,loblolly,9.0,53,\n2,loblolly,7.0,47,\n3,,,,\n"
)


def _table(folder: Path, text: str) -> Path:
    path = folder / "plots.csv"
    path.write_text(text, encoding="utf-8")
    return path


def _document(halfshade: Run, path: Path, *options: str) -> dict:
    return json.loads(halfshade("cruise", path, *options, "--json").stdout)


def test_a_small_cruise_by_hand(halfshade: Run, tmp_path: Path) -> None:
    found = _document(halfshade, _table(tmp_path, SOUND), "--plot-acres", "0.1")
    # three plots of a tenth acre with 3, 2 and no trees: 30, 20 and 0 an acre
    assert found["plots"] == 3
    assert found["trees_per_ac"] == pytest.approx(50 / 3)
    assert found["standard_error_percent"]["trees"] == pytest.approx(
        100 * np.std([30, 20, 0], ddof=1) / 3**0.5 / (50 / 3)
    )
    squares = 8.0**2 + 10.0**2 + 6.0**2 + 9.0**2 + 7.0**2
    assert found["basal_area_ft2_ac"] == pytest.approx(0.005454154 * squares * 10 / 3, rel=1e-6)
    assert found["quadratic_mean_dbh_in"] == pytest.approx((squares / 5) ** 0.5)
    assert sum(row["trees_per_ac"] for row in found["stand_table"]) == pytest.approx(found["trees_per_ac"])
    assert [row["dbh_class_in"] for row in found["stand_table"]] == [6, 7, 8, 9, 10]


def test_prism_points_count_the_factor(halfshade: Run, tmp_path: Path) -> None:
    found = _document(halfshade, _table(tmp_path, SOUND), "--baf", "10")
    assert found["basal_area_ft2_ac"] == pytest.approx((30 + 20 + 0) / 3)


def test_site_index_is_that_of_the_dominant_height(halfshade: Run, tmp_path: Path) -> None:
    found = _document(halfshade, _table(tmp_path, SOUND), "--plot-acres", "0.1", "--age", "18")
    again = float(dominant_height_ft(found["site_index_ft"], 18.0, load_tree("loblolly").height))
    assert again == pytest.approx(found["dominant_height_ft"], abs=1e-3)
    # the larger half of five trees: the 10 and the 9 whole and half of the 8
    assert found["dominant_height_ft"] == pytest.approx((55 + 53 + 0.5 * 50) / 2.5)


def test_codes_cap_what_a_stem_is_sold_for(halfshade: Run, tmp_path: Path) -> None:
    text = HEAD + "".join(f"1,loblolly,14,75,{code}\n" for code in ("sawtimber", "chip-and-saw", "pulpwood", "cull"))
    stock = _document(halfshade, _table(tmp_path, text), "--plot-acres", "1")["estimates"]
    each = product_tons(14.0, 75.0, 1.0, 0.0, load_wood("loblolly", natural=False))
    whole = float(each.sum())
    assert stock["sawtimber_ton"]["mean"] == pytest.approx(each[2])
    assert stock["chip_and_saw_ton"]["mean"] == pytest.approx(each[1] + each[1] + each[2])
    assert stock["pulpwood_ton"]["mean"] == pytest.approx(whole + each[0] + each[0])
    assert stock["all_ton"]["mean"] == pytest.approx(3 * whole)


def test_hardwoods_count_but_are_not_sold(halfshade: Run, tmp_path: Path) -> None:
    text = HEAD + "1,loblolly,9,52,\n1,hardwood,12,50,\n"
    found = _document(halfshade, _table(tmp_path, text), "--plot-acres", "0.1")
    oak = next(row for row in found["stand_table"] if row["species"] == "hardwood")
    assert oak["basal_area_ft2_ac"] > 0
    assert sum(oak["ton_ac"].values()) == 0
    assert found["main_species"] == "loblolly"


def test_orchard_trees_count_but_are_not_sold(halfshade: Run, tmp_path: Path) -> None:
    text = HEAD + "1,loblolly,12,60,\n1,pecan,11,50,pole\n"
    found = _document(halfshade, _table(tmp_path, text), "--plot-acres", "0.1")
    nuts = next(row for row in found["stand_table"] if row["species"] == "pecan")
    assert nuts["trees_per_ac"] == pytest.approx(10)
    assert sum(nuts["ton_ac"].values()) == 0


def test_the_site_index_is_told_with_its_species_and_age(halfshade: Run, tmp_path: Path) -> None:
    path, out = _table(tmp_path, SOUND.replace("loblolly", "longleaf")), tmp_path / "out"
    said = halfshade("cruise", path, "--plot-acres", "0.1", "--age", "25", "--out", out).stdout
    found = json.loads((out / "cruise.json").read_text())
    index = found["site_index_ft"]
    assert (found["site_index_species"], found["site_index_base_age_yr"]) == ("longleaf", 50)
    words = f"Site index {index:.0f} ft, longleaf at 50 years: trees.site_index_ft of a scenario."
    assert words in " ".join(said.split())
    assert f'# species = "longleaf"\n# site_index_ft = {index:.1f}\n' in (out / "stand.toml").read_text()


def test_a_curve_is_recovered_and_never_falls() -> None:
    # heights made from a known curve come back; heights that fall with diameter give a flat curve, not a falling one
    dbh = np.linspace(5.0, 12.0, 20)
    curve = fitted_curve(dbh, 4.5 + np.exp(4.3 - 4.6 / (dbh + 1.0)))
    assert (curve.level, curve.steepness) == pytest.approx((4.3, -4.6), abs=1e-4)
    falling = fitted_curve(dbh, 60.0 - dbh)
    assert (np.diff(height_ft(dbh, falling)) >= -1e-9).all()


def test_files_are_written_and_the_stand_block_keeps_trees_and_basal_area(halfshade: Run, tmp_path: Path) -> None:
    out = tmp_path / "out"
    halfshade("cruise", _table(tmp_path, SOUND), "--plot-acres", "0.1", "--age", "18", "--out", out)
    document = json.loads((out / "cruise.json").read_text())
    stand = tomllib.loads((out / "stand.toml").read_text())["stand"]
    assert stand["age"] == 18
    assert sum(row["trees_per_ac"] for row in stand["class"]) == pytest.approx(document["trees_per_ac"], rel=1e-4)
    area = sum(0.005454154 * row["trees_per_ac"] * row["dbh_in"] ** 2 for row in stand["class"])
    assert area == pytest.approx(document["basal_area_ft2_ac"], rel=1e-4)
    with (out / "stand_table.csv").open(newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert {row["species"] for row in rows} == {"loblolly"}


def test_people_read_means_errors_and_cautions(halfshade: Run, tmp_path: Path) -> None:
    said = halfshade("cruise", _table(tmp_path, SOUND), "--plot-acres", "0.1", "--age", "18").stdout
    for part in ("3 plots of 0.1 acre", "Basal area", "Site index", "plots for", "registered forester"):
        assert part in said
    assert "registered forester" in _document(halfshade, _table(tmp_path, SOUND), "--baf", "10")["cautions"][0]


WRONG = {
    "negative": (HEAD + "1,loblolly,-8,50,\n", ":2: dbh_in: must be 0.1 to 48"),
    "text": (HEAD + "1,loblolly,thick,50,\n", ':2: dbh_in: must be a plain number (received "thick")'),
    "comma": (HEAD + '1,loblolly,"8,5",50,\n', ":2: dbh_in: must be a plain number"),
    "unknown species": (HEAD + "1,loblly,8,50,\n", ':2: species: is not a known species (received "loblly")'),
    "unknown code": (HEAD + "1,loblolly,8,50,best\n", ':2: code: is not a known code (received "best")'),
    "no dbh": ("plot,tree,dbh_in,height_ft\n1,7,8,50\n1,8,,\n", ":3: dbh_in: is missing for a tree"),
    "great centimetres": (
        HEAD + "".join(f"1,loblolly,{d},,\n" for d in (49, 55, 60, 66)),
        ":2: dbh_in: looks like centimetres: 4 trees are thicker than 48, here the first",
    ),
    "two of one number": (
        "plot,tree,dbh_in,height_ft\n1,7,8,50\n1,8,9,50\n1,7,9,51\n",
        ":4: tree: stands in line 2 already",
    ),
    "no plot": (HEAD + ",loblolly,8,50,\n", ":2: plot: is missing"),
    "height without dbh": (HEAD + "1,loblolly,,50,\n", ":2: dbh_in: is missing for a tree"),
    "no column": ("plot,diameter\n1,8\n", ":1: dbh_in: column is missing"),
    "no trees": (HEAD + "1,,,,\n", "no plot holds a tree"),
    "centimetres": (HEAD + "".join(f"1,loblolly,{d},50,\n" for d in (19, 20, 21, 22)), "looks like centimetres"),
    "thick centimetres": (HEAD + "".join(f"1,loblolly,{d},,\n" for d in (26, 28, 31)), "looks like centimetres"),
    "only hardwoods": (HEAD + "1,hardwood,8,50,\n", "all trees are hardwoods"),
    "pecans": (HEAD + "1,pecan,12,50,\n1,loblolly,8,50,\n", 'species: has no stem equations here (received "pecan")'),
    "no heights": (HEAD + "1,loblolly,8,,\n", "no tree has a height"),
    "feet and inches": (HEAD + "1,loblolly,2,90,\n", ":2: height_ft: is more than 20 ft"),
}


@pytest.mark.parametrize("case", WRONG)
def test_what_is_wrong_is_named_with_its_line(halfshade: Run, tmp_path: Path, case: str) -> None:
    text, message = WRONG[case]
    path, out = _table(tmp_path, text), tmp_path / "out"
    result = halfshade("cruise", path, "--plot-acres", "0.1", "--out", out)
    assert result.returncode == 2
    assert message in result.stderr
    assert not out.exists()


def test_thick_trees_are_believed_on_request(halfshade: Run, tmp_path: Path) -> None:
    path = _table(
        tmp_path, HEAD + "".join(f"1,longleaf,{d},80,\n" for d in (26, 28, 31)).replace("longleaf", "loblolly")
    )
    assert _document(halfshade, path, "--plot-acres", "0.1", "--large-trees")["quadratic_mean_dbh_in"] > 26


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ((), "exactly one is needed"),
        (("--plot-acres", "0.1", "--baf", "10"), "exactly one is needed"),
        (("--plot-acres", "0"), "--plot-acres: must be 0.001 to 10"),
        (("--baf", "nan"), "--baf: must be 1 to 100"),
        (("--baf", "10", "--confidence", "95"), "--confidence: must be 0.5 to 0.999"),
        (("--baf", "10", "--species", "oak"), "--species: is not a known species"),
    ],
)
def test_options_out_of_range_are_named(halfshade: Run, tmp_path: Path, options: tuple[str, ...], message: str) -> None:
    result = halfshade("cruise", _table(tmp_path, SOUND), *options)
    assert result.returncode == 2
    assert message in result.stderr


def test_heights_can_come_from_age_and_site_index(halfshade: Run, tmp_path: Path) -> None:
    path = _table(tmp_path, HEAD + "1,loblolly,8,,\n1,loblolly,9,,\n")
    found = _document(halfshade, path, "--plot-acres", "0.1", "--age", "18", "--site-index", "68")
    heights = [row["mean_height_ft"] for row in found["stand_table"]]
    dominant = float(dominant_height_ft(68.0, 18.0, load_tree("loblolly").height))
    assert 0.85 * dominant < min(heights) < max(heights) < 1.1 * dominant
