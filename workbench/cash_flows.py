"""Yearly cash flows from a comma-separated table, with everything wrong in it listed at once."""

from pathlib import Path
from typing import Final, NamedTuple

from simulator.csv_rows import NUMBER, Layout, Row, read_rows, shown
from simulator.errors import InputError, Problem

COLUMNS: Final = ("year", "amount")
LATEST_YEAR: Final = 1000
LARGEST_AMOUNT: Final = 1e15
LAYOUT: Final = Layout(
    COLUMNS, 10_000_000, "Give yearly flows only.", "Write the line year,amount and one line a flow below it."
)


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
    read = read_rows(path, LAYOUT)
    table = CashFlows([], [], [name for name in read.names if name and name not in COLUMNS])
    problems = [problem for row in read.rows for problem in _add_row(row, table, path)]
    if problems or read.problems:
        raise InputError(sorted(problems + read.problems, key=lambda problem: problem.line or 0))
    return table


def _add_row(row: Row, table: CashFlows, path: Path) -> list[Problem]:
    year, amount = row.cells.get("year", ""), row.cells.get("amount", "")
    problems = []
    if not _is_year(year):
        rule, remedy = f"must be a whole number from 0 to {LATEST_YEAR}", "Count years from the start: 0, 1, 2."
        problems.append(Problem("year", rule, shown(year), remedy, str(path), row.line))
    if not (NUMBER.fullmatch(amount) and abs(float(amount)) <= LARGEST_AMOUNT):
        rule, remedy = "must be a plain number", "Write it like -310.50: no currency sign, no separator of thousands."
        if NUMBER.fullmatch(amount):
            rule, remedy = f"must be from -{LARGEST_AMOUNT:,.0f} to {LARGEST_AMOUNT:,.0f}", "Mind the unit."
        problems.append(Problem("amount", rule, shown(amount), remedy, str(path), row.line))
    if not problems:
        table.years.append(round(float(year)))
        table.amounts.append(float(amount))
    return problems


def _is_year(text: str) -> bool:
    if not NUMBER.fullmatch(text):
        return False
    year = float(text)
    return year.is_integer() and 0.0 <= year <= LATEST_YEAR
