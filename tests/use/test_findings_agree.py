"""Findings in words: figures that add up, one rule for ties, readable numbers, lights of the grass that is there."""

import re

import pytest
from click.testing import CliRunner

from plans import compared, example
from simulator.comparison import BetterPasture, Comparison, Switch, compare
from simulator.result import run
from simulator.scenario.file import load_text
from workbench.band_words import number_in_words
from workbench.commands.stem import stem
from workbench.examples import Choices, scenario_text
from workbench.reports import print_years
from workbench.sentences import _switch_sentence, findings
from workbench.single_use_sentences import _waiting, better_pasture
from workbench.words import NAMES, describe, nearly_tied


@pytest.fixture(scope="module")
def stand() -> Comparison:
    return compare(load_text(scenario_text(Choices(route="stand")), "stand"), precision="fast")


def test_a_sum_is_the_sum_of_the_figures_printed() -> None:
    said = next(sentence for sentence in findings(compared()) if sentence.startswith("Before tax"))
    _, trees, grass, total = (int(figure.replace(",", "")) for figure in re.findall(r"-?\$?(\d[\d,]*)", said))
    assert trees + grass == total


def test_the_deepest_cash_of_the_sentence_is_that_of_the_table() -> None:
    deepest = compared().systems["silvopasture"].measures.deepest_cash
    assert any(f"out as much as ${round(-deepest)} an acre" in sentence for sentence in findings(compared()))


def test_two_prices_never_read_alike() -> None:
    near = Switch("grazing_lease", "$/ac", 24.0, 23.71, "pasture", "plantation")
    assert "under $23.71 an acre (now $24.00)" in _switch_sentence(near, NAMES)
    far = Switch("grazing_lease", "$/ac", 24.0, 29.4, "plantation", "pasture")
    assert "over $29 an acre (now $24)" in _switch_sentence(far, NAMES)


@pytest.mark.parametrize(
    ("now", "later", "said"),
    [
        (30.4, 33.6, "brings $4 an acre a year"),
        (43.0, 48.4, "brings $5 an acre a year"),
        (33.0, 30.0, "costs $3 an acre a year, which is nearly a tie"),
        (33.2, 33.4, "makes no difference to the yearly income"),
    ],
)
def test_waiting_is_judged_by_the_figures_printed(now: float, later: float, said: str) -> None:
    assert _waiting(now, later) == said
    assert nearly_tied(now, later) == ("tie" in said or "no difference" in said)


def test_hay_at_a_loss_has_its_reason() -> None:
    said = next(sentence for sentence in findings(compared()) if sentence.startswith("Hay costs"))
    assert "keeps the grass down while the trees are small" in said


def test_a_pasture_let_already_is_let_to_another(stand: Comparison) -> None:
    sheep = compare(load_text(scenario_text(Choices(animals="sheep")), "sheep"), precision="fast")
    said = list(better_pasture(sheep))
    assert len(said) == 1
    assert "let to a cattle tenant" in said[0]
    assert "by the acre" not in said[0]
    grass = stand.systems["pasture"].lives[-1].scenario
    better = BetterPasture(grass.model_copy(update={"use": sheep.systems["pasture"].scenario.use}), 20.0)
    said = list(better_pasture(Comparison(**{**vars(stand), "better_pasture": better})))
    assert said[0].startswith("Clearing it for pasture could bring more")


def test_work_of_today_is_done_now(stand: Comparison) -> None:
    said = describe(stand.systems["silvopasture"])
    assert "thin now, rows then below" in said
    assert "cut now" in describe(stand.systems["pasture"])


def test_numbers_of_the_band_are_named_in_words() -> None:
    plan = example()
    assert number_in_words("tree.species.nuts.level", "1", plan) == "loblolly: nuts, level"
    assert number_in_words("practice.ground.fence_life_yr", "yr", plan) == "practice: ground, fence life (yr)"
    assert number_in_words("animals.units.head", "1", plan) == "cattle: units, head"
    assert number_in_words("chip_and_saw", "$/ton", plan) == "chip-and-saw ($/ton)"


@pytest.mark.parametrize(("grass", "shown"), [("bahiagrass", ["summer"]), ("tall-fescue", ["summer", "grass"])])
def test_light_is_headed_by_whose_it_is(grass: str, shown: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    print_years("Years", run(load_text(scenario_text(Choices(grass=grass)), grass)))
    heads = _heads(capsys.readouterr().out)
    assert [word for word in heads[0].split() if word in {"summer", "winter", "grass"}] == shown
    assert heads[1].split().count("light") == len(shown)


def _heads(printed: str) -> list[str]:
    """The two lines of headings of a yearly table."""
    lines = printed.splitlines()
    first = next(place for place, line in enumerate(lines) if line.split()[:1] == ["trees"])
    return lines[first : first + 2]


def test_winter_light_is_shown_where_the_ground_is_overseeded(capsys: pytest.CaptureFixture[str]) -> None:
    plan = example()
    sown = plan.pasture.model_copy(update={"overseeded": "ryegrass", "overseeded_from_year": 6})
    print_years("Years", run(plan.model_copy(update={"pasture": sown})))
    assert "winter" in _heads(capsys.readouterr().out)[0]


def test_a_stem_has_one_table_of_board_feet() -> None:
    shown = CliRunner().invoke(stem, ["--dbh", "14", "--height", "75"]).stdout
    assert shown.count("Doyle") == 1
    assert "whole stem to" in shown
    assert "as cut" in shown
