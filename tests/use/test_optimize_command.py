"""``halfshade optimize``: the best plan of a field, as a person and as another program uses it."""

import json
import subprocess
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pandas as pd
import pytest

from running import run_halfshade
from workbench.examples import example_text

Halfshade = Callable[..., "subprocess.CompletedProcess[str]"]
GRID = """
[search]
most_thinnings = 1
first_thinning_years = [15, 18]
first_residuals_trees_per_ac = [100, 130]
harvest_years = [30, 35]
hay_until_years = [3]
first_grazing_years = [5, 7]
pasture_nitrogen_lb_ac = [80]
[baseline.plantation.search]
most_thinnings = 1
first_thinning_years = [15]
first_residuals_trees_per_ac = [250]
harvest_years = [28, 33]
"""


class Searched(NamedTuple):
    """The example with a small grid, searched: what was said, and the folder of its files."""

    done: "subprocess.CompletedProcess[str]"
    folder: Path


@pytest.fixture(scope="module")
def field(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The example with a small grid."""
    path = tmp_path_factory.mktemp("search") / "field.toml"
    path.write_text(example_text() + GRID, encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def searched(field: Path) -> Searched:
    """Searched with files, for every test that only looks."""
    return Searched(run_halfshade(field.parent, "optimize", field, "--out", "best"), field.parent / "best")


@pytest.fixture(scope="module")
def answered(field: Path) -> "subprocess.CompletedProcess[str]":
    """Searched for another program, by one process."""
    return run_halfshade(field.parent, "optimize", field, "--json", "--maximize", "npv", "--workers", "1")


def test_terminal_answers_first_and_says_how_sure_it_is(searched: Searched) -> None:
    done = searched.done
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("Most by land expectation value: ")
    for words in (
        "Each at its own best",
        "best against best",
        "The next best",
        "How flat the optimum is",
        "What each decision is worth",
        "Years of the best plan",
        "What was tried",
        "no other plan of the grid is better",
        "exact light at",
        "registered forester",
        "not financial, tax or legal advice",
    ):
        assert words in done.stdout, words


def test_json_holds_what_other_programs_rely_on(answered: "subprocess.CompletedProcess[str]") -> None:
    assert answered.returncode == 0, answered.stderr
    document = json.loads(answered.stdout, parse_constant=pytest.fail)
    assert document["objective"] == "npv"
    assert document["proven_gap"] == pytest.approx(0.0, abs=1e-3)
    assert document["pathways_considered"] > document["tree_pathways"] > 0
    assert set(document["best"]) >= {"thinnings", "first_grazing_year", "harvest_year"}
    assert len(document["runners_up"]) == 10
    best = document["comparison"]["systems"]["silvopasture"]
    assert document["value"] == pytest.approx(best["npv_per_ac"], abs=0.005)
    for name in ("plantation", "pasture"):
        assert document["value"] >= document["baselines"][name]["value"]
        alone = document["comparison"]["systems"][name]["npv_per_ac"]
        assert document["baselines"][name]["value"] == pytest.approx(alone, abs=0.005)


def test_the_plan_written_runs_to_the_same_cent(halfshade: Halfshade, searched: Searched, tmp_path: Path) -> None:
    folder = searched.folder
    assert {path.name for path in folder.iterdir()} >= {
        "best.toml", "ledger.csv", "years.csv", "ranking.csv", "optimize.json",
        "first_thinning.png", "first_thinning.svg", "grazing_start.png", "timeline.png", "timeline.svg",
    }  # fmt: skip
    document = json.loads((folder / "optimize.json").read_text(encoding="utf-8"))
    again = halfshade("run", folder / "best.toml", "--json", "--out", "again")
    assert again.returncode == 0, again.stderr
    assert json.loads(again.stdout)["land_expectation_per_ac"] == pytest.approx(document["value"], abs=0.005)
    pd.testing.assert_frame_equal(pd.read_csv(folder / "ledger.csv"), pd.read_csv(tmp_path / "again" / "ledger.csv"))
    compared = json.loads(halfshade("compare", folder / "best.toml", "--json").stdout)["systems"]
    for name in ("plantation", "pasture"):
        assert compared[name]["land_expectation_per_ac"] == pytest.approx(
            document["baselines"][name]["value"], abs=0.005
        )
    assert tomllib.loads((folder / "best.toml").read_text(encoding="utf-8"))["title"] == "North field"


def test_the_same_bytes_from_one_worker_and_two(
    halfshade: Halfshade, field: Path, answered: "subprocess.CompletedProcess[str]"
) -> None:
    two = halfshade("optimize", field, "--json", "--maximize", "npv", "--workers", "2")
    assert two.returncode == 0
    assert answered.stdout == two.stdout


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ("harvest_years = []", "must be a list of 1 to 12 in square brackets, such as [14, 16]"),
        ("first_residuals_trees_per_ac = [-5]", "search.first_residuals_trees_per_ac"),
        ("most_thinnings = 4", "search.most_thinnings"),
        ('thinning_methods = ["with care"]', "search.thinning_methods"),
        ("first_thining_years = [15]", "first_thinning_years"),
    ],
)
def test_a_wrong_grid_is_refused_with_its_line(halfshade: Halfshade, tmp_path: Path, wrong: str, words: str) -> None:
    path = tmp_path / "field.toml"
    path.write_text(f"{example_text()}\n[search]\n{wrong}\n", encoding="utf-8")
    done = halfshade("optimize", path, "--out", "best")
    assert done.returncode == 2
    line = len(path.read_text(encoding="utf-8").splitlines())
    assert f"field.toml:{line}" in done.stderr
    assert words in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""


def test_what_has_no_best_plan_is_refused_with_the_reason(halfshade: Halfshade, tmp_path: Path) -> None:
    let_go = tmp_path / "field.toml"
    let_go.write_text(f"{example_text()}\n[neglect]\nfrom_year = 12\n", encoding="utf-8")
    done = halfshade("optimize", let_go)
    assert done.returncode == 2
    assert "neglect" in done.stderr
    assert halfshade("optimize", "--maximize", "beauty").returncode == 2
    assert halfshade("optimize", "--workers", "0").returncode == 2


def test_animals_that_never_graze_say_so(halfshade: Halfshade, tmp_path: Path) -> None:
    path = tmp_path / "field.toml"
    path.write_text(example_text().replace("first_grazing_year = 4 ", "never_grazed = true "), encoding="utf-8")
    assert halfshade("run", path).returncode == 0
    path.write_text(example_text().replace("lease_basis", "never_grazed = true\nlease_basis"), encoding="utf-8")
    done = halfshade("run", path)
    assert done.returncode == 2
    assert "never_grazed = true" in done.stderr
