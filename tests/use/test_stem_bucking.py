"""`halfshade stem --buck`, `--prices` and `--defect` as a person uses them; `run --out` and its last log."""

import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest

from simulator.harvest_logs import COLUMNS
from workbench.examples import example_text

Halfshade = Callable[..., "subprocess.CompletedProcess[str]"]
TREE = ("stem", "--dbh", "14", "--height", "75")


def document(halfshade: Halfshade, *words: str) -> dict[str, object]:
    done = halfshade(*TREE, *words, "--json")
    assert (done.returncode, done.stderr) == (0, "")
    return dict(json.loads(done.stdout, parse_constant=pytest.fail))


def test_keys_only_grow(halfshade: Halfshade) -> None:
    plain, bucked = document(halfshade), document(halfshade, "--buck")
    assert [key for key in bucked if key in plain] == list(plain)
    assert {key: bucked[key] for key in plain} == plain
    assert set(bucked) - set(plain) == {"defects", "prices_per_ton", "bucking"}
    assert set(document(halfshade, "--dbh-at-10", "7")) - set(plain) == {"juvenile_core_share"}
    clear = document(halfshade, "--pruned", "17", "--dbh-when-pruned", "6")
    assert set(clear) - set(plain) == {"clear_wood"}


def test_best_is_worth_more_and_says_what_each_piece_brings(halfshade: Halfshade) -> None:
    found = json.loads(halfshade(*TREE, "--prices", "sawtimber=27,chip_and_saw=18,pulpwood=8", "--json").stdout)
    ways = found["bucking"]["tree_length"]
    assert ways["best"]["value"] == pytest.approx(23.65, abs=0.005)
    assert ways["priority"]["value"] == pytest.approx(23.34, abs=0.005)
    for cutting in (*ways.values(), *found["bucking"]["cut_to_length"].values()):
        assert sum(piece["value"] for piece in cutting["pieces"]) - cutting["value"] == pytest.approx(
            0.02 * len(cutting["pieces"])
        )
    assert found["bucking"]["with_pole"]["pole"] == {"length_ft": 55.0, "class": 6}
    measures = found["measures"]
    heavy = measures["tons_per_mbf"]["doyle"] * measures["board_feet"]["doyle"] / 1000.0
    assert heavy == pytest.approx(found["pieces"][0]["green_ton"], rel=1e-3)


def test_prices_of_a_class_choose_another_pole(halfshade: Halfshade) -> None:
    found = json.loads(halfshade(*TREE, "--prices", "pole_class_4=60", "--json").stdout)
    assert found["bucking"]["with_pole"]["pole"] == {"length_ft": 45.0, "class": 4}
    by_size = json.loads(halfshade(*TREE, "--prices", "pole_50ft_class_5=90", "--json").stdout)
    assert by_size["bucking"]["with_pole"]["pole"] == {"length_ft": 50.0, "class": 5}


def test_a_fork_moves_the_bucking_and_not_the_sound_stem(halfshade: Halfshade) -> None:
    sound, forked = document(halfshade, "--buck"), document(halfshade, "--defect", "fork@14")
    assert forked["pieces"] == sound["pieces"]
    assert forked["defects"] == [{"kind": "fork", "at_ft": 14.0}]
    assert forked["bucking"]["with_pole"] is None
    assert [piece["product"] for piece in forked["bucking"]["tree_length"]["best"]["pieces"]] == ["pulpwood"]


def test_a_users_price_table(halfshade: Halfshade, tmp_path: Path) -> None:
    text = (
        'title = "Mine"\ncurrency_year = 2025\n[sources]\nme = "made up for this test"\n[sale]\n'
        'pulpwood = { value = 1.0, unit = "$/ton", source = "me" }\n'
        'chip_and_saw = { value = 2.0, unit = "$/ton", source = "me" }\n'
        'sawtimber = { value = 3.0, unit = "$/ton", source = "me" }\n'
    )
    (tmp_path / "mine.toml").write_text(text, encoding="utf-8")
    done = halfshade(*TREE, "--prices", "mine.toml")
    assert done.returncode == 2
    assert "lacks pole" in done.stderr
    done = halfshade(*TREE, "--prices", "mine.toml", "--prices", "pole=4,sawlog=5", "--json")
    assert done.returncode == 0, done.stderr
    paid = json.loads(done.stdout)["prices_per_ton"]
    assert paid["tree_length"] == {"sawtimber": 3.0, "chip_and_saw": 2.0, "pulpwood": 1.0}
    assert (paid["cut_to_length"]["sawtimber"], paid["pole"]) == (5.0, 4.0)


