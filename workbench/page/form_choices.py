"""What can be chosen in a field, in words: from its schema, the catalogue's files, or the price tables."""

import tomllib
from collections.abc import Callable, Mapping
from functools import cache
from importlib import resources
from typing import Any, Final

from simulator.parameters.catalogue import NO_ANIMALS, animal_names, grass_names, tree_names
from simulator.parameters.prices import price_table_names

MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def choices_of(
    path: str, node: Mapping[str, Any], words: Mapping[str, str], own_table: str | None
) -> list[dict[str, Any]] | None:
    """Choices of a field.

    Parameters
    ----------
    path
        Of the field.
    node
        Its schema.
    words
        Labels by path and value, where the value says too little.
    own_table
        Price table beside the file of the command line.

    Returns
    -------
    list of dict or None
        ``value`` and ``label``; None where anything may be written.
    """
    if path in FROM_FILES:
        return FROM_FILES[path]()
    if path == "money.price_table":
        names = [*price_table_names(), *([own_table] if own_table else [])]
        return [{"value": name, "label": name} for name in names]
    if "enum" not in node:
        return None
    return [{"value": value, "label": words.get(f"{path}.{value}", _capital(str(value)))} for value in node["enum"]]


def _capital(words: str) -> str:
    spaced = words.replace("-", " ") if words == "crimson-clover" else words
    return spaced[:1].upper() + spaced[1:]


def _catalogue(folder: str, names: Callable[[], list[str]]) -> list[dict[str, Any]]:
    return [{"value": name, "label": _title(folder, name)} for name in names()]


@cache
def _title(folder: str, name: str) -> str:
    if name == NO_ANIMALS:
        return "No animals"
    file = resources.files("simulator.parameters").joinpath(folder, f"{name}.toml")
    return str(tomllib.loads(file.read_text(encoding="utf-8"))["title"])


def _animals() -> list[dict[str, Any]]:
    return _catalogue("animals", animal_names)


def _grasses() -> list[dict[str, Any]]:
    return _catalogue("grasses", grass_names)


def _trees() -> list[dict[str, Any]]:
    return _catalogue("trees", tree_names)


def _months() -> list[dict[str, Any]]:
    return [{"value": number, "label": name} for number, name in enumerate(MONTHS, start=1)]


def _sprays() -> list[dict[str, Any]]:
    file = resources.files("simulator.parameters").joinpath("herbicides.toml")
    names = [name for name in tomllib.loads(file.read_text(encoding="utf-8")) if name not in {"title", "sources"}]
    return [{"value": name, "label": _capital(name)} for name in names]


FROM_FILES: Final[Mapping[str, Callable[[], list[dict[str, Any]]]]] = {
    "trees.species": _trees,
    "pasture.grass": _grasses,
    "pasture.switch.grass": _grasses,
    "use.animals": _animals,
    "use.season_months.0": _months,
    "use.season_months.1": _months,
    "herbicide.*.product_class": _sprays,
}
