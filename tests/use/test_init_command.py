"""``halfshade init`` prints scenarios that load, whatever is chosen, and overwrites nothing unasked."""

import itertools
import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from click.testing import CliRunner

from simulator.errors import InputError
from simulator.parameters.catalogue import animal_names, grass_names, tree_names
from simulator.parameters.prices import load_prices
from simulator.scenario.file import load, load_text
from workbench.commands.init import LAYOUTS, init
from workbench.examples import example_text, price_table_text, scenario_text
from workbench.starts import Choices, layouts, refusals

ROOT = Path(__file__).parents[2]
COMBINATIONS = [
    choices
    for parts in itertools.product(tree_names(), grass_names(), ["", *animal_names()], ["", *LAYOUTS])
    if not refusals(choices := Choices(*parts))
]


@pytest.mark.parametrize("species", tree_names())
def test_every_combination_that_somebody_would_plant_loads(species: str) -> None:
    mine = [choices for choices in COMBINATIONS if choices.trees == species]
    assert mine
    for choices in mine:
        scenario = load_text(scenario_text(choices), "-".join(choices))
        assert scenario.trees is not None
        assert scenario.trees.species == species
        assert scenario.pasture.grass == choices.grass
        assert scenario.use.animals == (choices.animals or ("none" if choices.layout == "block" else "cattle"))


def test_the_layouts_offered_are_the_layouts_described() -> None:
    assert tuple(layouts()) == LAYOUTS


def test_the_example_is_the_demonstration_property() -> None:
    """The invented property of this project: double rows 8 x 8 ft, 42-ft alleys, thinned at 16 and 24, cut at 35."""
    document = tomllib.loads(example_text())
    assert document["land"]["acres"] == 40
    assert document["land"]["latitude_deg"] == 31.3
    assert document["land"]["site_index_ft"] == 68
    layout = document["trees"]["layout"]
    assert [layout[key] for key in ("rows_in_set", "row_gap_ft", "in_row_ft", "alley_ft")] == [2, 8, 8, 42]
    assert [(cut["year"], cut["residual_trees_per_ac"]) for cut in document["thinning"]] == [(16, 100), (24, 60)]
    assert document["harvest"]["year"] == 35
    assert document["pasture"]["nitrogen_lb_ac"] == 80
    assert document["use"]["hay_years"] == [1, 4]
    assert (document["use"]["first_grazing_year"], document["use"]["tenure"]) == (4, "leased")
    assert (document["money"]["discount_rate"], document["money"]["horizon_years"]) == (0.05, 40)


def test_the_file_in_examples_is_what_the_command_prints() -> None:
    printed = subprocess.run(
        [sys.executable, "-m", "workbench", "init"], cwd=ROOT, capture_output=True, timeout=60, check=True
    )
    stored = (ROOT / "examples" / "north-field.toml").read_bytes()
    assert printed.stdout.replace(os.linesep.encode(), b"\n") == stored
    assert example_text().encode("ascii") == stored


def test_the_text_warns_before_anything_else() -> None:
    head = example_text().partition("format = 1")[0]
    for words in ("Prices are invented", "Felling, herbicide, fire and animals", "label", "licensed"):
        assert words in head


def test_values_shown_in_comments_are_fields_that_load() -> None:
    # every commented line that assigns or opens a table, made to count
    text = re.sub(r"^# (?=\[|\w+ = )", "", example_text(), flags=re.MULTILINE)
    assert text.count("\n# ") < example_text().count("\n# ")
    scenario = load_text(text, "all lines")
    assert scenario.pruning
    assert scenario.treatment
    assert scenario.money.prices["calf"] == 2.10
    assert scenario.baseline.plantation == {"harvest": {"year": 33}}


def test_a_price_table_is_begun_that_reads_as_the_packaged_one_and_can_be_changed(tmp_path: Path) -> None:
    path = tmp_path / "my-prices.toml"
    done = CliRunner().invoke(init, ["--prices", "--out", str(path)])
    assert (done.exit_code, done.stdout) == (0, "")
    assert "price_table" in done.stderr
    assert load_prices(path.name, tmp_path) == load_prices("demo-2025")
    text = path.read_text(encoding="utf-8")
    assert "INVENTED" in text.partition("title =")[0]
    assert "CAUTION" in text.partition("title =")[0]
    own = text.replace("sawtimber = { value = 27.0", "sawtimber = { value = 31.5")
    assert own != text
    path.write_text(own, encoding="utf-8")
    assert load_prices(path.name, tmp_path).value("sawtimber") == 31.5


def test_what_the_head_of_a_price_table_advises_works(tmp_path: Path) -> None:
    """A source of its own, and a table that holds only what differs."""
    lines = [line.removeprefix("#").strip() for line in price_table_text().splitlines() if line.startswith("#")]
    extends, source = (
        next(line for line in lines if line.startswith(start)) for start in ("extends =", "buyers_may =")
    )
    mine = f"""title = "Mine"
currency_year = 2025
{extends}
[sources]
{source}
[sale]
sawtimber = {{ value = 31.5, unit = "$/ton", source = "buyers_may", low = 25.0, high = 36.0 }}
"""
    (tmp_path / "few.toml").write_text(mine, encoding="utf-8")
    few = load_prices("few.toml", tmp_path)
    assert few.value("sawtimber") == 31.5
    assert few.value("hay") == load_prices("demo-2025").value("hay")
    assert "May 2026" in few.sources["buyers_may"]


def test_a_price_table_and_a_choice_of_trees_do_not_go_together() -> None:
    refused = CliRunner().invoke(init, ["--prices", "--trees", "slash", "--layout", "block"])
    assert isinstance(refused.exception, InputError)
    assert [problem.field for problem in refused.exception.problems] == ["--trees", "--layout"]
    assert "does not go with --prices" in str(refused.exception)


def test_out_writes_a_file_and_refuses_to_overwrite_it(tmp_path: Path) -> None:
    path = tmp_path / "field.toml"
    assert CliRunner().invoke(init, ["--out", str(path)]).exit_code == 0
    assert path.read_text(encoding="utf-8") == example_text()
    refused = CliRunner().invoke(init, ["--out", str(path), "--layout", "block"])
    assert isinstance(refused.exception, InputError)
    assert "exists already" in str(refused.exception)
    assert path.read_text(encoding="utf-8") == example_text()
    assert CliRunner().invoke(init, ["--out", str(path), "--layout", "block", "--force"]).exit_code == 0
    assert load(path).use.animals == "none"
    assert [entry.name for entry in tmp_path.iterdir()] == ["field.toml"]


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--trees", "lobloly"], 'Did you mean "loblolly"?'),
        (["--grass", "bahia", "--animals", "cow"], "Known: cattle, goats, sheep, stockers, none"),
        (["--route", "stand", "--grass", "bahia"], "is not in the catalogue"),
        (["--layout", "quadruple"], "quadruple"),
        (["--out", "."], "is a folder"),
    ],
)
def test_what_cannot_be_had_ends_in_exit_code_2(tmp_path: Path, arguments: list[str], says: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "workbench", "init", *arguments],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        encoding="utf-8",
        timeout=60,
        check=False,
    )
    assert (done.returncode, done.stdout) == (2, "")
    assert says in done.stderr
    assert "Traceback" not in done.stderr
