"""What a newcomer's ``pip install`` puts on the machine, read from the installed distribution."""

import importlib
import importlib.metadata
from collections.abc import Callable
from pathlib import Path, PurePosixPath
from typing import NoReturn

import pytest

ROOT = Path(__file__).parents[1]
PACKAGES = {"simulator", "optimize", "workbench", "price_tables"}


@pytest.fixture(scope="module")
def installed(absent: Callable[[str], NoReturn]) -> importlib.metadata.Distribution:
    """Halfshade as installed; skipped (or failed) where the packages come from this folder instead."""
    homes = {name: Path(str(importlib.import_module(name).__file__)).parent for name in PACKAGES}
    if any(home == ROOT / name for name, home in homes.items()):
        absent("halfshade is not installed here: python -m pip install '.[test]' && python -P -m pytest -n auto")
    return importlib.metadata.distribution("halfshade")


@pytest.fixture(scope="module")
def files(installed: importlib.metadata.Distribution) -> set[PurePosixPath]:
    """Paths of the installed files, compiled files left out."""
    return {PurePosixPath(file) for file in installed.files or () if file.suffix != ".pyc"}


def test_exactly_four_top_levels(installed: importlib.metadata.Distribution, files: set[PurePosixPath]) -> None:
    information = f"halfshade-{installed.version}.dist-info"
    tops = {file.parts[0] for file in files if file.parts[0] != ".."}
    assert tops == {*PACKAGES, information}


def test_every_file_of_the_packages_is_installed(files: set[PurePosixPath]) -> None:
    """No module, table or scenario is forgotten, and nothing is left over from an older build."""
    here = {
        PurePosixPath(path.relative_to(ROOT))
        for name in PACKAGES
        for path in (ROOT / name).rglob("*")
        if path.is_file() and path.suffix != ".pyc"
    }
    there = {file for file in files if file.parts[0] in PACKAGES}
    assert there == here


def test_types_are_announced(files: set[PurePosixPath]) -> None:
    assert {PurePosixPath(name, "py.typed") for name in PACKAGES} <= files


def test_the_licence_travels_with_it(installed: importlib.metadata.Distribution) -> None:
    assert installed.metadata["License-Expression"] == "Apache-2.0"
    licences = [file for file in installed.files or () if file.name == "LICENSE" and ".dist-info" in file.parts[0]]
    assert [file.read_text() for file in licences] == [(ROOT / "LICENSE").read_text(encoding="utf-8")]


def test_the_command_is_there(installed: importlib.metadata.Distribution) -> None:
    commands = installed.entry_points.select(group="console_scripts")
    assert {command.name for command in commands} == {"halfshade"}
    assert all(callable(command.load()) for command in commands)
