"""What can be planted, sown and grazed: the names of the parameter files."""

from functools import cache
from importlib import resources
from typing import Final

NO_ANIMALS: Final = "none"

HOGS: Final = ("hog", "hogs", "pig", "pigs", "swine", "sow", "sows", "wild hogs")
NO_HOGS: Final = "is refused: hogs root up seedlings, hundreds a day, and must never be among young pines"


def refusal(animal: str) -> str:
    """Why an animal is never let in, as the rule of a message; empty where it may be named."""
    return NO_HOGS if animal.strip().lower() in HOGS else ""


def tree_names() -> list[str]:
    """Ids of the trees, sorted."""
    return list(_names("trees"))


def grass_names() -> list[str]:
    """Ids of the grasses, sorted."""
    return list(_names("grasses"))


def animal_names() -> list[str]:
    """Ids of the animals, sorted, and ``none`` at the end."""
    return [*_names("animals"), NO_ANIMALS]


@cache
def _names(folder: str) -> tuple[str, ...]:
    entries = resources.files("simulator.parameters").joinpath(folder).iterdir()
    return tuple(sorted(entry.name.removesuffix(".toml") for entry in entries if entry.name.endswith(".toml")))
