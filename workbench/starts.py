"""What a scenario starts from: a layout as it suits tree, grass and animals; and what nobody would plant."""

import tomllib
from collections.abc import Iterator, Mapping
from importlib import resources
from typing import Any, Final, NamedTuple

from simulator.errors import Problem
from simulator.parameters.catalogue import NO_ANIMALS
from simulator.parameters.species import load_species

USUAL_LAYOUT: Final = "double"
USUAL_STOCK: Final = "bareroot seedlings"
USUAL_NITROGEN_LB_AC: Final = 80
USUAL_FIRST_RAKE_YEAR: Final = 8
USUAL_MOST_RAKES: Final = 5
USUAL_LATER_GRASS: Final = "bahiagrass"
DEMONSTRATION_LATITUDE_DEG: Final = 31.3
OPTIONS: Final = {
    "trees": "--trees",
    "routes": "--route",
    "grasses": "--grass",
    "animals": "--animals",
    "layouts": "--layout",
}


class Choices(NamedTuple):
    """What a person chooses when asking for a scenario.

    Attributes
    ----------
    trees, grass
        Ids of the catalogue.
    animals
        Id of the catalogue, ``none``, or empty for what suits the layout.
    layout
        Id of a layout, see `layouts`, or empty for what suits the trees.
    route
        ``pasture`` is planted; ``stand`` is there already, and the layout is its own.
    """

    trees: str = "loblolly"
    grass: str = "bahiagrass"
    animals: str = ""
    layout: str = ""
    route: str = "pasture"


def layouts() -> dict[str, dict[str, Any]]:
    """Numbers of the row layouts that a scenario can start from, by id."""
    return _packaged("layouts.toml")


def resolved(choices: Choices) -> Choices:
    """The same choices with a layout and animals where none were named.

    Parameters
    ----------
    choices
        Any choices; names need not be known.

    Returns
    -------
    Choices
    """
    layout = choices.layout or _choices("trees", choices.trees).get("layout", USUAL_LAYOUT)
    animals = choices.animals or layouts().get(layout, {}).get("animals", NO_ANIMALS)
    return choices._replace(layout=layout, animals=animals)


def refusals(choices: Choices) -> list[Problem]:
    """Why the trade would not consider a combination, and what to choose instead.

    Parameters
    ----------
    choices
        Any choices; names need not be known.

    Returns
    -------
    list of Problem
        Empty for a combination that somebody would plant.
    """
    full = resolved(choices)
    chosen = {"trees": full.trees, "grasses": full.grass, "animals": full.animals, "layouts": full.layout}
    chosen |= {"routes": full.route}
    return [_problem(entry, chosen) for entry in _packaged("combinations.toml")["refused"] if _matches(entry, chosen)]


def _matches(entry: Mapping[str, Any], chosen: Mapping[str, str]) -> bool:
    return all(name in entry[kind] for kind, name in chosen.items() if kind in entry)


def _problem(entry: Mapping[str, Any], chosen: Mapping[str, str]) -> Problem:
    kinds = [kind for kind in OPTIONS if kind in entry]
    received = " with ".join(f"{OPTIONS[kind]} {chosen[kind]}" for kind in kinds)
    return Problem(OPTIONS[kinds[-1]], entry["reason"], received, entry["instead"])


def numbers_of(choices: Choices) -> dict[str, Any]:
    """Numbers of a layout as they suit the tree, the grass and the animals.

    Parameters
    ----------
    choices
        Resolved choices of known names.

    Returns
    -------
    dict
        Keys of `layouts`, and ``last_hay_year``, ``nitrogen_lb_ac``, ``latitude_deg``, ``stock``,
        ``first_rake_year``, ``most_rakes`` and ``later_grass``.

    Raises
    ------
    KeyError
        Where the layout is unknown.
    """
    tree, grass, animals = (
        _choices(kind, name)
        for kind, name in (("trees", choices.trees), ("grasses", choices.grass), ("animals", choices.animals))
    )
    numbers = layouts()[choices.layout] | _tree_years(choices, tree)
    wait = tree.get("entry_years_later", 0) + animals.get("entry_years_later", 0)
    hay = numbers["hay"] and grass.get("hay", True)
    last_hay = numbers["last_hay_year_alone"]
    if choices.animals != NO_ANIMALS:
        last_hay = min(last_hay, numbers["last_hay_year_before_animals"] + wait)
    fitted: dict[str, Any] = numbers | {
        "first_grazing_year": _first_grazing_year(layouts()[choices.layout], numbers["first_year"], wait),
        "last_hay_year": last_hay,
        "hay": hay,
        "nitrogen_lb_ac": _nitrogen(grass, hay=hay) if numbers["fertilised"] else 0,
        "latitude_deg": grass.get("latitude_deg", DEMONSTRATION_LATITUDE_DEG),
        "stock": tree.get("stock", USUAL_STOCK),
        "first_rake_year": tree.get("first_rake_year", USUAL_FIRST_RAKE_YEAR),
        "most_rakes": tree.get("most_rakes", USUAL_MOST_RAKES),
        "later_grass": grass.get("later_grass", USUAL_LATER_GRASS),
    }
    return fitted


def years_later(species: str) -> tuple[int, int, int]:
    """How much later than loblolly's a plantation of a species is thinned first, thinned again and cut [yr]."""
    own, loblolly = (load_species(name).schedule for name in (species, "loblolly"))
    first, second, harvest = (int(mine - theirs) for mine, theirs in zip(own, loblolly, strict=True))
    return first, second, harvest


def _tree_years(choices: Choices, tree: Mapping[str, Any]) -> dict[str, Any]:
    """Years of cutting as the tree grows; what is written for this tree and layout is meant as it stands."""
    usual, own = layouts()[choices.layout], tree.get(choices.layout, {})
    later = dict(zip(("first_year", "second_year", "harvest_year"), years_later(choices.trees), strict=True))
    shifted = {name: usual[name] + years for name, years in later.items() if name in usual}
    return {**shifted, **own}


def _first_grazing_year(layout: Mapping[str, Any], first_thinning: int, wait: int) -> int:
    """Entry once the trees are safe; where the layout opens its ground by the first thinning, no earlier than that."""
    year = int(layout["first_grazing_year"]) + wait
    if layout["first_grazing_year"] > layout["first_year"]:
        return max(year, first_thinning + 1)
    return year


def _nitrogen(grass: Mapping[str, Any], *, hay: bool) -> float:
    rate = grass.get("nitrogen_lb_ac", USUAL_NITROGEN_LB_AC)
    return float(rate if hay else grass.get("nitrogen_without_hay_lb_ac", rate))


def cuts_of(numbers: Mapping[str, Any]) -> Iterator[tuple[int, str, float]]:
    """Year, method and trees left of each thinning of a layout, in order."""
    yield numbers["first_year"], numbers["first_method"], numbers["first_residual"]
    if "second_year" in numbers:
        yield numbers["second_year"], "from below", numbers["second_residual"]


def _choices(kind: str, name: str) -> dict[str, Any]:
    return _packaged("choices.toml")[kind].get(name, {})  # type: ignore[no-any-return]


def _packaged(name: str) -> dict[str, Any]:
    return tomllib.loads(resources.files("workbench.scenarios").joinpath(name).read_text(encoding="utf-8"))
