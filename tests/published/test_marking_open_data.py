"""Marking a real forest: 584 longleaf pines on four hectares of open data, mapped before any saw was near them.

Source: pattern ``longleaf`` of the R package spatstat.data (Debian: r-cran-spatstat.data), from Platt, Evans & Rathbun
1988, The American Naturalist 131:491-525: places in metres, diameters in centimetres, the smallest 2.
The data say nothing of heights or faults: heights here come from a curve made up for this test, which only light and
products read, and no tree has a code.
"""

import csv
import io
import json
import math
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple, NoReturn

import numpy as np
import pytest
from scipy.spatial import cKDTree

import workbench
from recording import agree
from simulator.units import BASAL_AREA_FT2_PER_IN2, FloatArray

FEET_PER_METRE, CM_PER_INCH = 1.0 / 0.3048, 2.54
SIDE_FT = 200.0 * FEET_PER_METRE
PROGRAM = (
    'data(longleaf, package = "spatstat.data")\n'
    "stopifnot(longleaf$window$units$plural == 'metres')\n"
    "write.csv(data.frame(x = longleaf$x, y = longleaf$y, cm = longleaf$marks), row.names = FALSE)"
)
MISSING = "there is no Rscript with the package spatstat.data here: apt-get install r-base-core r-cran-spatstat.data"
MAP = "Open map of 584 longleaf pines of the R package spatstat.data, reckoned a second time in the test"
CROWDS = re.compile(r"crowds tree (\d+), \d+ ft off, and is the smaller")
FREE = "smallest of those that stand free"


class Forest(NamedTuple):
    """Places [m] and diameters [cm] as published."""

    x: FloatArray
    y: FloatArray
    cm: FloatArray


@pytest.fixture(scope="module")
def forest(absent: Callable[[str], NoReturn]) -> Forest:
    rscript = shutil.which("Rscript")
    if rscript is None:
        absent(MISSING)
    done = subprocess.run([rscript, "-e", PROGRAM], capture_output=True, encoding="utf-8", timeout=120, check=False)
    if done.returncode != 0:
        absent(MISSING)
    rows = list(csv.DictReader(io.StringIO(done.stdout)))
    return Forest(*(np.array([float(row[name]) for row in rows]) for name in ("x", "y", "cm")))


def table(forest: Forest, path: Path, unit: float) -> Path:
    """The stem map as a forester would hand it in, every tenth height with it; ``unit`` is what an inch counts."""
    lines = ["tree,x_ft,y_ft,dbh_in,height_ft"]
    for i, (x, y, cm) in enumerate(zip(*forest, strict=True), start=1):
        height = 4.5 + math.exp(4.5 - 6.0 / (cm / CM_PER_INCH + 1.0))
        place = f"{x * FEET_PER_METRE:.2f},{y * FEET_PER_METRE:.2f}"
        lines.append(f"{i},{place},{cm / unit:.3f},{f'{height:.0f}' if i % 10 == 0 else ''}")
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def halfshade(*arguments: str | Path) -> "subprocess.CompletedProcess[str]":
    packages = str(Path(workbench.__file__).parents[1])
    return subprocess.run(
        [sys.executable, "-m", "workbench", "mark", *map(str, arguments), "--species", "longleaf", "--natural"],
        env={**os.environ, "PYTHONPATH": packages, "PYTHONUTF8": "1"},
        capture_output=True,
        encoding="utf-8",
        timeout=300,
        check=False,
    )


@pytest.fixture(scope="module")
def marked(forest: Forest, tmp_path_factory: pytest.TempPathFactory) -> Callable[..., dict[str, Any]]:
    """Mark the forest to a residual and return the document."""
    path = table(forest, tmp_path_factory.mktemp("longleaf") / "longleaf.csv", CM_PER_INCH)

    def document(*residual: str) -> dict[str, Any]:
        done = halfshade(path, *residual, "--age", "80", "--json")
        assert done.returncode == 0, done.stderr
        return dict(json.loads(done.stdout))

    return document


def kept(document: dict[str, Any], forest: Forest) -> FloatArray:
    """Places in the pattern of the trees that stay."""
    taken = [int(tree["tree"]) - 1 for tree in document["take"]]
    return np.delete(np.arange(len(forest.x)), taken)


def evenness(forest: Forest, trees: FloatArray) -> float:
    """Clark & Evans 1954, Ecology 35:445, on the square plot, which is taken to repeat; the second way, from scipy."""
    places = np.mod(np.column_stack([forest.x, forest.y])[trees], 200.0)
    distances, _ = cKDTree(places, boxsize=200.0).query(places, k=2)
    return float(distances[:, 1].mean() / (0.5 / math.sqrt(len(trees) / 200.0**2)))


