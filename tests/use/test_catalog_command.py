"""``halfshade catalog`` lists what the parameter files hold, fits a narrow terminal, and says how sure it is."""

import json
import subprocess
from collections.abc import Callable
from typing import Any

import pytest
from click.testing import CliRunner

from simulator.parameters.catalogue import animal_names, grass_names, tree_names
from simulator.parameters.pasture import load_grass
from simulator.parameters.sureness import grade_of, grade_of_price, sureness_of
from simulator.physics.forage import light_response
from simulator.sourced import Sourced, SourcedFile
from workbench import catalog as traits
from workbench.commands.catalog import catalog

Halfshade = Callable[..., "subprocess.CompletedProcess[str]"]
NARROW = 80


@pytest.fixture(scope="module")
def listed() -> dict[str, Any]:
    return {kind: rows() for kind, rows in traits.KINDS.items()}


def test_the_document_holds_every_file(halfshade: Halfshade) -> None:
    done = halfshade("catalog", "--json")
    assert (done.returncode, done.stderr) == (0, "")
    document = json.loads(done.stdout)
    ids = {kind: [row["id"] for row in rows] for kind, rows in document.items()}
    assert ids["trees"] == tree_names()
    assert ids["grasses"] == grass_names()
    assert [*ids["animals"], "none"] == animal_names()
    assert {"pulpwood", "sawtimber", "pole", "hay", "calf", "straw_bale"} <= set(ids["products"])


@pytest.fixture
def already_listed(listed: dict[str, Any], monkeypatch: pytest.MonkeyPatch) -> None:
    """The command with traits that were worked out once: a plantation of every tree takes a while."""
    for kind, rows in listed.items():
        monkeypatch.setitem(traits.KINDS, kind, lambda rows=rows: rows)


@pytest.mark.usefixtures("already_listed")
def test_tables_fit_a_narrow_terminal_and_name_everything() -> None:
    done = CliRunner().invoke(catalog)
    assert done.exit_code == 0
    assert max(len(line) for line in done.stdout.splitlines()) <= NARROW
    for name in [*tree_names(), *grass_names(), *animal_names()[:-1], "chip and saw", "grazing lease"]:
        assert name in done.stdout
    assert "Prices are INVENTED" in done.stdout
    assert "provisional" in done.stdout


@pytest.mark.usefixtures("already_listed")
@pytest.mark.parametrize("kind", list(traits.KINDS))
def test_one_kind_alone(kind: str) -> None:
    done = CliRunner().invoke(catalog, ["--kind", kind, "--json"])
    assert list(json.loads(done.stdout)) == [kind]


def test_an_unknown_kind_is_refused(halfshade: Halfshade) -> None:
    done = halfshade("catalog", "--kind", "shrubs")
    assert (done.returncode, done.stdout) == (2, "")
    assert "shrubs" in done.stderr


def test_trees_grow_as_practice_expects(listed: dict[str, Any]) -> None:
    """The demonstration site in loblolly: 29-36, 54-62, 70-79 ft (judgement of practice, no source)."""
    for tree in listed["trees"]:
        ten, twenty, thirty = tree["height_ft"].values()
        assert 0.0 < ten < twenty < thirty < 110.0
        # crowns never narrower in the open than among neighbours
        assert 5.0 < tree["crown_width_10in_ft"]["in_a_stand"] <= tree["crown_width_10in_ft"]["open_grown"] < 45.0
        assert 200.0 <= tree["sdi_maximum"] <= 600.0
    loblolly = next(tree for tree in listed["trees"] if tree["id"] == "loblolly")
    ten, twenty, thirty = loblolly["height_ft"].values()
    assert 29.0 <= ten <= 36.0
    assert 54.0 <= twenty <= 62.0
    assert 70.0 <= thirty <= 79.0
    assert loblolly["sdi_maximum"] == 450.0


