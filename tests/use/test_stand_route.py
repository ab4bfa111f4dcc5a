"""A standing stand as a person meets it: file, checks, comparison, JSON, figures, warnings."""

import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from plans import changed, example
from simulator.alternatives import check_overrides
from simulator.comparison import compare
from simulator.errors import InputError
from simulator.findings.warnings import warnings_of
from simulator.result import run
from simulator.scenario.file import load, load_text
from simulator.scenario.trees import Thinning
from standing import idle, pines, pines_compared, pines_text, stand_of
from workbench.charts.cross_section import slices_of
from workbench.documents import comparison_document
from workbench.sentences import findings
from workbench.words import names_of, spoken

Halfshade = Callable[..., "subprocess.CompletedProcess[str]"]
EXAMPLES = Path(__file__).parents[2] / "examples"


def problems(text: str) -> dict[str, str]:
    with pytest.raises(InputError) as caught:
        load_text(text, "stand.toml")
    assert all(problem.line is not None for problem in caught.value.problems)
    return {problem.field: f"{problem.rule} {problem.remedy}" for problem in caught.value.problems}


def test_init_prints_the_example(halfshade: Halfshade) -> None:
    done = halfshade("init", "--route", "stand")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout == (EXAMPLES / "standing-pines.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize("animals", ["none", "stockers", "cattle"])
def test_init_with_other_animals_loads(animals: str, halfshade: Halfshade) -> None:
    text = halfshade("init", "--route", "stand", "--animals", animals).stdout
    assert load_text(text, "stand.toml").use.animals == animals


def test_check_says_what_stands(halfshade: Halfshade) -> None:
    done = halfshade("check", EXAMPLES / "standing-pines.toml")
    assert done.returncode == 0
    for words in ("506 an acre of 6.9 in", "Years count from now", "Year 1: grass sown", "then plantation"):
        assert words in done.stdout
    summary = json.loads(halfshade("check", EXAMPLES / "standing-pines.toml", "--json").stdout)["summary"]
    assert summary["stand"]["trees_per_ac"] == 506.0
    assert summary["harvest_year"] == 17


def test_compare_prints_four_alternatives_and_writes_their_files(halfshade: Halfshade, tmp_path: Path) -> None:
    done = halfshade("compare", EXAMPLES / "standing-pines.toml", "--out", tmp_path / "out")
    assert done.returncode == 0
    document = json.loads((tmp_path / "out" / "comparison.json").read_text(encoding="utf-8"))
    assert list(document["systems"]) == ["silvopasture", "plantation", "pasture", "open_later"]
    for system in document["systems"].values():
        cash = [year["cash_per_ac"] for year in system["years"]]
        end = system["years"][-1]["end_value_per_ac"]
        value = sum(amount / 1.05**year for year, amount in enumerate(cash)) + end / 1.05**40
        assert value == pytest.approx(system["npv_per_ac"])
        assert system["years"][0]["trees_per_ac"] == pytest.approx(506.0)
        assert system["schedule_after_harvest"]["stand"] is None
    assert {path.suffix for path in (tmp_path / "out").iterdir()} == {".csv", ".json", ".png", ".svg"}
    told = done.stdout
    for words in (
        "open it now",
        "clear it for pasture",
        "open it in 5 years",
        "Land and stand value",
        "threaten those",
    ):
        assert words in told
    for words in ("both together", "trees alone", "grass alone", "Internal rate of return"):
        assert words not in told.lower().replace("internal", "Internal")


def test_names_and_sentences() -> None:
    comparison = pines_compared()
    assert names_of(comparison.systems) == {
        "silvopasture": "open it now",
        "plantation": "keep it as a plantation",
        "pasture": "clear it for pasture",
        "open_later": "open it in 5 years",
    }
    assert spoken("open it in 5 years") == "opening it in 5 years"
    assert spoken("the plan") == "the plan"
    said = " ".join(findings(comparison))
    assert "keeping it as a plantation" in said
    assert "Waiting 5 years" in said
    assert "When animals first graze it, in year 3" in said
    natural = changed(pines(), "stand", origin="natural").model_copy(
        update={"thinning": (Thinning(year=0, method="marked", residual_trees_per_ac=100.0),)}
    )
    assert names_of(compare(natural, precision="fast").systems)["plantation"] == "keep it as woods"


def test_land_equivalent_is_of_wood_against_keeping_and_of_forage_against_clearing() -> None:
    systems, ratio = pines_compared().systems, pines_compared().land_equivalent
    grown = {name: outcome.states["forage_lb_ac"][1:].mean() for name, outcome in systems.items()}
    assert ratio.forage == pytest.approx(grown["silvopasture"] / grown["pasture"])
    wood = {
        name: outcome.wood_ton_ac.sum() + outcome.states["standing_ton_ac"][40] - outcome.wood_ton_ac[40].sum()
        for name, outcome in systems.items()
    }
    assert ratio.wood == pytest.approx(wood["silvopasture"] / wood["plantation"])
    assert ratio.total == pytest.approx(ratio.wood + ratio.forage)


def test_price_sets_switches_and_hours_cover_the_four() -> None:
    document = comparison_document(pines_compared())
    four = set(document["systems"])
    assert all(set(incomes) == four for incomes in document["price_sets"].values())
    assert set(document["labour_free_equal_annual_income_per_ac"]) == four
    free = run(changed(pines(), "money", pay_labour=False), precision="fast").measures.equal_annual_income
    assert document["labour_free_equal_annual_income_per_ac"]["silvopasture"] == pytest.approx(free, abs=1e-6)


def test_the_switch_price_of_a_stand_is_where_two_lines_cross() -> None:
    """Second way: the file run again at the switch price has two alternatives level."""
    plan = changed(pines(), "money", prices={"grazing_lease": 75.0})
    switches = [switch for switch in compare(plan, precision="fast").switches if switch.item != "wage"]
    for switch in switches:
        prices = plan.money.prices | {switch.item: switch.price}
        again = compare(changed(plan, "money", prices=prices), precision="fast")
        income = {name: outcome.measures.equal_annual_income for name, outcome in again.systems.items()}
        assert income[switch.now] == pytest.approx(income[switch.then], abs=1e-6)
    assert len(switches) >= 3


def test_overrides_of_each_alternative(tmp_path: Path) -> None:
    text = pines_text() + (
        "\n[baseline.plantation.harvest]\nyear = 20\n[baseline.pasture.pasture]\nnitrogen_lb_ac = 60\n"
        "[baseline.open_later.harvest]\nyear = 25\n"
    )
    comparison = compare(load_text(text, "stand.toml"), precision="fast")
    harvests = {name: outcome.scenario.harvest for name, outcome in comparison.systems.items()}
    assert {name: harvest.year for name, harvest in harvests.items() if harvest} == {
        "silvopasture": 17, "plantation": 20, "pasture": 0, "open_later": 25,
    }  # fmt: skip
    more = comparison.systems["pasture"].states["forage_lb_ac"][10]
    assert more > pines_compared().systems["pasture"].states["forage_lb_ac"][10]
    wrong = tmp_path / "wrong.toml"
    wrong.write_text(pines_text() + "\n[baseline.open_later.harvest]\nyear = 7\n", encoding="utf-8")
    with pytest.raises(InputError, match=r"baseline\.open_later\.thinning") as caught:
        check_overrides(load(wrong), wrong)
    assert caught.value.problems[0].line is not None


def test_mistakes_in_a_stand_are_named_with_line_and_remedy() -> None:
    text = pines_text()
    more = problems(text.replace("trees_per_ac = 134", "trees_per_ac = 534"))
    assert "more than the 605 spots" in more["stand.class"]
    assert "must be above the 5 in" in problems(text.replace("dbh_in = 6", "dbh_in = 5"))["stand.class[3].dbh_in"]
    assert (
        "sown" in problems(text.replace("first_grazing_year = 3", "first_grazing_year = 1"))["use.first_grazing_year"]
    )
    silent = text.replace("established = false", "# established").replace("sown_year = 1", "# sown_year")
    assert "is missing beside [stand]" in problems(silent)["pasture.established"]
    rows = text.replace('origin = "planted"', 'origin = "natural"')
    assert "takes rows" in problems(rows)["thinning[1].method"]
    strips = text.replace('method = "rows then below"\nremove_every_row = 4', 'method = "strips then below"')
    assert set(problems(strips)) == {"thinning[1].strip_rows_removed", "thinning[1].strip_rows_left"}
    marked = text.replace('method = "marked"', 'method = "marked"\nstrip_rows_left = 4')
    assert 'does not go with method = "marked"' in problems(marked)["thinning[2].strip_rows_left"]
    lonely = text[: text.index("[trees]")] + text[text.index("[stand]") :]
    assert "stands without [trees]" in problems(lonely)["stand"]
    assert "is missing" in problems(text.replace("age = 18", "# age"))["stand.age"]


def test_a_planted_file_takes_no_opening_later() -> None:
    from plans import EXAMPLE_NAME, example_text  # noqa: PLC0415

    with pytest.raises(InputError, match="is stated without"):
        load_text(example_text() + "\n[baseline.open_later.harvest]\nyear = 20\n", EXAMPLE_NAME)
    assert example().stand is None


def codes(plan_outcome: object) -> set[str]:
    return {warning.code for warning in warnings_of("run", plan_outcome)}  # type: ignore[arg-type]


def test_a_heavy_cut_in_a_dense_stand_is_warned_of_and_a_light_one_is_not() -> None:
    heavy = idle(pines(), 17, Thinning(year=0, residual_basal_area_ft2_ac=50.0))
    light = idle(pines(), 17, Thinning(year=0, residual_basal_area_ft2_ac=90.0))
    assert "heavy_thinning" in codes(run(heavy, precision="fast"))
    assert "heavy_thinning" not in codes(run(light, precision="fast"))
    # long crowns: the same cut of the same area among few large trees
    open_grown = heavy.model_copy(update={"stand": stand_of(18, [(13.0, 110.0)])})
    assert "heavy_thinning" not in codes(run(open_grown, precision="fast"))


def test_grass_sown_in_the_dark_or_grazed_at_once_is_warned_of() -> None:
    hasty = changed(pines(), "use", first_grazing_year=2)
    assert "grazed_when_sown" in codes(run(hasty, precision="fast"))
    dark = pines().model_copy(update={"thinning": pines().thinning[1:]})
    assert "sown_under_closed_trees" in codes(run(dark, precision="fast"))
    assert not {"grazed_when_sown", "sown_under_closed_trees"} & codes(run(pines(), precision="fast"))


def test_heights_that_contradict_the_site_index_are_warned_of() -> None:
    stand = pines().stand
    assert stand is not None
    for tallest, warned in ((75.0, True), (55.0, False)):
        lines = tuple(line.model_copy(update={"height_ft": tallest - 10 + line.dbh_in}) for line in stand.dbh_class)
        found = codes(run(changed(pines(), "stand", dbh_class=lines), precision="fast"))
        assert ("heights_off_site_curve" in found) == warned


def test_heights_are_held_against_the_index_of_the_species_where_it_is_stated() -> None:
    plan, stand = changed(pines(), "trees", species="longleaf", site_index_ft=60.0), pines().stand
    assert stand is not None
    lines = tuple(line.model_copy(update={"height_ft": 80.0}) for line in stand.dbh_class)
    warned = warnings_of("run", run(changed(plan, "stand", dbh_class=lines), precision="fast"))
    message = next(warning.message for warning in warned if warning.code == "heights_off_site_curve")
    assert "site index 60 of longleaf at 50 years gives" in message


def test_panels_of_the_cross_section_start_today() -> None:
    years = [part.year for part in slices_of(pines_compared()) if part.system == "silvopasture"]
    assert years[:2] == [0, 1]
    assert years[-1] == 17