def test_the_pattern_is_the_one_that_was_published(forest: Forest) -> None:
    # 584 trees on 200 by 200 m, unevenly spread: the data's own documentation
    agree("trees on the map", len(forest.x), 584, MAP)
    assert forest.cm.min() == 2.0
    assert 0.0 <= min(forest.x.min(), forest.y.min()) <= max(forest.x.max(), forest.y.max()) <= 200.0
    assert evenness(forest, np.arange(584)) < 0.9


def test_the_stand_before_the_cut_is_the_measured_one(marked: Callable[..., dict[str, Any]], forest: Forest) -> None:
    before, acres = marked("--leave-trees", "25")["before"], marked("--leave-trees", "25")["acres"]
    inches = forest.cm / CM_PER_INCH
    agree("quadratic mean dbh [in]", before["quadratic_mean_dbh_in"], math.sqrt(np.mean(inches**2)), MAP, share=1e-4)
    area = BASAL_AREA_FT2_PER_IN2 * float((inches**2).sum())
    agree("basal area of the plot [ft2]", before["basal_area_ft2_ac"] * acres, area, MAP, share=1e-4)
    # the map is taken to end half a spacing beyond its outermost trees: a little more than the plot of 9.88 acres
    assert SIDE_FT**2 / 43_560.0 < acres < 1.1 * SIDE_FT**2 / 43_560.0


@pytest.mark.parametrize("leave", [12, 25])
def test_leave_trees_stand_more_evenly_than_before_than_at_random_and_than_blindly_thinned(
    marked: Callable[..., dict[str, Any]], forest: Forest, leave: int
) -> None:
    document = marked("--leave-trees", str(leave))
    stay = kept(document, forest)
    assert len(stay) == round(leave * document["acres"])
    found = evenness(forest, stay)
    assert found > 1.05, "more even than random"
    rng = np.random.default_rng(1988)
    blind = [evenness(forest, rng.choice(584, len(stay), replace=False)) for _ in range(50)]
    assert found > max(blind) + 0.1
    agree("Clark and Evans index of the trees left", document["after"]["clark_evans_index"], found, MAP, within=0.05)


def test_of_two_that_crowd_the_smaller_goes(marked: Callable[..., dict[str, Any]], forest: Forest) -> None:
    gone: set[int] = set()
    pairs = 0
    for tree in marked("--leave-trees", "12")["take"]:
        number = int(tree["tree"])
        if (found := CROWDS.fullmatch(tree["reason"])) is not None:
            pairs += 1
            assert int(found[1]) not in gone, "the better of the two still stands"
            assert forest.cm[number - 1] <= forest.cm[int(found[1]) - 1]
        gone.add(number)
    assert pairs > 300


def test_where_none_crowds_the_smallest_go_first(marked: Callable[..., dict[str, Any]], forest: Forest) -> None:
    document = marked("--leave-trees", "5")
    free = [int(tree["tree"]) - 1 for tree in document["take"] if tree["reason"] == FREE]
    assert len(free) > 10
    assert sorted(forest.cm[free]) == forest.cm[free].tolist()
    assert forest.cm[kept(document, forest)].min() >= forest.cm[free].max()
    assert document["after"]["quadratic_mean_dbh_in"] > document["before"]["quadratic_mean_dbh_in"]


def test_no_quality_is_invented(marked: Callable[..., dict[str, Any]]) -> None:
    taken = marked("--leave-basal-area", "20")["take"]
    assert {tree["code"] for tree in taken} == {""}
    assert all(tree["reason"] == FREE or CROWDS.fullmatch(tree["reason"]) for tree in taken)
    assert "pole" not in {tree["product"] for tree in taken}, "nobody has said of any stem that it makes a pole"


def test_residual_basal_area_and_light_are_met(marked: Callable[..., dict[str, Any]]) -> None:
    by_area, by_light = marked("--leave-basal-area", "30"), marked("--light", "0.85")
    assert 28.0 < by_area["after"]["basal_area_ft2_ac"] <= 30.0
    assert 0.85 <= by_light["after"]["light"]["mean"] < 0.86
    assert by_light["after"]["light"]["unevenness"] < by_light["before"]["light"]["unevenness"]


def test_the_same_table_in_centimetres_is_refused(forest: Forest, tmp_path: Path) -> None:
    out = tmp_path / "out"
    done = halfshade(table(forest, tmp_path / "cm.csv", 1.0), "--leave-trees", "25", "--out", out)
    assert done.returncode == 2
    assert re.search(r"cm\.csv:\d+: dbh_in: looks like centimetres: \d+ trees are thicker than 48", done.stderr)
    assert len(done.stderr.splitlines()) == 1
    assert not out.exists()
