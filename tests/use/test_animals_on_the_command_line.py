"""Animals as a person meets them: what is refused and why, what is warned about, what the comparison calls things."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from workbench.commands.check import check
from workbench.commands.compare import compare
from workbench.commands.init import init
from workbench.commands.run import run
from workbench.examples import Choices, scenario_text
from workbench.main import main

TWELVE = "[70, 70, 70, 70, 70, 70, 70, 70, 70, 70, 70, 70]"


def scenario(animals: str, **lines: str) -> str:
    """An own herd in double rows, with lines of ``[use]`` added."""
    text = scenario_text(Choices(animals=animals)).replace('tenure = "leased"', 'tenure = "owned"')
    added = "".join(f"{key} = {value}\n" for key, value in lines.items())
    return text.replace("first_grazing_year =", f"{added}first_grazing_year =")


def written(folder: Path, text: str) -> str:
    file = folder / "mine.toml"
    file.write_text(text, encoding="utf-8")
    return str(file)


def refused(folder: Path, text: str) -> Result:
    done = CliRunner().invoke(main, ["check", written(folder, text)])
    assert done.exit_code == 2
    assert "Traceback" not in done.output
    return done


@pytest.mark.parametrize("name", ["hogs", "Pigs", "swine"])
def test_hogs_are_refused_with_the_reason(tmp_path: Path, name: str) -> None:
    """Extension article (second-hand): a hog roots up 400 to 1,000 seedlings a day."""
    said = refused(tmp_path, scenario("cattle").replace('animals = "cattle"', f'animals = "{name}"')).output
    assert "use.animals" in said
    assert "hogs root up seedlings" in said
    assert name in said
    assert "goats" in said
    begun = CliRunner().invoke(main, ["init", "--animals", name])
    assert begun.exit_code == 2
    assert "hogs root up seedlings" in begun.output


def test_a_misspelt_animal_is_not_taken_for_a_hog(tmp_path: Path) -> None:
    said = refused(tmp_path, scenario("cattle").replace('animals = "cattle"', 'animals = "shep"')).output
    assert "is not a known animal" in said
    assert "hogs" not in said
    assert "sheep" in said


def test_a_flock_of_ones_own_has_no_season(tmp_path: Path) -> None:
    said = refused(tmp_path, scenario("sheep", season_months="[4, 9]")).output
    assert "use.season_months" in said
    assert "stay all year" in said
    assert '"leased"' in said
    for text in (
        scenario("stockers", season_months="[11, 5]"),
        scenario("sheep", season_months="[4, 9]").replace('tenure = "owned"', 'tenure = "leased"'),
    ):
        assert CliRunner().invoke(check, [written(tmp_path, text)]).exit_code == 0


def test_stockers_on_grass_that_does_not_grow_are_noted(tmp_path: Path) -> None:
    shown = CliRunner().invoke(check, [written(tmp_path, scenario("stockers", season_months="[11, 5]"))]).stdout
    assert "In November to February this grass does not grow" in " ".join(shown.split())
    shown = CliRunner().invoke(check, [written(tmp_path, scenario("stockers", season_months="[4, 9]"))]).stdout
    assert "does not grow" not in shown


def test_hay_is_fed_only_to_a_herd_of_ones_own(tmp_path: Path) -> None:
    own = scenario("cattle").replace('hay_use = "sold"', 'hay_use = "fed"')
    assert CliRunner().invoke(check, [written(tmp_path, own)]).exit_code == 0
    let = own.replace('tenure = "owned"', 'tenure = "leased"')
    assert let != own
    said = " ".join(refused(tmp_path, let).output.split())
    assert "use.hay_use" in said
    assert "can only be fed to your own herd, and grazing is leased" in said
    assert 'Write hay_use = "sold"' in said


@pytest.mark.parametrize("months", ["[0, 9]", "[4, 13]", "[4]", '["April", "May"]'])
def test_months_are_numbers_of_the_year(tmp_path: Path, months: str) -> None:
    assert "use.season_months" in refused(tmp_path, scenario("stockers", season_months=months)).output


@pytest.mark.parametrize(
    ("line", "field"),
    [
        ("afternoon_temperature_f = [70, 71]", "climate.afternoon_temperature_f"),
        (f"afternoon_temperature_f = {TWELVE.replace('70, 70]', '70, 170]')}", "climate.afternoon_temperature_f"),
        (f"relative_humidity = {TWELVE}", "climate.relative_humidity"),
    ],
)
def test_a_climate_is_twelve_numbers_in_range(tmp_path: Path, line: str, field: str) -> None:
    text = scenario("cattle").replace("\n[money]", f"\n[climate]\n{line}\n\n[money]", 1)
    assert field in refused(tmp_path, text).output


def test_the_plans_own_climate_counts(tmp_path: Path) -> None:
    hot = scenario("stockers")
    cool = hot.replace("\n[money]", f"\n[climate]\nafternoon_temperature_f = {TWELVE}\n\n[money]", 1)
    incomes, said = [], []
    for text in (hot, cool):
        done = CliRunner().invoke(run, [written(tmp_path, text), "--json"])
        document = json.loads(done.stdout)
        incomes.append(document["equal_annual_income_per_ac"])
        said.append({warning["code"]: warning["message"] for warning in document["warnings"]}["heat"])
    assert incomes[0] > incomes[1]
    assert "passes 75 on ordinary afternoons of May to September" in said[0]
    assert "in the open" in said[0]
    assert "under these trees" in said[0]
    assert "stays under 75" in said[1]


def test_a_flock_is_told_what_it_needs(tmp_path: Path) -> None:
    done = CliRunner().invoke(run, [written(tmp_path, scenario("sheep", tree_safe_height_ft="4"))])
    said = " ".join(done.stdout.split())
    for words in (
        "Ewes enter at 4 ft",
        "net wire",
        "gallons a day for",
        "ewes and 2 rams",
        "dogs and coyotes",
        "poisonous plants",
    ):
        assert words in said, words
    assert "late-pregnant cows" not in said


def test_whose_grazing_is_let_needs_care_but_not_hours(tmp_path: Path) -> None:
    done = CliRunner().invoke(run, ["--json"])
    codes = {warning["code"] for warning in json.loads(done.stdout)["warnings"]}
    assert {"animal_care", "needles_and_cows"} <= codes
    assert not codes & {"heat", "water_and_hours", "small_herd", "early_entry", "fence_for_small_stock"}
    none = CliRunner().invoke(run, [written(tmp_path, scenario_text(Choices(animals="none"))), "--json"])
    assert "animal_care" not in {warning["code"] for warning in json.loads(none.stdout)["warnings"]}


@pytest.mark.parametrize(("animals", "meat"), [("sheep", "lamb"), ("goats", "goat"), ("stockers", "beef")])
def test_prices_are_moved_by_their_own_name(tmp_path: Path, animals: str, meat: str) -> None:
    done = CliRunner().invoke(compare, [written(tmp_path, scenario(animals)), "--json"])
    sets = json.loads(done.stdout)["price_sets"]
    assert list(sets) == [f"low {meat}, high wood", "prices in force", f"high {meat}, low wood"]
    pasture = [incomes["pasture"] for incomes in sets.values()]
    assert pasture[0] < pasture[1] < pasture[2] or animals == "stockers"


def test_init_starts_with_any_animal() -> None:
    for animals in ("sheep", "goats"):
        done = CliRunner().invoke(init, ["--animals", animals])
        assert done.exit_code == 0
        assert f'animals = "{animals}"' in done.stdout
