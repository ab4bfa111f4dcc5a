"""The commented scenario or price table that `halfshade init` prints; the first is used where no file is named."""

from collections.abc import Mapping
from importlib import resources
from string import Template
from typing import Any, Final

from simulator.parameters.catalogue import NO_ANIMALS
from simulator.parameters.species import load_species
from simulator.scenario.rows import planted_trees_per_ac
from simulator.scenario.trees import Layout, Trees
from workbench.stand_start import StandStart, invented_stand
from workbench.stand_text import LEAST_HORIZON_YR, aligned, stand_text
from workbench.starts import Choices, cuts_of, numbers_of, refusals, resolved

EXAMPLE_NAME: Final = "north field (packaged example)"
STAND_EXAMPLE_NAME: Final = "standing pines (packaged example)"
PRICE_TABLE: Final = "demo-2025"


def example_text() -> str:
    """Text of the packaged example: the north field with double rows, bahiagrass and cattle."""
    return scenario_text(Choices())


def stand_example_text() -> str:
    """Text of the packaged stand: pines that are there already, to be opened to grass."""
    return scenario_text(Choices(route="stand"))


def price_table_text() -> str:
    """Text of a price table that reads back as the packaged one, with how to make it one's own."""
    table = resources.files("price_tables").joinpath(f"{PRICE_TABLE}.toml")
    return _packaged("own-prices.txt") + table.read_text(encoding="utf-8")


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
        return stand_scenario_text(choices)
    choices = resolved(choices)
    numbers = numbers_of(choices)
    layout = Layout.model_validate({key: value for key, value in numbers.items() if key in Layout.model_fields})
    trees = Trees(species=choices.trees, layout=layout)
    planted = planted_trees_per_ac(layout.rows_in_set, layout.row_gap_ft, layout.in_row_ft, layout.alley_ft)
    text = Template(_packaged("template.toml")).substitute(
        numbers,
        species=choices.trees,
        stock=_stock_words(choices.trees),
        survival=f"{trees.survival:.2f}",
        planted=f"{planted:.0f}",
        living=f"{planted * trees.survival:.0f}",
        nitrogen_lb_ac=f"{numbers['nitrogen_lb_ac']:g}",
        grass=choices.grass,
        animals=choices.animals,
        thinnings=_thinnings(numbers),
        later_grass=_later_grass(choices),
        horizon_years=max(LEAST_HORIZON_YR, numbers["harvest_year"] + 1),
        **_use_lines(numbers, choices.animals),
    )
    return aligned(text)


def _later_grass(choices: Choices) -> str:
    """A grass that people sow once trees shade the first, where the trade would have it with these trees."""
    wished = (numbers_of(choices)["later_grass"], "bahiagrass", "ryegrass")
    others = [grass for grass in wished if grass != choices.grass]
    # what is refused for the trees or the layout is refused with every grass: any other one then serves in a comment
    return next((grass for grass in others if not refusals(choices._replace(grass=grass))), others[0])


def _thinnings(numbers: Mapping[str, Any]) -> str:
    return "\n\n".join(
        f'[[thinning]]\nyear = {year}\nmethod = "{method}"\nresidual_trees_per_ac = {left}'
        for year, method, left in cuts_of(numbers)
    )


def _stock_words(species: str) -> str:
    stock = load_species(species).stock
    if stock.grafted_share:
        return "grafted trees"
    return "container seedlings" if stock.container_share else "bareroot seedlings"


def stand_scenario_text(choices: Choices, start: StandStart | None = None) -> str:
    """Write a commented scenario of a stand to be opened, the invented one of the species unless told.

    Parameters
    ----------
    choices
        Known ids; the layout is not read.
    start
        What stands instead.

    Returns
    -------
    str
        TOML.
    """
    animals = choices.animals or "cattle"
    grazing = "first_grazing_year = 3" if animals != NO_ANIMALS else "# first_grazing_year = 3"
    hay = "# hay_years = [3, 6]" if animals != NO_ANIMALS else "hay_years = [3, 6]"
    use = {"grass": choices.grass, "animals": animals, "first_grazing_line": grazing, "hay_years": hay}
    return stand_text(start or invented_stand(choices.trees), use)


def _use_lines(numbers: Mapping[str, Any], animals: str) -> dict[str, str]:
    hay, grazing = (
        f"hay_years = [1, {numbers['last_hay_year']}]",
        f"first_grazing_year = {numbers['first_grazing_year']}",
    )
    return {
        "hay_years": hay if numbers["hay"] else f"# {hay}",
        "first_grazing_line": grazing if animals != NO_ANIMALS else f"# {grazing}",
    }


def _packaged(name: str) -> str:
    return resources.files("workbench.scenarios").joinpath(name).read_text(encoding="utf-8")
