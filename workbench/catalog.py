"""Key traits of what can be planted, sown, grazed and sold, from whatever parameter files there are."""

from collections.abc import Callable
from pathlib import Path
from typing import Any, Final, TypeVar

import numpy as np

import price_tables
import simulator.parameters
from simulator.baselines import pasture_of, plantation_of
from simulator.errors import InputError, ParameterError
from simulator.parameters.catalogue import NO_ANIMALS, animal_names, grass_names, tree_names
from simulator.parameters.growth import load_tree
from simulator.parameters.pasture import load_animals, load_grass, load_straw
from simulator.parameters.sureness import sureness_of
from simulator.parameters.wood import load_stem_quality
from simulator.physics.crown import open_grown_width_ft, stand_grown_width_ft
from simulator.physics.forage import light_response, open_yield_lb_ac
from simulator.physics.straw import straw_yield_lb_ac
from simulator.result import run
from simulator.scenario.file import load_text
from simulator.scenario.model import Scenario
from simulator.sourced import SourcedFile, read_sourced
from workbench.examples import scenario_text
from workbench.starts import Choices, numbers_of, resolved

Trait = TypeVar("Trait")

PARAMETERS: Final = Path(simulator.parameters.__file__).parent
PRICES: Final = Path(price_tables.__file__).parent / "demo-2025.toml"
HEIGHT_AGES_YR: Final = (10, 20, 30)
CROWN_DBH_IN: Final = 10.0
STRAW_BASAL_AREA_FT2_AC: Final = 80.0
STRAW_AGE_YR: Final = 15
GROWING_MONTH_SHARE: Final = 0.02
"""A month with a smaller share of the year's growth is not named as one in which grass grows."""
MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
YEARS_UNTIL_SOLD: Final = 12


def trees() -> list[dict[str, Any]]:
    """Traits of every tree, heights on the site of `halfshade init` as its plantation grows them.

    Returns
    -------
    list of dict
        A trait that a file gives no numbers for is None.
    """
    return [_tree(name) for name in tree_names()]


def _tree(name: str) -> dict[str, Any]:
    tree, plan = load_tree(name), _plan(Choices(trees=name))
    height = run(plantation_of(plan), precision="fast").states["dominant_height_ft"]
    quality = _known(lambda: load_stem_quality(name))
    return {
        "id": name,
        "title": tree.title,
        "height_ft": {str(age): float(height[age]) for age in HEIGHT_AGES_YR},
        "loblolly_site_index_ft": plan.land.site_index_ft,
        "sdi_maximum": tree.diameter.sdi_maximum,
        "crown_width_10in_ft": {
            "in_a_stand": float(tree.crown.width_share * stand_grown_width_ft(CROWN_DBH_IN, tree.crown)),
            "open_grown": float(tree.crown.width_share * open_grown_width_ft(CROWN_DBH_IN, tree.crown)),
        },
        "straw_at_80_ft2_lb_ac": _known(lambda: _straw_lb_ac(name)),
        "pole_share": None if quality is None else quality.pole_share_closed,
        "sureness": _sureness("trees", name),
    }


def _straw_lb_ac(name: str) -> float:
    return float(straw_yield_lb_ac(STRAW_BASAL_AREA_FT2_AC, STRAW_AGE_YR, load_straw(name).yearly))


def grasses() -> list[dict[str, Any]]:
    """Traits of every grass, yields of the open pasture at the nitrogen that `halfshade init` writes.

    Returns
    -------
    list of dict
        Light is that of the grass's own season as a share of the open, for light alone without roots and needles.
    """
    return [_grass(name) for name in grass_names()]


def _grass(name: str) -> dict[str, Any]:
    grass = load_grass(name)
    rate = float(numbers_of(resolved(Choices(grass=name)))["nitrogen_lb_ac"])
    light = np.linspace(0.0, 1.0, 1001)
    half = np.interp(0.5, light_response(light, grass.shade), light)
    months = [month for month, share in enumerate(grass.season.monthly_share) if share >= GROWING_MONTH_SHARE]
    return {
        "id": name,
        "title": grass.title,
        "usual_nitrogen_lb_ac": rate,
        "open_yield_lb_ac": float(open_yield_lb_ac(rate, grass.open_yield)),
        "light_at_half_yield": float(half),
        "light_below_which_it_thins": grass.persistence.threshold_light,
        "growing_months": [month + 1 for month in months],
        "season": season_words(months),
        "sureness": _sureness("grasses", name),
    }


