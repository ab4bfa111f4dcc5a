"""Events, inputs and neglect as a person meets them: messages, findings, cautions, the field let go."""

import json
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from simulator.comparison import compare
from simulator.errors import InputError
from simulator.scenario.file import load, load_text
from workbench.charts.income import income_figure
from workbench.charts.stand import stand_figure
from workbench.dangers import FIRE, STORM, TIMBER_SALE, dangers
from workbench.examples import example_text
from workbench.sentences import findings

EXAMPLES = Path(__file__).parents[2] / "examples"
EXAMPLE = example_text()


class Slip(NamedTuple):
    """Tables added to the example, the field that is wrong, and what must be said."""

    added: str
    field: str
    says: str


SLIPS = {
    "event after the horizon": Slip('[[event]]\nyear = 60\nkind = "ice"', "event[1].year", "last year simulated, 40"),
    "unknown event": Slip('[[event]]\nyear = 6\nkind = "hail"', "event[1].kind", '"ice"'),
    "event twice": Slip('[[event]]\nyear = 6\nkind = "ice"\n' * 2, "event[2]", "another ice in year 6"),
    "drought that fells": Slip(
        '[[event]]\nyear = 6\nkind = "drought"\ntrees_lost_share = 0.2', "event[1].trees_lost_share", "does not go with"
    ),
    "share above 1": Slip('[[event]]\nyear = 6\nkind = "ice"\ntrees_lost_share = 20', "event[1].trees_lost_share", "1"),
    "empty dose": Slip("[[fertiliser]]\nyear = 9", "fertiliser[1]", "holds nothing"),
    "dose after harvest": Slip("[[fertiliser]]\nyear = 36\nnitrogen_lb_ac = 9", "fertiliser[1].year", "harvest"),
    "doses out of order": Slip(
        "[[fertiliser]]\nyear = 9\nnitrogen_lb_ac = 9\n" * 2, "fertiliser[2].year", "later than the dose above"
    ),
    "fire among saplings": Slip("[fire]\nfirst_year = 3", "fire.first_year", "must not be below 8"),
    "fire after harvest": Slip("[fire]\nfirst_year = 36", "fire.first_year", "harvest in year 35"),
    "third of two thinnings": Slip("[neglect]\nmissed_thinnings = [3]", "neglect.missed_thinnings[1]", "2 thinnings"),
    "neglect after harvest": Slip("[neglect]\nfrom_year = 36", "neglect.from_year", "harvest in year 35"),
}


@pytest.mark.parametrize("name", list(SLIPS))
def test_a_slip_is_told_with_field_line_and_remedy(name: str) -> None:
    slip = SLIPS[name]
    with pytest.raises(InputError) as caught:
        load_text(f"{EXAMPLE}\n{slip.added}\n", "field.toml")
    problem = next(problem for problem in caught.value.problems if problem.field == slip.field)
    assert slip.says in str(problem)
    assert problem.remedy
    assert problem.line is not None
    assert problem.line > len(EXAMPLE.splitlines())


def test_replanting_above_survival_and_unripped_cutover_are_refused() -> None:
    text = EXAMPLE.replace("# replant_below = 0.6 ", "replant_below = 0.95 ").replace("# rip = true ", "rip = false ")
    text = text.replace('former_use = "pasture"', 'former_use = "cutover"').replace(
        "established = true", "established = false"
    )
    with pytest.raises(InputError) as caught:
        load_text(text, "field.toml")
    assert {problem.field for problem in caught.value.problems} == {"trees.replant_below", "trees.rip"}


def test_neglect_of_nothing_is_refused_without_trees() -> None:
    text = (EXAMPLES / "own-herd.toml").read_text(encoding="utf-8")
    start, end = text.index("[trees]"), text.index("[pasture]")
    grass = text[:start] + text[end : text.index("# Open pasture")] + "\n[neglect]\nfrom_year = 9\n"
    with pytest.raises(InputError, match="neglect: stands without any trees"):
        load_text(grass, "field.toml")


