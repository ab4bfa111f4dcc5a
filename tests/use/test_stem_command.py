"""`halfshade stem` as a person uses it."""

import json
import subprocess
import sys

import pytest

from simulator.enterprises.products import PRODUCTS, product_tons
from simulator.parameters.wood import load_wood


def halfshade_stem(*words: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "workbench", "stem", *words]
    return subprocess.run(command, capture_output=True, text=True, check=False, encoding="utf-8")


def test_json_document() -> None:
    done = halfshade_stem("--species", "loblolly", "--dbh", "14", "--height", "75", "--json")
    assert (done.returncode, done.stderr) == (0, "")
    tree = json.loads(done.stdout)
    assert list(tree)[:6] == [
        "volume_inside_bark_ft3",
        "volume_outside_bark_ft3",
        "green_ton",
        "pieces",
        "board_feet",
        "pole",
    ]
    assert tree["volume_inside_bark_ft3"] < tree["volume_outside_bark_ft3"]
    assert [list(piece) for piece in tree["pieces"]] == [["product", "from_ft", "to_ft", "green_ton"]] * 2
    assert list(tree["board_feet"]) == ["doyle", "scribner", "international_quarter_inch"]
    assert tree["board_feet"]["doyle"] < tree["board_feet"]["international_quarter_inch"]
    assert list(tree["pole"]) == ["length_ft", "class"]
    listed = dict.fromkeys(PRODUCTS, 0.0) | {piece["product"]: piece["green_ton"] for piece in tree["pieces"]}
    tons = product_tons(14.0, 75.0, 1.0, 0.0, load_wood("loblolly", natural=False))
    assert list(listed.values()) == pytest.approx(tons.tolist())


def test_small_tree_has_no_pole_and_no_board_feet() -> None:
    tree = json.loads(halfshade_stem("--dbh", "8", "--height", "50", "--json").stdout)
    assert tree["pole"] is None
    assert set(tree["board_feet"].values()) == {0.0}
    assert [piece["product"] for piece in tree["pieces"]] == ["pulpwood"]


def test_table_for_people() -> None:
    done = halfshade_stem("--dbh", "12", "--height", "70")
    assert done.returncode == 0
    for words in ("loblolly, planted, 12 in by 70 ft", "sawtimber", "pulpwood", "Doyle", "50 ft, class 7", "ANSI O5.1"):
        assert words in done.stdout
    assert "current edition governs" in done.stdout


def test_natural_tree_differs() -> None:
    planted, natural = (
        json.loads(halfshade_stem("--dbh", "14", "--height", "75", "--json", *words).stdout)
        for words in ((), ("--natural",))
    )
    assert natural["volume_inside_bark_ft3"] > planted["volume_inside_bark_ft3"]


def test_tree_too_small_to_sell() -> None:
    done = halfshade_stem("--dbh", "3", "--height", "20")
    assert done.returncode == 0
    assert "too small to sell" in done.stdout


@pytest.mark.parametrize(
    ("words", "warned"),
    [
        (("--dbh", "28", "--height", "110"), "28 in lies outside"),
        (("--dbh", "8", "--height", "80"), "10.0 ft of height"),
    ],
)
def test_warns_outside_the_range_of_the_equations(words: tuple[str, ...], warned: str) -> None:
    done = halfshade_stem(*words, "--json")
    assert done.returncode == 0
    assert warned in done.stderr
    assert json.loads(done.stdout)["green_ton"] > 0.0


@pytest.mark.parametrize(
    ("words", "named"),
    [
        (("--dbh", "0", "--height", "70"), ["--dbh", "received 0"]),
        (("--dbh", "nan", "--height", "inf"), ["--dbh", "received nan", "--height", "received inf"]),
        (("--dbh", "-3", "--height", "4"), ["--dbh", "--height"]),
        (("--dbh", "12", "--height", "70", "--species", "oak"), ["'oak'", "loblolly"]),
        (("--dbh", "12", "--height", "70", "--species", "../animals/cattle"), ["species", "loblolly"]),
        (("--dbh", "12"), ["--height"]),
        (("--dbh", "wide", "--height", "70"), ["--dbh", "wide"]),
    ],
)
def test_bad_input_is_named_and_ends_in_two(words: tuple[str, ...], named: list[str]) -> None:
    done = halfshade_stem(*words)
    assert (done.returncode, done.stdout) == (2, "")
    assert "Traceback" not in done.stderr
    for word in named:
        assert word in done.stderr
