"""Grasses as a person writes them: what is refused and how, what is warned about, which cautions are printed."""

from pathlib import Path
from typing import NamedTuple

import pytest
from click.testing import CliRunner

from plans import changed, example, fast, pasture
from simulator.comparison import compare
from simulator.errors import InputError
from simulator.findings.warnings import warnings_of
from simulator.parameters.catalogue import grass_names
from simulator.parameters.pasture import load_grass
from simulator.result import Outcome
from simulator.scenario.file import load_text
from simulator.scenario.grass import Switch
from simulator.scenario.model import Scenario
from workbench.commands.compare import compare as compare_command
from workbench.examples import example_text
from workbench.grass_words import HAZARDS, grass_cautions
from workbench.words import cautions, describe

EXAMPLE = example_text()
OVERSEEDED = "# overseeded = "
SWITCH = '[pasture.switch]\ngrass = "tall-fescue"\n'
GEORGIA_PIEDMONT_DEG = 34.5
ONTARIO_DEG = 40.0


class Mistake(NamedTuple):
    """Lines put under [pasture], the field that is named, and part of what is said of it."""

    lines: str
    field: str
    says: str
    grass: str = "bahiagrass"
    animals: str = "cattle"


MISTAKES = {
    "no such annual": Mistake('overseeded = "rye"', "pasture.overseeded", "ryegrass"),
    "into fescue": Mistake('overseeded = "ryegrass"', "pasture.overseeded", "warm-season perennial", "tall-fescue"),
    "into itself": Mistake('overseeded = "ryegrass"', "pasture.overseeded", "by itself", "ryegrass"),
    "year without annual": Mistake("overseeded_from_year = 4", "pasture.overseeded_from_year", "without overseeded"),
    "nobody grazes": Mistake('overseeded = "ryegrass"', "pasture.overseeded", "Name the animals", animals="none"),
    "too much nitrogen": Mistake(
        'overseeded = "ryegrass"\noverseeded_nitrogen_lb_ac = 900', "pasture.overseeded_nitrogen_lb_ac", "300"
    ),
    "switch without when": Mistake(SWITCH, "pasture.switch", "neither year nor below_light"),
    "switch twice": Mistake(SWITCH + "year = 9\nbelow_light = 0.4", "pasture.switch", "both year and below_light"),
    "switch to nothing known": Mistake(
        '[pasture.switch]\ngrass = "fescue"\nyear = 9', "pasture.switch.grass", "tall-fescue"
    ),
    "switch to the same": Mistake(SWITCH + "year = 9", "pasture.switch.grass", "stands there already", "tall-fescue"),
    "switch after the harvest": Mistake(SWITCH + "year = 35", "pasture.switch.year", "harvest in year 35"),
    "light above one": Mistake(SWITCH + "below_light = 1.4", "pasture.switch.below_light", "1"),
}


def written(mistake: Mistake) -> str:
    text = EXAMPLE.replace('"bahiagrass"', f'"{mistake.grass}"', 1)
    if mistake.animals == "none":
        text = text.replace('"cattle"', '"none"', 1)
        text = "\n".join(line for line in text.splitlines() if not line.startswith("first_grazing_year"))
    return text.replace("# overseeded = ", f"{mistake.lines}\n# ", 1)


@pytest.mark.parametrize("mistake", MISTAKES.values(), ids=list(MISTAKES))
def test_one_mistake_is_named_with_field_line_and_remedy(mistake: Mistake) -> None:
    with pytest.raises(InputError) as caught:
        load_text(written(mistake), "field.toml")
    problems = [problem for problem in caught.value.problems if problem.field == mistake.field]
    assert len(problems) == 1, caught.value.problems
    assert mistake.says in f"{problems[0].rule} {problems[0].remedy}"
    assert problems[0].line is not None


def _switched(sown: int, year: int) -> str:
    plan = EXAMPLE.replace("established = true", f"established = false\nsown_year = {sown}", 1)
    plan = plan.replace("# overseeded = ", f"{SWITCH}year = {year}\n# ", 1)
    plan = plan.replace("hay_years = [1, 4]", "hay_years = [11, 12]")
    return plan.replace("first_grazing_year = 4", "first_grazing_year = 13")


@pytest.mark.parametrize("year", [8, 9])
def test_another_grass_does_not_come_before_the_sowing_of_the_first(year: int) -> None:
    with pytest.raises(InputError) as caught:
        load_text(_switched(9, year), "field.toml")
    assert [(each.field, each.rule) for each in caught.value.problems] == [
        ("pasture.switch.year", "must be later than sown_year = 9, when the first grass is sown")
    ]


@pytest.mark.parametrize(("sown", "year"), [(9, 10), (0, 1)])
def test_another_grass_may_come_a_year_after_the_sowing_of_the_first(sown: int, year: int) -> None:
    assert load_text(_switched(sown, year), "field.toml").pasture.switch is not None


def test_a_switch_needs_trees() -> None:
    text = (
        "format = 1\n[land]\nacres = 10\nlatitude_deg = 31\nsite_index_ft = 60\n[money]\ndiscount_rate = 0.04\n"
        f"[use]\nhay_years = [1, 40]\n{SWITCH}year = 9\n"
    )
    with pytest.raises(InputError, match="without any trees"):
        load_text(text, "field.toml")


