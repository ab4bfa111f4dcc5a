"""What the letters of an equation stand for, from the docstrings and annotations of the function that holds it."""

import inspect
import re
from collections.abc import Iterator, Mapping
from dataclasses import is_dataclass
from functools import cached_property, reduce
from importlib import import_module
from typing import Any, NamedTuple, get_args, get_type_hints

from docstring_parser import Docstring, DocstringStyle, parse

from book.numbers import units_of

UNIT = re.compile(r"\[([^\]]+)\]")
ALIKE = re.compile(r"As for :func:`~?([\w.]+)`\.?")
AXIS = (
    r"(?:\.\.\.|\d+|[nmkT](?: \+ 1)?|candidates|rows|classes|plans|years(?: - 1)?|cases|(?:moved )?lines(?: of `KEYS`)?"
    r"|draws|items|points|trees|plots|systems|values|scenarios|tracts|pathways|states|actions|knobs|readings|powers"
    r"|nodes|prices|stages|harvest \+ 1|ages|lengths)"
)
SHAPE = re.compile(
    r",? ?(?:of (?:the|that) )?"
    r"(?:(?:shape )?broadcast(?:able)?\b(?:\([^)]*\)|[^.;(])*|any shape|same shape[^.;]*|shape \([^)]*\)"
    rf"|\({AXIS}(?:, {AXIS})*,?\)(?: each)?)"
)
"""What only a programmer asks; the docstring has it."""


class Symbol(NamedTuple):
    """What a letter stands for."""

    letter: str
    name: str
    meaning: str
    unit: str


def short(code: str) -> str:
    """What ``module:function`` or ``module:Class.method`` is called, without what stands before it."""
    return code.partition(":")[2].rpartition(".")[2].lstrip("_")


def function(code: str) -> Any:  # noqa: ANN401 - any function of the project
    """Import what ``module:function`` or ``module:Class.method`` names; of a property the function behind it."""
    module, _, name = code.partition(":")
    held = reduce(getattr, name.split("."), import_module(module))
    if isinstance(held, property):
        return held.fget
    return held.func if isinstance(held, cached_property) else held


def documented(thing: Any) -> Docstring:  # noqa: ANN401
    """Docstring of a function or class, read as numpydoc."""
    return parse(inspect.getdoc(thing) or "", DocstringStyle.NUMPYDOC)


def symbols(code: str, where: Mapping[str, str]) -> Iterator[Symbol]:
    """Letters of an equation with meaning and unit from the code.

    Raises
    ------
    KeyError
        If the function has no parameter, and its coefficients no field, of the name given.
    """
    held = function(code)
    doc = documented(held)
    for letter, name in where.items():
        if name.startswith("="):
            yield Symbol(letter, "", *told(name.removeprefix("=")))
        elif name.startswith("return:"):
            yield Symbol(letter, "result", *told(name.removeprefix("return:")))
        elif name == "return":
            yield Symbol(letter, "result", *split(result(doc)))
        elif "." in name:
            yield _field(letter, name, code)
        else:
            yield Symbol(letter, name, *_parameter(doc, held, name))


def result(doc: Docstring) -> str:
    """What a function gives; a line without a type of its own is read as the type."""
    given = doc.returns
    if given is None:
        return ""
    if given.return_name and " " in given.return_name:  # one line of prose with a colon in it is no name and type
        return f"{given.return_name}: {given.type_name or given.description or ''}"
    return given.description or given.type_name or ""


def _field(letter: str, name: str, code: str) -> Symbol:
    """A letter that is a field of what a function takes, or of itself, at any depth."""
    parameter, *way, field = name.split(".")
    held, (module, _, place) = function(code), code.partition(":")
    kind = getattr(import_module(module), place.partition(".")[0]) if parameter == "self" else _taken(held, parameter)
    for step in way:
        kind = _taken(kind, step)
    if field not in _fields(kind):
        raise KeyError(f"{code}: {kind.__name__} has no field {field}")
    meaning, unit = _said_of(kind, field)
    return Symbol(letter, field, meaning or begun(words(field)), unit or units_of(_fields(kind)).get(field, ""))


