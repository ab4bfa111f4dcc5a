"""The shape of the house, held: small modules, who may import whom, documented equations, sourced numbers."""

import ast
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NoReturn

import pytest

from simulator.errors import ParameterError
from simulator.sourced import read_sourced

ROOT = Path(__file__).parents[1]
PACKAGES = ("simulator", "optimize", "workbench", "price_tables")
MODULES = sorted(path for package in PACKAGES for path in (ROOT / package).rglob("*.py"))
PHYSICS = sorted((ROOT / "simulator" / "physics").rglob("*.py"))
EQUATIONS = [*PHYSICS, *(ROOT / "simulator" / f"{name}.py" for name in ("finance", "interest", "tax"))]
NUMBERS = [
    *sorted((ROOT / "simulator" / "parameters").rglob("*.toml")),
    *sorted((ROOT / "price_tables").rglob("*.toml")),
]
PHYSICS_MAY_IMPORT = {"numpy", *sys.stdlib_module_names}

Function = ast.FunctionDef | ast.AsyncFunctionDef


def _name(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def _parse(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def _functions(path: Path) -> Iterator[Function]:
    return (node for node in ast.walk(_parse(path)) if isinstance(node, Function))


def _equations(path: Path) -> Iterator[Function]:
    """Public functions of a module; what stands inside a function is its own affair."""
    return (node for node in _parse(path).body if isinstance(node, Function) and not node.name.startswith("_"))


def _statements(function: Function) -> int:
    """Statements below the head of a function; docstring and returns are not counted."""
    below = sum(isinstance(node, ast.stmt) and not isinstance(node, ast.Return) for node in ast.walk(function)) - 1
    return below - (ast.get_docstring(function) is not None)


def _parameters(function: Function) -> list[str]:
    given = function.args
    return [
        argument.arg
        for argument in (*given.posonlyargs, *given.args, *given.kwonlyargs)
        if argument.arg not in {"self", "cls"}
    ]


def _takes_numbers(function: Function) -> bool:
    given = function.args
    annotations = (argument.annotation for argument in (*given.posonlyargs, *given.args, *given.kwonlyargs))
    return any(re.search(r"float|int", ast.unparse(kind), re.IGNORECASE) for kind in annotations if kind is not None)


def _is_command(function: Function) -> bool:
    """Whether click fills the parameters: there one parameter is one option a person can type."""
    calls = (item.func for item in function.decorator_list if isinstance(item, ast.Call))
    return any(ast.unparse(call).startswith("click.") for call in calls)


def _imports(path: Path) -> Iterator[str]:
    for node in ast.walk(_parse(path)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            module = "." * node.level + (node.module or "")
            yield from (f"{module}.{alias.name}" for alias in node.names)


@pytest.mark.parametrize("path", MODULES, ids=_name)
def test_modules_and_functions_are_small(path: Path) -> None:
    most = 30 if path.name == "__init__.py" else 300
    assert len(path.read_text(encoding="utf-8").splitlines()) <= most
    long = {item.name: _statements(item) for item in _functions(path) if _statements(item) > 25}
    assert not long, "statements in a function, at most 25"
    wide = {item.name: len(_parameters(item)) for item in _functions(path) if not _is_command(item)}
    assert {name: count for name, count in wide.items() if count > 6} == {}, "parameters of a function, at most 6"


@pytest.mark.parametrize("path", MODULES, ids=_name)
def test_imports_are_absolute(path: Path) -> None:
    assert [name for name in _imports(path) if name.startswith(".")] == []


@pytest.mark.parametrize("path", PHYSICS, ids=_name)
def test_a_phenomenon_imports_no_other(path: Path) -> None:
    """Arrays, roots and units only; the files of one phenomenon's own folder may import one another."""
    folder = path.relative_to(ROOT).parent.parts
    own = (".".join(folder) + ".",) if len(folder) > len(("simulator", "physics")) else ()
    allowed = (*own, "simulator.roots.", "simulator.units.")
    strangers = [
        name
        for name in _imports(path)
        if name.partition(".")[0] not in PHYSICS_MAY_IMPORT and not name.startswith(allowed)
    ]
    assert strangers == []


@pytest.mark.parametrize("path", EQUATIONS, ids=_name)
def test_equations_say_what_they_take_and_give(path: Path) -> None:
    """Every public function names each parameter, what it returns, and a [unit] or the function that gives it."""
    for function in _equations(path):
        where = f"{_name(path)}: {function.name}"
        documented = ast.get_docstring(function) or ""
        assert re.search(r"^Returns\n-+$", documented, re.MULTILINE), f"{where} does not say what it returns"
        taken, _, _ = documented.partition("\nReturns\n")
        _, _, taken = taken.partition("\nParameters\n")
        heads = re.findall(r"^(\w+(?:, \w+)*)(?: :.*)?$", taken, re.MULTILINE)
        unnamed = set(_parameters(function)) - {name for head in heads for name in head.split(", ")}
        assert not unnamed, f"{where} does not document {unnamed}"
        if _takes_numbers(function):
            assert re.search(r"\[[^\]]+\]|As for :func:", documented), f"{where} gives no [unit]"


@pytest.mark.parametrize("path", NUMBERS, ids=_name)
def test_numbers_have_a_unit_and_a_source(path: Path) -> None:
    file = read_sourced(path, plain=("currency_year",))
    entries = {f"{table}.{name}": entry for table, held in file.tables.items() for name, entry in held.items()}
    assert entries, "a parameter file without a number"
    assert {entry.source for entry in entries.values()} == set(file.sources), "sources named and sources used differ"
    assert not [text for text in file.sources.values() if re.search(r"https?:|www\.", text)], "a citation, no address"


@pytest.mark.parametrize(
    "entry",
    [
        "2.5",
        '{ value = 2.5, source = "A" }',
        '{ value = 2.5, unit = "ft" }',
        '{ value = 2.5, unit = "ft", source = "B" }',
    ],
)
def test_a_number_without_unit_or_source_is_refused(entry: str, tmp_path: Path) -> None:
    file = tmp_path / "numbers.toml"
    file.write_text(f'[sources]\nA = "assumed for this test"\n[table]\nnumber = {entry}\n', encoding="utf-8")
    with pytest.raises(ParameterError, match=r"numbers\.toml: table\.number"):
        read_sourced(file)


# Written in pieces, so that this file does not match itself.
MACHINE = re.compile(r"(?<![\w.~)}])/(?:work|root|home|tmp|Users|mnt)/|\b[A-Z]:\\(?:Users|Temp)\b")
REGISTRY = re.compile(
    "|".join(["py" + r"pi\.org", "python" + "hosted", "registry" + r"\.npm", r"conda\." + "anaconda", "index" + "-url"])
)


def test_no_file_names_a_machine_or_a_registry(absent: Callable[[str], NoReturn]) -> None:
    """What works only on the machine it was written on is found before anyone else meets it."""
    if not (ROOT / ".git").exists() or shutil.which("git") is None:
        absent("there is no git here to list the files of the repository")
    listing = ["git", "-C", str(ROOT), "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
    names = subprocess.run(listing, capture_output=True, check=True, encoding="utf-8").stdout.split("\0")
    paths = [path for path in (ROOT / name for name in names if name) if path.is_file()]
    assert Path(__file__) in paths
    found = {}
    for path in paths:
        text = path.read_text(encoding="utf-8", errors="replace")
        hits = [hit.group() for pattern in (MACHINE, REGISTRY) for hit in pattern.finditer(text)]
        if hits:
            found[_name(path)] = hits
    assert found == {}


def test_import_contracts_hold(absent: Callable[[str], NoReturn]) -> None:
    """The layers written in pyproject.toml, checked by import-linter where it is installed."""
    linter = shutil.which("lint-imports", path=Path(sys.executable).parent)
    if linter is None:
        absent("import-linter is not installed")
    variables = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUTF8": "1"}
    done = subprocess.run(
        [linter, "--no-cache"], cwd=ROOT, env=variables, capture_output=True, encoding="utf-8", check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
