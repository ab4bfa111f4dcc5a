"""Numbers that are none - NaN, infinity, the word None, cells left empty - in whatever a command has written."""

import base64
import csv
import io
import json
import math
import re
import tomllib
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any, Final, NoReturn

import openpyxl
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet as pq

WORDS: Final = re.compile(
    r"(?<![\w-])-?(?:nan|inf|infinity|nat|<na>)(?![\w-])|#(?:num|div/0|n/a|value|ref|name)\b", re.IGNORECASE
)
"""How libraries print what is no number, in any letters; and what a workbook shows of it."""
NOTHING: Final = re.compile(r"\bNone\b(?! of)")
"""Python's own word; `none` in small letters is a word of people, and an option of some of our fields."""
_PICTURE: Final = re.compile(r"data:image/(?P<kind>[\w+]+);base64,(?P<content>[A-Za-z0-9+/=]+)")
FAILED: Final = "failed"
"""Column of a sweep that says why a row has no outputs."""
MAY_BE_EMPTY: Final[Mapping[str, str]] = {
    "marking.csv": "reason|code|product",  # a tree that stays; one too small to be sold as anything
    "flows.csv": r"herd_\w+",  # feed is bought from the first year on, animals move at the end of a year
    "sales.csv": r"reason|\w+_left_per_ton",  # nothing in the way of a sale; nothing of the product in the lot
    "break_even.csv": "unit|value",  # the factor's name says it; two systems tie nowhere
    "wait.csv": "cannot|years|value_growth|likely_loss_per_ac_yr|forage_lost_lb_ac|animal_unit_months_lost_ac|"
    r"thinning_\w+_ton_ac",  # never to thin and to fell all are no waiting
}
"""Columns with empty cells that mean something, by file."""


def no_numbers(folder: Path) -> Iterator[str]:
    """Every place of the files below a folder that holds a number that is none.

    Parameters
    ----------
    folder
        May be absent.

    Yields
    ------
    str
        The file below the folder, and where in it; pictures of dots and PDF files are not read.
    """
    for path in sorted(folder.rglob("*")):
        read = READERS.get(path.suffix)
        if read is not None and path.is_file():
            name = path.relative_to(folder).as_posix()
            yield from (f"{name}: {place}" for place in read(path))


def in_text(text: str) -> Iterator[str]:
    """Words for what is no number, each with the letters around it."""
    for match in (*WORDS.finditer(text), *NOTHING.finditer(text)):
        line = text.count("\n", 0, match.start()) + 1
        yield f"line {line}: {text[max(match.start() - 30, 0) : match.end() + 20]!r}"


def not_finite(value: Any, place: str) -> Iterator[str]:  # noqa: ANN401 - any JSON value
    """Places of a document of Python's that hold NaN or an infinity, which JSON would show as null."""
    if hasattr(value, "tolist"):
        value = value.tolist()
    if isinstance(value, Mapping):
        for key, item in value.items():
            yield from not_finite(item, f"{place}.{key}")
    elif isinstance(value, list | tuple):
        for number, item in enumerate(value):
            yield from not_finite(item, f"{place}[{number}]")
    elif isinstance(value, float) and not math.isfinite(value):
        yield place


def strict_json(text: str) -> Any:  # noqa: ANN401 - any JSON value
    """A document, or ValueError where it is none or holds a constant that JSON does not have."""
    return json.loads(text, parse_constant=_no_constant)


def _no_constant(name: str) -> NoReturn:
    raise ValueError(f"{name} in the document")


def _in_json(path: Path) -> Iterator[str]:
    text = path.read_text(encoding="utf-8")
    yield from _readable(strict_json, text)
    yield from in_text(text)


def _in_toml(path: Path) -> Iterator[str]:
    text = path.read_text(encoding="utf-8")
    yield from _readable(tomllib.loads, text)
    yield from in_text(text)


def _readable(read: Callable[[str], object], text: str) -> Iterator[str]:
    try:
        read(text)
    except ValueError as error:
        yield f"cannot be read: {error}"


def _in_csv(path: Path) -> Iterator[str]:
    """Cells: pandas leaves what is no number empty."""
    text = path.read_text(encoding="utf-8")
    yield from in_text(text)
    heads, *rows = csv.reader(io.StringIO(text))
    known = MAY_BE_EMPTY.get(path.name, "")
    for number, row in enumerate(rows, start=2):
        if len(row) != len(heads):
            yield f"line {number}: {len(row)} cells below {len(heads)} headings"
        yield from (
            f"{head} is empty on line {number}"
            for head, cell in zip(heads, row, strict=False)
            if not cell and not re.fullmatch(known, head)
        )


def _in_parquet(path: Path) -> Iterator[str]:
    """Columns: a row that failed has no outputs, every other row has them all."""
    table = pq.read_table(path)
    if FAILED in table.column_names:
        table = table.filter(pc.is_null(table[FAILED])).drop_columns([FAILED])
    for name in table.column_names:
        column = table[name]
        if column.null_count or (
            pa.types.is_floating(column.type) and not pc.all(pc.is_finite(column), min_count=0).as_py()
        ):
            yield f"{name} is no number"


def _in_plain_text(path: Path) -> Iterator[str]:
    """Text and drawings, also those that a page holds inside."""
    text = path.read_text(encoding="utf-8")
    yield from in_text(_PICTURE.sub("", text))
    for picture in _PICTURE.finditer(text):
        if picture["kind"] == "svg+xml":
            yield from in_text(base64.b64decode(picture["content"]).decode())


def _in_workbook(path: Path) -> Iterator[str]:
    for sheet in openpyxl.load_workbook(path, data_only=True):
        for row in sheet.iter_rows():
            for cell in row:
                if any(in_text(str(cell.value))) and cell.value is not None:
                    yield f"{sheet.title} {cell.coordinate}: {cell.value!r}"


READERS: Final[Mapping[str, Callable[[Path], Iterator[str]]]] = {
    ".json": _in_json, ".geojson": _in_json, ".toml": _in_toml, ".csv": _in_csv, ".parquet": _in_parquet,
    ".html": _in_plain_text, ".svg": _in_plain_text, ".kml": _in_plain_text, ".gpx": _in_plain_text,
    ".xlsx": _in_workbook,
}  # fmt: skip
