"""Laws of reading a scenario: a text loads or is refused with a reason, and numbers arrive as they were written."""

import copy
import tomllib
from collections.abc import Callable
from typing import Any

import tomlkit
from hypothesis import given, settings
from hypothesis import strategies as st

from simulator.errors import InputError, Problem
from simulator.scenario.draft import Draft
from simulator.scenario.file import load_text, validate_document
from simulator.scenario.lines import scan_lines
from simulator.scenario.model import Scenario
from workbench.examples import example_text

EXAMPLE = example_text()
DOCUMENT: dict[str, Any] = tomllib.loads(EXAMPLE)
# names with a meaning, so that drawn tables reach beyond "unknown key"
WORDS = st.sampled_from(
    [
        "year",
        "item",
        "trees",
        "layout",
        "thinning",
        "baseline",
        "pasture",
        "plantation",
        "harvest",
        "float",
        "1",
        "cattle",
    ]
)
VALUES = st.recursive(
    st.none().map(lambda _: "")
    | st.booleans()
    | st.integers(-(10**20), 10**20)
    | st.floats()
    | st.text(max_size=8)
    | WORDS
    | st.dates(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(WORDS | st.text(max_size=5), inner, max_size=3),
    max_leaves=8,
)


def paths_of(value: object, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    parts: list[tuple[str | int, object]] = []
    if isinstance(value, dict):
        parts = list(value.items())
    elif isinstance(value, list):
        parts = list(enumerate(value))
    return [deeper for key, inner in parts for deeper in ((*path, key), *paths_of(inner, (*path, key)))]


def problems_or_none(read: Callable[[], Scenario]) -> list[Problem]:
    """Problems of a text that is refused; any other exception ends the test."""
    try:
        assert isinstance(read(), Scenario)
    except InputError as error:
        found = error.problems
    else:
        return []
    assert found
    return found


def loads_or_is_refused(document: dict[str, Any]) -> None:
    for problem in problems_or_none(lambda: validate_document(document, lambda _: None, "drawn", None)):
        assert problem.rule
        assert "Input should" not in problem.rule
        assert str(problem)


@settings(max_examples=200, deadline=None)
@given(data=st.data(), changes=st.integers(1, 4))
def test_a_changed_scenario_loads_or_is_refused(data: st.DataObject, changes: int) -> None:
    document = copy.deepcopy(DOCUMENT)
    for _ in range(changes):
        path = data.draw(st.sampled_from(paths_of(document)))
        parent = document
        for part in path[:-1]:
            parent = parent[part]
        if data.draw(st.booleans()):
            parent[path[-1]] = data.draw(VALUES)
        elif isinstance(parent, dict):
            parent[data.draw(WORDS)] = data.draw(VALUES)
        if not document:
            break
    loads_or_is_refused(document)


@settings(max_examples=200, deadline=None)
@given(tables=st.dictionaries(st.sampled_from([*Scenario.model_fields, "stand"]), VALUES, max_size=5))
def test_any_tables_load_or_are_refused(tables: dict[str, Any]) -> None:
    loads_or_is_refused({**DOCUMENT, **tables})
    loads_or_is_refused({**DOCUMENT, "baseline": {"plantation": tables, "pasture": tables}})
    loads_or_is_refused(tables)


@settings(max_examples=200, deadline=None)
@given(
    start=st.integers(0, len(EXAMPLE) - 1),
    length=st.integers(0, 40),
    put=st.text(st.sampled_from("abc =.[]{}\"'#\n\\019-,\t\r\0é"), max_size=8),
)
def test_a_damaged_text_loads_or_is_refused(start: int, length: int, put: str) -> None:
    text = EXAMPLE[:start] + put + EXAMPLE[start + length :]
    last_line = text.count("\n") + 1
    for problem in problems_or_none(lambda: load_text(text, "damaged")):
        assert problem.line is None or 1 <= problem.line <= last_line


@settings(max_examples=200, deadline=None)
@given(text=st.text(st.sampled_from("ab=.[]{}\"'#\n\\1, ")))
def test_the_line_scanner_never_raises(text: str) -> None:
    scan_lines(text)


@settings(max_examples=100, deadline=None)
@given(acres=st.floats(0.01, 1e5), rate=st.floats(0.0, 0.5), price=st.floats(0.0, 1e6), year=st.integers(25, 34))
def test_numbers_arrive_as_they_were_written(acres: float, rate: float, price: float, year: int) -> None:
    document = tomlkit.parse(EXAMPLE)
    document["land"]["acres"] = acres  # type: ignore[index]
    document["money"]["discount_rate"] = rate  # type: ignore[index]
    document["money"]["prices"]["calf"] = price  # type: ignore[index]
    document["thinning"][1]["year"] = year  # type: ignore[index]
    scenario = load_text(tomlkit.dumps(document), "written")
    read = (scenario.land.acres, scenario.money.discount_rate, scenario.money.prices["calf"], scenario.thinning[1].year)
    assert read == (acres, rate, price, year)


@given(st.sampled_from([path for path in paths_of(DOCUMENT) if not isinstance(path[-1], int)]))
def test_a_removed_field_is_read_as_its_default_or_as_missing(path: tuple[str | int, ...]) -> None:
    document = copy.deepcopy(DOCUMENT)
    parent = document
    for part in path[:-1]:
        parent = parent[part]
    del parent[path[-1]]
    draft = Draft(document, lambda _: None, "cut")
    if draft.scenario is not None:
        value: Any = draft.scenario.model_dump()
        for part in path:
            value = value.get(part) if isinstance(value, dict) else value[part]
        found = draft.get(*path)
        assert (list(found) if isinstance(found, tuple) else found) == (
            list(value) if isinstance(value, tuple) else value
        )
    else:
        assert draft.get(*path) is None
