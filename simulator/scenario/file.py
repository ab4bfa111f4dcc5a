"""From a scenario file to a `Scenario`, or to a list of everything that is wrong with it."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from simulator import named_files
from simulator.errors import InputError, Problem
from simulator.scenario.draft import Draft
from simulator.scenario.lines import Locate
from simulator.scenario.model import Scenario
from simulator.scenario.rules import problems_between_fields
from simulator.scenario.syntax import START, read_toml

TOML: Final = named_files.Kind(
    1_000_000,
    START,
    "Name the file itself.",
    "No file of this kind is so large: look at what was named.",
    "Save it again as UTF-8.",
)


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


def text_of(path: Path, start: str = START) -> str:
    """Text of a TOML file that a person named; InputError where it is absent, no text, or too large.

    Parameters
    ----------
    path
        The file.
    start
        How to begin such a file, said where there is none.
    """
    return named_files.text_of(path, TOML._replace(absent=start))


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
