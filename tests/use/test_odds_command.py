"""``halfshade odds``: what may strike the land, as a person and as another program asks it."""

import json
import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from click.testing import CliRunner

from optimize.risk import odds as odds_module
from optimize.risk.growth import SINGLE, Portion
from optimize.risk.portions import Earned, earned
from reliability import keeps
from running import PACKAGES
from workbench.commands.odds import odds as odds_command
from workbench.examples import example_text
from workbench.odds_words import draws_in_words, in_words

Halfshade = Callable[..., "subprocess.CompletedProcess[str]"]
RISK = """
[risk]
zone = "coast"
off = ["hogs", "seedling loss", "ice"]
times = { drought = 2.0 }
"""
FEW = ("--draws", "12", "--seed", "4", "--workers", "1")
PICTURES = [f"{name}.{kind}" for name in ("cash_bands", "income_odds") for kind in ("png", "svg")]


@pytest.fixture
def field(tmp_path: Path) -> Path:
    """The example at the coast, with fewer hazards."""
    path = tmp_path / "field.toml"
    path.write_text(example_text() + RISK, encoding="utf-8")
    return path


def test_the_answer_comes_first_and_is_called_illustrative(halfshade: Halfshade, field: Path) -> None:
    done = halfshade("odds", field, *FEW, "--limit", "400", "--prices")
    assert done.returncode == 0, done.stderr
    first = done.stdout.splitlines()[0]
    assert re.search(r"earns? most in .* draws?", first)
    assert "both together beat" in first
    for words in (
        "12 draws of what may strike in 40 years, seed 4, zone: coast",
        "nothing strikes",
        "losses as expected",
        "mean of the draws",
        "8 of 10 draws lie within",
        "5 of 100 draws earn less than",
        "Earns most in",
        "Earns less than 5.0% a year in",
        "More than $400 out at some time in",
        "Years that bring more than they cost",
        "Largest enterprise's share of receipts",
        "What each hazard takes",
        "Illustrative, no forecast",
        "Only 12 draws",
        "Prices are drawn too",
        "Drawn by invented defaults: sawtimber",
        "looks steadier than it is",
        "not financial, tax or legal advice",
    ):
        assert words in done.stdout, words
    table = done.stdout.partition("What each hazard takes")[2]
    assert "wind" in table
    assert "hogs" not in table


def test_json_holds_what_other_programs_rely_on(halfshade: Halfshade, field: Path, tmp_path: Path) -> None:
    done = halfshade("odds", field, *FEW, "--json", "--out", "found")
    assert done.returncode == 0, done.stderr
    document = json.loads(done.stdout)
    assert document["draws"] == document["draws_asked"] == 12
    assert document["complete"] is True
    assert (document["zone"], document["seed"], document["limit_per_ac"]) == ("coast", 4, None)
    assert document["yearly_probability"]["drought"] == {"lowest": 0.2, "highest": 0.2}
    assert set(document["hazards_alone"]) == {"wind", "wildfire", "beetles", "drought"}
    assert document["costliest_hazard"] in {*document["hazards_alone"], None}
    assert set(document["systems"]) == {"silvopasture", "plantation", "pasture"}
    for system in document["systems"].values():
        spread = system["equal_annual_income_per_ac"]
        assert spread["p10"] <= spread["p50"] <= spread["p90"]
        assert system["income_at_risk_5_percent_per_ac"] <= spread["p10"]
        assert system["chance_below_limit"] is None
        assert 0 <= system["years_with_income_share"] <= 1
    assert sum(document["earns_most"].values()) == pytest.approx(1.0)
    assert document["beats"]["silvopasture"]["pasture"] + document["beats"]["pasture"]["silvopasture"] <= 1.0
    _files_agree(document, tmp_path / "found")


def _files_agree(document: dict[str, Any], folder: Path) -> None:
    assert {path.name for path in folder.iterdir()} == {
        "draws.csv",
        "bands.csv",
        "odds.json",
        "made-with.json",
        *PICTURES,
    }
    assert json.loads((folder / "odds.json").read_text(encoding="utf-8")) == document
    draws = pd.read_csv(folder / "draws.csv")
    assert len(draws) == 36
    for name, found in document["systems"].items():
        income = draws.loc[draws["system"] == name, "equal_annual_income_per_ac"]
        assert np.quantile(income, 0.05) == pytest.approx(found["income_at_risk_5_percent_per_ac"], abs=1e-3)
    bands = pd.read_csv(folder / "bands.csv")
    assert (bands["p10"] <= bands["p90"]).all()
    assert len(bands) == 3 * 41
    assert (folder / "cash_bands.png").read_bytes().startswith(b"\x89PNG")
    assert "illustrative" in (folder / "income_odds.svg").read_text(encoding="utf-8").lower()


def test_a_stand_that_is_there_has_its_own_alternatives(halfshade: Halfshade) -> None:
    example = Path(__file__).parents[2] / "examples" / "standing-pines.toml"
    done = halfshade("odds", example, "--draws", "3", "--workers", "1")
    assert done.returncode == 0, done.stderr
    assert "opening it now" in done.stdout.splitlines()[0]