def season_words(months: list[int]) -> str:
    """Months of growth in words, the winter season said across the turn of the year.

    Parameters
    ----------
    months
        Months from 0 for January, in order.

    Returns
    -------
    str
        Such as ``Mar-Oct``, ``Nov-May``, or ``Mar-May, Sep-Nov``.
    """
    if len(months) == len(MONTHS):
        return "all year"
    runs = [month for month in months if (month - 1) % 12 not in months]
    said = []
    for first in runs:
        length = next(step for step in range(1, 13) if (first + step) % 12 not in months)
        last = (first + length - 1) % 12
        said.append(MONTHS[first] if length == 1 else f"{MONTHS[first]}-{MONTHS[last]}")
    return ", ".join(said)


def animals() -> list[dict[str, Any]]:
    """Traits of every kind of animal, and what an owner sells of it, from a herd on the open pasture.

    Returns
    -------
    list of dict
        Animal units of one head as the herd is counted; entry is the mean height of the trees.
    """
    return [_animal(name) for name in animal_names() if name != NO_ANIMALS]


def _animal(name: str) -> dict[str, Any]:
    kind = load_animals(name)
    return {
        "id": name,
        "title": kind.title,
        "animal_units": kind.units.head,
        "entry_height_ft": kind.gate.least_height_ft,
        "entry_dbh_in": kind.gate.least_dbh_in,
        "labour_h_head_yr": kind.budget.labour_hours_head,
        "sold": _sold(name),
        "sureness": _sureness("animals", name),
    }


def _sold(name: str) -> list[str]:
    plan = pasture_of(_plan(Choices(animals=name)))
    owned = plan.model_copy(
        update={
            "use": plan.use.model_copy(update={"tenure": "owned"}),
            "money": plan.money.model_copy(update={"horizon_years": YEARS_UNTIL_SOLD}),
        }
    )
    flows = run(owned, precision="fast").flows
    sales = [
        line.key
        for line, quantity in zip(flows.lines, flows.quantity.T, strict=True)
        if (line.enterprise, line.account) == ("grazing", "sale") and quantity.any()
    ]
    return [key.removesuffix("_sold") for key in sales]


def products() -> list[dict[str, Any]]:
    """What the land can sell: price and range of the demonstration table, and what a buyer of wood asks.

    Returns
    -------
    list of dict
        Sizes are None for what is not wood.
    """
    file = read_sourced(PRICES, plain=("currency_year",))
    sizes, poles = read_sourced(PARAMETERS / "products.toml"), read_sourced(PARAMETERS / "poles.toml")
    return [
        {
            "id": name,
            "unit": entry.unit,
            "price": entry.value,
            "price_low": entry.low,
            "price_high": entry.high,
            **(_size(poles, "limits") if name == "pole" else _size(sizes, name)),
        }
        for name, entry in file.tables["sale"].items()
        if entry.unit.startswith("$/")
    ]


def _size(file: SourcedFile, table: str) -> dict[str, Any]:
    held = file.tables.get(table, {})
    least = {name: entry.value for name, entry in held.items()}
    return {
        "minimum_dbh_in": least.get("minimum_dbh_in"),
        "minimum_top_in": least.get("minimum_top_in"),
        "minimum_length_ft": least.get("minimum_length_ft"),
        "sureness": sureness_of(file, (table,))._asdict() if held else None,
    }


KINDS: Final[dict[str, Callable[[], list[dict[str, Any]]]]] = {
    "trees": trees,
    "grasses": grasses,
    "animals": animals,
    "products": products,
}


def _plan(choices: Choices) -> Scenario:
    return load_text(scenario_text(choices), "catalogue")


def _sureness(kind: str, name: str) -> dict[str, int]:
    return sureness_of(read_sourced(PARAMETERS / kind / f"{name}.toml"))._asdict()


def _known(trait: Callable[[], Trait]) -> Trait | None:
    """A trait, or None for a tree whose file holds no numbers of that kind."""
    try:
        return trait()
    except (InputError, ParameterError):
        return None