def test_tables_for_people(halfshade: Halfshade) -> None:
    words = ("--defect", "large-knots@30", "--pruned", "17", "--dbh-when-pruned", "6", "--dbh-at-10", "7")
    done = halfshade(*TREE, *words)
    assert done.returncode == 0
    for part in (
        "with large knots at 30 ft",
        "Demonstration prices",
        "Tree-length, by the fixed order, which is worth most",
        "Logs cut to length, worth most",
        "Poles that the sound stem makes",
        "per 1,000 board feet",
        "Clear wood of the pruned length",
        "Juvenile core at breast height: 25%",
        "trained crews",
        "at no others",
    ):
        assert part in done.stdout


def test_a_tree_too_small_to_sell_is_bucked_into_nothing(halfshade: Halfshade) -> None:
    done = halfshade("stem", "--dbh", "3", "--height", "20", "--buck")
    assert done.returncode == 0
    assert "nothing to sell" in done.stdout


@pytest.mark.parametrize(
    ("words", "named"),
    [
        (("--prices", "nowhere"), ["--prices", "'nowhere'", "demo-2025"]),
        (("--prices", "nowhere.toml"), ["--prices", "nowhere.toml", "cannot be read"]),
        (("--prices", "sawtimber=much,oak=3"), ["sawtimber must be a number", "'much'", "'oak'"]),
        (("--prices", "pulpwood=-1"), ["pulpwood", "'-1'"]),
        (("--prices", "pole_44ft_class_3=50"), ["pole_44ft_class_3"]),
        (("--prices", "a.toml", "--prices", "b.toml"), ["one price table", "a.toml, b.toml"]),
        (("--defect", "hole@3"), ["--defect", "'hole@3'", "large-knots"]),
        (("--defect", "fork"), ["--defect", "'fork'", "fork@20"]),
        (("--defect", "fork@nan"), ["--defect", "'fork@nan'"]),
        (("--defect", "fork@75"), ["0 to 75 ft", "'fork@75'"]),
        (("--defect", "fork@-1", "--defect", "rust@200"), ["fork@-1", "rust@200"]),
        (("--pruned", "17"), ["--dbh-when-pruned", "Give both"]),
        (("--pruned", "90", "--dbh-when-pruned", "20"), ["received 90", "received 20"]),
        (("--dbh-at-10", "15"), ["--dbh-at-10", "received 15"]),
    ],
)
def test_bad_words_are_named_and_end_in_two(halfshade: Halfshade, words: tuple[str, ...], named: list[str]) -> None:
    done = halfshade(*TREE, *words)
    assert (done.returncode, done.stdout) == (2, "")
    assert "Traceback" not in done.stderr
    for word in named:
        assert word in done.stderr


def test_run_writes_the_last_log_and_states_the_difference(halfshade: Halfshade, tmp_path: Path) -> None:
    (tmp_path / "field.toml").write_text(example_text(), encoding="utf-8")
    done = halfshade("run", "field.toml", "--out", "out")
    assert done.returncode == 0
    assert "the ledger keeps the fixed order" in done.stderr
    logs = pd.read_csv(tmp_path / "out" / "logs.csv")
    assert list(logs.columns) == list(COLUMNS)
    ledger = pd.read_csv(tmp_path / "out" / "ledger.csv")
    booked = ledger[ledger["item"].str.endswith("_final_harvest")]["amount"].sum()
    assert logs["priority_value_per_ac"].sum() == pytest.approx(booked, rel=1e-4)
    assert logs["value_per_ac"].sum() > booked
