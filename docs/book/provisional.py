"""The page of what is provisional: every number without a published value, and what the sources say of themselves."""

import re
from collections import Counter
from collections.abc import Iterator

from book.numbers import FAMILIES, files, limits
from simulator.sourced import Sourced

HEAD = """# What is provisional

Written by `docs/refresh.py` from the parameter files; do not edit. A number is here if its file marks it
`provisional`: no published value was found for it. `halfshade compare --band` moves each number that has a range to
both ends and says which of them change the answer. A number that is not here may still be *from memory* or
*second-hand*: the first table counts what the sources say of themselves.

What to make of it: results that hang on growth beside wide alleys, on the shade response, or on sawtimber grade rest
on these numbers. Show a landowner the band, not the single figure.
[Where it is weak](method/limits.md) says where model
and practice are known to disagree.

"""
CITED = "cited without such a word"
WORDS = ("invented", "assumed", "practice", "from memory", "second-hand", "derived", "fitted", "abstract")
"""How sure a source says it is, the weakest first; the rest are cited without such a word."""


def provisional() -> str:
    """The whole page."""
    return HEAD + _counts() + _lists()


def _sure(source: str) -> str:
    return next((word for word in WORDS if re.search(word, source, re.IGNORECASE)), CITED)


def _named(name: str, start: tuple[str, ...], taken: set[str]) -> bool:
    return name.startswith(start) and name not in taken


def _families() -> Iterator[tuple[str, str, list[str]]]:
    taken: set[str] = set()
    for family in FAMILIES:
        mine = [name for name in files() if _named(name, family.files, taken)]
        taken.update(mine)
        yield family.name, family.title, mine


def _counts() -> str:
    columns = (*WORDS, CITED)
    head = f"| numbers | {' | '.join(columns)} |\n| --- |{' --- |' * len(columns)}\n"
    rows = []
    for page, title, names in _families():
        counted = Counter(_sure(files()[name].sources[entry.source]) for name in names for _, entry in _entries(name))
        rows.append(f"| [{title}](numbers/{page}.md) | {' | '.join(str(counted[word]) for word in columns)} |\n")
    return f"## What the sources say of themselves\n\n{head}{''.join(rows)}\n"


def _entries(name: str) -> Iterator[tuple[str, Sourced]]:
    file = files()[name]
    for table, entries in file.tables.items():
        yield from ((f"{table}.{number}", entry) for number, entry in entries.items() if entry.source in file.sources)


def _lists() -> str:
    parts = []
    for _, title, names in _families():
        rows = [_row(name, number, entry) for name in names for number, entry in _entries(name) if entry.provisional]
        if rows:
            table = "| file | number | value | unit | range | what its source says |\n" + "| --- " * 6 + "|\n"
            parts.append(f"## {title}\n\n{table}{''.join(rows)}")
    return "\n".join(parts)


def _row(name: str, number: str, entry: Sourced) -> str:
    values = entry.value if isinstance(entry.value, tuple) else (entry.value,)
    shown = ", ".join(f"{value:.6g}" for value in values)
    said = files()[name].sources[entry.source].replace("$", "\\$").replace("|", "\\|")
    return f"| `{name.rpartition('/')[2]}` | {number} | {shown} | {entry.unit} | {limits(entry)} | {said} |\n"
