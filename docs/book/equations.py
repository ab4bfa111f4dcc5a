"""Pages of equations and symbols, from the TeX beside this file and the docstrings of the functions that hold them."""

import inspect
import re
import tomllib
from collections.abc import Iterator, Mapping
from importlib import import_module
from pathlib import Path
from typing import Any, NamedTuple, get_type_hints

from docstring_parser import Docstring, DocstringStyle, parse

from book.numbers import units_of

FILES = sorted((Path(__file__).parent / "equations").glob("*.toml"))
UNIT = re.compile(r"\[([^\]]+)\]")
RANGE = re.compile(
    r"fit(?:s|ted)\b|beyond|valid|from \d|to \d+|\d+ ?[-–] ?\d|[<>]=? ?\d|at least|at most|never|between", re.IGNORECASE
)
SHAPE = re.compile(
    r",? ?(?:of (?:the|that) )?(?:broadcast(?:able)?\b[^.;]*|any shape|same shape[^.;]*|shape \([^)]*\))"
)
"""What only a programmer asks; the docstring has it."""
HEAD = """# Every equation

Written by `docs/refresh.py`; do not edit. The TeX stands in `docs/book/equations/`, everything else in the docstring of
the function named under *held by*, so that the page cannot name a function that is not there. A function may clip or
guard where the equation as printed would divide by zero.

"""
SYMBOLS = """# Nomenclature

Written by `docs/refresh.py` from [the equations](equations.md); do not edit. One row for each quantity that a function
takes or gives, by its name in the code; the name ends in the unit. Each equation says for itself what its letters
mean, so one letter may stand for different things on different pages.

Feet, inches, acres, pounds, green tons (2,000 lb) and dollars of the price table's year, unless the row says otherwise.
Diameters are at breast height (4.5 ft), outside bark.

"""


class Equation(NamedTuple):
    """One equation: the function that holds it, a heading, its TeX, and what its letters are in the function."""

    code: str
    title: str
    tex: str
    where: Mapping[str, str]


class Chapter(NamedTuple):
    """A page of equations."""

    name: str
    title: str
    lead: str
    equations: list[Equation]
    helpers: list[str]


class Symbol(NamedTuple):
    """What a letter stands for."""

    letter: str
    name: str
    meaning: str
    unit: str


def chapters() -> list[Chapter]:
    """All pages as they stand in TOML."""
    return [_chapter(path) for path in FILES]


def _chapter(path: Path) -> Chapter:
    document: dict[str, Any] = tomllib.loads(path.read_text(encoding="utf-8"))
    title, lead, helpers = (document.pop(key) for key in ("title", "lead", "helpers"))
    equations = [
        Equation(code, entry.get("title") or _heading(code), entry["tex"], entry["where"])
        for code, entry in document.items()
    ]
    return Chapter(path.stem.partition("-")[2], title, lead, equations, helpers)


def _heading(code: str) -> str:
    """The function's name as a heading, where it reads as one."""
    return _words(code.partition(":")[2]).capitalize()


def function(code: str) -> Any:  # noqa: ANN401 - any function of the project
    """Import what ``module:function`` names."""
    module, _, name = code.partition(":")
    return getattr(import_module(module), name)


def documented(thing: Any) -> Docstring:  # noqa: ANN401
    """Docstring of a function or class, read as numpydoc."""
    return parse(inspect.getdoc(thing) or "", DocstringStyle.NUMPYDOC)


def symbols(equation: Equation) -> Iterator[Symbol]:
    """Letters of an equation with meaning and unit from the code.

    Raises
    ------
    KeyError
        If the function has no parameter, and its coefficients no field, of the name given.
    """
    held = function(equation.code)
    doc = documented(held)
    for letter, name in equation.where.items():
        if name.startswith("="):
            yield Symbol(letter, "", *_split(name.removeprefix("=").strip()))
        elif name == "return":
            yield Symbol(letter, "result", *_split(_result(doc)))
        elif "." in name:
            yield _field(letter, name, held)
        else:
            yield Symbol(letter, name, *_parameter(doc, held, name))


def _result(doc: Docstring) -> str:
    """What a function gives; a line without a type of its own is read as the type."""
    given = doc.returns
    return "" if given is None else given.description or given.type_name or ""


def _field(letter: str, name: str, held: Any) -> Symbol:  # noqa: ANN401
    parameter, _, field = name.partition(".")
    kind = get_type_hints(held)[parameter]
    if field not in kind._fields:
        raise KeyError(f"{held.__name__}: {kind.__name__} has no field {field}")
    meaning, unit = _split(_described(documented(kind), field))
    return Symbol(letter, field, meaning or _words(field), unit or units_of(kind._fields).get(field, ""))


def _words(name: str) -> str:
    """A name as words, without the unit at its end."""
    return re.sub(r"(?:_(?:ft2|ft3|ft|in|lb|ac|yr|day|ton|per|month))+$", "", name).replace("_", " ")


