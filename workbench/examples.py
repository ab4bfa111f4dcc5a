"""The commented scenario that `halfshade init` prints, and that commands use when no file is named."""

import re
import tomllib
from collections.abc import Mapping
from importlib import resources
from string import Template
from typing import Any, Final, NamedTuple

from simulator.parameters.catalogue import NO_ANIMALS
from simulator.scenario.rows import planted_trees_per_ac
from simulator.scenario.trees import Layout, Trees

EXAMPLE_NAME: Final = "north field (packaged example)"
COMMENT_COLUMN: Final = 25
_VALUE_WITH_COMMENT: Final = re.compile(r"^([^#\n]*[^#\s])[ ]+#[ ]", re.MULTILINE)


class Choices(NamedTuple):
    """What a person chooses when asking for a scenario.

    Attributes
    ----------
    trees, grass
        Ids of the catalogue.
    animals
        Id of the catalogue, ``none``, or empty for what suits the layout.
    layout
        Id of a layout, see `layouts`.
    route
        ``pasture`` is planted; ``stand`` is there already, and the layout is its own.
    """

    trees: str = "loblolly"
    grass: str = "bahiagrass"
    animals: str = ""
    layout: str = "double"
    route: str = "pasture"


def example_text() -> str:
    """Text of the packaged example: the north field with double rows, bahiagrass and cattle."""
    return scenario_text(Choices())


def layouts() -> dict[str, dict[str, Any]]:
    """Numbers of the row layouts that a scenario can start from, by id."""
    return tomllib.loads(_packaged("layouts.toml"))


def scenario_text(choices: Choices) -> str:
    """Write a commented scenario that loads without problems.

    Parameters
    ----------
    choices
        Known ids and a known layout.

    Returns
    -------
    str
        TOML.

    Raises
    ------
    KeyError
        Where the layout is unknown.
    """
    if choices.route == "stand":
        return _stand_text(choices)
    numbers = layouts()[choices.layout]
    layout = Layout.model_validate({key: value for key, value in numbers.items() if key in Layout.model_fields})
    trees = Trees(species=choices.trees, layout=layout)
    planted = planted_trees_per_ac(layout.rows_in_set, layout.row_gap_ft, layout.in_row_ft, layout.alley_ft)
    animals = choices.animals or numbers["animals"]
    text = Template(_packaged("template.toml")).substitute(
        numbers,
        species=choices.trees,
        survival=f"{trees.survival:.2f}",
        planted=f"{planted:.0f}",
        living=f"{planted * trees.survival:.0f}",
        grass=choices.grass,
        animals=animals,
        **_use_lines(numbers, animals),
    )
    return _VALUE_WITH_COMMENT.sub(lambda match: f"{match[1]:<{COMMENT_COLUMN - 1}} # ", text)


def _stand_text(choices: Choices) -> str:
    animals = choices.animals or "cattle"
    grazing = "first_grazing_year = 3" if animals != NO_ANIMALS else "# first_grazing_year = 3"
    hay = "# hay_years = [3, 6]" if animals != NO_ANIMALS else "hay_years = [3, 6]"
    text = Template(_packaged("stand.toml")).substitute(
        species=choices.trees, grass=choices.grass, animals=animals, first_grazing_line=grazing, hay_years=hay
    )
    return _VALUE_WITH_COMMENT.sub(lambda match: f"{match[1]:<{COMMENT_COLUMN - 1}} # ", text)


def _use_lines(numbers: Mapping[str, Any], animals: str) -> dict[str, str]:
    last_hay_year = numbers["last_hay_year_alone" if animals == NO_ANIMALS else "last_hay_year_before_animals"]
    hay, grazing = f"hay_years = [1, {last_hay_year}]", f"first_grazing_year = {numbers['first_grazing_year']}"
    return {
        "hay_years": hay if numbers["hay"] else f"# {hay}",
        "first_grazing_line": grazing if animals != NO_ANIMALS else f"# {grazing}",
    }


def _packaged(name: str) -> str:
    return resources.files("workbench.scenarios").joinpath(name).read_text(encoding="utf-8")
