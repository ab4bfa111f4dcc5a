"""A field with headlands and a pond as a person meets it: what is said of its acres, and where a table is refused."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from workbench.examples import example_text
from workbench.main import main

GROUND = """
[land.ground]
alley_ac = 26.1
tree_strip_ac = 9.2
headland_ac = 3.1
unusable_ac = 1.6
edge_row_share = 0.09
"""
SAID = "Rows and their alleys take 35.3 of the 40 acres, headlands in grass 3.1 and 1.6 bear nothing."


@pytest.fixture
def field(tmp_path: Path) -> Path:
    """The packaged example on a field that was measured."""
    path = tmp_path / "field.toml"
    path.write_text(example_text() + GROUND, encoding="utf-8")
    return path


def invoke(*arguments: object) -> str:
    result = CliRunner().invoke(main, [str(argument) for argument in arguments])
    assert result.exit_code == 0, result.output
    return " ".join(result.stdout.split())


def test_a_run_says_how_many_acres_hold_rows_and_what_an_acre_is(field: Path) -> None:
    said = invoke("run", field)
    assert SAID in said
    assert "trees and basal area among the rows are 1.13 times these" in said


def test_a_check_says_it_before_anything_is_grown(field: Path) -> None:
    assert SAID in invoke("check", field)


def test_documents_hold_the_share_of_every_use(field: Path) -> None:
    document = json.loads(invoke("compare", field, "--json"))
    systems = document["systems"]
    shares = {name: (round(each["planted_share"], 4), each["headland_share"]) for name, each in systems.items()}
    assert shares == {"silvopasture": (0.8825, 0.0775), "plantation": (0.96, 0.0), "pasture": (0.0, 0.0)}
    told = [warning for warning in document["warnings"] if warning["code"] == "field_parts"]
    assert len(told) == 3
    assert told[0]["message"].startswith(SAID)
    # as many trees an acre of rows as the endless field has on an acre
    assert systems["silvopasture"]["years"][0]["trees_per_ac"] == pytest.approx(0.8825 * 217.8)


def test_without_the_table_nothing_is_said_and_rows_fill_the_field(tmp_path: Path) -> None:
    path = tmp_path / "field.toml"
    path.write_text(example_text(), encoding="utf-8")
    document = json.loads(invoke("run", path, "--json"))
    assert document["planted_share"] == 1.0
    assert not [warning for warning in document["warnings"] if warning["code"] == "field_parts"]


def test_an_order_for_another_field_is_noticed(field: Path) -> None:
    field.write_text(example_text() + GROUND + "trees_ordered = 5200\n", encoding="utf-8")
    assert "5,200 seedlings are ordered, but the plan plants 7,688" in invoke("run", field)


def test_acres_that_do_not_add_up_are_refused_at_their_line(field: Path) -> None:
    field.write_text(example_text() + GROUND.replace("3.1", "13.1"), encoding="utf-8")
    result = CliRunner().invoke(main, ["run", str(field)])
    assert result.exit_code == 2
    said = " ".join(result.output.split())
    line = (example_text() + GROUND).splitlines().index("[land.ground]") + 1
    assert f"field.toml:{line}: land.ground: adds up to 50.00 ac, but the field has acres = 40" in said
