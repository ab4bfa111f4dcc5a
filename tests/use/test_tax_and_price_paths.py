"""Income tax and moving prices as a person meets them: the line, the document, the messages."""

import json
from pathlib import Path
from typing import NamedTuple

import pytest
from click.testing import CliRunner

from simulator.errors import InputError
from simulator.scenario.file import load_text
from standing import pines_text
from workbench.commands.compare import compare
from workbench.commands.run import run
from workbench.examples import example_text

TAX = "\n[tax]\nordinary_rate = 0.22\ngains_rate = 0.15\nstate_rate = 0.05\n"
PATHS = '\n[[price_path]]\nitem = "sawtimber"\n[[price_path]]\nitem = "calf"\n[[price_path]]\nitem = "hay"\n'


def printed(command: object, text: str, folder: Path, *options: str) -> str:
    path = folder / "field.toml"
    path.write_text(text, encoding="utf-8")
    done = CliRunner().invoke(command, [str(path), *options])  # type: ignore[arg-type]
    assert done.exit_code == 0, done.output
    return done.stdout


def test_run_says_in_a_line_what_is_left_after_tax(tmp_path: Path) -> None:
    lines = printed(run, example_text() + TAX, tmp_path).splitlines()
    (line,) = [line for line in lines if line.startswith("After tax")]
    assert line.startswith("After tax at your rates: $")
    assert "an acre a year" in line
    assert "discounted at 3.6%, what tax leaves of 5.0% interest" in line
    assert line.endswith("; an estimate, not tax advice.")
    assert "After tax" not in printed(run, example_text(), tmp_path)


def test_run_documents_what_is_left_after_tax(tmp_path: Path) -> None:
    document = json.loads(printed(run, example_text() + TAX, tmp_path, "--json"))
    left = document["after_tax"]
    before = [year["cash_per_ac"] for year in document["years"]]
    before[-1] += document["end_value_per_ac"]
    after = [cash + tax for cash, tax in zip(left["cash_per_ac"], left["tax_per_ac"], strict=True)]
    assert after == pytest.approx(before)
    assert left["discount_rate"] == pytest.approx(0.05 * 0.73)
    assert left["equal_annual_income_per_ac"] < left["equal_annual_income_before_tax_at_this_rate_per_ac"]
    plain = json.loads(printed(run, example_text(), tmp_path, "--json"))
    assert plain["after_tax"] is None
    assert {**document, "after_tax": None} == plain, "nothing else changes"


def test_compare_says_it_for_every_system(tmp_path: Path) -> None:
    text = example_text() + TAX
    document = json.loads(printed(compare, text, tmp_path, "--json"))
    assert all(system["after_tax"]["npv_per_ac"] for system in document["systems"].values())
    (line,) = [line for line in printed(compare, text, tmp_path).splitlines() if line.startswith("After tax")]
    assert line.startswith("After tax at your rates, an acre a year: both together $")
    assert "trees alone $" in line
    assert "grass alone $" in line


def test_a_stand_that_is_there_may_have_a_basis(tmp_path: Path) -> None:
    text = pines_text() + TAX
    basis = "timber_basis = 12000\ntimber_basis_ton = 1600\n"
    without, with_ = (json.loads(printed(run, each, tmp_path, "--json"))["after_tax"] for each in (text, text + basis))
    assert with_["npv_per_ac"] > without["npv_per_ac"]


def test_what_follows_the_stand_has_no_basis_and_may_be_overridden(tmp_path: Path) -> None:
    basis = "timber_basis = 12000\ntimber_basis_ton = 1600\n"
    override = "[baseline.pasture.pasture]\nnitrogen_lb_ac = 70\n[baseline.plantation.harvest]\nyear = 14\n"
    document = json.loads(printed(compare, pines_text() + TAX + basis + PATHS + override, tmp_path, "--json"))
    assert all(system["after_tax"]["npv_per_ac"] for system in document["systems"].values())


def test_moving_prices_change_no_comparison(tmp_path: Path) -> None:
    assert printed(run, example_text() + PATHS, tmp_path, "--json") == printed(run, example_text(), tmp_path, "--json")


class Mistake(NamedTuple):
    """Text added to a sound scenario, the field and line meant, and what must be said of it."""

    text: str
    field: str
    marker: str
    says: str
    base: str = example_text()


