"""``halfshade compare`` as a person and as another program uses it."""

import json
import os
import struct
import subprocess
import sys
import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from click.testing import CliRunner

import simulator.band
import workbench
from plans import compared, example
from workbench.commands.compare import compare
from workbench.documents import comparison_document
from workbench.examples import example_text

Halfshade = Callable[..., "subprocess.CompletedProcess[str]"]
SYSTEMS = {"silvopasture", "plantation", "pasture"}
FIGURES = ("income", "light_and_forage", "stand", "cross_section")
OURS = {
    "ledger.csv",
    "years.csv",
    "comparison.json",
    "made-with.json",
    *(f"{name}.{kind}" for name in FIGURES for kind in ("png", "svg")),
}
# the keys that other programs may rely on; more may be added, none renamed
TOP_KEYS = {
    "discount_rate",
    "currency_year",
    "area_ac",
    "program_version",
    "findings",
    "cautions",
    "horizon_years",
    "systems",
    "land_equivalent_ratio",
    "warnings",
}
SYSTEM_KEYS = {
    "name",
    "end_value_per_ac",
    "npv_per_ac",
    "irr",
    "irr_all",
    "land_expectation_per_ac",
    "equal_annual_income_per_ac",
    "benefit_cost",
    "payback_year",
    "deepest_cash_per_ac",
    "income_by_enterprise_per_ac",
    "years",
}
YEAR_KEYS = {
    "year",
    "trees_per_ac",
    "quadratic_mean_dbh_in",
    "dominant_height_ft",
    "basal_area_ft2_ac",
    "light_warm",
    "light_cool",
    "canopy_cover",
    "forage_lb_ac",
    "hay_ton_ac",
    "forage_eaten_lb_ac",
    "browse_eaten_lb_ac",
    "trees_lost_to_use_per_ac",
    "trees_lost_early_per_ac",
    "animal_unit_months_ac",
    "straw_bales_ac",
    "nuts_lb_ac",
    "wood_ton_ac",
    "standing_ton_ac",
    "cash_per_ac",
}
SMALLEST_PICTURE_BYTES = 5000


def test_terminal_shows_three_systems_side_by_side(halfshade: Halfshade) -> None:
    done = halfshade("compare")
    assert done.returncode == 0
    for heading in ("both together", "trees alone", "grass alone"):
        assert heading in done.stdout
    for words in (
        "Equal annual income",
        "Land expectation",
        "Land equivalent ratio",
        "Findings",
        "Warnings",
        "Cautions",
    ):
        assert words in done.stdout
    income = compared().systems["silvopasture"].measures.equal_annual_income
    line = next(line for line in done.stdout.splitlines() if "Equal annual income" in line)
    assert int(line.split()[-3]) == round(income)
    assert "invented" in done.stdout  # prices are no survey, and every result says so
    assert "not an appraisal" in done.stdout
    assert "no FILE named" in done.stderr
    assert "Present value of tax and administration" in done.stdout
    assert "Present value of land" not in done.stdout
    assert "summer" in done.stdout
    assert "nan" not in done.stdout.lower().split()


def test_json_is_one_document_with_every_promised_key(halfshade: Halfshade) -> None:
    done = halfshade("compare", "--json")
    assert done.returncode == 0
    document = json.loads(done.stdout, parse_constant=pytest.fail)
    assert set(document) >= TOP_KEYS
    assert set(document["systems"]) == SYSTEMS
    names = [system["name"] for system in document["systems"].values()]
    assert names == ["both together", "trees alone", "grass alone"]
    assert document["findings"][0].startswith("On this land")
    assert "not an appraisal" in document["cautions"][0]
    assert set(document["land_equivalent_ratio"]) >= {"wood", "forage", "total"}
    assert all(set(warning) >= {"code", "message"} for warning in document["warnings"])
    for system in document["systems"].values():
        assert set(system) >= SYSTEM_KEYS
        assert len(system["years"]) == document["horizon_years"] + 1
        for row in system["years"]:
            assert set(row) >= YEAR_KEYS
            assert set(row["wood_ton_ac"]) == {"pulpwood", "chip_and_saw", "sawtimber", "pole"}
        assert "end_value_per_ac" in system["years"][-1]
    assert (document["discount_rate"], document["currency_year"]) == (0.05, 2025)
    assert (document["area_ac"], document["horizon_years"]) == (40.0, 40)
    assert same_numbers(document, comparison_document(compared()))


