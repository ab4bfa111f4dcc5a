"""What `halfshade init` starts from: layouts by the trade's own measures, choices that fit, combinations refused."""

import subprocess
import tomllib
from collections.abc import Callable
from importlib import resources

import pytest
from click.testing import CliRunner

from simulator.errors import InputError
from simulator.parameters.catalogue import animal_names, grass_names, tree_names
from simulator.scenario.rows import planted_trees_per_ac
from workbench import starts
from workbench.commands.init import LAYOUTS, ROUTES, init
from workbench.starts import Choices, cuts_of, layouts, numbers_of, refusals, resolved

TREES = {"loblolly", "slash", "longleaf", "shortleaf", "loblolly-longleaf", "loblolly-narrow", "pecan"}
GRASSES = {
    "bahiagrass",
    "bermudagrass",
    "hybrid-bermudagrass",
    "native-mix",
    "eastern-gamagrass",
    "tall-fescue",
    "ryegrass",
    "crimson-clover",
}
ANIMALS = {"cattle", "stockers", "sheep", "goats", "none"}
MACHINE_FT = 13.0
"""A mower is 9 to 13 ft wide (common practice, no source)."""


def packaged(name: str) -> dict[str, dict[str, dict[str, object]]]:
    return tomllib.loads(resources.files("workbench.scenarios").joinpath(name).read_text(encoding="utf-8"))


def planted(numbers: dict[str, float]) -> float:
    return planted_trees_per_ac(*(numbers[key] for key in ("rows_in_set", "row_gap_ft", "in_row_ft", "alley_ft")))


# Layouts: common practice, no source, beside each check ---------------------------------------------------------


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_layout_is_one_that_practice_knows(layout: str) -> None:
    numbers = layouts()[layout]
    trees = planted(numbers)
    low, high = {"block": (450, 750), "scattered": (300, 600), "square": (70, 150)}.get(layout, (180, 300))
    assert low <= trees <= high
    if numbers["hay"]:
        # a strip of 5 ft along the row is kept clear; a mower passes at least once between the strips
        assert numbers["alley_ft"] - 5.0 >= MACHINE_FT
    residuals = [0.9 * trees, *(left for _, _, left in cuts_of(numbers))]
    assert residuals == sorted(residuals, reverse=True)
    years = [year for year, _, _ in cuts_of(numbers)]
    # the first thinning sells: 12 to 18 years; the last one leaves the crop five years or more
    assert 12 <= years[0] <= 18
    assert years[-1] + 5 <= numbers["harvest_year"]
    assert 28 <= numbers["harvest_year"] <= 40
    grazed_after_hay = numbers["first_grazing_year"] >= numbers["last_hay_year_before_animals"]
    assert grazed_after_hay or not numbers["hay"]


def test_scattered_trees_are_thinned_twice_and_grazed_afterwards() -> None:
    numbers = layouts()["scattered"]
    (first, _, _), (_, _, left) = cuts_of(numbers)
    assert numbers["first_grazing_year"] > first
    # trees 25 to 35 ft apart
    assert 35 <= left <= 70


# Choices --------------------------------------------------------------------------------------------------------


def test_choices_name_only_what_a_catalogue_may_hold() -> None:
    choices, refused = packaged("choices.toml"), packaged("combinations.toml")["refused"]
    assert set(choices["trees"]) <= TREES
    assert set(choices["grasses"]) <= GRASSES
    assert set(choices["animals"]) <= ANIMALS
    for entry in refused:
        assert set(entry) <= {"trees", "routes", "grasses", "animals", "layouts", "reason", "instead"}
        assert set(entry.get("trees", TREES)) <= TREES
        assert set(entry.get("grasses", GRASSES)) <= GRASSES
        assert set(entry.get("animals", ANIMALS)) <= ANIMALS
        assert set(entry.get("layouts", LAYOUTS)) <= set(LAYOUTS)
        assert set(entry.get("routes", ROUTES)) <= set(ROUTES)
        assert entry["instead"].endswith(".")
        assert not entry["reason"].endswith(".")


def test_every_tree_grass_and_animal_of_the_catalogue_can_be_started_from() -> None:
    for trees in tree_names():
        assert any(not refusals(Choices(trees=trees, layout=layout)) for layout in LAYOUTS)
        assert refusals(Choices(trees=trees)) == []
    assert [grass for grass in grass_names() if refusals(Choices(grass=grass))] == []
    assert [animals for animals in animal_names() if refusals(Choices(animals=animals))] == []


def test_numbers_follow_the_tree() -> None:
    loblolly, longleaf, shortleaf = (
        numbers_of(resolved(Choices(trees=name))) for name in ("loblolly", "longleaf", "shortleaf")
    )
    # grass stage and slow youth: animals and the saw come later (common practice, no source)
    assert loblolly["first_grazing_year"] < longleaf["first_grazing_year"]
    assert longleaf["harvest_year"] >= 40 > loblolly["harvest_year"]
    assert loblolly["harvest_year"] < shortleaf["harvest_year"] <= longleaf["harvest_year"]
    assert longleaf["first_year"] > shortleaf["first_year"] > loblolly["first_year"]
    # while animals wait, hay goes on
    assert longleaf["last_hay_year"] > loblolly["last_hay_year"]


