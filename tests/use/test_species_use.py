"""Other trees as a person meets them: init, check, stem, warnings, and files that extend another."""

import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from plans import changed, example, fast
from simulator.accounts import LINES
from simulator.errors import InputError, ParameterError
from simulator.findings.warnings import warnings_of
from simulator.parameters.catalogue import tree_names
from simulator.parameters.species import load_species
from simulator.scenario.file import load_text
from simulator.scenario.model import Scenario
from simulator.sourced import read_sourced
from workbench.charts.style import ENTERPRISE_COLOR
from workbench.examples import Choices, example_text, scenario_text

Command = Callable[..., "subprocess.CompletedProcess[str]"]
TIMBER = [name for name in tree_names() if load_species(name).orchard is None]


@pytest.mark.parametrize("species", tree_names())
@pytest.mark.parametrize("layout", ["double", "block", "square"])
def test_a_started_scenario_loads_without_problems(species: str, layout: str) -> None:
    scenario = load_text(scenario_text(Choices(trees=species, layout=layout)), species)
    assert scenario.trees is not None
    assert scenario.trees.species == species


def test_the_catalogue() -> None:
    assert tree_names() == [
        "loblolly",
        "loblolly-longleaf",
        "loblolly-narrow",
        "longleaf",
        "pecan",
        "shortleaf",
        "slash",
    ]


@pytest.mark.parametrize("species", TIMBER)
def test_a_stem_of_every_timber(halfshade: Command, species: str) -> None:
    done = halfshade("stem", "--species", species, "--dbh", "14", "--height", "75", "--json")
    assert (done.returncode, done.stderr) == (0, "")
    tree = json.loads(done.stdout)
    assert 1.1 < tree["volume_outside_bark_ft3"] / tree["volume_inside_bark_ft3"] < 1.4
    assert 0.7 < tree["green_ton"] < 1.4


def test_a_nut_tree_has_no_stem(halfshade: Command) -> None:
    done = halfshade("stem", "--species", "pecan", "--dbh", "14", "--height", "45")
    assert done.returncode == 2
    assert "salvage" in done.stderr
    assert "Traceback" not in done.stderr
    unknown = halfshade("stem", "--species", "oak", "--dbh", "14", "--height", "45")
    assert unknown.returncode == 2
    assert f"Use one of: {', '.join(TIMBER)}." in unknown.stderr
    assert "pecan" not in unknown.stderr


def with_trees(*lines: str, species: str = "loblolly", more: tuple[tuple[str, str], ...] = ()) -> str:
    text = example_text().replace('species = "loblolly"', "\n".join([f'species = "{species}"', *lines]), 1)
    for old, new in more:
        assert old in text
        text = text.replace(old, new, 1)
    return text


@pytest.mark.parametrize(
    ("text", "field", "says"),
    [
        (with_trees('genetics = "elite"'), "trees.genetics", "elite"),
        (with_trees("site_index_ft = 300.0"), "trees.site_index_ft", "300"),
        (with_trees("rust_infected_share = 1.5"), "trees.rust_infected_share", "1.5"),
        (with_trees('weed_control = "no"'), "trees.weed_control", "no"),
        (with_trees('genetics = "poor"', species="pecan"), "trees.genetics", "grafted"),
        (with_trees("rust_infected_share = 0.2", species="pecan"), "trees.rust_infected_share", "pines"),
        (with_trees(species="pecan", more=(("market = false", "market = true"),)), "straw.market", "needles"),
        (with_trees(species="pecan", more=(('animals = "cattle"', 'animals = "goats"'),)), "use.animals", "bark"),
    ],
    ids=["grade", "site", "rust", "weeds", "grafted", "rust of pecan", "straw of pecan", "goats"],
)
def test_a_mistake_is_named_with_its_line(text: str, field: str, says: str) -> None:
    with pytest.raises(InputError) as caught:
        load_text(text, "field.toml")
    found = [problem for problem in caught.value.problems if problem.field == field]
    assert found, caught.value.problems
    problem = found[0]
    assert problem.line is not None
    assert says in f"{problem.rule} {problem.received} {problem.remedy}"


