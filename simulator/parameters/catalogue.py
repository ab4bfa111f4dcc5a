"""What can be planted, sown and grazed: the names of the parameter files."""

from importlib import resources
from typing import Final

NO_ANIMALS: Final = "none"


def tree_names() -> list[str]:
    """Ids of the trees, sorted."""
    return _names("trees")


def grass_names() -> list[str]:
    """Ids of the grasses, sorted."""
    return _names("grasses")


def animal_names() -> list[str]:
    """Ids of the animals, sorted, and ``none`` at the end."""
    return [*_names("animals"), NO_ANIMALS]


def _names(folder: str) -> list[str]:
    entries = resources.files("simulator.parameters").joinpath(folder).iterdir()
    return sorted(entry.name.removesuffix(".toml") for entry in entries if entry.name.endswith(".toml"))
