"""``halfshade check`` as a person and as a program uses it."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from workbench.examples import Choices, example_text, scenario_text


def halfshade(*arguments: str, folder: Path) -> subprocess.CompletedProcess[str]:
    root = Path(__file__).parents[2]
    environment = {**os.environ, "PYTHONPATH": str(root), "PYTHONIOENCODING": "utf-8"}
    command = [sys.executable, "-m", "workbench", *arguments]
    return subprocess.run(
        command, cwd=folder, env=environment, capture_output=True, encoding="utf-8", timeout=60, check=False
    )


def test_a_sound_scenario_is_told_in_plain_words(tmp_path: Path) -> None:
    (tmp_path / "north.toml").write_text(example_text(), encoding="utf-8")
    done = halfshade("check", "north.toml", folder=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    # 43,560 sq ft x 2 rows / ((42 + 8) ft x 8 ft) = 217.8 trees planted; 0.90 of them live: 196.0
    for words in ("40 acres", "218 trees planted, 196 living", "Year 16: thinned from below, 100", "Year 35: cut"):
        assert words in done.stdout
    for words in ("years 1 to 4", "cattle from year 4", "Demonstration prices, 2025"):
        assert words in done.stdout


def test_a_program_reads_the_summary_as_json(tmp_path: Path) -> None:
    (tmp_path / "block.toml").write_text(scenario_text(Choices(layout="block")), encoding="utf-8")
    done = halfshade("check", "block.toml", "--json", folder=tmp_path)
    assert done.returncode == 0
    document = json.loads(done.stdout)
    assert document["valid"] is True
    summary = document["summary"]
    # 43,560 sq ft / (8 ft x 9 ft) = 605 trees planted
    assert summary["trees"]["planted_per_ac"] == 605.0
    assert summary["trees"]["living_per_ac"] == 544.5
    assert [thinning["year"] for thinning in summary["thinnings"]] == [15, 22]
    assert (summary["harvest_year"], summary["hay_years"], summary["animals"]) == (33, None, "none")


def test_open_pasture_with_nitrogen_by_year_is_sound(tmp_path: Path) -> None:
    (tmp_path / "pasture.toml").write_text(
        "format = 1\n[land]\nacres = 10\nlatitude_deg = 31\nsite_index_ft = 60\n[money]\ndiscount_rate = 0.04\n"
        "[pasture]\nnitrogen_lb_ac = { 1 = 80, 16 = 40 }\n[use]\nhay_years = [1, 40]\n",
        encoding="utf-8",
    )
    done = halfshade("check", "pasture.toml", folder=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert "Open pasture, no trees." in done.stdout
    assert "80 lb an acre from year 1, 40 lb an acre from year 16" in done.stdout


@pytest.mark.parametrize("content", [b"", b"\x00\xff", b"[land]\nacres = -1\n", b"acres = = 3", None])
def test_a_bad_file_ends_in_exit_code_2_with_nothing_on_standard_output(tmp_path: Path, content: bytes | None) -> None:
    if content is not None:
        (tmp_path / "bad.toml").write_bytes(content)
    done = halfshade("check", "bad.toml", folder=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert "bad.toml" in done.stderr
    assert "Traceback" not in done.stderr


def test_problems_as_json_say_what_the_messages_say(tmp_path: Path) -> None:
    text = example_text().replace("acres = 40", "acres = 0").replace("year = 24", "year = 12")
    (tmp_path / "bad.toml").write_text(text, encoding="utf-8")
    done = halfshade("check", "bad.toml", "--json", folder=tmp_path)
    assert done.returncode == 2
    document = json.loads(done.stdout)
    assert document["valid"] is False
    problems = [(problem["field"], problem["received"]) for problem in document["problems"]]
    assert problems == [("land.acres", "0"), ("thinning[2].year", "12")]
    lines = [text.count("\n", 0, text.index(mark)) + 1 for mark in ("acres = 0", "year = 12")]
    assert [problem["line"] for problem in document["problems"]] == lines
    assert all(f"bad.toml:{line}: " in done.stderr for line in lines)


def test_a_title_cannot_steer_the_terminal(tmp_path: Path) -> None:
    text = example_text().replace('"North field"', '"North\\u001b[2Jfield"')
    (tmp_path / "north.toml").write_text(text, encoding="utf-8")
    done = halfshade("check", "north.toml", folder=tmp_path)
    assert done.returncode == 2
    assert "north.toml:" in done.stderr
    assert "without control characters" in done.stderr
    assert "\x1b" not in done.stdout + done.stderr


def test_overrides_that_break_both_single_uses_are_told_at_once_with_their_lines(tmp_path: Path) -> None:
    path = tmp_path / "north.toml"
    overrides = "[baseline.plantation.harvest]\nyear = 10\n[baseline.pasture.use]\nleast_head = 9\nmost_head = 3\n"
    path.write_text(example_text() + overrides, encoding="utf-8")
    rows = path.read_text(encoding="utf-8").splitlines()
    harvest = rows.index("[baseline.plantation.harvest]") + 1
    most = rows.index("[baseline.pasture.use]") + 1
    for command in ("check", "compare"):
        done = halfshade(command, "north.toml", folder=tmp_path)
        assert (done.returncode, done.stdout) == (2, "")
        told = done.stderr.splitlines()
        assert [line for line in told if "baseline.plantation.thinning" in line and "received 15" in line]
        numbers = {int(line.split("north.toml:")[1].split(":")[0]) for line in told}
        assert all(harvest - 2 <= number <= most + 2 for number in numbers), numbers
        assert any(most <= number <= most + 2 for number in numbers), numbers
