"""``halfshade wait``: thin now or wait, as a landowner and as another program meet it."""

import json
import re
import subprocess
from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest

from running import run_halfshade
from workbench.examples import example_text, stand_example_text
from workbench.words import dollars

Halfshade = Callable[..., "subprocess.CompletedProcess[str]"]
SMALL = ("--years", "2", "--draws", "200")


@pytest.fixture(scope="module")
def answered(tmp_path_factory: pytest.TempPathFactory) -> "subprocess.CompletedProcess[str]":
    """The packaged stand, answered for another program, for every test that only looks."""
    folder = tmp_path_factory.mktemp("wait")
    (folder / "pines.toml").write_text(stand_example_text(), encoding="utf-8")
    return run_halfshade(folder, "wait", "pines.toml", *SMALL, "--json")


@pytest.fixture
def stand(tmp_path: Path) -> Path:
    """The packaged stand as a file."""
    path = tmp_path / "pines.toml"
    path.write_text(stand_example_text(), encoding="utf-8")
    return path


def for_wood(text: str) -> str:
    """The stand kept for wood: thinned to 260 trees, its grass unused."""
    text = text.replace('animals = "cattle"', 'animals = "none"').replace("first_grazing_year = 3", "#")
    return text.replace("residual_basal_area_ft2_ac = 70", "residual_trees_per_ac = 260")


def test_terminal_answers_first_and_says_what_it_rests_on(halfshade: Halfshade) -> None:
    done = halfshade("wait", *SMALL)
    assert done.returncode == 0, done.stderr
    assert "packaged example" in done.stderr
    first = done.stdout.splitlines()[0]
    assert re.match(r"(Thin now|Wait|Do not thin|Clearcut now).*\$[\d,]+ an acre more than", first), first
    for words in (
        "thin now or wait, land and stand",
        "clearcut now",
        "never thin",
        "What waiting changes on the ground",
        "The price to act at",
        "What to do this year at which price",
        "all wood",
        "Being free to wait for a price is worth",
        "illustrative",
        "no forecast",
        "How wood prices move is invented",
        "registered forester",
        "not financial, tax or legal advice",
    ):
        assert words in done.stdout, words


def test_json_holds_what_other_programs_rely_on(answered: "subprocess.CompletedProcess[str]") -> None:
    assert answered.returncode == 0, answered.stderr
    document = json.loads(answered.stdout, parse_constant=pytest.fail)
    now, waits = document["now"]["present_value_per_ac"], document["wait"]
    assert [entry["years"] for entry in waits] == [1, 2]
    worth = [now, *(entry["present_value_per_ac"] for entry in waits)]
    assert document["best_wait_years"] == worth.index(max(worth))
    assert document["clearcut_now"]["present_value_per_ac"] < document["hold"]["present_value_per_ac"]
    assert set(document["reservation_price"]) >= {"item", "unit", "value"}
    assert document["reservation_price"]["item"] == "wood"
    assert {entry["item"] for entry in document["reservation_prices"]} >= {"wood", "chip_and_saw", "pulpwood"}
    for entry in document["reservation_prices"]:
        assert entry["flexible_value_per_ac"] >= entry["best_fixed_plan_per_ac"]
    for entry in waits:
        assert entry["against_now_per_ac"] == pytest.approx(entry["present_value_per_ac"] - now, abs=1e-9)


@pytest.mark.parametrize("use", ["for grass", "for wood"])
def test_the_numbers_of_the_sentence_are_those_of_the_document(
    halfshade: Halfshade, stand: Path, answered: "subprocess.CompletedProcess[str]", use: str
) -> None:
    stand.write_text(for_wood(stand_example_text()), encoding="utf-8")
    done = answered if use == "for grass" else halfshade("wait", stand, *SMALL, "--json")
    document = json.loads(done.stdout)
    worth = {"thin_now": document["now"]["present_value_per_ac"]}
    worth |= {f"wait {entry['years']}": entry["present_value_per_ac"] for entry in document["wait"]}
    others = {key: document[key]["present_value_per_ac"] for key in ("hold", "clearcut_now")}
    thinned = sorted(worth.values(), reverse=True)
    best = max(worth | others, key=lambda key: (worth | others)[key])
    if best in others:
        ahead = others[best] - thinned[0]
    elif best == "thin_now":
        ahead = worth["thin_now"] - thinned[1]
    else:
        ahead = thinned[0] - worth["thin_now"]
    assert document["best"] == ("wait" if best.startswith("wait") else best)
    assert document["ahead_per_ac"] == pytest.approx(ahead, abs=1e-9)
    assert f"{dollars(ahead)} an acre more" in document["sentence"]


def test_files_are_written_and_say_the_same(halfshade: Halfshade, stand: Path, tmp_path: Path) -> None:
    done = halfshade("wait", stand, *SMALL, "--out", "wait", "--item", "pulpwood")
    assert done.returncode == 0, done.stderr
    folder = tmp_path / "wait"
    assert {path.name for path in folder.iterdir()} == {
        "wait.json",
        "wait.csv",
        "wait.png",
        "wait.svg",
        "made-with.json",
    }
    document = json.loads((folder / "wait.json").read_text(encoding="utf-8"))
    assert document["reservation_price"]["item"] == "pulpwood"
    assert document["reservation_price"]["unit"] == "$/ton"
    table = pd.read_csv(folder / "wait.csv")
    assert list(table["answer"]) == ["thin", "thin", "thin", "clearcut now", "never thin"]
    values = [document["now"], *document["wait"], document["clearcut_now"], document["hold"]]
    assert list(table["present_value_per_ac"]) == pytest.approx(
        [entry["present_value_per_ac"] for entry in values], rel=1e-5
    )
    assert document["sentence"].split(":")[0] in (folder / "wait.svg").read_text(encoding="utf-8").replace("\n", " ")


