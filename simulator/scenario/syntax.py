"""TOML text into tables; a line that cannot be read is told, set aside, and the rest is read all the same."""

import re
import tomllib
from typing import Any, Final, NamedTuple

from simulator.errors import InputError, Problem
from simulator.scenario.lines import FieldPath, Lines, scan_lines
from simulator.scenario.messages import LONGEST_VALUE_SHOWN, field_name

MOST_UNREADABLE: Final = 20
START: Final = "'halfshade init' prints a scenario to start from."
_PLACE: Final = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")
_WRITING: Final = "Text goes in quotes, decimals have a point, true and false small letters; one key = value a line."


class Reading(NamedTuple):
    """What could be read.

    Attributes
    ----------
    document
        Tables of the lines that could be read.
    lines
        Where each key stands, the unreadable ones too.
    problems
        One for each line that could not be read.
    unread
        Keys of those lines; nothing is known of their values.
    """

    document: dict[str, Any]
    lines: Lines
    problems: list[Problem]
    unread: frozenset[FieldPath]


class _Fault(NamedTuple):
    """A line that cannot be read, counted from 1, its key, and whether the key stands on that line."""

    line: int
    path: FieldPath
    begins_here: bool
    problem: Problem


def read_toml(text: str, name: str) -> Reading:
    """Read as much of a TOML text as can be read.

    Parameters
    ----------
    text
        What stands in the file.
    name
        What to call it in messages.

    Returns
    -------
    Reading

    Raises
    ------
    InputError
        Where lines cannot be read and the rest makes no sense without them.
    """
    _refuse_other_kinds(text, name)
    lines = scan_lines(text)
    rows = text.split("\n")
    faults: list[_Fault] = []
    while True:
        try:
            document = tomllib.loads("\n".join(rows))
        except tomllib.TOMLDecodeError as error:
            fault = _fault("\n".join(rows), str(error), name)
            faults.append(fault)
            if len(faults) == MOST_UNREADABLE or not _can_be_set_aside(rows[fault.line - 1], fault):
                raise InputError([kept.problem for kept in faults]) from error
            rows[fault.line - 1] = ""
        except RecursionError:
            raise InputError([Problem("", "has lists within lists too deep to read", "", START, name)]) from None
        except ValueError as error:
            rule = "holds a number with more digits than can be read"
            raise InputError([Problem("", rule, "", "Look for a number of thousands of digits.", name)]) from error
        else:
            unread = frozenset(fault.path for fault in faults)
            return Reading(document, lines, [fault.problem for fault in faults], unread)


def _refuse_other_kinds(text: str, name: str) -> None:
    """A wrong file picked by a slip of the hand is called what it is; nobody corrects a map into a plan."""
    first = text.lstrip().partition("\n")[0]
    kind = "JSON, such as a map" if first.startswith("{") else "a table of comma-separated rows"
    if first.startswith("{") or ("," in first and not set(first) & set("=#[]\"'")):
        remedy = "Choose the file whose name ends in .toml."
        raise InputError([Problem("", f"is not a TOML file: it looks like {kind}", "", remedy, name)])


def _can_be_set_aside(row: str, fault: _Fault) -> bool:
    """Whether a line is one key and its value.

    Without the header of a table the lines below would change their meaning; a list left open goes on below.
    """
    return fault.begins_here and "=" in row and not row.lstrip().startswith("[")


def _fault(text: str, message: str, name: str) -> _Fault:
    lines = scan_lines(text)
    if lines.repeats and ("Cannot" in message or "Duplicate" in message):
        path, line, first_line = lines.repeats[0]
        rule = f"stands twice, first on line {first_line}"
        problem = Problem(field_name(path), rule, "", "Keep one of the two.", name, line)
        return _Fault(line, path, begins_here=True, problem=problem)
    place = _PLACE.search(message)
    rows = text.split("\n")
    line = int(place[1]) if place and place[1] else len(rows)
    column = f" at column {place[2]}" if place and place[2] else " at the end"
    path = _path_near(lines, line)
    rule = f"cannot be read as TOML{column}: {_PLACE.sub('', message).lower()}"
    received = rows[line - 1].strip()[:LONGEST_VALUE_SHOWN]
    problem = Problem(field_name(path), rule, received, _WRITING, name, line)
    return _Fault(line, path, begins_here=lines.places.get(path) == line, problem=problem)


def _path_near(lines: Lines, number: int) -> FieldPath:
    """Path of the key on a line, or of the one that was still open there."""
    before = {path: line for path, line in lines.places.items() if line <= number and isinstance(path[-1], str)}
    return max(before, key=lambda path: (before[path], len(path))) if before else ()