def _taken(holder: Any, name: str) -> Any:  # noqa: ANN401 - a function or class, and the class of what it holds
    kind = get_type_hints(holder)[name]
    return next((part for part in get_args(kind) if isinstance(part, type) and part is not type(None)), kind)


def _fields(kind: Any) -> tuple[str, ...]:  # noqa: ANN401 - a tuple, dataclass, model or class
    """Names of what a class holds, its properties too."""
    own = getattr(kind, "_fields", None) or getattr(kind, "model_fields", None)
    if own is None and is_dataclass(kind):
        own = kind.__dataclass_fields__
    computed = [name for name, held in vars(kind).items() if isinstance(held, property | cached_property)]
    return (*(own or get_type_hints(kind)), *computed)


def _said_of(kind: Any, field: str) -> tuple[str, str]:  # noqa: ANN401
    """Meaning and unit that a class gives a field: in its docstring, in the model, or above the property."""
    if field in getattr(kind, "model_fields", {}):
        return split(kind.model_fields[field].description or "")
    held = vars(kind).get(field)
    if isinstance(held, property | cached_property):
        return split(documented(held.fget if isinstance(held, property) else held.func).short_description or "")
    return _described(documented(kind), field) or ("", "")


def words(name: str) -> str:
    """A name as words, without the unit at its end."""
    return re.sub(r"(?:_(?:ft2|ft3|ft|in|lb|ac|yr|day|ton|per|month))+$", "", name).replace("_", " ")


def _parameter(doc: Docstring, held: Any, name: str) -> tuple[str, str]:  # noqa: ANN401
    if name not in inspect.signature(held).parameters:
        raise KeyError(f"{held.__name__} has no parameter {name}")
    for item in doc.params:
        names = [part.strip() for part in item.arg_name.split(",")]
        if name in names and (alike := ALIKE.match(item.description or "")):
            other = _named(alike[1], held)
            return _parameter(documented(other), other, name)
    meaning, unit = _described(doc, name) or ("", "")
    return meaning or begun(words(name)), unit


def _named(name: str, beside: Any) -> Any:  # noqa: ANN401
    """A function by its full name, or by that which it has in the module of another."""
    module, _, last = name.rpartition(".")
    return getattr(import_module(module or beside.__module__), last)


def _described(doc: Docstring, name: str) -> tuple[str, str] | None:
    """Meaning and unit of a parameter or field; of several named together each has the unit of its place."""
    for item in doc.params:
        names = [part.strip() for part in item.arg_name.split(",")]
        if name in names:
            text = item.description or ""
            units = UNIT.findall(text)
            parts = re.split(r";\s+", text)
            if len(parts) == len(names) > 1:  # one part for each of those named together
                return split(parts[names.index(name)])
            return split(text)[0], units[min(names.index(name), len(units) - 1)] if units else ""
    return None


def _sentence(text: str) -> str:
    """First sentence, on one line; what follows it is said in full below the table."""
    return re.split(r"(?<=[a-z\])])[.;](?:\s|$)", " ".join(text.split()), maxsplit=1)[0]


def split(text: str) -> tuple[str, str]:
    """Words without units, and the first unit."""
    unit = UNIT.search(_sentence(text))
    text = plain(_sentence(text))
    words = re.sub(r"(?:,? ?(?:\band )?\[[^\]]+\])+", "", text).strip(" ,.;")
    return begun(SHAPE.sub("", words).strip(" ,.;:")), unit[1] if unit else ""


def told(text: str) -> tuple[str, str]:
    """Words and unit as a chapter gives them, with all that it says."""
    unit = UNIT.findall(text)
    return begun(plain(UNIT.sub("", text)).replace(" ,", ",").replace(" ;", ";").strip()), ", ".join(unit)


def begun(text: str) -> str:
    """Text with a capital at its beginning."""
    return text[:1].upper() + text[1:]


def plain(text: str) -> str:
    """Text of a docstring as Markdown: roles and double backticks become code."""
    text = re.sub(r":(?:func|class|mod|data):`~?([^`]+)`", r"`\1`", text)
    return " ".join(re.sub(r"``([^`]+)``", r"`\1`", text).split()).replace("|", "\\|").replace("$", "\\$")