@pytest.mark.parametrize("grass", grass_names())
def test_every_grass_of_the_catalogue_can_be_written(grass: str) -> None:
    plan = load_text(EXAMPLE.replace('"bahiagrass"', f'"{grass}"', 1), "field.toml")
    assert plan.pasture.grass == grass


def test_sound_lines_are_read() -> None:
    lines = (
        'overseeded = "crimson-clover"\noverseeded_from_year = 5\noverseeded_nitrogen_lb_ac = 20\n'
        f"{SWITCH}below_light = 0.45"
    )
    grass = load_text(EXAMPLE.replace(OVERSEEDED, f"{lines}\n# ", 1), "field.toml").pasture
    assert (grass.overseeded, grass.overseeded_from_year, grass.overseeded_nitrogen_lb_ac) == ("crimson-clover", 5, 20)
    assert grass.switch == Switch(grass="tall-fescue", below_light=0.45)


def codes(plan: Scenario) -> set[str]:
    return {warning.code for warning in warnings_of("silvopasture", fast(plan))}


def fescue(latitude_deg: float) -> Scenario:
    return changed(changed(example(), "pasture", grass="tall-fescue"), "land", latitude_deg=latitude_deg)


def test_fescue_is_warned_about_in_the_coastal_plain_and_not_north_of_it() -> None:
    """Common practice, no source: tall fescue does not persist south of about 34 degrees."""
    assert "grass_too_far_south" in codes(fescue(31.3))
    assert not {"grass_too_far_south", "grass_too_far_north"} & codes(fescue(GEORGIA_PIEDMONT_DEG))
    message = next(w.message for w in warnings_of("pasture", fast(pasture(fescue(31.3)))) if "south" in w.code)
    assert "34 degrees" in message
    assert "common practice" in message


def test_bahiagrass_is_warned_about_where_winter_kills_it() -> None:
    assert "grass_too_far_north" not in codes(example())
    assert "grass_too_far_north" in codes(changed(example(), "land", latitude_deg=ONTARIO_DEG))


def test_grass_that_nobody_uses_is_not_warned_about() -> None:
    outcome = compare(fescue(31.3)).systems["plantation"]
    assert "grass_too_far_south" not in {warning.code for warning in warnings_of("plantation", outcome)}


def test_bermudagrass_in_half_shade_is_told_as_too_dark_and_not_as_a_closed_canopy() -> None:
    found = codes(changed(example(), "pasture", grass="bermudagrass"))
    assert "grass_too_dark" in found
    assert "canopy_closed" not in found
    assert "grass_too_dark" not in codes(example())


def test_what_the_plan_asks_in_vain_is_told() -> None:
    never = changed(example(), "pasture", switch=Switch(grass="tall-fescue", below_light=0.05))
    assert "switch_not_due" in codes(never)
    late = changed(example(), "pasture", overseeded="ryegrass", overseeded_from_year=60)
    assert "overseeding_not_done" in codes(late)
    assert not {"switch_not_due", "overseeding_not_done"} & codes(changed(example(), "pasture", overseeded="ryegrass"))


def test_every_grass_has_its_cautions_considered() -> None:
    assert set(HAZARDS) == set(grass_names())


@pytest.mark.parametrize(
    ("grass", "words"),
    [
        ("tall-fescue", ("endophyte", "mares", "tetany")),
        ("ryegrass", ("tetany", "nitrate")),
        ("crimson-clover", ("bloat",)),
        ("hybrid-bermudagrass", ("nitrate", "prussic acid")),
        ("native-mix", ("prussic acid", "horses")),
        ("eastern-gamagrass", ("nitrate",)),
    ],
)
def test_cautions_that_go_with_a_grass(grass: str, words: tuple[str, ...]) -> None:
    said = " ".join(grass_cautions(changed(example(), "pasture", grass=grass)))
    for word in (*words, "veterinarian"):
        assert word in said


def test_cautions_of_the_example_are_as_they_were_and_grow_with_what_is_sown() -> None:
    assert len(cautions(example())) == 2
    sown = changed(example(), "pasture", overseeded="ryegrass", switch=Switch(grass="tall-fescue", year=12))
    assert [said.partition(":")[0] for said in cautions(sown)[2:]] == ["Annual ryegrass", "Tall fescue"]


def outcome_of(plan: Scenario) -> Outcome:
    return fast(plan)


def test_the_plan_in_a_line_names_what_is_sown() -> None:
    plain = describe(outcome_of(example()))
    assert "sown" not in plain
    sown = changed(example(), "pasture", overseeded="ryegrass", switch=Switch(grass="tall-fescue", below_light=0.45))
    line = describe(outcome_of(sown))
    assert "ryegrass sown every autumn from year 1" in line
    assert "tall-fescue under 45% light" in line


def test_the_command_prints_cautions_and_warnings_of_the_grass(tmp_path: Path) -> None:
    path = tmp_path / "field.toml"
    path.write_text(EXAMPLE.replace('"bahiagrass"', '"tall-fescue"', 1), encoding="utf-8")
    done = CliRunner().invoke(compare_command, [str(path)])
    assert done.exit_code == 0, done.output
    for words in ("endophyte", "34 degrees", load_grass("tall-fescue").title.partition(" (")[0]):
        assert words in done.output
