"""Yearly cash flows from a comma-separated table, with everything wrong in it listed at once."""

import csv
import io
import re
from pathlib import Path
from typing import Final, NamedTuple

from simulator.errors import InputError, Problem

COLUMNS: Final = ("year", "amount")
LATEST_YEAR: Final = 1000
LARGEST_AMOUNT: Final = 1e15
LARGEST_FILE_BYTES: Final = 10_000_000
LONGEST_SHOWN: Final = 40
NUMBER: Final = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", re.ASCII)
"""A number as programs write it: a decimal point, no thousands separators, no currency sign."""


class CashFlows(NamedTuple):
    """Rows of a table of cash flows, as given.

    Attributes
    ----------
    years
        Year of each row [yr], 0 or more.
    amounts
        Amount of each row [$], costs negative, same length.
    unused_columns
        Names of the columns that were not read.
    """

    years: list[int]
    amounts: list[float]
    unused_columns: list[str]


class _Line(NamedTuple):
    number: int
    cells: list[str]


def read_cash_flows(path: Path) -> CashFlows:
    """Read a table whose first line names the columns year and amount, in any order, beside others.

    Parameters
    ----------
    path
        An ordinary file in UTF-8. Blank lines are passed over.

    Returns
    -------
    CashFlows
        At least one row.

    Raises
    ------
    InputError
        With every problem found, in file order.
    """
    lines, problems = _split(_read_text(path), path)
    if not lines:
        raise InputError(problems or [_empty(path)])
    problems = _header_problems(lines[0], path) + problems
    if any(problem.line == lines[0].number for problem in problems):
        raise InputError(problems)  # without column names no row can be read
    names = _names(lines[0])
    table = CashFlows([], [], [name for name in names if name and name not in COLUMNS])
    found: list[Problem] = []
    for line in lines[1:]:
        found += _add_row(line, names, table, path)
    problems = found + problems
    if problems or not table.years:
        raise InputError(problems or [_empty(path)])
    return table


def shown(text: str) -> str:
    """Return a received value for a message: quoted, and cut where it is long."""
    return f'"{text[:LONGEST_SHOWN]}{"..." if len(text) > LONGEST_SHOWN else ""}"'


def _empty(path: Path) -> Problem:
    return Problem("", "has no rows", "", "Write the line year,amount and one line a flow below it.", str(path))


def _read_text(path: Path) -> str:
    try:
        # opening a pipe would wait for ever, so the kind of file is looked at first
        if not path.exists():
            problem = Problem("", "does not exist", "", "Check the name and the folder.", str(path))
        elif not path.is_file():
            problem = Problem("", "is not an ordinary file", "", "Name a file.", str(path))
        elif path.stat().st_size > LARGEST_FILE_BYTES:
            problem = Problem("", "is larger than 10 MB", "", "Give yearly flows only.", str(path))
        else:
            return _decode(path.read_bytes(), path)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        problem = Problem("", f"cannot be read: {reason}", "", "Name a file that you may read.", str(path))
    raise InputError([problem])


def _decode(content: bytes, path: Path) -> str:
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        byte = f"byte {content[error.start]:#04x}"
        problem = Problem("", "is not UTF-8 text", byte, "Save it as CSV in UTF-8.", str(path), line)
        raise InputError([problem]) from None
    if "\0" in text:
        raise InputError([Problem("", "is not a text file", "", "Save the table as CSV in UTF-8.", str(path))])
    return text


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


def _names(header: _Line) -> list[str]:
    return [cell.casefold() for cell in header.cells]


def _header_problems(header: _Line, path: Path) -> list[Problem]:
    names, received = _names(header), shown(",".join(header.cells))
    if len(names) == 1 and re.search(r"[;\t|]", names[0]):
        rule, remedy = "columns must be separated by commas", "Use commas there and a point in decimals."
        return [Problem("first line", rule, received, remedy, str(path), header.number)]
    remedy = "Name one column year and one amount in the first line."
    return [
        Problem(name, rule, received, remedy, str(path), header.number)
        for name in COLUMNS
        for rule, wrong in (
            ("column is missing", name not in names),
            ("column is there more than once", names.count(name) > 1),
        )
        if wrong
    ]


def _add_row(line: _Line, names: list[str], table: CashFlows, path: Path) -> list[Problem]:
    if any(line.cells[len(names) :]):
        rule = f"has {len(line.cells)} values where the first line names {len(names)} columns"
        remedy = "Write 1000.50 for a thousand and a half: no separator of thousands, no decimal comma."
        return [Problem("row", rule, shown(",".join(line.cells)), remedy, str(path), line.number)]
    cells = dict(zip(names, line.cells, strict=False))
    year, amount = cells.get("year", ""), cells.get("amount", "")
    problems = []
    if not _is_year(year):
        rule, remedy = f"must be a whole number from 0 to {LATEST_YEAR}", "Count years from the start: 0, 1, 2."
        problems.append(Problem("year", rule, shown(year), remedy, str(path), line.number))
    if not (NUMBER.fullmatch(amount) and abs(float(amount)) <= LARGEST_AMOUNT):
        rule = f"must be a plain number, at most {LARGEST_AMOUNT:.0e} in size"
        remedy = "Write it like -310.50: no currency sign, no separator of thousands."
        problems.append(Problem("amount", rule, shown(amount), remedy, str(path), line.number))
    if not problems:
        table.years.append(round(float(year)))
        table.amounts.append(float(amount))
    return problems


def _is_year(text: str) -> bool:
    if not NUMBER.fullmatch(text):
        return False
    year = float(text)
    return year.is_integer() and 0.0 <= year <= LATEST_YEAR
