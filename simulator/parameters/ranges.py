"""Every sourced range of the numbers a batch uses, and the batch's tables with one number moved."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final, NamedTuple

from simulator.parameters.tables import Tables
from simulator.sourced import read_sourced

FOLDER: Final = Path(__file__).parent

PLACES: Final[dict[tuple[str, ...], str]] = {
    ("tree", "diameter"): "trees:diameter",
    ("tree", "site_culture"): "trees:site_culture",
    ("tree", "survival"): "trees:survival",
    ("tree", "crown"): "trees:crown",
    ("tree", "planting"): "trees:planting",
    ("tree", "species", "site_index"): "trees:site_index",
    ("tree", "species", "forms", "grass_stage"): "trees:grass_stage",
    ("tree", "species", "unweeded"): "trees:unweeded",
    ("tree", "species", "rust"): "trees:rust",
    ("tree", "species", "nuts"): "trees:nuts",
    ("tree", "species", "orchard"): "trees:orchard",
    ("quality",): "trees:quality",
    ("straw", "yearly"): "trees:straw",
    ("grass", "open_yield"): "grasses:open_yield",
    ("grass", "shade"): "grasses:shade",
    ("grass", "litter"): "grasses:litter",
    ("grass", "persistence"): "grasses:persistence",
    ("grass", "quality"): "grasses:quality",
    ("winter_grass", "open_yield"): "winter_grasses:open_yield",
    ("winter_grass", "shade"): "winter_grasses:shade",
    ("winter_grass", "litter"): "winter_grasses:litter",
    ("winter_grass", "quality"): "winter_grasses:quality",
    ("winter_grass", "overseeding"): "winter_grasses:overseeding",
    ("later_grass", "open_yield"): "later_grasses:open_yield",
    ("later_grass", "shade"): "later_grasses:shade",
    ("later_grass", "litter"): "later_grasses:litter",
    ("later_grass", "persistence"): "later_grasses:persistence",
    ("later_grass", "quality"): "later_grasses:quality",
    ("animals", "units"): "animals:units",
    ("animals", "herd"): "animals:herd",
    ("animals", "stocker"): "animals:stocker",
    ("animals", "budget"): "animals:budget",
    ("animals", "gate"): "animals:gate",
    ("animals", "tree_damage"): "animals:tree_damage",
    ("animals", "shade_bonus"): "animals:shade_bonus",
    ("animals", "browse"): "animals:browse",
    ("grazing", "utilisation"): "grazing:utilisation",
    ("grazing", "carryover"): "grazing:carryover",
    ("hay", "chain"): "hay:chain",
    ("hay", "removal"): "hay:removal",
    ("practice", "marking"): "practice:marking",
    ("practice", "logging_damage"): "practice:logging_damage",
    ("practice", "hours"): "practice:hours",
    ("practice", "ground"): "practice:ground",
    ("practice", "stocking"): "practice:stocking",
    ("light",): "sky:light",
    ("events", "pasture_nitrogen"): "hazards:pasture_nitrogen",
    ("events", "mid_rotation"): "hazards:mid_rotation",
    ("events", "unripped"): "hazards:unripped",
    ("events", "volunteers"): "hazards:volunteers",
    ("events", "burn"): "hazards:burn",
}
"""Where each group of numbers in `Tables` is written: file kind, then table of that file."""
FOLDERS: Final = {"winter_grasses": "grasses", "later_grasses": "grasses"}
"""Folders of the kinds that do not have one of their own name."""


class Range(NamedTuple):
    """One number that may lie lower or higher.

    Attributes
    ----------
    path
        Attributes from `Tables` down to the number.
    value, low, high
        As shipped, and the ends of belief.
    unit, source
        Unit, and citation in full.
    provisional
        Whether no published value could be read.
    """

    path: tuple[str, ...]
    value: float
    low: float
    high: float
    unit: str
    source: str
    provisional: bool = False


def ranges_of(tables: Tables, ids: dict[str, str]) -> list[Range]:
    """List the sourced ranges of the numbers in a batch's tables.

    Parameters
    ----------
    tables
        The batch's numbers.
    ids
        Species, grass and animals: ``{"trees": "loblolly", "grasses": "bahiagrass", "animals": "cattle"}``, and
        ``winter_grasses`` and ``later_grasses`` where the tables hold them.

    Returns
    -------
    list of Range
    """
    return [found for path, place in PLACES.items() for found in _in_group(tables, path, place, ids)]


def _in_group(tables: Tables, path: tuple[str, ...], place: str, ids: dict[str, str]) -> Iterator[Range]:
    kind, table = place.split(":")
    group = _at(tables, path)
    if group is None:
        return
    folder = FOLDER / FOLDERS.get(kind, kind)
    file = read_sourced(folder / f"{ids[kind]}.toml" if kind in ids else FOLDER / f"{kind}.toml")
    for name, entry in file.tables[table].items():
        if isinstance(entry.value, float) and entry.low is not None and entry.high is not None:
            source = file.sources[entry.source]
            ends = entry.low, entry.high
            yield Range((*path, name), entry.value, *ends, entry.unit, source, entry.provisional)


def _at(root: Any, path: tuple[str, ...]) -> Any:  # noqa: ANN401 - nested named tuples of many kinds
    for name in path:
        root = None if root is None else getattr(root, name)
    return root


def moved(tables: Tables, path: tuple[str, ...], value: float) -> Tables:
    """The same tables with one number changed.

    Parameters
    ----------
    tables
        The batch's numbers.
    path
        Attributes from `Tables` down to the number.
    value
        Its new value.

    Returns
    -------
    Tables
    """
    return _replaced(tables, path, value)  # type: ignore[no-any-return]


def _replaced(node: Any, path: tuple[str, ...], value: float) -> Any:  # noqa: ANN401 - see _at
    if not path:
        return value
    return node._replace(**{path[0]: _replaced(getattr(node, path[0]), path[1:], value)})
