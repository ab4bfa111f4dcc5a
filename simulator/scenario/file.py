"""From a scenario file to a `Scenario`, or to a list of everything that is wrong with it."""

import stat
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from simulator.errors import InputError, Problem
from simulator.scenario.draft import Draft
from simulator.scenario.lines import Locate
from simulator.scenario.model import Scenario
from simulator.scenario.rules import problems_between_fields
from simulator.scenario.syntax import START, read_toml

MOST_BYTES: Final = 1_000_000
_UTF16_MARKS: Final = (b"\xff\xfe", b"\xfe\xff")


def load(path: str | Path) -> Scenario:
    """Read a scenario file.

    Parameters
    ----------
    path
        A TOML file in UTF-8.

    Returns
    -------
    Scenario

    Raises
    ------
    InputError
        With every problem of the file, each with line, field, rule, value received and remedy.
    """
    path = Path(path)
    return _scenario(text_of(path), str(path), path.parent)


def text_of(path: Path) -> str:
    """Text of a file that a person named; InputError where it is absent, no text, or too large."""
    return _decoded(_read(path), str(path))


def load_text(text: str, name: str) -> Scenario:
    """Read a scenario from text.

    Parameters
    ----------
    text
        What would stand in the file.
    name
        What to call it in messages.

    Returns
    -------
    Scenario

    Raises
    ------
    InputError
        With every problem of the text.
    """
    return _scenario(text.removeprefix("\ufeff"), name, None)


def validate_document(document: Mapping[str, Any], locate: Locate, name: str, beside: Path | None) -> Scenario:
    """Check a scenario given as tables, and make it a `Scenario`.

    Parameters
    ----------
    document
        The tables, as a TOML reader gives them.
    locate
        Gives the line of a path such as ``("thinning", 0, "year")``, or ``None``.
    name
        What to call the document in messages.
    beside
        Folder that a price table of the person's own is relative to; ``None`` for the present folder.

    Returns
    -------
    Scenario

    Raises
    ------
    InputError
        With every problem, in the order of their lines.
    """
    return _sound_scenario(Draft(document, locate, name), [], beside)


def _scenario(text: str, name: str, beside: Path | None) -> Scenario:
    reading = read_toml(text, name)
    if not reading.document and not reading.problems:
        raise InputError([Problem("", "is empty", "", START, name)])
    draft = Draft(reading.document, reading.lines.locate, name, unread=reading.unread)
    return _sound_scenario(draft, reading.problems, beside)


def _sound_scenario(draft: Draft, problems: list[Problem], beside: Path | None) -> Scenario:
    problems = problems + draft.schema_problems + problems_between_fields(draft, beside)
    if draft.scenario is None or problems:
        raise InputError(sorted(dict.fromkeys(problems), key=lambda problem: problem.line or 0))
    return draft.scenario


def _read(path: Path) -> bytes:
    name = str(path)
    try:
        # asked before opening: a pipe would wait for ever
        mode = path.stat().st_mode
        if stat.S_ISREG(mode):
            with path.open("rb") as stream:
                data = stream.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise InputError([Problem("", "does not exist", "", f"Check the name. {START}", name)]) from None
    except (OSError, ValueError) as error:
        reason = (getattr(error, "strerror", None) or str(error)).lower()
        raise InputError(
            [Problem("", f"cannot be read: {reason}", "", "Check the name and its rights.", name)]
        ) from error
    if stat.S_ISDIR(mode):
        raise InputError([Problem("", "is a folder, not a file", "", "Name the scenario file in it.", name)])
    if not stat.S_ISREG(mode):
        raise InputError([Problem("", "is not an ordinary file", "", "Write the scenario to a file.", name)])
    if len(data) > MOST_BYTES:
        rule = f"is larger than {MOST_BYTES / 1e6:g} MB, which no scenario is"
        raise InputError([Problem("", rule, "", "Name a scenario file.", name)])
    return data


def _decoded(data: bytes, name: str) -> str:
    if data.startswith(_UTF16_MARKS) or _looks_like_utf16(data):
        raise InputError([Problem("", "is UTF-16 text; it must be UTF-8", "", "Save it again as UTF-8.", name)])
    if b"\0" in data:
        raise InputError([Problem("", "is not a text file", "", START, name)])
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        received = f"byte 0x{data[error.start]:02x}"
        raise InputError([Problem("", "is not UTF-8 text", received, "Save it again as UTF-8.", name, line)]) from error


def _looks_like_utf16(data: bytes) -> bool:
    """Whether every other byte is zero, as in plain letters of two bytes each."""
    head = data[:200]
    return len(head) >= 4 and any(not any(head[side::2]) and 0 not in head[1 - side :: 2] for side in (0, 1))
