"""Every number in every parameter file and price table: unit, source, range and marks, read without the package.

`simulator.sourced` refuses much of this when it reads a file; this is the second way, straight from the TOML, and it
looks at what the reader lets pass: spelling of units, sources that do not say how sure they are, shares above one.
"""

import math
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from book.numbers import number_pages

ROOT = Path(__file__).parents[1]
PARAMETERS, PRICES = ROOT / "simulator" / "parameters", ROOT / "price_tables"
FILES = [*sorted(PARAMETERS.rglob("*.toml")), *sorted(PRICES.rglob("*.toml"))]
ABOUT_THE_FILE = {"title", "extends", "currency_year", "sources"}
NEEDED, ALLOWED = {"value", "unit", "source"}, {"value", "unit", "source", "low", "high", "provisional"}

LENGTHS = ("ft", "ft2", "ft3", "in", "in2", "m", "m2", "m3", "cm", "cm2", "ac", "mile")
TIMES = ("day", "h", "month", "yr")
OTHERS = ("1", "$", "bale", "degF", "degree", "gal", "head", "lb", "loads", "sale", "sd", "ton", "tree")
PHRASES = {
    "10-in trees/ac",
    "deg north",
    "ft ac/lb/yr",
    "open-grown crown radii",
    "share of sale",
    "$/1000",
    "$/cut",
    "10 board feet",
    "$/1000 lb",
    "$/animal-unit month",
    "$/strip ac",
    "h/head/yr",
    "day/yr",
}
ATOM = "|".join(map(re.escape, (*LENGTHS, *TIMES, *OTHERS)))
UNIT = re.compile(f"(?:{ATOM})(?:/(?:{ATOM})){{0,2}}")

WEAK = re.compile(
    r"invented|assumed|for this project|judge|practice|no (?:single )?source|guess|unproved|provisional"
    r"|from memory|second-hand|abstract|weak",
    re.IGNORECASE,
)
RATIOS = {"rent_share", "weaned_share"}
"""Against a reference that they may exceed: rent of the usual grass, females that may bear more than one."""
SURE = re.compile(
    r"\b(?:1[89]|20)\d\d\b|\btables?\b|\bformula\b|fitted|derived|published|definition|reference", re.IGNORECASE
)
ADDRESS = re.compile(r"https?:|www\.", re.IGNORECASE)


