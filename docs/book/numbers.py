"""Pages of every number, family by family, and what is provisional, from the parameter files and price tables."""

from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path
from typing import NamedTuple

import price_tables
import simulator.parameters
from simulator.sourced import Sourced, SourcedFile, read_sourced

PLAIN = ("currency_year", "extends")
HEAD = """# Every number

Written by `docs/refresh.py` from the parameter files; do not edit. How each is used: [the method](method.md). The range
is what the number may lie in as far as is known; `weak` marks what no published value was found for. What is weakest
is gathered in [what is provisional](provisional.md).

"""


class Family(NamedTuple):
    """A page of numbers: which files, by the start of their names below their package."""

    name: str
    title: str
    files: tuple[str, ...]


FAMILIES = (
    Family("trees", "Trees", ("simulator/parameters/trees/", "simulator/parameters/genetics")),
    Family(
        "grasses",
        "Grasses",
        ("simulator/parameters/grasses/", "simulator/parameters/grazing", "simulator/parameters/hay"),
    ),
    Family("animals", "Animals and heat", ("simulator/parameters/animals/", "simulator/parameters/climate")),
    Family(
        "wood",
        "Wood: products, poles, bucking",
        tuple(f"simulator/parameters/{n}" for n in ("bucking", "poles", "products")),
    ),
    Family("prices", "Prices", ("price_tables/",)),
    Family("practice", "Light, hazards, practice and the rest", ("simulator/parameters/",)),
)
"""The first family that a file fits holds it; the last one takes what is left."""


@cache
def files() -> dict[str, SourcedFile]:
    """Every parameter file and price table by its name in the repository."""
    parameters, prices = Path(simulator.parameters.__file__).parent, Path(price_tables.__file__).parent
    named = {f"simulator/parameters/{path.relative_to(parameters).as_posix()}": path for path in _tomls(parameters)}
    named |= {f"price_tables/{path.relative_to(prices).as_posix()}": path for path in _tomls(prices)}
    return {name: read_sourced(path, plain=PLAIN) for name, path in named.items()}


def _tomls(folder: Path) -> list[Path]:
    return sorted(folder.rglob("*.toml"))


@cache
def units_of(fields: tuple[str, ...]) -> dict[str, str]:
    """Units of a tuple's fields, where every table whose keys are all among them agrees."""
    found: dict[str, set[str]] = {}
    for file in files().values():
        for entries in file.tables.values():
            if set(entries) <= set(fields):
                for field, entry in entries.items():
                    found.setdefault(field, set()).add(entry.unit)
    return {field: units.copy().pop() for field, units in found.items() if len(units) == 1}


def number_pages() -> dict[str, str]:
    """The list of families and each family, by path below docs/."""
    left = dict(files())
    pages: dict[str, str] = {}
    lines: list[str] = []
    for family in FAMILIES:
        mine = {name: left.pop(name) for name in list(left) if name.startswith(family.files)}
        pages[f"numbers/{family.name}.md"] = f"# {family.title}\n" + "".join(
            _file(file, name) for name, file in mine.items()
        )
        lines.append(f"- [{family.title}](numbers/{family.name}.md): {_count(mine.values())}\n")
    tree = "```{toctree}\n:hidden:\n\n" + "".join(f"numbers/{family.name}\n" for family in FAMILIES) + "```\n"
    return {"numbers.md": f"{HEAD}{''.join(lines)}\n{tree}"} | pages


def _count(mine: Iterable[SourcedFile]) -> str:
    entries = [entry for file in mine for table in file.tables.values() for entry in table.values()]
    ranged, weak = sum(entry.low is not None for entry in entries), sum(entry.provisional for entry in entries)
    return f"{len(entries)} numbers, {ranged} with a range, {weak} weak"


def _file(file: SourcedFile, name: str) -> str:
    parts = [f"\n## {_text(file.title)}\n\n`{name}`\n"]
    for table, entries in file.tables.items():
        parts.append(f"\n`[{table}]`\n\n| number | value | unit | range | source |\n| --- | --- | --- | --- | --- |\n")
        parts += [_row(number, entry) for number, entry in entries.items()]
    parts.append("\nSources\n\n" + "".join(f"- {key}: {_text(text)}\n" for key, text in file.sources.items()))
    return "".join(parts)


def _row(number: str, entry: Sourced) -> str:
    source = f"{entry.source}, weak" if entry.provisional else entry.source
    return f"| {number} | {', '.join(_values(entry))} | {entry.unit} | {limits(entry)} | {source} |\n"


def limits(entry: Sourced) -> str:
    """Range of a number as text, empty where none is known."""
    return "" if entry.low is None else f"{entry.low:g} - {entry.high:g}"


def _values(entry: Sourced) -> Iterator[str]:
    values = entry.value if isinstance(entry.value, tuple) else (entry.value,)
    return (f"{value:.10g}" for value in values)


def _text(text: str) -> str:
    """Dollars would begin an equation."""
    return text.replace("$", "\\$")