def warned(plan: Scenario) -> dict[str, str]:
    return {warning.code: warning.message for warning in warnings_of("silvopasture", fast(plan))}


def test_loblolly_is_not_called_provisional() -> None:
    codes = set(warned(example()))
    assert codes.isdisjoint({"provisional_numbers", "site_index_conversion", "genetics", "no_weed_control"})


def test_a_converted_site_index_is_said() -> None:
    said = warned(changed(example(), "trees", species="longleaf"))
    assert "68 ft of loblolly is taken as 85 ft of longleaf pine at 50" in said["site_index_conversion"]
    assert "longleaf pine" in said["provisional_numbers"]
    own = warned(changed(example(), "trees", species="longleaf", site_index_ft=78.0))
    assert "site_index_conversion" not in own


def test_seed_carries_what_speaks_against_it() -> None:
    assert "Bragg 2021" in warned(changed(example(), "trees", genetics="second generation"))["genetics"]


def test_rust_and_weeds_are_spoken_of() -> None:
    assert "moderate" in warned(changed(example(), "trees", species="slash"))["rust_assumed"]
    assert "high hazard" in warned(changed(example(), "trees", species="slash", rust_infected_share=0.5))["rust_hazard"]
    assert "label" in warned(changed(example(), "trees", weed_control=False))["no_weed_control"]


def test_the_range_of_the_fits_is_the_species_own() -> None:
    poor = changed(example(), "land", site_index_ft=54.0)
    assert "site_index_range" not in warned(poor)
    outside = changed(poor, "trees", species="longleaf", site_index_ft=60.0)
    assert "64-101 ft" in warned(outside)["site_index_range"]


def test_every_enterprise_of_the_ledger_has_a_colour() -> None:
    assert {line.enterprise for line in LINES} == set(ENTERPRISE_COLOR)


# Parameter files that extend another ------------------------------------------------------------------------------

PARENT = """
title = "Parent"
[sources]
A = "assumed for this test"
B = "also assumed"
[size]
height = { value = 1.0, unit = "ft", source = "A" }
width = { value = 2.0, unit = "ft", source = "B" }
[age]
years = { value = 3.0, unit = "yr", source = "A" }
"""


def child_of(folder: Path, text: str) -> Path:
    (folder / "parent.toml").write_text(PARENT, encoding="utf-8")
    child = folder / "child.toml"
    child.write_text(text, encoding="utf-8")
    return child


def test_a_file_replaces_entries_of_its_parent_one_by_one(tmp_path: Path) -> None:
    text = """
title = "Child"
extends = "parent"
[sources]
C = "assumed otherwise"
[size]
width = { value = 5.0, unit = "ft", source = "C" }
[more]
number = { value = 7.0, unit = "1", source = "C" }
"""
    path = child_of(tmp_path, text)
    file = read_sourced(path)
    values = {table: {name: entry.value for name, entry in held.items()} for table, held in file.tables.items()}
    assert values == {"size": {"height": 1.0, "width": 5.0}, "age": {"years": 3.0}, "more": {"number": 7.0}}
    assert file.title == "Child"
    assert set(file.sources) == {"A", "C"}, "a source that nothing uses any more is left out"
    assert set(read_sourced(path, plain=("extends",)).tables) == {"size", "more"}


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('extends = "nobody"\n', "nobody"),
        ('extends = "child"\n', "child"),
        ("extends = 3\n", "3"),
        ('extends = "parent"\n[size]\nwidth = { value = 5.0, unit = "ft", source = "A" }\n', "size.width"),
        ('extends = "parent"\n[size]\nwidth = 5.0\n', "size.width"),
        (
            'extends = "parent"\n[sources]\nA = "other"\n[size]\nwidth = { value = 5.0, unit = "ft", source = "A" }\n',
            "mean something else",
        ),
    ],
    ids=["absent", "itself", "a number", "source of the parent", "bare", "another meaning"],
)
def test_a_faulty_extension_is_refused(tmp_path: Path, text: str, says: str) -> None:
    with pytest.raises(ParameterError, match=says):
        read_sourced(child_of(tmp_path, text))