MISTAKES = {
    "rate missing": Mistake("[tax]\ngains_rate = 0.1", "tax.ordinary_rate", "[tax]", "is missing"),
    "rate in percent": Mistake(
        "[tax]\nordinary_rate = 22\ngains_rate = 0.1", "tax.ordinary_rate", "ordinary_rate = 22", "below 1"
    ),
    "rates above all": Mistake(
        "[tax]\nordinary_rate = 0.7\ngains_rate = 0.1\nstate_rate = 0.4",
        "tax.ordinary_rate",
        "ordinary_rate = 0.7",
        "state_rate = 0.4 together must stay below 1",
    ),
    "basis without tons": Mistake(
        "[tax]\nordinary_rate = 0.2\ngains_rate = 0.1\ntimber_basis = 5000.0",
        "tax.timber_basis",
        "timber_basis = 5000.0",
        "needs timber_basis_ton",
        pines_text(),
    ),
    "basis of trees to be planted": Mistake(
        "[tax]\nordinary_rate = 0.2\ngains_rate = 0.1\ntimber_basis = 5000.0\ntimber_basis_ton = 50.0",
        "tax.timber_basis",
        "timber_basis = 5000.0",
        "is for timber that stands today",
    ),
    "no such price": Mistake(
        '[[price_path]]\nitem = "calves"', "price_path[1].item", '"calves"', 'Did you mean "calf"?'
    ),
    "a factor": Mistake(
        '[[price_path]]\nitem = "lump_sum_factor"\nkeep = 0.5\nspread = 0.1',
        "price_path[1].item",
        '"lump_sum_factor"',
        "is not an amount",
    ),
    "said twice": Mistake(
        '[[price_path]]\nitem = "hay"\n[[price_path]]\nitem = "hay" # again',
        "price_path[2].item",
        "# again",
        "has a [[price_path]] already",
    ),
    "trend of a mean-reverting price": Mistake(
        '[[price_path]]\nitem = "hay"\ntrend = 0.01', "price_path[1].trend", "trend = 0.01", "means nothing where"
    ),
    "no default": Mistake(
        '[[price_path]]\nitem = "nuts"\nkeep = 0.5', "price_path[1]", "[[price_path]]", "needs spread"
    ),
    "keeps all": Mistake('[[price_path]]\nitem = "hay"\nkeep = 1.0', "price_path[1].keep", "keep = 1.0", "below 1"),
    "unknown kind": Mistake(
        '[[price_path]]\nitem = "hay"\nmoves = "mean reverting"',
        "price_path[1].moves",
        '"mean reverting"',
        'Did you mean "mean-reverting"?',
    ),
    "link to nothing": Mistake(
        f'{PATHS}[[price_link]]\nitems = ["hay", "straw"]\ncorrelation = 0.1',
        "price_link[1].items",
        '"straw"',
        "has no [[price_path]]",
    ),
    "link to itself": Mistake(
        f'{PATHS}[[price_link]]\nitems = ["hay", "hay"]\ncorrelation = 0.1',
        "price_link[1].items",
        '["hay", "hay"]',
        "two different items",
    ),
    "links that cannot hold together": Mistake(
        f'{PATHS}[[price_link]]\nitems = ["hay", "calf"]\ncorrelation = 0.9\n[[price_link]]\nitems = '
        '["hay", "sawtimber"]\ncorrelation = 0.9\n[[price_link]]\nitems = ["calf", "sawtimber"]\ncorrelation = -0.9',
        "price_link[3].correlation",
        "correlation = -0.9",
        "cannot hold together",
    ),
}


@pytest.mark.parametrize("mistake", MISTAKES.values(), ids=MISTAKES.keys())
def test_a_mistake_is_told_with_its_line_and_what_to_do(mistake: Mistake) -> None:
    text = f"{mistake.base}\n{mistake.text}\n"
    with pytest.raises(InputError) as caught:
        load_text(text, "field.toml")
    (problem,) = caught.value.problems
    assert problem.field == mistake.field
    assert problem.line is not None
    assert mistake.marker in text.splitlines()[problem.line - 1]
    assert mistake.says in str(problem)
    assert problem.remedy
