"""Numbers that know their unit and where they come from, read from TOML; a bare number is refused."""

import math
import tomllib
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Annotated, Any, Final, NamedTuple, TypeVar

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError, model_validator

from simulator.errors import ParameterError

LONGEST_SHOWN: Final = 60
Coefficients = TypeVar("Coefficients", bound=tuple[Any, ...])


def _finite(value: float) -> float:
    if not math.isfinite(value):
        raise ValueError("must be a finite number")
    return value


Finite = Annotated[float, Field(strict=True), AfterValidator(_finite)]


class Sourced(BaseModel):
    """One number, or one short list of numbers, with unit, source and the range it may lie in.

    Attributes
    ----------
    value
        The number, or a list of numbers that belong together (twelve months, four seasons).
    unit
        Unit as text; ``"1"`` for a pure number.
    source
        Key of the file's ``[sources]`` table.
    low, high
        Range of belief, same unit; both or neither.
    provisional
        True where no published value could be read; shown to the user.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", strict=False)

    value: Finite | tuple[Finite, ...]
    unit: str = Field(min_length=1)
    source: str = Field(min_length=1)
    low: Finite | None = None
    high: Finite | None = None
    provisional: bool = Field(default=False, strict=True)

    @model_validator(mode="after")
    def _ordered(self) -> "Sourced":
        if (self.low is None) != (self.high is None):
            raise ValueError("low and high come together")
        ranged = self.low is not None and self.high is not None and isinstance(self.value, float)
        if ranged and not self.low <= self.value <= self.high:  # type: ignore[operator]
            raise ValueError(f"value {self.value} lies outside {self.low}..{self.high}")
        return self


class SourcedFile(NamedTuple):
    """A parameter file: its title, its sources in full, its tables of sourced numbers, and names it gives."""

    path: Path
    title: str
    sources: Mapping[str, str]
    tables: Mapping[str, Mapping[str, Sourced]]
    words: Mapping[str, str] = MappingProxyType({})


def read_sourced(path: Path, plain: tuple[str, ...] = ()) -> SourcedFile:
    """Read a parameter file and refuse any number without unit and source.

    Parameters
    ----------
    path
        TOML file with ``title``, a ``[sources]`` table (key to full citation with how sure it is) and
        any number of ``[table]`` sections whose entries are sourced numbers. A ``[words]`` table holds names.
        With ``extends = "parent"`` it holds only what differs from the file of that name beside it; it lists
        the sources of its own entries.
    plain
        Top-level keys that are facts about the file, not sourced numbers; left to the caller. With
        ``extends`` among them the parent is left unread.

    Returns
    -------
    SourcedFile

    Raises
    ------
    ParameterError
        If an entry is bare, malformed or names an unknown source, or if a parent is missing or contradicted.
    """
    return sourced_of(path.read_text(encoding="utf-8-sig"), path, plain)


def sourced_of(text: str, path: Path, plain: tuple[str, ...] = ()) -> SourcedFile:
    """As :func:`read_sourced`, from the text that stands in the file at ``path``."""
    document = tomllib.loads(text)
    parent = None if "extends" in plain else document.pop("extends", None)
    sources: dict[str, str] = document.pop("sources", {})
    title: str = document.pop("title", path.stem)
    words: dict[str, str] = document.pop("words", {})
    _must_be_text(path, title=title, sources=sources, words=words)
    tables: dict[str, dict[str, Sourced]] = {}
    for table, entries in document.items():
        if table in plain:
            continue
        if not isinstance(entries, dict):
            raise ParameterError(
                f"{path.name}: {as_received(table)} stands bare; every number needs unit and source", (table,)
            )
        tables[table] = {name: _entry(path, f"{table}.{name}", raw, sources) for name, raw in entries.items()}
    own = SourcedFile(path, title, sources, tables, words)
    return own if parent is None else _extended(own, parent)


def _must_be_text(path: Path, **given: object) -> None:
    """Refuse a title, a source or a word that is none."""
    for key, value in given.items():
        if key != "title" and not isinstance(value, dict):
            raise ParameterError(f"{path.name}: {key}: must be a table, is {as_received(value)}", (key,))
        entries = {(key, name): entry for name, entry in value.items()} if isinstance(value, dict) else {(key,): value}
        for place, entry in entries.items():
            if not isinstance(entry, str) or (key == "sources" and not entry.strip()):
                wanted = "say where numbers are from" if isinstance(entry, str) else "be text"
                raise ParameterError(f"{path.name}: {'.'.join(place)}: must {wanted}, is {as_received(entry)}", place)


def _extended(own: SourcedFile, parent: object) -> SourcedFile:
    """Lay a file's own entries over its parent's, entry by entry; a source key keeps one meaning."""
    beside = own.path.with_name(f"{parent}.toml")
    if not isinstance(parent, str) or beside == own.path or not beside.is_file():
        raise ParameterError(f"{own.path.name}: extends must name another file beside it, received {parent!r}")
    given = read_sourced(beside)
    tables = {
        name: {**given.tables.get(name, {}), **own.tables.get(name, {})} for name in {**given.tables, **own.tables}
    }
    used = {entry.source for entries in tables.values() for entry in entries.values()}
    inherited = {key: text for key, text in given.sources.items() if key in used}
    twice = sorted(key for key in inherited if own.sources.get(key, inherited[key]) != inherited[key])
    if twice:
        raise ParameterError(f"{own.path.name}: [sources] {', '.join(twice)} mean something else in {beside.name}")
    words = {**given.words, **own.words}
    return SourcedFile(own.path, own.title, {**inherited, **own.sources}, tables, words)


def _entry(path: Path, field: str, raw: object, sources: Mapping[str, str]) -> Sourced:
    place = tuple(field.split(".", 1))
    try:
        entry = Sourced.model_validate(raw)
    except ValidationError as error:
        raise ParameterError(f"{path.name}: {field}: {_in_words(error, raw)}", place) from error
    if entry.source not in sources:
        raise ParameterError(f"{path.name}: {field}: source {as_received(entry.source)} is not in [sources]", place)
    return entry


def _in_words(error: ValidationError, raw: object) -> str:
    """What is wrong with an entry, as a person would say it."""
    first = error.errors()[0]
    key = str(first["loc"][0]) if first["loc"] else ""
    if not isinstance(raw, Mapping):
        return f'must be written {{ value = 1.5, unit = "$/ac", source = "key" }}, is {as_received(raw)}'
    if first["type"] == "missing":
        return f"lacks {key}"
    if first["type"] == "extra_forbidden":
        return f"has {as_received(key)}, which is none of {', '.join(Sourced.model_fields)}"
    if first["type"] == "value_error":
        return f"{key or 'the range'}: {first['msg'].removeprefix('Value error, ')}"
    wanted = _WANTED.get(key, "text in quotes")
    return f"{key} must be {wanted}, is {as_received(raw.get(key))}"


_WANTED: Final = {
    "value": "a number, or a list of numbers",
    "low": "a number",
    "high": "a number",
    "provisional": "true or false",
}


def as_received(value: object) -> str:
    """A value received, cut where it is long."""
    if isinstance(value, bool):
        return "true" if value else "false"
    try:
        text = f'"{value}"' if isinstance(value, str) else str(value)
    except ValueError:  # Python refuses to write integers of thousands of digits
        return "a number with thousands of digits"
    return text if len(text) <= LONGEST_SHOWN else f"{text[:LONGEST_SHOWN]}..."


def coefficients(file: SourcedFile, table: str, kind: type[Coefficients]) -> Coefficients:
    """Fill a named tuple of plain numbers from one table of a parameter file.

    Parameters
    ----------
    file
        The file read.
    table
        Name of the table; its keys must be exactly the fields of ``kind``.
    kind
        A ``NamedTuple`` class of floats or tuples of floats, defined by the physics that uses it.

    Returns
    -------
    An instance of ``kind``.

    Raises
    ------
    ParameterError
        If the table is missing, or lacks or adds a field.
    """
    entries = file.tables.get(table)
    fields: tuple[str, ...] = kind._fields  # type: ignore[attr-defined]
    if entries is None or set(entries) != set(fields):
        have = sorted(entries) if entries is not None else []
        raise ParameterError(f"{file.path.name}: [{table}] needs exactly {sorted(fields)}, has {have}")
    return kind(**{name: entries[name].value for name in fields})
