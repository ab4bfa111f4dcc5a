"""Ways to damage a file: knowing its form, so that line and field of the fault are known, or byte by byte.

Every way takes a source of chance, which may be a seeded generator, one of Hypothesis or the bytes of a coverage-guided
fuzzer.
"""

import json
import re
from collections.abc import Callable, Sequence
from random import Random
from typing import Any, Final, NamedTuple

from damaged_bytes import BYTE_WAYS, ByteWay
from seeds import Seed

TOML_VALUES: Final = (
    "nan", "inf", "-inf", "-1", "0", "-0.0", "0.5", "1e308", "-1e308", "1e-320", "1e999", "1e16", "0x7f", "1_000",
    "2.5", "9" * 30, "-" + "9" * 30, "9" * 400, "9" * 5000, "9223372036854775808", "true", '""', '"12"', '"x"',
    '"\\u0000"', '"\\u202e"', f'"{"w" * 3000}"', "2025-03-03", "2025-03-03T10:00:00Z", "10:00:00", "[]", "{}",
    "[1, 2, 3]", "[3, 1]", '["a"]', "[[1], [2]]", "{ a = 1 }", "[nan, 1]", "[" * 60 + "]" * 60,
    "[" * 3000 + "]" * 3000, "{ year = 3 }", "'''a\nb'''", '"none"', '"loblolly"', '"../x.toml"', '"\\u0000.toml"',
    '"/dev/zero"', '"*"', '"trees.layout.alley_ft"',
)  # fmt: skip
"""Values that a slip or a program might write; numbers at their ends, and of every kind of TOML."""
NEVER_SOUND: Final = ("nan", "inf", "-inf", "2025-03-03", "10:00:00", "[[1], [2]]", "[nan, 1]")
"""Of these no field of any file can make sense, but that a report has a day."""
DATED: Final = "date"
CELLS: Final = (
    "", "nan", "inf", "-inf", "-1", "0", "-0", "1e308", "1e999", "9" * 400, "1,5", '"1,5"', "$5", "5%", "1 000",
    "0x1f", "١٢", "true", "x" * 500, '"', '"a\nb"', "1e-320", "2.5", "1e16", "-1e16", "none", "=1+1", "\t", ";",
    "1_0", "½", "loblolly",
)  # fmt: skip
JSON_VALUES: Final = (
    None, True, -1, 0, 1e308, -1e308, 1e-320, 10**400, "", "x", "12", [], {}, [[]], [1], [1, 2], {"type": 3}, "field",
    "gate", [[0, 0], [1, 1]], [[[0, 0], [0, 1], [1, 1], [0, 0]]], 181.0, 91.0, -75.0, 31.3, float("nan"),
    float("inf"),
)  # fmt: skip
_PAIR: Final = re.compile(r"^[A-Za-z_]\w* = (?P<value>.*)$")
_HEADER: Final = re.compile(r"^\[\[?(?P<name>[\w.]+)\]\]?")


class Fault(NamedTuple):
    """One fault that a person must be told of: the line it stands on, from 1, and the end of its field's name."""

    line: int
    key: str


class Damaged(NamedTuple):
    """A damaged file, and the one fault planted in it where it is known to be one."""

    content: bytes
    fault: Fault | None
    way: str


def damaged(seed: Seed, chance: Random, *, mildly: bool = False) -> Damaged:
    """Damage a sound file in one way; where several are drawn, nothing is known of the fault any more.

    Parameters
    ----------
    seed
        The file.
    chance
        Draws the way and its place.
    mildly
        As a slip of the hand, after which many a file is still one.
    """
    if mildly:
        return chance.choice(MILD_WAYS[seed.form])(seed.text, chance)
    ways = WAYS[seed.form]
    first = chance.choice(ways)
    made = first(seed.text, chance)
    if chance.random() < 0.25:
        second = chance.choice(BYTE_WAYS)
        content = second(made.content, chance)
        return Damaged(content, None, f"{made.way}, {second.__name__}")
    return made


# --- TOML, a line at a time


def _pairs(lines: Sequence[str]) -> list[int]:
    return [number for number, line in enumerate(lines) if _PAIR.match(line)]


def _key(line: str) -> str:
    return line.partition(" = ")[0]


