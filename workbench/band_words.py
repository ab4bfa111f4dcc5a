"""Numbers of the band in words: a price item, or a place among the parameters."""

from typing import Final

from simulator.parameters.ranges import PLACES
from simulator.parameters.tables import NOTHING
from simulator.scenario.model import Scenario

UNIT_ENDINGS: Final = ("yr", "ft", "ft2", "ft3", "in", "lb", "ac", "ton", "h", "gal", "deg", "head")
"""Last parts of a field's name that only repeat its unit, which is printed beside it."""
ITEMS: Final = {
    "chip_and_saw": "chip-and-saw",
    "grazing_lease": "grazing rent",
    "grazing_lease_month": "grazing rent by the month",
    "straw_bale": "pine straw",
    "wage": "the wage",
    "calf": "calves",
    "cut_and_load": "cutting and loading",
    "delivered_chip_and_saw": "chip-and-saw at the mill",
    "delivered_pole": "poles at the mill",
    "delivered_pulpwood": "pulpwood at the mill",
    "delivered_sawtimber": "sawtimber at the mill",
    "move_in": "moving in a crew",
    "feeder": "feeder cattle",
    "kid": "kids",
    "lamb": "lambs",
    "pole": "poles",
}


def item_in_words(item: str) -> str:
    """A price item as people call it."""
    return ITEMS.get(item, item.replace("_", " "))


def number_in_words(name: str, unit: str, scenario: Scenario) -> str:
    """A number that the band moves, with its unit.

    Parameters
    ----------
    name
        A price item, or attributes from the tables of the model down to the number, with dots between.
    unit
        Its unit; a bare share or factor is shown without.
    scenario
        The plan, whose species, grass and animals name the file.

    Returns
    -------
    str
        Such as ``pecan: nuts, level`` or ``sawtimber ($/ton)``.
    """
    path = tuple(name.split("."))
    shown = "" if unit == "1" else f" ({unit})"
    if len(path) == 1:
        return f"{item_in_words(name).removeprefix('the ')}{shown}"
    kind, _, table = PLACES.get(path[:-1], f"{path[0]}:{path[-2]}").partition(":")
    return f"{_file(kind, scenario)}: {_spaced(table)}, {_field(path[-1], unit)}{shown}"


def _file(kind: str, scenario: Scenario) -> str:
    """What the numbers are about: the species, grass or animals of the plan, or the subject of the file."""
    trees, pasture = scenario.trees, scenario.pasture
    ids = {
        "trees": trees.species if trees else "trees",
        "grasses": pasture.grass,
        "winter_grasses": pasture.overseeded,
        "later_grasses": pasture.later_grass,
        "animals": scenario.use.animals,
    }
    named = ids.get(kind, kind)
    return _spaced(kind if named == NOTHING else named)


def _field(field: str, unit: str) -> str:
    parts = field.split("_")
    while unit != "1" and len(parts) > 1 and parts[-1] in UNIT_ENDINGS:
        parts.pop()
    return " ".join(parts)


def _spaced(name: str) -> str:
    return name.replace("_", " ").replace("-", " ")