def test_half_the_light_is_half_the_yield(listed: dict[str, Any]) -> None:
    for grass in listed["grasses"]:
        shade = load_grass(grass["id"]).shade
        assert float(light_response(grass["light_at_half_yield"], shade)) == pytest.approx(0.5, abs=1e-3)
        # farm pastures and hay fields of the region, unfertilised to well fed: 1 to 9 tons (common practice, no source)
        assert 1_500.0 <= grass["open_yield_lb_ac"] <= 18_000.0
        assert grass["growing_months"]
        assert 0.0 <= grass["light_below_which_it_thins"] < 0.7


def test_animals_sell_something_and_wait_for_the_trees(listed: dict[str, Any]) -> None:
    for animal in listed["animals"]:
        assert animal["sold"]
        assert 0.05 <= animal["animal_units"] <= 1.5
        assert 4.0 <= animal["entry_height_ft"] <= 20.0
    sold = {animal["id"]: animal["sold"] for animal in listed["animals"]}
    assert sold["cattle"] == ["calves", "cull_cows"]
    assert sold["stockers"] == ["feeders"]


def test_wood_products_rise_in_size_and_price(listed: dict[str, Any]) -> None:
    by_name = {product["id"]: product for product in listed["products"]}
    pulp, small, saw = (by_name[name] for name in ("pulpwood", "chip_and_saw", "sawtimber"))
    for key in ("price", "minimum_dbh_in", "minimum_top_in"):
        assert pulp[key] < small[key] < saw[key]
    assert by_name["pole"]["price"] > saw["price"]
    assert by_name["hay"]["minimum_dbh_in"] is None
    for product in listed["products"]:
        assert product["price_low"] <= product["price"] <= product["price_high"]


# How sure -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("source", "grade"),
    [
        ("Smith & Jones 1999, Journal 1:1, table 3", "published"),
        ("Smith & Jones 1999, Journal 1:1; from memory", "from_memory"),
        ("Smith & Jones 1999, Journal 1:1; second-hand, fitted", "second_hand"),
        ("fitted for this project to Smith & Jones 1999", "derived"),
        ("Assumed for this project; near Smith & Jones 1999 (second-hand)", "assumed"),
        ("common practice, no source", "assumed"),
        ("somebody said so", "assumed"),
        ("invented demo", "invented"),
    ],
)
def test_the_weakest_word_of_a_source_decides(source: str, grade: str) -> None:
    assert grade_of(source) == grade


@pytest.mark.parametrize(
    ("source", "grade"),
    [
        ("three buyers asked by telephone, May 2026", "stated"),
        ("the state's price table of 2026", "stated"),
        ("somebody said so", "stated"),
        ("common practice of loggers here", "assumed"),
        ("invented demo", "invented"),
    ],
)
def test_what_a_buyer_said_is_no_published_work(source: str, grade: str) -> None:
    assert grade_of_price(source) == grade


def test_every_number_is_counted_once() -> None:
    numbers = {
        "first": Sourced(value=1.0, unit="ft", source="A"),
        "second": Sourced(value=(1.0, 2.0), unit="ft", source="B", provisional=True),
    }
    sources = {"A": "Smith 1999, Journal 1:1", "B": "assumed for this project"}
    file = SourcedFile(traits.PRICES, "a file", sources, {"one": numbers, "two": numbers})
    counts = sureness_of(file)
    assert (counts.published, counts.assumed, counts.provisional, counts.numbers) == (2, 2, 2, 4)
    assert sureness_of(file, ("two",)).numbers == 2


def test_counts_of_the_catalogue_add_up(listed: dict[str, Any]) -> None:
    for kind in ("trees", "grasses", "animals"):
        for row in listed[kind]:
            counts = dict(row["sureness"])
            weakest = counts.pop("provisional")
            assert sum(counts.values()) >= 15
            assert 0 <= weakest <= sum(counts.values())
            # prices are invented; growth never is
            assert counts["invented"] == 0


@pytest.mark.parametrize(
    ("months", "words"),
    [
        ([2, 3, 4], "Mar-May"),
        ([0, 1, 10, 11], "Nov-Feb"),
        ([2, 3, 8, 9, 10], "Mar-Apr, Sep-Nov"),
        ([5], "Jun"),
        (list(range(12)), "all year"),
    ],
)
def test_seasons_are_said_as_people_say_them(months: list[int], words: str) -> None:
    assert traits.season_words(months) == words
