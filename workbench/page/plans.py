"""Plans as the page holds them: nested tables with the keys of the scenario file, checked as `halfshade check` does."""

import datetime as dt
import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final, NamedTuple

from simulator.alternatives import systems_of
from simulator.errors import InputError, Problem
from simulator.parameters.prices import price_table_names
from simulator.scenario.file import load_text, validate_document
from simulator.scenario.lines import FieldPath, Locate
from simulator.scenario.model import Scenario
from simulator.scenario.syntax import read_toml
from workbench.page.messages import UNPROCESSABLE, Reply, Settings, json_reply

NAME: Final = "the plan"
MOST_LETTERS, MOST_LINES, LONGEST_LINE, MOST_DOTS = 200_000, 10_000, 20_000, 40
"""Letters, lines, and letters and dots of a line; a megabyte of dotted keys or of lists would keep the reader for
minutes."""
NO_FLOOD: Final = "Choose a plan file of Halfshade."
MOST_VALUES: Final = 5_000
"""Values in a plan; each wrong one is a sentence to be made, and a megabyte of them would keep the page a minute."""
MOST_PROBLEMS: Final = 40
"""Nobody reads more at once."""
LONGEST_NAME: Final = 200
"""Letters of a field that are told; no field of a plan has as many."""


class Opened(NamedTuple):
    """A plan read from a text or from the page: as it is written, and checked.

    Attributes
    ----------
    document
        Nested tables, ready for JSON.
    scenario
        The same, checked.
    """

    document: dict[str, Any]
    scenario: Scenario


def opened_tables(document: Mapping[str, Any], settings: Settings) -> Opened:
    """Check a plan that the page sends.

    Parameters
    ----------
    document
        Nested tables.
    settings
        Which price table may be read beside the packaged ones.

    Returns
    -------
    Opened

    Raises
    ------
    InputError
        With every problem.
    """
    return _opened(document, lambda _: None, settings)


def opened_text(text: str, settings: Settings) -> Opened:
    """Check a plan given as the text of a scenario file; problems name their line.

    Parameters
    ----------
    text
        TOML.
    settings
        Which price table may be read beside the packaged ones.

    Returns
    -------
    Opened

    Raises
    ------
    InputError
        With every problem of the lines that can be read, and of those that cannot.
    """
    _is_no_flood(text)
    reading = read_toml(text.removeprefix("\ufeff"), NAME)
    if reading.problems or not reading.document:
        _table_is_read(reading.document, settings, reading.lines.locate)
        load_text(text, NAME)  # raises with what is wrong in the lines that can be read beside those that cannot
    return _opened(reading.document, reading.lines.locate, settings)


def _is_no_flood(text: str) -> None:
    """Refuse what no person has written before anything tries to understand it."""
    rows = text.split("\n")
    rules = (
        (f"is longer than {LONGEST_LINE:,} letters", lambda row: len(row) > LONGEST_LINE),
        (f"has more than {MOST_DOTS} dots", lambda row: row.count(".") > MOST_DOTS),
    )
    for rule, is_broken in rules:
        line = next((number for number, row in enumerate(rows, start=1) if is_broken(row)), None)
        if line is not None:
            raise InputError([Problem("", rule, "", NO_FLOOD, NAME, line)])
    if len(text) > MOST_LETTERS:
        raise InputError([Problem("", f"is longer than {MOST_LETTERS:,} letters", "", NO_FLOOD, NAME)])
    if len(rows) > MOST_LINES:
        raise InputError([Problem("", f"has more than {MOST_LINES:,} lines", "", NO_FLOOD, NAME)])


def _opened(document: Mapping[str, Any], locate: Locate, settings: Settings) -> Opened:
    if _values_in(document, MOST_VALUES) > MOST_VALUES:
        raise InputError([Problem("", f"holds more than {MOST_VALUES:,} values", "", NO_FLOOD, NAME)])
    beside = settings.beside if _table_is_read(document, settings, locate) else None
    scenario = validate_document(document, locate, NAME, beside)
    try:
        systems_of(scenario, beside)
    except InputError as error:
        raise InputError([_of_baseline(problem, locate) for problem in error.problems]) from error
    return Opened(_for_json(document), scenario)


def _values_in(value: object, most: int) -> int:
    """Values of lists and tables within one another, counted until they are more than enough."""
    inside = value.values() if isinstance(value, Mapping) else value if isinstance(value, list | tuple) else ()
    count = len(inside)
    for item in inside:
        if count > most:
            break
        count += _values_in(item, most - count)
    return count


def _table_is_read(document: Mapping[str, Any], settings: Settings, locate: Locate) -> bool:
    """Whether the plan names the one price table beside the file of the command line; refuse any other file."""
    money = document.get("money")
    name = money.get("price_table") if isinstance(money, Mapping) else None
    if not isinstance(name, str) or name in price_table_names():
        return False
    if name == settings.own_table:
        return True
    path = ("money", "price_table")
    known = ", ".join(price_table_names())
    rule = "is not read from a page: a page opens no file of its own accord"
    remedy = f"Use one of: {known}; or start the page with `halfshade page FILE`, the price table beside FILE."
    raise InputError([Problem("money.price_table", rule, f'"{name[:60]}"', remedy, NAME, locate(path))])


def _of_baseline(problem: Problem, locate: Locate) -> Problem:
    """A problem of what is derived stands at the override that broke it."""
    where = re.fullmatch(r"\[(baseline\.\w+)\]", problem.file or "")
    if where is None:
        return problem
    field = f"{where[1]}.{problem.field}" if problem.field else where[1]
    return replace(problem, field=field, line=locate(tuple(re.sub(r"\[\d+\]", "", field).split("."))))


def _for_json(value: Any) -> Any:  # noqa: ANN401 - any value of a TOML file
    if isinstance(value, Mapping):
        return {str(key): _for_json(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_for_json(item) for item in value]
    if isinstance(value, dt.date | dt.time):
        return value.isoformat()
    return value


def problems_reply(error: InputError) -> Reply:
    """What is wrong, each with the path of its field and, where there is a text, its line."""
    told = [problem_document(problem) for problem in error.problems[:MOST_PROBLEMS]]
    more = len(error.problems) - len(told)
    if more:
        told.append({"field": "", "name": "", "message": f"{more:,} more of the kind. Mend these first.", "line": None})
    return json_reply({"problems": told}, UNPROCESSABLE)


def problem_document(problem: Problem) -> dict[str, Any]:
    """One problem: path as the form has it, the field as a person reads it, and what to do."""
    message = str(replace(problem, field="", file=None, line=None))
    if problem.line is None:  # beside its field, where the form says what it means in words of its own
        message = message.partition(" Meaning: ")[0]
    path = ".".join(str(part) for part in _path(problem.field))[:LONGEST_NAME]
    return {
        "field": path,
        "name": problem.field[:LONGEST_NAME],
        "message": message[:1].upper() + message[1:],
        "line": problem.line,
    }


def _path(field: str) -> FieldPath:
    """Path of a dotted name whose entries are counted from 1."""
    parts = re.findall(r"\[(\d+)\]|([^.\[\]]+)", field)
    return tuple(int(number) - 1 if number else key for number, key in parts)