def test_the_same_bytes_from_the_same_seed(
    halfshade: Halfshade, stand: Path, answered: "subprocess.CompletedProcess[str]"
) -> None:
    """Of the seed that is taken where none is named, stated and unstated."""
    again = halfshade("wait", stand, *SMALL, "--json", "--seed", "1")
    assert again.stdout == answered.stdout
    assert json.loads(again.stdout)["several_prices"]["draws"] == 200


def test_a_file_without_thinnings_takes_the_usual_ones(halfshade: Halfshade, stand: Path) -> None:
    text = for_wood(stand_example_text())
    first, last = text.index("[[thinning]]"), text.index("[harvest]")
    stand.write_text(text[:first] + text[last:], encoding="utf-8")
    done = halfshade("wait", stand, *SMALL)
    assert done.returncode == 0, done.stderr
    assert "The file states no thinning: the usual ones" in done.stdout


def test_a_thinning_that_finds_no_bid_is_no_answer(halfshade: Halfshade, stand: Path, tmp_path: Path) -> None:
    stand.write_text(stand_example_text().replace("acres = 60", "acres = 1.5"), encoding="utf-8")
    done = halfshade("wait", stand, *SMALL, "--out", "wait")
    assert done.returncode == 0, done.stderr
    document = json.loads((tmp_path / "wait" / "wait.json").read_text(encoding="utf-8"))
    assert document["now"]["present_value_per_ac"] is None
    assert "no bid" in document["now"]["cannot"]
    assert document["best_wait_years"] is None
    assert document["reservation_price"]["value"] is None
    assert "cannot be done" in document["sentence"]
    assert "no bid is likely" in done.stdout


def test_prices_of_the_file_move_as_it_says(halfshade: Halfshade, stand: Path) -> None:
    path = '\n[[price_path]]\nitem = "pulpwood"\nmoves = "fixed"\n[[price_path]]\nitem = "sawtimber"\nmoves = "fixed"\n'
    stand.write_text(stand_example_text() + path, encoding="utf-8")
    document = json.loads(halfshade("wait", stand, *SMALL, "--json").stdout)
    assert [entry["item"] for entry in document["reservation_prices"]] == ["wood", "pulpwood", "sawtimber"]
    for entry in document["reservation_prices"]:
        assert entry["option_value_per_ac"] == pytest.approx(0.0, abs=0.005)
    assert not any("invented" in note for note in document["notes"])


def test_wood_sold_at_the_mill_moves_too(halfshade: Halfshade, stand: Path) -> None:
    stand.write_text(stand_example_text() + '\n[sale]\npricing = "delivered"\n', encoding="utf-8")
    done = halfshade("wait", stand, *SMALL, "--json")
    assert done.returncode == 0, done.stderr
    items = [entry["item"] for entry in json.loads(done.stdout)["reservation_prices"]]
    assert items[0] == "wood"
    assert "delivered_pulpwood" in items


@pytest.mark.parametrize(
    ("change", "arguments", "words"),
    [
        (lambda text: text.replace("age = 18", "age = 3"), (), "pines.toml:"),
        (lambda text: text + '\n[[price_path]]\nitem = "chip_and_sow"\n', (), "chip_and_saw"),
        (lambda text: text.replace("discount_rate = 0.05", "discount_rate = 0.0"), (), "State a rate above 0"),
        (lambda text: text.replace("# [neglect]", "[neglect]\nfrom_year = 2\n#"), (), "neglect"),
        (str, ("--item", "gold"), "Name one of: wood"),
        (str, ("--years", "0"), "--years"),
        (str, ("--draws", "3"), "--draws"),
    ],
)
def test_wrong_input_is_refused_with_what_to_do(
    halfshade: Halfshade, stand: Path, change: Callable[[str], str], arguments: tuple[str, ...], words: str
) -> None:
    stand.write_text(change(stand_example_text()), encoding="utf-8")
    done = halfshade("wait", stand, *arguments)
    assert done.returncode == 2, done.stderr
    assert words in done.stderr
    assert done.stdout == ""


def test_trees_not_planted_yet_cannot_wait(halfshade: Halfshade, tmp_path: Path) -> None:
    path = tmp_path / "field.toml"
    path.write_text(example_text(), encoding="utf-8")
    done = halfshade("wait", path)
    assert done.returncode == 2
    assert "field.toml" in done.stderr
    assert "init --route stand" in done.stderr


def test_a_horizon_shorter_than_the_thinnings_is_answered(halfshade: Halfshade, stand: Path) -> None:
    """The answer rests on the whole stand; thinnings beyond the horizon of a comparison are no fault."""
    text = stand.read_text(encoding="utf-8")
    stand.write_text(text.replace("horizon_years = 40", "horizon_years = 5"), encoding="utf-8")
    done = halfshade("wait", stand, *SMALL, "--json")
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["now"]["present_value_per_ac"] is not None


def test_a_nominal_rate_that_is_all_inflation_is_refused(halfshade: Halfshade, stand: Path) -> None:
    rate = 'discount_rate = 0.02\nrate_basis = "nominal"\ninflation = 0.02 #'
    text = stand.read_text(encoding="utf-8").replace("discount_rate = 0.05", rate)
    stand.write_text(text, encoding="utf-8")
    done = halfshade("wait", stand, *SMALL)
    assert done.returncode == 2
    assert "money.discount_rate: leaves what follows the stand for ever without a sum" in done.stderr
