"""Comma-separated tables as people save them: every row with its line, every fault of the file named."""

import csv
import io
import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Final, NamedTuple

from simulator.errors import InputError, Problem
from simulator.named_files import Kind, text_of

LONGEST_SHOWN: Final = 40
NUMBER: Final = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", re.ASCII)
"""A number as programs write it: a decimal point, no thousands separators, no currency sign."""


class Layout(NamedTuple):
    """What a table has to look like.

    Attributes
    ----------
    required
        Columns that must be there once, in any order, beside others.
    largest_bytes
        Files above this are refused.
    too_large, empty
        What to do about a file that is too large, and about one without rows.
    """

    required: tuple[str, ...]
    largest_bytes: int
    too_large: str
    empty: str


class Row(NamedTuple):
    """One row: its line in the file, and its cells by column name, lower case."""

    line: int
    cells: Mapping[str, str]


class Rows(NamedTuple):
    """A table as read.

    Attributes
    ----------
    names
        Column names, lower case, in file order.
    rows
        Rows that fit the first line; blank lines are passed over.
    problems
        What was wrong with the others, in file order.
    """

    names: list[str]
    rows: list[Row]
    problems: list[Problem]


class _Line(NamedTuple):
    number: int
    cells: list[str]


def read_rows(path: Path, layout: Layout) -> Rows:
    """Read a comma-separated table whose first line names its columns.

    Parameters
    ----------
    path
        An ordinary file in UTF-8.
    layout
        What it has to look like.

    Returns
    -------
    Rows
        Where single rows do not fit, the problems say so and the other rows are there.

    Raises
    ------
    InputError
        Where the file or its first line cannot be read.
    """
    lines, problems = _split(_text_of(path, layout), path)
    empty = Problem("", "has no rows", "", layout.empty, str(path))
    if not lines:
        raise InputError(problems or [empty])
    wrong = _header_problems(lines[0], layout.required, path)
    if wrong:
        raise InputError(wrong + problems)  # without column names no row can be read
    names = [cell.casefold() for cell in lines[0].cells]
    rows, misfits = [], []
    for line in lines[1:]:
        if any(line.cells[len(names) :]):
            misfits.append(_misfit(line, len(names), path))
        else:
            rows.append(Row(line.number, dict(zip(names, line.cells, strict=False))))
    problems = misfits + problems
    if not rows:
        raise InputError(problems or [empty])
    return Rows(names, rows, problems)


def shown(text: str) -> str:
    """Return a received value for a message: quoted, and cut where it is long."""
    return f'"{text[:LONGEST_SHOWN]}{"..." if len(text) > LONGEST_SHOWN else ""}"'


def _text_of(path: Path, layout: Layout) -> str:
    wanted, save = "A table is wanted, saved as CSV in UTF-8.", "Save the table as CSV in UTF-8."
    return text_of(path, Kind(layout.largest_bytes, wanted, "Name a file.", layout.too_large, save))


def _split(text: str, path: Path) -> tuple[list[_Line], list[Problem]]:
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    lines: list[_Line] = []
    try:
        for row in reader:
            cells = [cell.strip() for cell in row]
            if any(cells):
                lines.append(_Line(reader.line_num, cells))
    except csv.Error as error:
        rule = f"cannot be read as comma-separated from here on: {error}"
        return lines, [Problem("", rule, "", "Close every quotation mark.", str(path), reader.line_num)]
    return lines, []


def _header_problems(header: _Line, required: Sequence[str], path: Path) -> list[Problem]:
    names, received = [cell.casefold() for cell in header.cells], shown(",".join(header.cells))
    if len(names) == 1 and re.search(r"[;\t|]", names[0]):
        rule, remedy = "columns must be separated by commas", "Use commas there and a point in decimals."
        return [Problem("first line", rule, received, remedy, str(path), header.number)]
    if not required:
        return []  # whoever reads the table says himself which columns he can use
    several = ", ".join(f"one column {name}" for name in required[:-1])
    remedy = f"Name {several} and one {required[-1].removeprefix('one column ')} in the first line."
    return [
        Problem(name, rule, received, remedy, str(path), header.number)
        for name in required
        for rule, wrong in (
            ("column is missing", name not in names),
            ("column is there more than once", names.count(name) > 1),
        )
        if wrong
    ]


def _misfit(line: _Line, columns: int, path: Path) -> Problem:
    rule = f"has {len(line.cells)} values where the first line names {columns} columns"
    remedy = "Write 1000.50 for a thousand and a half: no separator of thousands, no decimal comma."
    return Problem("row", rule, shown(",".join(line.cells)), remedy, str(path), line.number)
