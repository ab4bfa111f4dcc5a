"""Dotted names of scenario fields, such as ``thinning[1].year``, and setting what they name in a scenario's tables."""

import re
from collections.abc import Mapping
from itertools import pairwise
from typing import Any, Final

from simulator.scenario.lines import FieldPath
from simulator.scenario.messages import nearest
from simulator.scenario.model import Scenario

_PART: Final = re.compile(r"([A-Za-z_]\w*)((?:\[\d+\])*)")
NOT_VARIED: Final = ("format", "title", "report", "baseline", "search", "tax", "price_path", "price_link", "market")
"""Tables that no output of a sweep looks at, or that are no numbers of the plan."""


class FieldError(ValueError):
    """A name that means no field of the scenario; the text says why, ``remedy`` what to do."""

    def __init__(self, rule: str, remedy: str) -> None:
        super().__init__(rule)
        self.remedy = remedy


def path_of(name: str) -> FieldPath:
    """Path of a dotted name, entries of lists counted from 1 in the name and from 0 in the path.

    Raises
    ------
    FieldError
        Where the name is not written so.
    """
    path: FieldPath = ()
    for part in name.split("."):
        found = _PART.fullmatch(part)
        numbers = [int(number) for number in re.findall(r"\d+", found[2])] if found else [0]
        if found is None or 0 in numbers:
            raise FieldError("is not written as a dotted field", 'Write "trees.layout.alley_ft" or "thinning[1].year".')
        path += (found[1], *(number - 1 for number in numbers))
    return path


def value_now(scenario: Scenario, path: FieldPath) -> Any:  # noqa: ANN401 - whatever stands there
    """Value of a field in a scenario, default or written; ``None`` where it may be absent and is.

    Raises
    ------
    FieldError
        Where the scenario has no such field, or nothing to put it in.
    """
    if path[0] in NOT_VARIED:
        raise FieldError(f"cannot be varied: no result of a sweep depends on {path[0]}", "Name another field.")
    value: Any = scenario.model_dump(by_alias=True)
    for depth, part in enumerate(path):
        here = ".".join(str(p) for p in path[:depth] if isinstance(p, str)) or "the scenario"
        if isinstance(part, int):
            if not isinstance(value, list | tuple) or part >= len(value):
                count = len(value) if isinstance(value, list | tuple) else 0
                rule = f"names entry {part + 1} of {here}, which has {count}"
                raise FieldError(rule, "Write it in the scenario first.")
        elif value is None:
            rule = f"is in {here}, which the scenario does not have"
            raise FieldError(rule, f"Write [{here}] in the scenario first.")
        elif not isinstance(value, Mapping) or part not in value:
            known = list(value) if isinstance(value, Mapping) else []
            listed = f"Known in {here}: {', '.join(map(str, known))}." if known else "Name a field above it."
            raise FieldError("is not a field of the scenario", f"{nearest(part, map(str, known))} {listed}".strip())
        value = value[part]
    return value


def put(document: dict[str, Any], path: FieldPath, value: object) -> None:
    """Write a value into the tables of a scenario, adding the tables that it stands in."""
    node: Any = document
    for part, following in pairwise(path):
        if isinstance(part, str) and part not in node and not isinstance(following, int):
            node[part] = {}
        node = node[part]
    node[path[-1]] = value