def same_numbers(one: Any, other: Any) -> bool:  # noqa: ANN401 - any JSON value
    if isinstance(one, dict):
        return set(one) == set(other) and all(same_numbers(one[key], other[key]) for key in one)
    if isinstance(one, list):
        return len(one) == len(other) and all(map(same_numbers, one, other))
    if isinstance(one, float):
        return bool(one == pytest.approx(other, rel=1e-9, abs=1e-9))
    return bool(one == other)


def test_the_same_scenario_gives_the_same_bytes_whatever_the_hash_seed(halfshade: Halfshade) -> None:
    first, second = (halfshade("compare", "--json", environment={"PYTHONHASHSEED": seed}) for seed in ("1", "2"))
    assert first.stdout == second.stdout


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a person's own file and an old ledger, after two runs into it."""
    folder = tmp_path_factory.mktemp("field") / "out"
    folder.mkdir()
    (folder / "notes.txt").write_text("mine", encoding="utf-8")
    (folder / "ledger.csv").write_text("old", encoding="utf-8")
    variables = {**os.environ, "PYTHONPATH": str(Path(workbench.__file__).parents[1])}
    command = [sys.executable, "-m", "workbench", "compare", "--out", str(folder)]
    done = subprocess.run(command, env=variables, capture_output=True, encoding="utf-8", timeout=120, check=False)
    assert done.returncode == 0, done.stderr
    assert "both together" in done.stdout
    assert done.stderr.count("wrote ") == len(OURS)
    return folder


def test_out_writes_its_files_and_leaves_others_alone(written: Path) -> None:
    assert {path.name for path in written.iterdir()} == OURS | {"notes.txt"}
    assert (written / "notes.txt").read_text(encoding="utf-8") == "mine"
    assert (written / "ledger.csv").read_text(encoding="utf-8") != "old"


def test_the_written_ledger_and_years_are_those_of_the_document(written: Path) -> None:
    document = json.loads((written / "comparison.json").read_text(encoding="utf-8"))
    ledger, years = (pd.read_csv(written / name) for name in ("ledger.csv", "years.csv"))
    columns = ["scenario", "year", "account", "enterprise", "item", "quantity", "unit", "price", "amount"]
    assert list(ledger.columns) == columns
    assert set(ledger["scenario"]) == set(years["scenario"]) == SYSTEMS
    for name, system in document["systems"].items():
        mine = ledger[ledger["scenario"] == name]
        worth = (mine["amount"] / 1.05 ** mine["year"]).sum()
        assert worth == pytest.approx(system["npv_per_ac"], abs=0.01)
        table = years[years["scenario"] == name].set_index("year")
        assert len(table) == document["horizon_years"] + 1
        for row in system["years"]:
            assert table.loc[row["year"], "cash_per_ac"] == pytest.approx(row["cash_per_ac"], rel=1e-4, abs=1e-3)
            sold = sum(row["wood_ton_ac"].values())
            cells = [f"wood_{product}_ton_ac" for product in row["wood_ton_ac"]]
            assert table.loc[row["year"], cells].sum() == pytest.approx(sold, rel=1e-4, abs=1e-4)


@pytest.mark.parametrize("name", FIGURES)
def test_each_figure_is_a_picture_twice(written: Path, name: str) -> None:
    png = (written / f"{name}.png").read_bytes()
    assert png.startswith(b"\x89PNG\r\n\x1a\n")
    width, height = struct.unpack(">II", png[16:24])
    assert min(width, height) > 300
    assert len(png) > SMALLEST_PICTURE_BYTES
    root = ET.fromstring((written / f"{name}.svg").read_text(encoding="utf-8"))  # noqa: S314 - our own file
    assert root.tag.endswith("svg")


# Wrong input ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (("survival = 0.90", "survival = 1.90"), "trees.survival"),
        (('species = "loblolly"', 'species = "lobloly"'), "trees.species"),
        (("horizon_years = 40", "horizon_years = forty"), "forty"),
    ],
)
def test_a_wrong_scenario_ends_in_two_and_writes_nothing(
    halfshade: Halfshade, tmp_path: Path, wrong: tuple[str, str], said: str
) -> None:
    text = example_text()
    assert wrong[0] in text
    (tmp_path / "bad.toml").write_text(text.replace(*wrong), encoding="utf-8")
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "notes.txt").write_text("mine", encoding="utf-8")
    done = halfshade("compare", "bad.toml", "--json", "--out", "out")
    assert (done.returncode, done.stdout) == (2, "")
    assert said in done.stderr
    assert "bad.toml" in done.stderr
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["notes.txt"]


