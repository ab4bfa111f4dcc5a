"""`halfshade value` as a person uses it."""

import json
import os
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

Halfshade = Callable[..., "subprocess.CompletedProcess[str]"]

# invented plantation with two thinnings; the answers below were worked with numpy-financial
PLANTATION = "year,amount\n0,-310\n15,332\n22,578\n30,2455\n" + "".join(f"{year},-6.5\n" for year in range(1, 31))


@pytest.fixture
def plantation(tmp_path: Path) -> Path:
    path = tmp_path / "plantation.csv"
    path.write_text(PLANTATION, encoding="utf-8")
    return path


def document(done: "subprocess.CompletedProcess[str]") -> dict[str, object]:
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_a_rotation_gives_every_measure(halfshade: Halfshade, plantation: Path) -> None:
    got = document(halfshade("value", plantation, "--rate", "0.05", "--rotation", "--json"))
    assert list(got) == [
        "npv",
        "irr",
        "land_expectation",
        "equal_annual_income",
        "benefit_cost",
        "payback_year",
        "warnings",
    ]
    assert got["npv"] == pytest.approx(515.3976, abs=5e-5)
    assert got["irr"] == pytest.approx([0.08820465], abs=5e-9)
    assert got["land_expectation"] == pytest.approx(670.5471, abs=5e-5)
    assert got["equal_annual_income"] == pytest.approx(33.52735, abs=5e-6)
    assert got["benefit_cost"] == pytest.approx(2.257310, abs=5e-7)  # rows gross: netting would change it
    assert got["payback_year"] == 22  # -310 + 332 - 21 * 6.5 = -114.5, then + 578 - 6.5 = 457
    assert [warning["code"] for warning in got["warnings"]] == ["several_sign_changes"]


def test_without_rotation_there_is_no_land_value_and_the_income_is_the_annuity(
    halfshade: Halfshade, plantation: Path
) -> None:
    got = document(halfshade("value", plantation, "--rate", "0.05", "--json"))
    assert got["land_expectation"] is None
    assert got["equal_annual_income"] == pytest.approx(33.52735, abs=5e-6)


def test_people_get_a_table_and_a_caution(halfshade: Halfshade, plantation: Path) -> None:
    done = halfshade("value", plantation, "--rate", "0.05", "--rotation", environment={"FORCE_COLOR": "1"})
    assert done.returncode == 0
    for text in ("515.40", "670.55", "33.53", "8.82 %", "2.26", "not investment or tax advice"):
        assert text in done.stdout
    assert "\x1b" not in done.stdout
    assert "halfshade: note: " in done.stderr


def test_several_roots_are_all_given_and_warned_of(halfshade: Halfshade, tmp_path: Path) -> None:
    (tmp_path / "two.csv").write_text("amount,year\n-1600,0\n10000,1\n-10000,2\n", encoding="utf-8")
    got = document(halfshade("value", "two.csv", "--rate", "0.1", "--json"))
    assert got["irr"] == pytest.approx([0.25, 4.0])  # Lorie & Savage 1955 (from memory)
    assert [warning["code"] for warning in got["warnings"]] == ["several_sign_changes", "several_irr"]
    assert all(warning["message"] for warning in got["warnings"])


@pytest.mark.parametrize(
    ("rows", "options", "codes", "nulls"),
    [
        ("0,100\n3,50\n", (), ["no_irr", "no_cost"], ["land_expectation", "benefit_cost"]),
        (
            "0,-5\n",
            (),
            ["no_irr", "no_equal_annual_income"],
            ["land_expectation", "equal_annual_income", "payback_year"],
        ),
        ("0,-5\n1,6\n", ("--rate", "0", "--rotation"), ["no_land_expectation"], ["land_expectation"]),
    ],
)
def test_what_does_not_exist_is_null_with_a_reason(
    halfshade: Halfshade, tmp_path: Path, rows: str, options: tuple[str, ...], codes: list[str], nulls: list[str]
) -> None:
    (tmp_path / "flows.csv").write_text(f"year,amount\n{rows}", encoding="utf-8")
    got = document(halfshade("value", "flows.csv", "--json", *(options or ("--rate", "0.05"))))
    assert [warning["code"] for warning in got["warnings"]] == codes
    assert [key for key, measure in got.items() if measure is None] == nulls


def test_rows_add_up_and_spreadsheet_habits_are_understood(halfshade: Halfshade, tmp_path: Path) -> None:
    (tmp_path / "é.csv").write_bytes(
        b'\xef\xbb\xbfAmount, Note ,YEAR\r\n-60,,0\r\n\r\n-40,"site, plants",0.0\r\n,,\r\n1.1e2,"line\r\nbreak",1\r\n'
    )
    done = halfshade("value", "é.csv", "--rate", "0.1", "--json")
    assert document(done)["npv"] == pytest.approx(0.0, abs=1e-9)
    assert document(done)["irr"] == pytest.approx([0.1])
    assert done.stderr == "halfshade: note: columns of é.csv that were not used: note.\n"


def test_an_ascii_terminal_is_served(halfshade: Halfshade, tmp_path: Path) -> None:
    (tmp_path / "é.csv").write_text("year,amount\n0,-1\n1,2\n", encoding="utf-8")
    done = halfshade("value", "é.csv", "--rate", "0.1", environment={"PYTHONIOENCODING": "ascii"})
    assert done.returncode == 0
    assert done.stdout.isascii()
    assert "Net present value" in done.stdout