def name_of(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def inherited(document: dict[str, Any], path: Path) -> dict[str, str]:
    """Sources that an entry may name: the file's own and those of the file it extends."""
    own = document.get("sources", {})
    if "extends" not in document:
        return dict(own)
    parent = path.with_name(f"{document['extends']}.toml")
    return inherited(tomllib.loads(parent.read_text(encoding="utf-8")), parent) | own


def complaints(text: str, path: Path) -> Iterator[str]:
    """Everything wrong in one file."""
    document = tomllib.loads(text)
    sources = inherited(document, path)
    entries = dict(numbers(document))
    for table, held in document.items():
        if table not in ABOUT_THE_FILE and not isinstance(held, dict):
            yield f"{table} stands bare"
    for field, entry in entries.items():
        yield from (f"{field}: {fault}" for fault in faults(field, entry, sources))
    used = {entry["source"] for entry in entries.values() if isinstance(entry, dict) and "source" in entry}
    for unused in set(document.get("sources", {})) - used:
        yield f"source {unused} is listed and never used"
    for key, source in document.get("sources", {}).items():
        if not (WEAK.search(source) or SURE.search(source)):
            yield f"source {key} does not say how sure it is"
        if ADDRESS.search(source):
            yield f"source {key} is an address, not a citation"


def numbers(document: dict[str, Any]) -> Iterator[tuple[str, Any]]:
    for table, held in document.items():
        if table not in ABOUT_THE_FILE and isinstance(held, dict):
            # words, such as what a young animal is called, need no unit
            yield from ((f"{table}.{name}", entry) for name, entry in held.items() if not isinstance(entry, str))


def faults(field: str, entry: Any, sources: dict[str, str]) -> Iterator[str]:  # noqa: ANN401 - as TOML has it
    if not isinstance(entry, dict):
        yield "has neither unit nor source"
        return
    if not set(entry) >= NEEDED or not set(entry) <= ALLOWED:
        yield f"has {sorted(entry)}"
        return
    values = entry["value"] if isinstance(entry["value"], list) else [entry["value"]]
    if not values or any(type(value) not in (int, float) or not math.isfinite(value) for value in values):
        yield "is no number"
        return
    if entry["unit"] not in PHRASES and not UNIT.fullmatch(entry["unit"]):
        yield f"unit {entry['unit']!r} is not spelled as the others"
    if entry["source"] not in sources:
        yield f"source {entry['source']!r} is not listed"
    elif entry.get("provisional") and not WEAK.search(sources[entry["source"]]):
        yield "is marked as provisional, but its source does not admit to it"
    yield from range_faults(field, entry, values)


def range_faults(field: str, entry: dict[str, Any], values: list[float]) -> Iterator[str]:
    if ("low" in entry) != ("high" in entry):
        yield "has one end of a range"
    ends = [entry[end] for end in ("low", "high") if end in entry]
    if len(ends) == 2 and not (ends[0] <= min(values) <= max(values) <= ends[1] and ends[0] < ends[1]):
        yield f"lies outside {ends}"
    share = re.search(r"_share$|_loss$", field) and entry["unit"] in {"1", "1/yr"}
    if share and field.partition(".")[2] not in RATIOS and not all(0.0 <= number <= 1.0 for number in [*values, *ends]):
        yield "is a share above 1 or below 0"
    if field.endswith("monthly_share") and (len(values) != 12 or abs(sum(values) - 1.0) > 1e-9):
        yield "does not share out one year among twelve months"


@pytest.mark.parametrize("path", FILES, ids=name_of)
def test_every_number_has_unit_source_and_an_honest_mark(path: Path) -> None:
    assert list(complaints(path.read_text(encoding="utf-8"), path)) == []


@pytest.mark.parametrize("path", sorted(PRICES.glob("*.toml")), ids=name_of)
def test_every_price_has_a_range_and_a_year(path: Path) -> None:
    document = tomllib.loads(path.read_text(encoding="utf-8"))
    assert type(document["currency_year"]) is int
    for field, entry in numbers(document):
        assert entry["low"] < entry["high"], field
        assert entry["unit"].startswith("$/") or entry["unit"] in {"1", "share of sale"}, field
        assert entry["value"] >= 0.0, field


def test_growth_is_never_invented() -> None:
    """What is made up for a demonstration is a price, a plan or a person, never how things grow."""
    for path in sorted(PARAMETERS.rglob("*.toml")):
        sources = tomllib.loads(path.read_text(encoding="utf-8")).get("sources", {})
        assert not [key for key, source in sources.items() if re.search("invented", source, re.IGNORECASE)], path.name


GOOD = 'value = 0.5, unit = "1", source = "A"'


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("number = 2.5", "neither unit nor source"),
        ("number = [1.0, 2.0]", "neither unit nor source"),
        ('number = { value = 2.5, source = "A" }', "has ['source', 'value']"),
        ('number = { value = [2.5, "3"], unit = "ft", source = "A" }', "no number"),
        ('number = { value = [], unit = "ft", source = "A" }', "no number"),
        ('number = { value = true, unit = "ft", source = "A" }', "no number"),
        ('number = { value = 2.5, unit = "feet", source = "A" }', "not spelled"),
        ('number = { value = 2.5, unit = "ft", source = "B" }', "not listed"),
        ('number = { value = 2.5, unit = "ft", source = "A", low = 3.0, high = 4.0 }', "outside"),
        ('number = { value = [1.0, 9.0], unit = "ft", source = "A", low = 0.0, high = 4.0 }', "outside"),
        ('number = { value = 2.5, unit = "ft", source = "A", low = 2.0 }', "one end"),
        ('number = { value = 2.5, unit = "ft", source = "A", note = "x" }', "has ["),
        ('number = { value = 2.5, unit = "ft", source = "A", provisional = true }', "does not admit"),
        ('dead_share = { value = 1.5, unit = "1", source = "A" }', "share above 1"),
        ('monthly_share = { value = [0.5, 0.5], unit = "1", source = "A" }', "twelve months"),
    ],
)
def test_the_audit_finds_what_is_wrong(line: str, says: str, tmp_path: Path) -> None:
    head = '[sources]\nA = "Smith 1999, Journal 1:1"\n[table]\n'
    rest = f"good = {{ {GOOD} }}\n"
    assert list(complaints(head + rest, tmp_path / "good.toml")) == []
    (found,) = complaints(head + rest + line, tmp_path / "bad.toml")
    assert says in found


@pytest.mark.parametrize(
    ("source", "says"),
    [
        ('A = "a friend"', "how sure"),
        ('A = "Smith 1999, www.example.org"', "an address"),
        ('A = "Smith 1999"\nB = "Jones 1999"', "never used"),
    ],
)
def test_the_audit_reads_the_sources_too(source: str, says: str, tmp_path: Path) -> None:
    (found,) = complaints(f"[sources]\n{source}\n[table]\nnumber = {{ {GOOD} }}", tmp_path / "bad.toml")
    assert says in found


def test_words_need_no_unit(tmp_path: Path) -> None:
    text = f'[sources]\nA = "Smith 1999"\n[words]\nyoung = "calf"\n[table]\none = {{ {GOOD} }}\n'
    assert list(complaints(text, tmp_path / "words.toml")) == []


def test_a_file_may_use_the_sources_of_the_one_it_extends(tmp_path: Path) -> None:
    parent = f'[sources]\nA = "Smith 1999"\n[table]\none = {{ {GOOD} }}\n'
    (tmp_path / "parent.toml").write_text(parent, encoding="utf-8")
    child = f'extends = "parent"\n[table]\ntwo = {{ {GOOD} }}\n'
    assert list(complaints(child, tmp_path / "child.toml")) == []


def test_the_list_of_numbers_leaves_none_out() -> None:
    """The pages of numbers, as they are written today, have a row for each number that stands in a file."""
    listed = "".join(number_pages().values())
    parts = re.split(r"^`((?:simulator|price_tables)/[^`]+)`$", listed, flags=re.MULTILINE)
    sections = dict(zip(parts[1::2], parts[2::2], strict=True))
    assert set(sections) == {name_of(path) for path in FILES}
    for path in FILES:
        for field, entry in numbers(tomllib.loads(path.read_text(encoding="utf-8"))):
            values = entry["value"] if isinstance(entry["value"], list) else [entry["value"]]
            shown = ", ".join(f"{float(value):.10g}" for value in values)
            row = f"| {field.partition('.')[2]} | {shown} | {entry['unit']} |"
            assert row in sections[name_of(path)], f"{name_of(path)}: {field}"