def test_the_field_let_go_stands_beside_the_same_field_kept_up() -> None:
    plan = load(EXAMPLES / "let-go.toml")
    comparison = compare(plan, precision="fast")
    gone, kept = comparison.systems["silvopasture"], comparison.systems["kept_up"]
    last = 34
    assert gone.states["basal_area_ft2_ac"][last] > kept.states["basal_area_ft2_ac"][last]
    assert gone.states["light_warm"][last] < kept.states["light_warm"][last]
    assert gone.states["forage_lb_ac"][last] < kept.states["forage_lb_ac"][last]
    assert gone.states["animal_unit_months_ac"].sum() < kept.states["animal_unit_months_ac"].sum()
    said = " ".join(findings(comparison))
    assert "kept up" in said
    assert f"{gone.states['basal_area_ft2_ac'][35]:.0f} ft2 of basal area" in said
    codes = {(warning.code, warning.system) for warning in comparison.warnings}
    assert {("let_go", "silvopasture"), ("event", "silvopasture"), ("event", "kept_up")} <= codes
    assert ("let_go", "kept_up") not in codes
    assert ("event", "pasture") not in codes


def test_check_and_the_plan_line_name_what_stands_beside_the_plan(
    halfshade: Callable[..., "subprocess.CompletedProcess[str]"],
) -> None:
    done = halfshade("check", EXAMPLES / "let-go.toml")
    assert "Besides: let go from 12; ice in 20." in done.stdout


def test_the_command_prints_four_columns_and_the_caution_of_a_storm(
    halfshade: Callable[..., "subprocess.CompletedProcess[str]"],
) -> None:
    done = halfshade("compare", EXAMPLES / "let-go.toml", environment={"COLUMNS": "200"})
    assert (done.returncode, done.stderr) == (0, "")
    for words in ("the plan kept up", "lost", "Ice in year 20", "Events are illustrations"):
        assert words in done.stdout
    assert STORM[:40] in done.stdout
    assert FIRE[:40] not in done.stdout
    document = json.loads(halfshade("compare", EXAMPLES / "let-go.toml", "--json").stdout)
    assert set(document["systems"]) == {"silvopasture", "plantation", "pasture", "kept_up"}
    assert document["systems"]["kept_up"]["years"][20]["trees_lost_to_events_per_ac"] > 0


def test_pictures_are_drawn_of_four_systems() -> None:
    comparison = compare(load(EXAMPLES / "let-go.toml"), precision="fast")
    gids = {str(line.get_gid()) for axes in stand_figure(comparison).axes for line in axes.get_lines()}
    assert {"basal_area_ft2_ac-silvopasture", "basal_area_ft2_ac-kept_up"} <= gids
    gids = {str(line.get_gid()) for axes in income_figure(comparison).axes for line in axes.get_lines()}
    assert "cumulative-kept_up" in gids


def test_fire_is_printed_with_its_caution(
    halfshade: Callable[..., "subprocess.CompletedProcess[str]"], tmp_path: Path
) -> None:
    text = f"{EXAMPLE}\n[fire]\nfirst_year = 10\n[market]\npulpwood_bid = false\n"
    (tmp_path / "field.toml").write_text(text, encoding="utf-8")
    done = halfshade("compare", "field.toml", environment={"COLUMNS": "200"})
    assert done.returncode == 0
    for words in ("licensed burner", "Nobody bids on pulpwood", "The thinning of year 16 is mostly pulpwood"):
        assert words in done.stdout


def test_whoever_sells_timber_is_sent_to_a_registered_forester() -> None:
    sold = load_text(EXAMPLE, "field.toml")
    grass = sold.model_copy(update={"trees": None, "thinning": (), "harvest": None})
    assert dangers(sold) == (TIMBER_SALE,)
    assert "registered forester" in TIMBER_SALE
    assert dangers(grass) == ()
    storm = load_text(f'{EXAMPLE}\n[[event]]\nyear = 20\nkind = "wind"\n', "field.toml")
    assert dangers(storm) == (STORM, TIMBER_SALE)
