"""Which edition of the program and of its numbers made a result: versions, and hashes of what stands in the files."""

import hashlib
import platform
from collections.abc import Iterable
from functools import cache
from importlib import metadata, resources
from importlib.resources.abc import Traversable
from typing import Final

PACKAGES: Final = ("price_tables", "simulator", "optimize")
"""What decides a result; how it is shown does not."""
LIBRARIES: Final = ("numpy", "pandas", "pyarrow", "pydantic", "SALib", "scipy")
NUMBERS: Final = ".toml"
CODE: Final = (".py", NUMBERS)


def version() -> str:
    """Version of the installed program; empty where it runs from its source folder without being installed."""
    try:
        return metadata.version("halfshade")
    except metadata.PackageNotFoundError:
        return ""


def library_versions() -> dict[str, str]:
    """Versions of Python and of the libraries that compute; those not installed are left out."""
    found = {"python": platform.python_version()}
    for name in LIBRARIES:
        try:
            found[name] = metadata.version(name)
        except metadata.PackageNotFoundError:
            continue
    return found


@cache
def number_hashes() -> dict[str, str]:
    """SHA-256 of every file of numbers by its name: parameters and price tables."""
    return {name: sha256(data) for name, data in _files(PACKAGES[:2], (NUMBERS,))}


@cache
def code_hash() -> str:
    """One SHA-256 of everything that decides a result: code, parameters and price tables."""
    whole = hashlib.sha256()
    for name, data in _files(PACKAGES, CODE):
        whole.update(f"{name} {sha256(data)}\n".encode())
    return whole.hexdigest()


def sha256(data: bytes) -> str:
    """SHA-256 of some bytes as text, line ends counted as one kind."""
    return hashlib.sha256(data.replace(b"\r\n", b"\n")).hexdigest()


def _files(packages: Iterable[str], ends: tuple[str, ...]) -> list[tuple[str, bytes]]:
    found: list[tuple[str, bytes]] = []

    def walk(folder: Traversable, name: str) -> None:
        for entry in folder.iterdir():
            here = f"{name}/{entry.name}"
            if entry.is_dir():
                walk(entry, here)
            elif entry.name.endswith(ends):
                found.append((here, entry.read_bytes()))

    for package in packages:
        walk(resources.files(package), package)
    return sorted(found)