def toml_value(text: str, chance: Random) -> Damaged:
    """Another value for a key."""
    lines = text.split("\n")
    number = chance.choice(_pairs(lines))
    value = chance.choice(TOML_VALUES)
    key = _key(lines[number])
    lines[number] = f"{key} = {value}"
    fault = Fault(number + 1, key) if value in NEVER_SOUND and key != DATED else None
    return Damaged("\n".join(lines).encode(), fault, f"{key} = {value[:40]}")


def toml_number(text: str, chance: Random) -> Damaged:
    """A number moved a little or far."""
    lines = text.split("\n")
    numbers = [n for n in _pairs(lines) if re.search(r"\d", lines[n].partition(" = ")[2])]
    number = chance.choice(numbers)
    key, _, value = lines[number].partition(" = ")
    spots = list(re.finditer(r"(?<![\w.\"])-?\d+(?:\.\d+)?", value))
    if not spots:
        return toml_value(text, chance)
    spot = chance.choice(spots)
    old = float(spot[0])
    far = [-old, old * 10.0, old * 1000.0, old / 1000.0, old + 1.0, old - 1.0, 0.0, 120.0, 121.0]
    new: float | int = chance.choice(far)
    if "." not in spot[0] and new == int(new):
        new = int(new)
    lines[number] = f"{key} = {value[: spot.start()]}{new!r}{value[spot.end() :]}"
    return Damaged("\n".join(lines).encode(), None, f"{key}: {spot[0]} -> {new!r}")


def toml_renamed(text: str, chance: Random) -> Damaged:
    """A key misspelled: no table knows a key that ends so."""
    lines = text.split("\n")
    free = _tables_of_names(lines)
    number = chance.choice([n for n in _pairs(lines) if n not in free])
    lines[number] = lines[number].replace(" = ", "_q = ", 1)
    return Damaged("\n".join(lines).encode(), Fault(number + 1, _key(lines[number])), "renamed")


def _tables_of_names(lines: Sequence[str]) -> set[int]:
    """Lines in tables whose keys are names that a person gives."""
    found, free = set(), False
    for number, line in enumerate(lines):
        header = _HEADER.match(line)
        free = header["name"].startswith(("baseline", "sources", "sale", "own")) if header else free
        if free:
            found.add(number)
    return found


def toml_doubled(text: str, chance: Random) -> Damaged:
    """A key that stands twice."""
    lines = text.split("\n")
    number = chance.choice(_pairs(lines))
    lines.insert(number + 1, lines[number])
    return Damaged("\n".join(lines).encode(), Fault(number + 2, _key(lines[number])), "doubled")


def toml_unquoted(text: str, chance: Random) -> Damaged:
    """A value that is no TOML."""
    lines = text.split("\n")
    number = chance.choice(_pairs(lines))
    key = _key(lines[number])
    slips = ["yes", "12ft", "1,5", "$5", "08", "1.", ".5", "Null", "5 %", "x y", "="]
    lines[number] = f"{key} = {chance.choice(slips)}"
    return Damaged("\n".join(lines).encode(), Fault(number + 1, key), "no TOML")


def toml_dropped(text: str, chance: Random) -> Damaged:
    """A line left out."""
    lines = text.split("\n")
    gone = lines.pop(chance.randrange(len(lines)))
    return Damaged("\n".join(lines).encode(), None, f"without {gone[:30]}")


def toml_moved(text: str, chance: Random) -> Damaged:
    """A line in another place."""
    lines = text.split("\n")
    line = lines.pop(chance.randrange(len(lines)))
    lines.insert(chance.randrange(len(lines)), line)
    return Damaged("\n".join(lines).encode(), None, f"moved {line[:30]}")


def toml_brackets(text: str, chance: Random) -> Damaged:
    """A table made a list of tables, a list a table, or its header broken."""
    lines = text.split("\n")
    number = chance.choice([n for n, line in enumerate(lines) if _HEADER.match(line)])
    name = _HEADER.match(lines[number])["name"]  # type: ignore[index]
    lines[number] = chance.choice(
        [f"[{name}]", f"[[{name}]]", f"[{name}", f"[{name}.{name}]", f"[{name}x]", f"{name} = 1", f"[{name}.x]", "[[]]"]
    )
    return Damaged("\n".join(lines).encode(), None, f"header {lines[number]}")


# --- comma-separated tables


def csv_cell(text: str, chance: Random) -> Damaged:
    """Another value in a cell."""
    rows = [line.split(",") for line in text.rstrip("\n").split("\n")]
    row = chance.choice(rows)
    place = chance.randrange(len(row))
    row[place] = chance.choice(CELLS)
    return Damaged("\n".join(",".join(each) for each in rows).encode(), None, f"cell {row[place][:20]!r}")


