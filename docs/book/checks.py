"""The page of checks against the world outside, from what the published tests compared when they last were recorded."""

import csv
import os
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterable
from itertools import groupby
from pathlib import Path
from typing import NamedTuple

import workbench

ROOT = Path(__file__).parents[2]
RECORD = ROOT / "docs" / "checks.csv"
HEAD = """# Every check against the world outside

Written by `docs/refresh.py` from `docs/checks.csv`; do not edit. Each row is a comparison that a test of
`tests/published/` makes: the tests call `agree`, `between` and `same` of `tests/recording.py`, which compare and write
down in one step. A plain run of the tests fails where a row here is no longer what they find.

Read the source before you trust a row. *From memory* and *second-hand* mean that nobody opened the work for this
project; *computed for this project* is a second calculation, by another program, of an equation that was published;
*practice* is what people of the trade expect, which a model can meet and still be wrong. Differences are the largest of
the row; a band has no difference while ours lies in it.

"""
COLUMNS = "| quantity | published | ours | difference | allowed | holds |\n" + "| --- " * 6 + "|\n"


class Row(NamedTuple):
    """One comparison as recorded."""

    test: str
    quantity: str
    source: str
    published: str
    ours: str
    difference: str
    allowed: str
    holds: str

    @property
    def file(self) -> str:
        """Name of the test's file without ending."""
        return self.test.partition("::")[0]

    @property
    def case(self) -> str:
        """Which of several like it, as the test names it."""
        found = re.search(r"\[(.+)\]$", self.test)
        return "" if found is None or re.fullmatch(r"(?:check|stand|tree|number)?\d+", found[1]) else found[1]


def record() -> None:
    """Run the published tests, all of them, and keep what they compare.

    Raises
    ------
    RuntimeError
        If one fails: a comparison that does not hold is mended, not recorded.
    """
    new = RECORD.with_suffix(".new")
    new.unlink(missing_ok=True)
    packages = str(Path(workbench.__file__).parents[1])
    done = subprocess.run(
        [sys.executable, "-P", "-m", "pytest", "-q", "tests/published", "--record", str(new)],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": packages, "PYTHONUTF8": "1", "HALFSHADE_REQUIRE_ALL": "1"},
        check=False,
    )
    if done.returncode != 0:
        new.unlink(missing_ok=True)
        raise RuntimeError("a published check fails: mend it first, the book is left as it was")
    new.replace(RECORD)


def rows() -> list[Row]:
    """Comparisons as recorded, in the order of the tests."""
    with RECORD.open(encoding="utf-8", newline="") as file:
        return [Row(*row) for row in list(csv.reader(file))[1:]]


def checks() -> str:
    """The whole page."""
    made = rows()
    held, sources = sum(row.holds == "yes" for row in made), len({row.source for row in made})
    outside = sum("outside the band" in row.quantity for row in made)
    parts = [HEAD, f"{len(made)} comparisons with {sources} sources; {held} hold. "]
    parts.append(f"Outside the band that practice expects: {outside}; there the row holds our own\n")
    parts.append("value, so that it cannot drift, and says why.\n")
    for name, mine in groupby(sorted(made, key=lambda row: row.file), key=lambda row: row.file):
        parts.append(f"\n## {_title(name)}\n\n`tests/published/{name}.py`\n")
        by_source: dict[str, list[Row]] = {}
        for row in mine:
            by_source.setdefault(row.source, []).append(row)
        for source, compared in by_source.items():
            parts.append(f"\n**{_text(source)}**\n\n{COLUMNS}{''.join(map(_line, compared))}")
    return "".join(parts)


def _title(name: str) -> str:
    """Title of the TOML beside the test, or the name of the test."""
    path = ROOT / "tests" / "published" / f"{name.removeprefix('test_')}.toml"
    words = name.removeprefix("test_").replace("_", " ")
    said = tomllib.loads(path.read_text(encoding="utf-8")).get("title", words) if path.exists() else words
    return _text(f"{said[:1].upper()}{said[1:]}")


def _line(row: Row) -> str:
    quantity = f"{row.quantity} ({row.case})" if row.case and row.case not in row.quantity else row.quantity
    cells: Iterable[str] = (quantity, row.published, row.ours, row.difference, row.allowed, row.holds)
    return f"| {' | '.join(map(_text, cells))} |\n"


def _text(text: str) -> str:
    return re.sub(r"([|$*_<\[])", r"\\\1", text)