def test_out_that_is_a_file_ends_in_two_before_anything_is_run(halfshade: Halfshade, tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("mine", encoding="utf-8")
    done = halfshade("compare", "--out", "taken")
    assert (done.returncode, done.stdout) == (2, "")
    assert "is a file, not a folder" in done.stderr
    assert (tmp_path / "taken").read_text(encoding="utf-8") == "mine"


def test_a_scenario_that_is_not_there_ends_in_two(halfshade: Halfshade) -> None:
    done = halfshade("compare", "nowhere.toml")
    assert (done.returncode, done.stdout) == (2, "")
    assert "nowhere.toml" in done.stderr


def test_overrides_of_the_single_uses_are_followed(tmp_path: Path, halfshade: Halfshade) -> None:
    own = "\n[baseline.plantation.harvest]\nyear = 28\n[baseline.pasture.pasture]\nnitrogen_lb_ac = 0\n"
    (tmp_path / "own.toml").write_text(example_text() + own, encoding="utf-8")
    document = json.loads(halfshade("compare", "own.toml", "--json").stdout)
    assert document["systems"]["plantation"]["cycle_years"] == 28
    grown = document["systems"]["pasture"]["years"][10]["forage_lb_ac"]
    # without nitrogen: 3,593 lb on clipped plots (state extension table, second-hand) at the farm's .79
    assert grown == pytest.approx(0.79 * 3593.0, rel=1e-3)


# The band -------------------------------------------------------------------------------------------------------


@pytest.fixture
def few_ranges(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Only two numbers besides the prices, because all of them take half a minute."""
    every = simulator.band.ranges_of
    kept = ["practice.ground.fence_life_yr", "quality.sawtimber_grade_share"]

    def few(*arguments: Any) -> list[Any]:  # noqa: ANN401 - whatever the real one takes
        return [found for found in every(*arguments) if ".".join(found.path) in kept]

    monkeypatch.setattr(simulator.band, "ranges_of", few)
    return kept


def test_the_band_holds_the_income_and_names_what_moves_it(few_ranges: list[str]) -> None:
    told: list[tuple[int, int]] = []
    band = simulator.band.income_band(example(), progress=lambda done, of: told.append((done, of)))
    assert told == [(1, 2), (2, 2)]
    names = [swing.name for swing in band.swings]
    assert set(few_ranges) <= set(names)
    assert {"sawtimber", "grazing_lease", "hay"} <= set(names)
    widths = [swing.width("silvopasture") for swing in band.swings]
    assert widths == sorted(widths, reverse=True)
    for name, income in band.income.items():
        low, high = band.limits(name)
        assert low < income < high
        # each single swing lies inside the band that adds them up
        for swing in band.swings:
            assert low - 1e-9 <= min(swing.at_low[name], swing.at_high[name])
            assert high + 1e-9 >= max(swing.at_low[name], swing.at_high[name])
    grade = next(swing for swing in band.swings if swing.name == "quality.sawtimber_grade_share")
    assert grade.at_high["plantation"] > band.income["plantation"] > grade.at_low["plantation"]
    assert grade.at_high["pasture"] == pytest.approx(grade.at_low["pasture"])


@pytest.mark.usefixtures("few_ranges")
def test_band_is_printed_and_part_of_the_document() -> None:
    shown, as_json = (CliRunner().invoke(compare, ["--band", *more]) for more in ([], ["--json"]))
    assert (shown.exit_code, as_json.exit_code) == (0, 0)
    assert "Band of equal annual income" in shown.stdout
    assert "loblolly: quality, sawtimber grade share" in shown.stdout
    assert "quality.sawtimber" not in shown.stdout
    assert "2 of 2 numbers moved" in shown.stderr
    document = json.loads(as_json.stdout)
    limits = document["band"]["equal_annual_income_per_ac"]
    assert set(limits) == SYSTEMS
    assert all(limit["low"] < limit["high"] for limit in limits.values())