def test_out_writes_the_document_and_touches_nothing_else(
    halfshade: Halfshade, plantation: Path, tmp_path: Path
) -> None:
    results = tmp_path / "results"
    results.mkdir()
    (results / "mine.txt").write_text("keep", encoding="utf-8")
    (results / "value.json").write_text("old", encoding="utf-8")
    done = halfshade("value", plantation, "--rate", "0.05", "--json", "--out", "results")
    assert json.loads((results / "value.json").read_text(encoding="utf-8")) == document(done)
    assert (results / "mine.txt").read_text(encoding="utf-8") == "keep"
    assert sorted(path.name for path in results.iterdir()) == ["made-with.json", "mine.txt", "value.json"]
    refused = halfshade("value", plantation, "--rate", "0.05", "--json", "--out", plantation)
    assert (refused.returncode, refused.stdout) == (2, "")
    assert "--out: " in refused.stderr
    assert plantation.read_text(encoding="utf-8") == PLANTATION


WRONG = {
    "empty": (b"", ["flows.csv: has no rows"]),
    "header only": (b"year,amount\n\n", ["flows.csv: has no rows"]),
    "no header": (b"0,-5\n1,6\n", ["flows.csv:1: year: column is missing", "flows.csv:1: amount: column is missing"]),
    "column twice": (b"year,amount,Year\n0,1,2\n", ["flows.csv:1: year: column is there more than once"]),
    "semicolons": (b"year;amount\n0;-5,5\n", ["flows.csv:1: first line: columns must be separated by commas"]),
    "not UTF-8": (b"year,amount\n0,5\n1,\xff\n", ["flows.csv:3: is not UTF-8 text (received byte 0xff)"]),
    "UTF-16": ("year,amount\n0,5\n".encode("utf-16"), ["flows.csv: is UTF-16 text; it must be UTF-8"]),
    "binary": (b"\x00\x01\x02year,amount", ["flows.csv: is not a text file"]),
    "open quotation mark": (
        b'year,amount\n0,x\n"1,5\n',
        ["flows.csv:2: amount: must be a plain number", "flows.csv:3: cannot be read as comma-separated"],
    ),
    "too large": (b"x" * 10_000_001, ["flows.csv: is larger than 10 MB"]),
    "rows": (
        b"year,amount\n-1,5\n1.5,5\n2025,5\nx,y\n,\n3,nan\n4,-inf\n5,1e16\n6,1,000\n7,$5\n8,1_0\n9\n10,5\n",
        [
            'flows.csv:2: year: must be a whole number from 0 to 1000 (received "-1")',
            'flows.csv:3: year: must be a whole number from 0 to 1000 (received "1.5")',
            'flows.csv:4: year: must be a whole number from 0 to 1000 (received "2025")',
            'flows.csv:5: year: must be a whole number from 0 to 1000 (received "x")',
            'flows.csv:5: amount: must be a plain number (received "y")',
            'flows.csv:7: amount: must be a plain number (received "nan")',
            'flows.csv:8: amount: must be a plain number (received "-inf")',
            'flows.csv:9: amount: must be from -1,000,000,000,000,000 to 1,000,000,000,000,000 (received "1e16")',
            'flows.csv:10: row: has 3 values where the first line names 2 columns (received "6,1,000")',
            'flows.csv:11: amount: must be a plain number (received "$5")',
            'flows.csv:12: amount: must be a plain number (received "1_0")',
            'flows.csv:13: amount: must be a plain number (received "")',
        ],
    ),
}


@pytest.mark.parametrize(("content", "messages"), WRONG.values(), ids=WRONG.keys())
def test_everything_wrong_is_listed_at_once_and_nothing_is_written(
    halfshade: Halfshade, tmp_path: Path, content: bytes, messages: list[str]
) -> None:
    (tmp_path / "flows.csv").write_bytes(content)
    done = halfshade("value", "flows.csv", "--rate", "5", "--out", "results", "--json")
    assert (done.returncode, done.stdout) == (2, "")
    lines = done.stderr.splitlines()
    assert lines[0] == 'halfshade: --rate: must be a share from 0 to below 1 (received "5"). Write 0.05 for 5 %.'
    assert len(lines) == 1 + len(messages)
    for line, message in zip(lines[1:], messages, strict=True):
        assert line.startswith(f"halfshade: {message}")
        assert line.endswith(".")
    assert not (tmp_path / "results").exists()


@pytest.mark.parametrize("rate", ["5", "1", "5%", "-0.01", "nan", "inf", "", "0,05", "1_0e-2"])
def test_a_rate_that_is_not_a_share_is_refused(halfshade: Halfshade, plantation: Path, rate: str) -> None:
    done = halfshade("value", plantation, f"--rate={rate}")
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith("halfshade: --rate: must be a share from 0 to below 1")
    assert "Write 0.05 for 5 %." in done.stderr


def test_a_rotation_of_no_length_is_refused(halfshade: Halfshade, tmp_path: Path) -> None:
    (tmp_path / "flows.csv").write_text("year,amount\n0,-5\n", encoding="utf-8")
    done = halfshade("value", "flows.csv", "--rate", "0.05", "--rotation")
    assert done.returncode == 2
    assert "flows.csv: year: a rotation must last at least one year" in done.stderr


def test_what_is_not_a_readable_file_is_refused(halfshade: Halfshade, tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "loop").symlink_to("loop")
    for name in ("missing.csv", ".", "pipe", "loop", "n" * 300, "/dev/null"):
        done = halfshade("value", name, "--rate", "0.05", timeout=30.0)
        assert (done.returncode, done.stdout) == (2, ""), name
        assert done.stderr.startswith(f"halfshade: {name}: "), done.stderr
        assert done.stderr.count("\n") == 1


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may read everything")
def test_a_file_that_may_not_be_read_is_refused(halfshade: Halfshade, plantation: Path) -> None:
    plantation.chmod(0)
    done = halfshade("value", plantation, "--rate", "0.05")
    assert done.returncode == 2
    assert "cannot be read" in done.stderr