@pytest.mark.parametrize(
    ("written", "line", "says"),
    [
        ('zone = "moon"', 'zone = "moon"', "risk.zone"),
        ("times = { storms = 2.0 }", "times", "storms"),
        ("times = { wind = 99 }", "times", "99"),
        ('off = ["frost"]', "off", "frost"),
        ("ruin_share = 1.5", "ruin_share", "1.5"),
        ("luck = 1", "luck", "risk.luck"),
    ],
)
def test_bad_input_names_file_and_line(
    halfshade: Halfshade, tmp_path: Path, written: str, line: str, says: str
) -> None:
    text = example_text() + f"\n[risk]\n{written}\n"
    (tmp_path / "bad.toml").write_text(text, encoding="utf-8")
    done = halfshade("odds", "bad.toml", *FEW)
    number = next(i for i, each in enumerate(text.splitlines(), start=1) if each.startswith(line))
    assert done.returncode == 2
    assert done.stdout == ""
    assert f"bad.toml:{number}" in done.stderr
    assert says in done.stderr


@pytest.mark.parametrize("option", [("--draws", "0"), ("--seed", "-1"), ("--limit", "-5"), ("--workers", "0")])
def test_options_out_of_range_are_refused(halfshade: Halfshade, option: tuple[str, str]) -> None:
    done = halfshade("odds", *option)
    assert done.returncode == 2
    assert option[0] in done.stderr
    assert done.stdout == ""


def test_out_must_be_a_folder(halfshade: Halfshade, field: Path) -> None:
    done = halfshade("odds", field, *FEW, "--out", field)
    assert done.returncode == 2
    assert "is a file, not a folder" in done.stderr


def _stopping_after(portions: int) -> Callable[..., Iterator[tuple[int, Earned]]]:
    def side_by_side(
        work: Callable[[Portion], Earned], all_: Sequence[Portion], _workers: int
    ) -> Iterator[tuple[int, Earned]]:
        for number, portion in enumerate(all_):
            if number == portions:
                raise KeyboardInterrupt
            yield number, work(portion)

    return side_by_side


@keeps("Stopping is clean")
def test_ctrl_c_keeps_the_draws_done(field: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Stopped in the second chunk of 2 draws: the first is whole in every system, the second is not."""
    monkeypatch.setattr(odds_module, "CHUNK", 2)
    monkeypatch.setattr(odds_module, "side_by_side", _stopping_after(7))
    done = CliRunner().invoke(odds_command, [str(field), "--draws", "6", "--workers", "1"])
    assert done.exit_code == 0, done.output
    assert "stopped: what follows rests on 2 of 6 draws" in done.stderr
    assert "2 draws of what may strike" in done.stdout
    assert "What each hazard takes" not in done.stdout


def test_ctrl_c_before_anything_is_done_ends_at_once(field: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(odds_module, "side_by_side", _stopping_after(2))
    done = CliRunner().invoke(odds_command, [str(field), "--draws", "6", "--workers", "1"])
    assert done.exit_code == 1
    assert done.stdout == ""


def test_single_runs_come_first_so_that_a_stop_leaves_whole_draws(field: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[int] = []

    def watched(portion: Portion) -> Earned:
        seen.append(portion.number)
        return earned(portion)

    monkeypatch.setattr(odds_module, "earned", watched)
    monkeypatch.setattr(odds_module, "CHUNK", 2)
    CliRunner().invoke(odds_command, [str(field), "--draws", "4", "--workers", "1"])
    assert seen[:9] == [SINGLE] * 3 + [0] * 3 + [1] * 3


@pytest.mark.parametrize(
    ("share", "said"),
    [
        (0.0, "none"),
        (0.001, "fewer than 1 of 100"),
        (0.07, "7 of 100"),
        (0.14, "14 of 100"),
        (0.15, "2 of 10"),
        (0.68, "7 of 10"),
        (0.9, "90 of 100"),
        (0.999, "more than 99 of 100"),
        (1.0, "all"),
    ],
)
def test_odds_are_said_as_people_say_them(share: float, said: str) -> None:
    assert in_words(share) == said
    assert draws_in_words(share) == ("no draw" if share == 0 else f"{said} draws")


def test_ctrl_c_does_not_wait_for_portions_that_nobody_will_read(tmp_path: Path) -> None:
    """Stopped while two processes are at work on far more draws than can be done; common practice, no source."""
    # a shell that runs tests in the background leaves the signal ignored, so it is asked for by name
    start = "import signal; signal.signal(signal.SIGINT, signal.default_int_handler); from workbench.main import main"
    command = [sys.executable, "-c", f"{start}; main(['odds', '--draws', '20000', '--workers', '2'])"]
    with subprocess.Popen(
        command,
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": PACKAGES},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as running:
        time.sleep(8.0)
        running.send_signal(signal.SIGINT)
        asked = time.perf_counter()
        running.communicate(timeout=120)
    assert running.returncode in {0, 130}
    assert time.perf_counter() - asked < 60


def test_at_a_rate_of_0_nothing_is_called_worth_for_ever(halfshade: Halfshade, field: Path, tmp_path: Path) -> None:
    text = field.read_text(encoding="utf-8").replace("discount_rate = 0.05", "discount_rate = 0.0")
    field.write_text(text.replace("horizon_years = 40", "horizon_years = 12"), encoding="utf-8")
    done = halfshade("odds", field, "--draws", "3", "--workers", "1", "--out", "odds", "--json")
    assert done.returncode == 0, done.stderr
    for system in json.loads(done.stdout)["systems"].values():
        assert system["land_expectation_at_risk_5_percent_per_ac"] is None
        assert system["income_at_risk_5_percent_per_ac"] is not None
    assert pd.read_csv(tmp_path / "odds" / "draws.csv")["land_expectation_per_ac"].isna().all()
    made = json.loads((tmp_path / "odds" / "made-with.json").read_text(encoding="utf-8"))
    assert made["options"] | {"draws": 3, "seed": 1} == made["options"]
    assert made["inputs"]["field.toml"]["text"] == field.read_text(encoding="utf-8")
