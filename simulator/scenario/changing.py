"""A scenario with some fields changed, checked as if it had been written so."""

from collections.abc import Mapping
from pathlib import Path

from simulator.errors import InputError, Problem
from simulator.scenario.fields import FieldError, path_of, put, value_now
from simulator.scenario.file import validate_document
from simulator.scenario.model import Scenario


def change(scenario: Scenario, fields: Mapping[str, object], beside: Path | None = None) -> Scenario:
    """Change some fields of a scenario.

    Parameters
    ----------
    scenario
        The scenario; it stays as it is.
    fields
        Dotted fields and their new values, such as ``{"trees.layout.alley_ft": 50, "thinning[1].year": 18}``; a price
        is ``money.prices.calf``.
    beside
        Folder of its file, for a price table of its own.

    Returns
    -------
    Scenario

    Raises
    ------
    InputError
        Where there is no such field, or the scenario would be wrong.

    Examples
    --------
    >>> from simulator import change, load
    >>> wider = change(load("examples/north-field.toml"), {"trees.layout.alley_ft": 60})
    >>> wider.trees.layout.alley_ft
    60.0
    """
    document = scenario.model_dump(mode="json", by_alias=True, exclude_unset=True)
    problems = []
    for name, value in fields.items():
        try:
            path = path_of(name)
            if path[:2] != ("money", "prices"):
                value_now(scenario, path)
        except FieldError as error:
            problems.append(Problem(name, str(error), repr(value), error.remedy))
        else:
            put(document, path, value)
    if problems:
        raise InputError(problems)
    return validate_document(document, lambda _path: None, "the changed scenario", beside)