def csv_number(text: str, chance: Random) -> Damaged:
    """A number moved a little or far."""
    rows = [line.split(",") for line in text.rstrip("\n").split("\n")]
    row = chance.choice(rows[1:])
    place = chance.choice([place for place, cell in enumerate(row) if re.fullmatch(r"-?\d+(\.\d+)?", cell)])
    old = row[place]
    row[place] = f"{float(old) * chance.choice([0.0, 1e-6, 0.1, 0.5, 0.9, 1.1, 2.0, 10.0, 1e6, -1.0]):g}"
    return Damaged("\n".join(",".join(each) for each in rows).encode(), None, f"cell {old} -> {row[place]}")


def csv_wrong_number(text: str, chance: Random) -> Damaged:
    """A number that is none, on a known line."""
    rows = [line.split(",") for line in text.rstrip("\n").split("\n")]
    number, place = chance.choice(
        [
            (number, place)
            for number, row in enumerate(rows)
            for place, cell in enumerate(row)
            if number and re.fullmatch(r"-?\d+(\.\d+)?", cell) and rows[0][place] not in NAMES
        ]
    )
    row = rows[number]
    row[place] = chance.choice(["nan", "inf", "12ft", "1e999", "$5", "٣", "0x10", "1_0"])
    return Damaged("\n".join(",".join(each) for each in rows).encode(), Fault(number + 1, rows[0][place]), "no number")


NAMES: Final = ("plot", "tree")
"""Columns of names, which may be written as a person likes."""


def csv_lines(text: str, chance: Random) -> Damaged:
    """Lines left out, doubled, swapped, lengthened, or with another separator."""
    lines = text.rstrip("\n").split("\n")
    number = chance.randrange(len(lines))
    way = chance.choice(["drop", "double", "swap", "longer", "shorter", "semicolons", "tabs", "blank", "quote"])
    line = lines[number]
    other = chance.randrange(len(lines))
    changed = {
        "drop": [],
        "double": [line, line],
        "swap": [lines[other]],
        "longer": [line + ",1,2"],
        "shorter": [line.rpartition(",")[0]],
        "semicolons": [line.replace(",", ";")],
        "tabs": [line.replace(",", "\t")],
        "blank": ["", line, ",,"],
        "quote": [f'"{line}'],
    }
    lines[number : number + 1] = changed[way]
    return Damaged("\n".join(lines).encode(), None, way)


# --- JSON


def json_value(text: str, chance: Random) -> Damaged:
    """Another value somewhere in the tree, a member renamed or left out."""
    document = json.loads(text)
    node: Any = document
    while True:
        members = node.values() if isinstance(node, dict) else node
        inner = [each for each in members if isinstance(each, dict | list) and each]
        if not inner or chance.random() < 0.2:
            break
        node = chance.choice(inner)
    key = chance.choice(list(node)) if isinstance(node, dict) else chance.randrange(len(node))
    way = chance.choice(["value", "value", "drop", "rename", "double"])
    value = chance.choice(JSON_VALUES)
    if way == "value":
        node[key] = value
    elif way == "drop":
        del node[key]
    elif isinstance(node, dict):
        node[f"{key}x"] = node.pop(key)
    else:
        node.insert(key, node[key])
    return Damaged(json.dumps(document).encode(), None, f"{way} {key} {str(value)[:30]}")


def _of_bytes(way: ByteWay) -> Callable[[str, Random], Damaged]:
    return lambda text, chance: Damaged(way(text.encode(), chance), None, way.__name__)


_BYTES: Final = tuple(_of_bytes(way) for way in BYTE_WAYS)
WAYS: Final = {
    "toml": (
        toml_value, toml_value, toml_value, toml_number, toml_number, toml_renamed, toml_doubled, toml_unquoted,
        toml_dropped, toml_moved, toml_brackets, *_BYTES,
    ),
    "csv": (csv_cell, csv_cell, csv_cell, csv_number, csv_wrong_number, csv_lines, csv_lines, *_BYTES),
    "json": (json_value, json_value, json_value, json_value, json_value, *_BYTES),
}  # fmt: skip
MILD_WAYS: Final = {
    "toml": (toml_number, toml_number, toml_number, toml_dropped, toml_moved),
    "csv": (csv_number, csv_number, csv_number, csv_number, csv_lines),
}
