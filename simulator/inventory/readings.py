"""What was measured on a piece of land in later years, read from a comma-separated table."""

from pathlib import Path
from typing import Final, NamedTuple

import numpy as np

from simulator.csv_rows import NUMBER, Layout, Row, read_rows, shown
from simulator.errors import InputError, Problem
from simulator.units import FloatArray, IntArray

COLUMNS: Final = ("year", "quantity", "value")
LAYOUT: Final = Layout(
    COLUMNS, 5_000_000, "Give means by year.", "Write the line year,quantity,value and one measurement a line below it."
)


class Kind(NamedTuple):
    """A quantity that can be measured.

    Attributes
    ----------
    low, high
        Values outside are slips of the pen.
    usual_error
        Standard error taken where none is given, as a share of the value [1]; or of 1 where ``of_one``. Judgement
        of practice, no source.
    of_one
        Whether the error is of the quantity's own unit and not a share of the value.
    """

    low: float
    high: float
    usual_error: float
    of_one: bool = False


KINDS: Final = {
    "dominant_height_ft": Kind(1.0, 160.0, 0.04),
    "quadratic_mean_dbh_in": Kind(0.2, 48.0, 0.04),
    "basal_area_ft2_ac": Kind(0.5, 400.0, 0.10),
    "trees_per_ac": Kind(1.0, 3000.0, 0.10),
    "light_warm": Kind(0.0, 1.0, 0.05, of_one=True),
    "light_cool": Kind(0.0, 1.0, 0.05, of_one=True),
    "canopy_cover": Kind(0.0, 1.0, 0.07, of_one=True),
    "forage_lb_ac": Kind(0.0, 30_000.0, 0.15),
    "hay_ton_ac": Kind(0.0, 15.0, 0.15),
}


class Readings(NamedTuple):
    """Measurements, one an entry.

    Attributes
    ----------
    year
        Row of the scenario: years since its start, (readings,).
    quantity
        Name of each, a key of ``KINDS``.
    value, standard_error
        Measured value and its standard error, (readings,).
    """

    year: IntArray
    quantity: list[str]
    value: FloatArray
    standard_error: FloatArray


def read_readings(path: Path, horizon: int) -> Readings:
    """Read what was measured.

    Parameters
    ----------
    path
        Table with year, quantity and value, and optionally standard_error.
    horizon
        Last year of the scenario.

    Returns
    -------
    Readings

    Raises
    ------
    InputError
        With every problem found, in file order.
    """
    read = read_rows(path, LAYOUT)
    problems, found = list(read.problems), []
    for row in read.rows:
        reading, wrong = _reading(row, horizon, path)
        problems += wrong
        found += [reading] if not wrong else []
    if problems:
        raise InputError(sorted(problems, key=lambda problem: problem.line or 0))
    year, quantity, value, error = zip(*found, strict=True)
    return Readings(np.array(year), list(quantity), np.array(value), np.array(error))


def _reading(row: Row, horizon: int, path: Path) -> tuple[tuple[int, str, float, float], list[Problem]]:
    cells, name = row.cells, row.cells.get("quantity", "")
    year, problems = _number(row, "year", (1.0, float(horizon)), path)
    if not problems and not year.is_integer():
        problems.append(Problem("year", "must be a whole year", shown(cells["year"]), "", str(path), row.line))
    kind = KINDS.get(name)
    if kind is None:
        remedy = f"Use one of: {', '.join(KINDS)}."
        problems.append(Problem("quantity", "is not a known quantity", shown(name), remedy, str(path), row.line))
        return (0, "", 0.0, 0.0), problems
    value, wrong = _number(row, "value", (kind.low, kind.high), path)
    problems += wrong
    error = kind.usual_error if kind.of_one else max(kind.usual_error * value, 1e-6)
    if cells.get("standard_error"):
        error, wrong = _number(row, "standard_error", (1e-6, kind.high), path)
        problems += wrong
    return (round(year) if np.isfinite(year) else 0, name, value, error), problems


def _number(row: Row, name: str, limits: tuple[float, float], path: Path) -> tuple[float, list[Problem]]:
    text, (low, high) = row.cells.get(name, ""), limits
    if NUMBER.fullmatch(text) and low <= float(text) <= high:
        return float(text), []
    rule = f"must be a number, {low:g} to {high:g}"
    return float("nan"), [Problem(name, rule, shown(text), "Mind the unit.", str(path), row.line)]
