"""What may be done but is worth a warning: late cuts, alleys of no whole passes, sprays near hay, idle months."""

import calendar
import math
from collections.abc import Iterator
from typing import Final

from simulator.parameters.growth import load_tree
from simulator.parameters.pasture import load_grass
from simulator.parameters.upkeep import Spray, load_sprays
from simulator.scenario.grass import NO_GRASS
from simulator.scenario.model import Scenario
from simulator.scenario.owner import Herbicide

WHOLE_PASS_FT: Final = 1.0
"""A strip narrower than this beside the last pass is left or overlapped; assumed for this project."""
MONTH_D: Final = 30.0
MONTHS: Final = 12
PINES: Final = {
    "strips": " when sprayed along their rows: shield them, spray before they are planted, or use another ingredient.",
    "grass": " even from the grass: by drift, and through roots under the alley where it lasts in the soil.",
}
LABEL: Final = "The label of the product in hand governs; some forbid grazing and hay outright. From memory, unchecked."


def advice_of(scenario: Scenario) -> Iterator[tuple[str, str]]:
    """Warnings that follow from a scenario alone, as code and message."""
    yield from _cut_too_late(scenario)
    yield from _passes(scenario)
    yield from _idle_months(scenario)
    sprays = load_sprays()
    for herbicide in scenario.herbicide:
        yield from _spraying(scenario, herbicide, sprays[herbicide.product_class])


def _cut_too_late(scenario: Scenario) -> Iterator[tuple[str, str]]:
    """The final cut is within the years that are simulated."""
    horizon = scenario.money.horizon_years
    if scenario.harvest is None or scenario.harvest.year <= horizon:
        return
    message = (
        f"The final cut of year {scenario.harvest.year} lies beyond the horizon of {horizon} years: what stands then "
        f"is valued, not cut. horizon_years = {scenario.harvest.year + 1} would show it."
    )
    yield "cut_beyond_horizon", message


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


def _idle_months(scenario: Scenario) -> Iterator[tuple[str, str]]:
    """A season that the plan names for its animals lies in months in which one of its grasses grows."""
    season, pasture = scenario.use.season_months, scenario.pasture
    if season is None or scenario.use.first_grazing_year is None:
        return
    names = [name for name in (pasture.grass, pasture.overseeded, pasture.later_grass) if name != NO_GRASS]
    monthly = [load_grass(name).season.monthly_share for name in names]
    length = (season[1] - season[0]) % MONTHS + 1
    months = [(season[0] - 1 + step) % MONTHS for step in range(length)]
    idle = [month for month in months if not any(shares[month] > 0 for shares in monthly)]
    if idle:
        when = f"In {_runs(idle)} this grass does not grow, and season_months has animals on it then"
        yield "idle_months", f"{when}: overseed, or graze its months."


def _runs(months: list[int]) -> str:
    """Months in the order of the season, 0 for January, in words: runs by their ends."""
    runs: list[list[int]] = []
    for month in months:
        if runs and (runs[-1][-1] + 1) % MONTHS == month:
            runs[-1].append(month)
        else:
            runs.append([month])
    named = [[calendar.month_name[month + 1] for month in run] for run in runs]
    return " and ".join(run[0] if len(run) == 1 else f"{run[0]} to {run[-1]}" for run in named)


def _trees_sprayed(scenario: Scenario, herbicide: Herbicide, spray: Spray) -> Iterator[tuple[str, str]]:
    """What is known of a spray is known of pines; broadleaved orchard trees are never taken to bear it."""
    if scenario.trees is None:
        return
    what = f"{herbicide.product_class} in year {herbicide.year}"
    if load_tree(scenario.trees.species).species.orchard is not None:
        yield "spray_trees", f"{what} can injure the trees: keep it off leaves, green bark and root ground. {LABEL}"
    elif spray.injures_pine:
        yield "spray_pines", f"{what} can injure pines{PINES[herbicide.ground]} {LABEL}"


def _spraying(scenario: Scenario, herbicide: Herbicide, spray: Spray) -> Iterator[tuple[str, str]]:
    """A spray keeps animals and hay off for its days, and spares pines and grass only where it is known to."""
    name, year, use = herbicide.product_class, herbicide.year, scenario.use
    grazing = use.first_grazing_year is not None and year >= use.first_grazing_year
    cut = use.hay_years is not None and use.hay_years[0] <= year <= use.hay_years[1]
    for word, days, due in (("grazing", spray.graze_days, grazing), ("hay", spray.hay_days, cut and not grazing)):
        if due and days and (word == "grazing" or herbicide.ground == "grass"):
            months = math.ceil(days / MONTH_D)
            lost = f"{months} month{'s' if months > 1 else ''} of {word}"
            least = ", one cut at the least" if word == "hay" else ""
            message = (
                f"{name} in year {year}: no {word} for {days:g} days, about {lost} lost{least}; the figures count it."
            )
            yield "spray_interval", f"{message} {LABEL}"
    yield from _trees_sprayed(scenario, herbicide, spray)
    if spray.injures_grass and herbicide.ground == "grass" and _uses_grass(scenario):
        message = (
            f"{name} in year {year} can injure or kill the grass it falls on: it is counted as lost on the share "
            "sprayed and comes back over years. Grasses differ; some bear it."
        )
        yield "spray_grass", f"{message} {LABEL}"
    if name == "aminopyralid" and cut:
        yield (
            "spray_residue",
            f"{name} in year {year}: hay and manure can carry it to broadleaf crops and gardens. {LABEL}",
        )
