"""``halfshade run``: one plan by itself, as a person and as another program uses it."""

import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest
from click.testing import CliRunner

from plans import compared
from workbench.commands.compare import compare
from workbench.commands.run import run
from workbench.examples import Choices, example_text, scenario_text

Halfshade = Callable[..., "subprocess.CompletedProcess[str]"]


def test_terminal_shows_the_plan_its_measures_and_its_years(halfshade: Halfshade) -> None:
    done = halfshade("run")
    assert done.returncode == 0
    for words in (
        "North field: 40 acres",
        "Equal annual income",
        "The plan",
        "thin in year 16 from below",
        "Years",
        "Cautions",
    ):
        assert words in done.stdout
    assert "trees alone" not in done.stdout
    assert "no FILE named" in done.stderr


def test_json_is_the_plans_part_of_the_comparison(halfshade: Halfshade) -> None:
    done = halfshade("run", "--json")
    assert done.returncode == 0
    document = json.loads(done.stdout, parse_constant=pytest.fail)
    measures = compared().systems["silvopasture"].measures
    assert document["npv_per_ac"] == pytest.approx(measures.npv)
    assert document["equal_annual_income_per_ac"] == pytest.approx(measures.equal_annual_income)
    assert len(document["years"]) == 41
    assert document["schedule"]["harvest"] == {"year": 35}


def test_out_writes_ledger_years_and_result_and_leaves_others_alone(halfshade: Halfshade, tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "notes.txt").write_text("mine", encoding="utf-8")
    (tmp_path / "out" / "run.json").write_text("old", encoding="utf-8")
    done = halfshade("run", "--out", "out")
    assert done.returncode == 0
    names = {path.name for path in (tmp_path / "out").iterdir()}
    assert names == {"ledger.csv", "years.csv", "logs.csv", "sales.csv", "run.json", "made-with.json", "notes.txt"}
    document = json.loads((tmp_path / "out" / "run.json").read_text(encoding="utf-8"))
    ledger = pd.read_csv(tmp_path / "out" / "ledger.csv")
    worth = (ledger["amount"] / 1.05 ** ledger["year"]).sum()
    assert worth == pytest.approx(document["npv_per_ac"], abs=0.01)
    assert len(pd.read_csv(tmp_path / "out" / "years.csv")) == 41


@pytest.mark.parametrize("layout", ["single", "double", "triple", "block"])
@pytest.mark.parametrize("animals", ["none", "cattle", "stockers", "sheep", "goats"])
def test_every_scenario_that_init_writes_runs(tmp_path: Path, layout: str, animals: str) -> None:
    mine = tmp_path / "mine.toml"
    mine.write_text(scenario_text(Choices(layout=layout, animals=animals)), encoding="utf-8")
    done = CliRunner().invoke(run, [str(mine), "--json"])
    assert (done.exit_code, done.stderr) == (0, "")
    document = json.loads(done.stdout)
    assert max(sum(row["wood_ton_ac"].values()) for row in document["years"]) > 40.0


def test_out_with_json_prints_the_document_alone(halfshade: Halfshade, tmp_path: Path) -> None:
    done = halfshade("run", "--json", "--out", "new/place")
    assert done.returncode == 0
    assert json.loads(done.stdout) == json.loads((tmp_path / "new/place/run.json").read_text(encoding="utf-8"))


def test_a_wrong_scenario_ends_in_two_and_leaves_the_folder_untouched(halfshade: Halfshade, tmp_path: Path) -> None:
    (tmp_path / "bad.toml").write_text(example_text().replace("acres = 40", "acres = -4"), encoding="utf-8")
    done = halfshade("run", "bad.toml", "--out", "out")
    assert (done.returncode, done.stdout) == (2, "")
    assert "land.acres" in done.stderr
    assert "-4" in done.stderr
    assert not (tmp_path / "out").exists()
    (tmp_path / "file").write_text("mine", encoding="utf-8")
    done = halfshade("run", "--out", "file")
    assert (done.returncode, done.stdout) == (2, "")
    assert (tmp_path / "file").read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize("years", [1, 100])
def test_a_horizon_of_one_year_and_of_a_hundred_is_shown_whole(tmp_path: Path, years: int) -> None:
    mine = tmp_path / "mine.toml"
    mine.write_text(example_text().replace("horizon_years = 40", f"horizon_years = {years}"), encoding="utf-8")
    as_json, shown, beside = (
        CliRunner().invoke(*call)  # type: ignore[arg-type]
        for call in ((run, [str(mine), "--json"]), (run, [str(mine)]), (compare, [str(mine)]))
    )
    assert (as_json.exit_code, shown.exit_code, beside.exit_code) == (0, 0, 0)
    assert len(json.loads(as_json.stdout)["years"]) == years + 1
    assert f"End value in year {years}:" in shown.stdout
