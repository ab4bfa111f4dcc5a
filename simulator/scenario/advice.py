"""What may be done but is worth a warning: alleys that are no whole passes, sprays near grazing and hay."""

import math
from collections.abc import Iterator
from typing import Final

from simulator.parameters.growth import load_tree
from simulator.parameters.upkeep import Spray, load_sprays
from simulator.scenario.model import Scenario
from simulator.scenario.owner import Herbicide

WHOLE_PASS_FT: Final = 1.0
"""A strip narrower than this beside the last pass is left or overlapped; assumed for this project."""
MONTH_D: Final = 30.0
LABEL: Final = "The label of the product in hand governs; some forbid grazing and hay outright. From memory, unchecked."


def advice_of(scenario: Scenario) -> Iterator[tuple[str, str]]:
    """Warnings that follow from a scenario alone, as code and message."""
    yield from _passes(scenario)
    sprays = load_sprays()
    for herbicide in scenario.herbicide:
        yield from _spraying(scenario, herbicide, sprays[herbicide.product_class])


def _uses_grass(scenario: Scenario) -> bool:
    return scenario.use.first_grazing_year is not None or scenario.use.hay_years is not None


def _passes(scenario: Scenario) -> Iterator[tuple[str, str]]:
    """Alleys are a whole number of passes of each machine, net of the strips along the rows."""
    if scenario.trees is None or not _uses_grass(scenario):
        return
    strip = load_tree(scenario.trees.species).planting.strip_width_ft
    alley = scenario.trees.layout.alley_ft
    for name in ("mower", "baler", "sprayer"):
        width = getattr(scenario.equipment, f"{name}_ft")
        if width is None:
            continue
        passes, over = divmod(alley - strip, width)
        if min(over, width - over) <= WHOLE_PASS_FT:
            continue
        fits = [f"{count * width + strip:g}" for count in (passes, passes + 1) if count]
        message = (
            f"An alley of {alley:g} ft leaves {alley - strip:g} ft of grass, {(alley - strip) / width:.1f} passes of a "
            f"{width:g}-ft {name}: alleys of {' or '.join(fits)} ft are whole passes."
        )
        yield "alley_passes", message


def _trees_sprayed(scenario: Scenario, herbicide: Herbicide, spray: Spray) -> Iterator[tuple[str, str]]:
    """What is known of a spray is known of pines; broadleaved orchard trees are never taken to bear it."""
    if scenario.trees is None:
        return
    what = f"{herbicide.product_class} in year {herbicide.year}"
    if load_tree(scenario.trees.species).species.orchard is not None:
        yield "spray_trees", f"{what} can injure the trees: keep it off leaves, green bark and root ground. {LABEL}"
    elif spray.injures_pine:
        yield "spray_pines", f"{what} can injure pines: shield them, or spray the grass alone. {LABEL}"


def _spraying(scenario: Scenario, herbicide: Herbicide, spray: Spray) -> Iterator[tuple[str, str]]:
    """A spray keeps animals and hay off for its days, and spares pines and grass only where it is known to."""
    name, year, use = herbicide.product_class, herbicide.year, scenario.use
    grazing = use.first_grazing_year is not None and year >= use.first_grazing_year
    cut = use.hay_years is not None and use.hay_years[0] <= year <= use.hay_years[1]
    for word, days, due in (("grazing", spray.graze_days, grazing), ("hay", spray.hay_days, cut and not grazing)):
        if due and days and (word == "grazing" or herbicide.ground == "grass"):
            months = math.ceil(days / MONTH_D)
            lost = f"{months} month{'s' if months > 1 else ''} of {word}"
            yield "spray_interval", f"{name} in year {year}: no {word} for {days:g} days, about {lost} lost. {LABEL}"
    yield from _trees_sprayed(scenario, herbicide, spray)
    if spray.injures_grass and herbicide.ground == "grass" and _uses_grass(scenario):
        yield "spray_grass", f"{name} in year {year} can injure or kill the grass it falls on. {LABEL}"
    if name == "aminopyralid" and cut:
        yield (
            "spray_residue",
            f"{name} in year {year}: hay and manure can carry it to broadleaf crops and gardens. {LABEL}",
        )