def _parameter(doc: Docstring, held: Any, name: str) -> tuple[str, str]:  # noqa: ANN401
    if name not in inspect.signature(held).parameters:
        raise KeyError(f"{held.__name__} has no parameter {name}")
    for item in doc.params:
        names = [part.strip() for part in item.arg_name.split(",")]
        if name in names:
            text = item.description or ""
            units = UNIT.findall(text)
            unit = units[min(names.index(name), len(units) - 1)] if units else ""
            return _split(text)[0] or _words(name), unit
    return _words(name), ""


def _described(doc: Docstring, field: str) -> str:
    for item in doc.params:
        if field in [part.strip() for part in item.arg_name.split(",")]:
            return item.description or ""
    return ""


def _sentence(text: str) -> str:
    """First sentence, on one line; what follows it is said in full below the table."""
    return re.split(r"(?<=[a-z\])])[.;](?:\s|$)", " ".join(text.split()), maxsplit=1)[0]


def _split(text: str) -> tuple[str, str]:
    """Words without units, and the first unit."""
    unit = UNIT.search(_sentence(text))
    text = _plain(_sentence(text))
    words = re.sub(r"(?:,? ?(?:\band )?\[[^\]]+\])+", "", text).strip(" ,.;")
    return SHAPE.sub("", words).strip(" ,.;"), unit[1] if unit else ""


def _plain(text: str) -> str:
    """Text of a docstring as Markdown: roles and double backticks become code."""
    text = re.sub(r":(?:func|class|mod|data):`~?([^`]+)`", r"`\1`", text)
    return " ".join(re.sub(r"``([^`]+)``", r"`\1`", text).split()).replace("|", "\\|").replace("$", "\\$")


def _references(doc: Docstring) -> str:
    texts = [item.description or "" for item in doc.meta if item.args and item.args[0] in {"references", "reference"}]
    return _plain(" ".join(texts))


def _ranges(doc: Docstring) -> Iterator[str]:
    """What the docstring says of ranges: sentences with a bound in them."""
    texts = [(item.arg_name, item.description or "") for item in doc.params]
    texts.append(("result", _result(doc)))
    for name, text in texts:
        if RANGE.search(text):
            yield f"`{name}`: {SHAPE.sub('', _plain(text)).rstrip('. ')}"


def _entry(equation: Equation) -> str:
    doc = documented(function(equation.code))
    said = _plain(doc.short_description or "").removeprefix("Return ")
    rows = "".join(f"| ${s.letter}$ | {s.meaning} | {s.unit} | {_code(s.name)} |\n" for s in symbols(equation))
    parts = [
        f"## {equation.title}\n",
        f"{said[:1].upper()}{said[1:]}\n",
        f"$$\n{equation.tex.strip()}\n$$\n",
        f"| symbol | meaning | unit | in the code |\n| --- | --- | --- | --- |\n{rows}",
        f"Held by `{equation.code}`\n",
    ]
    if ranges := list(_ranges(doc)):
        parts.append(f"Range: {'; '.join(ranges)}.\n")
    parts.append(f"Source: {_references(doc) or 'none of its own; see the chapter named above.'}\n")
    return "\n".join(parts)


def _code(name: str) -> str:
    return f"`{name}`" if name and name != "result" else name


def _page(chapter: Chapter) -> str:
    helpers = "".join(
        f"- `{code}`: {_plain(documented(function(code)).short_description or '')}\n" for code in chapter.helpers
    )
    steps = f"## Steps without an equation of their own\n\n{helpers}" if helpers else ""
    text = "\n".join([f"# {chapter.title}\n", f"{chapter.lead}\n", *map(_entry, chapter.equations)])
    return f"{text}\n{steps}" if steps else text


def equation_pages() -> dict[str, str]:
    """The list of chapters and each chapter, by path below docs/."""
    tree = "```{toctree}\n:maxdepth: 2\n\n" + "".join(f"equations/{c.name}\n" for c in chapters()) + "```\n"
    return {"equations.md": HEAD + tree} | {f"equations/{c.name}.md": _page(c) for c in chapters()}


def nomenclature() -> str:
    """One row for each name of a quantity in the code, with the letters it has and where."""
    rows: dict[tuple[str, str], dict[str, None]] = {}
    where: dict[tuple[str, str], dict[str, None]] = {}
    meanings: dict[tuple[str, str], str] = {}
    for chapter in chapters():
        for equation in chapter.equations:
            for symbol in symbols(equation):
                name = equation.code.partition(":")[2] if symbol.name == "result" else symbol.name
                if not name:
                    continue
                key = (name, symbol.unit)
                rows.setdefault(key, {})[f"${symbol.letter}$"] = None
                where.setdefault(key, {})[f"[{chapter.title.lower()}](equations/{chapter.name}.md)"] = None
                meanings[key] = meanings.get(key) or symbol.meaning or _words(name)
    table = "".join(
        f"| `{name}` | {', '.join(rows[name, unit])} | {meanings[name, unit]} | {unit} |"
        f" {', '.join(where[name, unit])} |\n"
        for name, unit in sorted(rows)
    )
    return f"{SYMBOLS}| quantity | symbol | meaning | unit | equations |\n| --- | --- | --- | --- | --- |\n{table}"