@pytest.mark.parametrize("trees", sorted(TREES - {"pecan"}))
def test_scattered_trees_are_grazed_once_they_are_scattered(trees: str) -> None:
    numbers = numbers_of(resolved(Choices(trees=trees, layout="scattered")))
    assert numbers["first_grazing_year"] > numbers["first_year"]


@pytest.mark.parametrize("trees", sorted(TREES))
@pytest.mark.parametrize("animals", sorted(ANIMALS - {"none"}))
def test_hay_ends_when_animals_come(trees: str, animals: str) -> None:
    """The year of the change may see either, as the trees allow."""
    for layout in LAYOUTS:
        numbers = numbers_of(resolved(Choices(trees=trees, animals=animals, layout=layout)))
        assert not numbers["hay"] or numbers["last_hay_year"] <= numbers["first_grazing_year"]
        assert numbers["first_grazing_year"] < numbers["harvest_year"]


def test_pecans_stand_in_an_orchard() -> None:
    choices = resolved(Choices(trees="pecan"))
    assert choices.layout == "square"
    numbers = numbers_of(choices)
    # 40 x 40 ft is 27 trees an acre (arithmetic), thinned by half when crowns meet, never cut young
    assert planted(numbers) == pytest.approx(27.2, abs=0.05)
    assert [left for _, _, left in cuts_of(numbers)] == [14]
    assert numbers["harvest_year"] >= 50
    assert resolved(Choices(trees="pecan", layout="single")).layout == "single"


def test_numbers_follow_the_grass() -> None:
    def rate(grass: str, animals: str = "cattle", layout: str = "double") -> float:
        return float(numbers_of(Choices("loblolly", grass, animals, layout))["nitrogen_lb_ac"])

    assert rate("bahiagrass") == 80.0
    assert rate("crimson-clover") == 0.0
    assert rate("native-mix") == 60.0
    assert rate("native-mix", layout="scattered") == 0.0
    assert rate("bahiagrass", "none", "block") == 0.0
    clover = numbers_of(Choices("loblolly", "crimson-clover", "cattle", "double"))
    assert not clover["hay"]
    assert numbers_of(Choices("loblolly", "tall-fescue", "cattle", "double"))["latitude_deg"] >= 34.0


def test_numbers_follow_the_animals() -> None:
    cattle, goats = (numbers_of(resolved(Choices(animals=name))) for name in ("cattle", "goats"))
    assert goats["first_grazing_year"] > cattle["first_grazing_year"]
    assert goats["last_hay_year"] >= cattle["last_hay_year"]
    without = numbers_of(resolved(Choices(animals="none")))
    assert without["last_hay_year"] == layouts()["double"]["last_hay_year_alone"]


# Refusals -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("choices", "field", "says"),
    [
        (Choices(trees="pecan", layout="double"), "--layout", "never planted in close rows"),
        (Choices(trees="pecan", animals="goats"), "--animals", "bark"),
        (Choices(trees="pecan", grass="native-mix"), "--grass", "nuts"),
        (Choices(trees="slash", grass="tall-fescue"), "--grass", "ice"),
        (Choices(trees="longleaf", animals="goats"), "--animals", "buds"),
        (Choices(animals="sheep", layout="block"), "--layout", "net-wire"),
        (Choices(grass="crimson-clover", animals="none"), "--layout", "not baled"),
    ],
)
def test_what_nobody_does_is_refused_with_a_reason(choices: Choices, field: str, says: str) -> None:
    (problem,) = refusals(choices)
    assert problem.field == field
    assert says in problem.rule
    assert problem.remedy.startswith(("Use", "Name"))
    assert f"{field} " in problem.received


def test_the_command_refuses_by_the_table(monkeypatch: pytest.MonkeyPatch) -> None:
    refused = {"trees": ["loblolly"], "animals": ["cattle"], "reason": "is for this test", "instead": "Use none."}
    read, table = starts._packaged, {"combinations.toml": {"refused": [refused]}}
    monkeypatch.setattr(starts, "_packaged", lambda name: table.get(name) or read(name))
    done = CliRunner().invoke(init, ["--layout", "single"])
    assert isinstance(done.exception, InputError)  # which the command line turns into exit code 2
    received = "(received --trees loblolly with --animals cattle)"
    assert str(done.exception) == f"--animals: is for this test {received}. Use none."
    assert CliRunner().invoke(init, ["--animals", "none"]).exit_code == 0


def test_a_refusal_is_one_line_and_exit_code_2(halfshade: Callable[..., "subprocess.CompletedProcess[str]"]) -> None:
    done = halfshade("init", "--trees", "pecan", "--layout", "double")
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.count("\n") == 1
    assert "--layout square" in done.stderr
