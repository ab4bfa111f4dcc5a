"""Pages of equations and symbols, from the TeX beside this file and the docstrings of the functions that hold them."""

import re
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, NamedTuple

from docstring_parser import Docstring

from book.letters import SHAPE, begun, documented, function, plain, result, short, split, symbols, words

FOLDER = Path(__file__).parent / "equations"
FILES = sorted(FOLDER.glob("*-*.toml"), key=lambda path: int(path.stem.partition("-")[0]))
RANGE = re.compile(
    r"fit(?:s|ted)\b|beyond|valid|from \d|to \d+|\d+ ?[-–] ?\d|[<>]=? ?\d|at least|at most|never|between \d",
    re.IGNORECASE,
)
HEAD = """# Every equation

Written by `docs/refresh.py`; do not edit. The TeX stands in `docs/book/equations/`, everything else in the docstring of
the function named under *held by*, so that the page cannot name a function that is not there. A function may clip or
guard where the equation as printed would divide by zero.

"""
SYMBOLS = """# Nomenclature

Written by `docs/refresh.py` from [the equations](equations.md); do not edit. One row for each quantity that a function
takes or gives, by its name in the code; the name ends in the unit. Where several functions use one name, the row has
the words of the first. Each equation says for itself what its letters mean, so one letter may stand for different
things on different pages.

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
    return words(short(code)).capitalize()


def _references(doc: Docstring) -> str:
    texts = [item.description or "" for item in doc.meta if item.args and item.args[0] in {"references", "reference"}]
    return plain(" ".join(texts))


def _ranges(doc: Docstring) -> Iterator[str]:
    """What the docstring says of ranges: sentences with a bound in them."""
    texts = [(item.arg_name, item.description or "") for item in doc.params]
    texts.append(("result", result(doc)))
    for name, text in texts:
        if RANGE.search(text):
            yield f"`{name}`: {SHAPE.sub('', plain(text)).rstrip('. ')}"


def _entry(equation: Equation) -> str:
    doc = documented(function(equation.code))
    said = plain(doc.short_description or "").removeprefix("Return ")
    letters = symbols(equation.code, equation.where)
    rows = "".join(f"| ${s.letter}$ | {s.meaning} | {s.unit} | {_code(s.name)} |\n" for s in letters)
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


def _summary(equation: Equation) -> str:
    """What the function says of itself, without unit and shape."""
    said = documented(function(equation.code)).short_description or ""
    return begun(split(said.removeprefix("Return "))[0])


def _code(name: str) -> str:
    return f"`{name}`" if name and name != "result" else name


def _page(chapter: Chapter) -> str:
    helpers = "".join(
        f"- `{code}`: {plain(documented(function(code)).short_description or '')}\n" for code in chapter.helpers
    )
    steps = f"## Steps without an equation of their own\n\n{helpers}" if helpers else ""
    text = "\n".join([f"# {chapter.title}\n", f"{chapter.lead}\n", *map(_entry, chapter.equations)])
    return f"{text}\n{steps}" if steps else text


def equation_pages() -> dict[str, str]:
    """The list of chapters and each chapter, by path below docs/."""
    tree = "```{toctree}\n:maxdepth: 2\n\n" + "".join(f"equations/{c.name}\n" for c in chapters())
    tree += "equations/left-out\n```\n"
    return {"equations.md": HEAD + tree} | {f"equations/{c.name}.md": _page(c) for c in chapters()}


def nomenclature() -> str:
    """One row for each name of a quantity in the code, with the letters it has and where."""
    rows: dict[tuple[str, str], dict[str, None]] = {}
    where: dict[tuple[str, str], dict[str, None]] = {}
    meanings: dict[tuple[str, str], str] = {}
    for chapter in chapters():
        for equation in chapter.equations:
            for symbol in symbols(equation.code, equation.where):
                name = short(equation.code) if symbol.name == "result" else symbol.name
                if not name:
                    continue
                key = (name, symbol.unit)
                rows.setdefault(key, {})[f"${symbol.letter}$"] = None
                where.setdefault(key, {})[f"[{chapter.title.lower()}](equations/{chapter.name}.md)"] = None
                said = _summary(equation) if symbol.name == "result" else ""
                meanings[key] = meanings.get(key) or said or symbol.meaning
    table = "".join(
        f"| `{name}` | {', '.join(rows[name, unit])} | {meanings[name, unit]} | {unit} |"
        f" {', '.join(where[name, unit])} |\n"
        for name, unit in sorted(rows)
    )
    return f"{SYMBOLS}| quantity | symbol | meaning | unit | equations |\n| --- | --- | --- | --- | --- |\n{table}"
