"""Every promise of docs/reliability.md has a test, and every test of one names it."""

import ast
from collections.abc import Iterator
from pathlib import Path

from reliability import promised

TESTS = Path(__file__).parents[1]


def kept() -> Iterator[tuple[str, str]]:
    """Each test that is marked, and the promise it keeps."""
    for path in sorted(TESTS.rglob("test_*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            for mark in node.decorator_list if isinstance(node, ast.FunctionDef) else ():
                if isinstance(mark, ast.Call) and isinstance(mark.func, ast.Name) and mark.func.id == "keeps":
                    assert isinstance(node, ast.FunctionDef)
                    assert node.name.startswith("test_"), f"{path.name}: {node.name} is no test"
                    yield f"{path.name}: {node.name}", str(ast.literal_eval(mark.args[0]))


def test_every_promise_has_a_test_and_every_mark_a_promise() -> None:
    names = promised()
    assert len(names) > 10
    assert len(set(names)) == len(names)
    assert {promise for _, promise in kept()} == set(names)


def test_tests_of_this_folder_that_start_commands_keep_a_promise() -> None:
    marked = {test for test, _ in kept()}
    for name in ("test_killed", "test_full_disk", "test_two_at_once", "test_surroundings", "test_missing"):
        tree = ast.parse((TESTS / "faults" / f"{name}.py").read_text(encoding="utf-8"))
        tests = [node.name for node in tree.body if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")]
        assert {f"{name}.py: {test}" for test in tests} <= marked
