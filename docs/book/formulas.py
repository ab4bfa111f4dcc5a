"""Every function of the model that reckons, and the ones of them that are no equation, with the reason."""

import ast
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from book.equations import FOLDER, chapters

ROOT = Path(__file__).parents[2]
PACKAGES = ("simulator", "optimize")
RECKONING = (ast.Mult, ast.Div, ast.Pow, ast.MatMult)
CALLS = {
    *("exp", "expm1", "log", "log1p", "log10", "sqrt", "power", "hypot", "prod", "cumprod", "std", "var", "dot"),
    *("sin", "cos", "tan", "arcsin", "arccos", "arctan", "arctan2", "atan2", "asin", "acos", "atan"),
    *("einsum", "matmul", "tensordot", "polyval", "lstsq", "ndtr", "ndtri"),
}
"""Functions of numpy, scipy and math that make a formula of whatever calls them."""
TEXT_OR_LIST = (ast.Constant, ast.JoinedStr, ast.List, ast.Tuple, ast.Set)

PAGE = """# What is no equation here

Written by `docs/refresh.py`; do not edit. Every function of `simulator/` and `optimize/` that multiplies, divides or
takes a power or root stands in one of the chapters, as an equation or as a step, or is listed below with the reason
why not; a test fails for one that is in neither place. A formula that only adds and compares is not found by that test.
The workbench, which draws, prints and serves, is not searched.

"""

Function = ast.FunctionDef | ast.AsyncFunctionDef


class LeftOut(NamedTuple):
    """Modules or functions that reckon and hold no equation, and why."""

    why: str
    code: tuple[str, ...]


def left_out() -> list[LeftOut]:
    """What stands in ``left_out.toml``."""
    document = tomllib.loads((FOLDER / "left_out.toml").read_text(encoding="utf-8"))
    return [LeftOut(entry["why"], tuple(entry["code"])) for entry in document["left"]]


def reckoning() -> Iterator[str]:
    """Names, as ``module:function`` or ``module:Class.method``, of what multiplies, divides or takes a power or root.

    What only adds, compares, looks up or counts is not found this way.
    """
    for package in PACKAGES:
        for path in sorted((ROOT / package).rglob("*.py")):
            module = ".".join(path.relative_to(ROOT).with_suffix("").parts)
            yield from (f"{module}:{name}" for name in reckoning_in(path.read_text(encoding="utf-8")))


def reckoning_in(source: str) -> Iterator[str]:
    """Names of what reckons in the text of one module."""
    for name, node in _functions(ast.parse(source)):
        if any(map(_reckons, ast.walk(node))):
            yield name


def _functions(tree: ast.Module) -> Iterator[tuple[str, Function]]:
    """Functions and methods; what stands inside a function belongs to it."""
    for node in tree.body:
        if isinstance(node, Function):
            yield node.name, node
        elif isinstance(node, ast.ClassDef):
            yield from ((f"{node.name}.{part.name}", part) for part in node.body if isinstance(part, Function))


def _reckons(node: ast.AST) -> bool:
    if isinstance(node, ast.BinOp | ast.AugAssign) and isinstance(node.op, RECKONING):
        sides = (node.left, node.right) if isinstance(node, ast.BinOp) else (node.value,)
        return not any(isinstance(side, TEXT_OR_LIST) and not _number(side) for side in sides)
    if isinstance(node, ast.Call):
        called = node.func
        return (called.attr if isinstance(called, ast.Attribute) else getattr(called, "id", "")) in CALLS
    return False


def _number(node: ast.expr) -> bool:
    return isinstance(node, ast.Constant) and isinstance(node.value, int | float)


def in_the_book() -> set[str]:
    """Functions that a chapter names, as an equation or as a step."""
    return {
        code
        for chapter in chapters()
        for code in (*(equation.code for equation in chapter.equations), *chapter.helpers)
    }


def unaccounted() -> set[str]:
    """Functions that reckon and stand neither in the book nor among what is left out."""
    out = {code for entry in left_out() for code in entry.code}
    return {code for code in set(reckoning()) - in_the_book() - out if code.partition(":")[0] not in out}


def left_out_page() -> str:
    """The page that says what reckons and is no equation."""
    return PAGE + "\n".join(map(_listed, left_out()))


def _listed(entry: LeftOut) -> str:
    return f"## {entry.why.removesuffix('.')}\n\n" + "".join(f"- `{code}`\n" for code in entry.code)
