"""``halfshade sensitivity`` and break-even values: what a sweep says about one output."""

import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest

from optimize.sensitivity.break_even import Tie, ties
from optimize.sensitivity.one_item import ties_of_item
from optimize.sensitivity.study import Asked, study
from plans import example
from simulator.comparison import compare
from simulator.errors import InputError
from sweeping import ALLEY, RATE, SAWTIMBER, factors_text, swept

Halfshade = Callable[..., "subprocess.CompletedProcess[str]"]
FIGURES = {f"{name}.{kind}" for name in ("tornado", "partial_dependence") for kind in ("png", "svg")}


def test_a_tornado_with_its_tables_and_figures(halfshade: Halfshade, tmp_path: Path) -> None:
    swept(tmp_path, factors_text(RATE, SAWTIMBER, design="one at a time", systems="all"))
    done = halfshade("sensitivity", "out", "--output", "equal annual income", "--over", "pasture")
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("Equal annual income of both together less that of grass alone [$/ac/yr], 5 ")
    assert "money.discount_rate: both together and grass alone earn the same at 4." in done.stdout
    assert "below that both together earn more, above it grass alone" in done.stdout
    assert "no odds of what will come" in done.stdout
    names = {path.name for path in (tmp_path / "out" / "sensitivity").iterdir()}
    tables = {"tornado.csv", "partial_dependence.csv", "break_even.csv", "sensitivity.json", "made-with.json"}
    assert names == FIGURES | tables
    tornado = pd.read_csv(tmp_path / "out" / "sensitivity" / "tornado.csv").set_index("factor")
    frame = pd.read_parquet(tmp_path / "out" / "results").set_index("scenario")
    lead = frame["silvopasture_equal_annual_income_per_ac"] - frame["pasture_equal_annual_income_per_ac"]
    assert tornado.loc["money.discount_rate", "at_low"] == pytest.approx(lead[1], rel=1e-4)
    assert tornado.loc["money.discount_rate", "at_high"] == pytest.approx(lead[2], rel=1e-4)
    assert tornado["width"].is_monotonic_decreasing


def test_indices_and_effects_come_with_their_designs(halfshade: Halfshade, tmp_path: Path) -> None:
    for design, samples, table in (("sobol indices", 16, "sobol"), ("morris", 6, "morris")):
        swept(tmp_path / table, factors_text(RATE, SAWTIMBER, design=design, more=f"samples = {samples}\n"))
        done = halfshade("sensitivity", f"{table}/out", "--json", "--no-break-even")
        assert done.returncode == 0, done.stderr
        document = json.loads(done.stdout)
        assert {row["factor"] for row in document[table]} == {"money.discount_rate", "sawtimber"}
        assert "break_even" not in document
        assert (tmp_path / table / "out" / "sensitivity" / f"{table}.svg").stat().st_size > 2000


def test_shares_of_the_variance_of_a_sweep_add_up(tmp_path: Path) -> None:
    """Net present value in two prices that never multiply is a sum: first indices are total ones and make all."""
    more = '[[factor]]\nprice = "grazing_lease_month"\nlow = 5\nhigh = 40\n'
    sweep = swept(tmp_path, factors_text(SAWTIMBER, more, design="sobol indices", more="samples = 512\n"))
    found = study(sweep, break_even=False).sobol
    assert found is not None
    assert sum(index.first for index in found.values()) == pytest.approx(1.0, abs=0.03)
    for index in found.values():
        assert index.first == pytest.approx(index.total, abs=0.03)


def test_a_tie_in_a_price_is_the_switch_of_the_comparison(tmp_path: Path) -> None:
    """Bisection against the straight line of `simulator.price_changes`, where one price moves alone."""
    hay = '[[factor]]\nprice = "hay"\nlow = 0\nhigh = 500\n'
    sawtimber = '[[factor]]\nprice = "sawtimber"\nlow = 0\nhigh = 100\n'
    found = study(swept(tmp_path, factors_text(hay, sawtimber, design="one at a time", systems="all"))).ties
    assert found is not None
    switches = {switch.item: switch for switch in compare(example(), precision="fast").switches}
    for item in ("hay", "sawtimber"):
        switch = switches[item]
        pair = {switch.now, switch.then}
        tie = next(tie for tie in found[item] if {tie.one, tie.other} == pair)
        assert tie.value == pytest.approx(switch.price, rel=1e-3)


def test_ties_of_lines_and_of_whole_numbers() -> None:
    """Lines that cross at 3.7, and never."""

    def incomes(values):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202
        return {"a": 2.0 * values, "b": values + 3.7, "c": values - 50.0}

    found = ties(incomes, 1.0, (0.0, 10.0))
    assert found[0] == Tie("a", "b", pytest.approx(3.7), "b", "a")
    assert found[1] == Tie("a", "c", None, "a", "a")
    assert ties(incomes, 1.0, (0.0, 10.0), whole=True)[0].value == 4.0


def test_output_of_a_plan_alone_and_what_it_cannot_say(tmp_path: Path) -> None:
    sweep = swept(tmp_path, factors_text(ALLEY, RATE))
    found = study(sweep, Asked("light at 20"), break_even=False)
    assert found.swings[0].name == "alley_ft"
    assert [swing.width for swing in found.swings if swing.name == "money.discount_rate"] == [pytest.approx(0.0)]
    for asked, said in (
        (Asked("light at 21"), "was not kept by this sweep"),
        (Asked("lite"), "is not an output"),
        (Asked(over="pasture"), "the sweep ran the plan alone"),
    ):
        with pytest.raises(InputError, match=said):
            study(sweep, asked)
    next((sweep.folder / "results").glob("part-*")).unlink()
    with pytest.raises(InputError, match="Run the same sweep again"):
        study(sweep)


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (Asked(system="cows"), "--system: is no system of this sweep .received cows.. Name one of: silvopasture, plan"),
        (Asked(over="silvopasture"), "--over: is the system that is studied"),
    ],
)
def test_a_system_that_is_not_there_or_held_against_itself(asked: Asked, said: str, tmp_path: Path) -> None:
    sweep = swept(tmp_path, factors_text(RATE, systems="all"))
    with pytest.raises(InputError, match=said):
        study(sweep, asked, break_even=False)


def test_a_folder_of_no_sweep(halfshade: Halfshade, tmp_path: Path) -> None:
    done = halfshade("sensitivity", tmp_path)
    assert done.returncode == 2
    assert "is not the folder of a sweep" in done.stderr


def test_compare_says_where_two_systems_tie(halfshade: Halfshade) -> None:
    done = halfshade("compare", "--break-even", "sawtimber")
    assert done.returncode == 0, done.stderr
    assert "Where two systems earn the same a year, sawtimber from $0 to $135 a ton" in done.stdout
    document = json.loads(halfshade("compare", "--break-even", "land.site_index_ft", "--json").stdout)
    assert document["break_even"]["low"] == pytest.approx(34.0)
    assert len(document["break_even"]["ties"]) == 3


@pytest.mark.parametrize(
    ("item", "said"),
    [
        ("sawtimbre", 'Did you mean "sawtimber"?'),
        ("trees.layout.alley", 'Did you mean "alley_ft"?'),
        ("trees.species", "must be a field that holds a number"),
    ],
)
def test_a_break_even_of_nothing_is_a_message(item: str, said: str) -> None:
    with pytest.raises(InputError) as caught:
        ties_of_item(example(), item)
    assert said in str(caught.value)
