"""Everything the yearly loop looks up for one species, one grass and one kind of animal."""

from functools import cache
from pathlib import Path
from typing import NamedTuple

from simulator.parameters.climate import Climate, load_climate
from simulator.parameters.growth import Season, Tree, load_light, load_season, load_tree
from simulator.parameters.hazards import Events, load_events
from simulator.parameters.pasture import (
    Animals,
    Grass,
    Grazing,
    Hay,
    Straw,
    load_animals,
    load_grass,
    load_grazing,
    load_hay,
    load_straw,
)
from simulator.parameters.wood import Wood, load_stem_quality, load_wood
from simulator.physics.light import LightCoefficients
from simulator.physics.logging import Logging
from simulator.physics.scars import LoggingDamage
from simulator.physics.stem import StemQuality
from simulator.sourced import coefficients, read_sourced

NOTHING = "none"


class Marking(NamedTuple):
    """How exactly a thinning from below is marked.

    Attributes
    ----------
    random_share
        Share of the trees taken without regard to size: the operator's error and access [1].
    """

    random_share: float


class Loads(NamedTuple):
    """What a logger will come for.

    Attributes
    ----------
    load_ton
        Green tons on a truck.
    least_loads
        Fewer loads than this from the tract in one entry get no bid.
    few_loads
        Fewer loads than this are hard to sell: warned about.
    """

    load_ton: float
    least_loads: float
    few_loads: float


class Hours(NamedTuple):
    """The owner's hours, beside the herd's [h/ac] or [h/ac/yr]."""

    planting_h_ac: float
    tree_care_h_ac_yr: float
    timber_sale_h_ac: float
    haying_h_ac_yr: float
    fence_h_ac_yr: float


class Ground(NamedTuple):
    """Habits of work on the ground.

    Attributes
    ----------
    fence_life_yr
        Years until fence and water are renewed.
    weed_control_passes
        Herbicide passes over the strips, the first before planting, the others in the first year.
    reseeded_after_logging_share
        Share of the grass ground reseeded after a cut [1].
    mowing_tree_loss_per_yr
        Trees hit by hay machines [1/yr].
    hay_cuts_yr
        Cuts of hay in a year of hay [1/yr].
    straw_after_cut_yr
        Years that slash of a cut keeps the rake away.
    straw_raked_share
        Share of the needles under close rows that a rake gathers [1].
    straw_in_alleys_share
        Share of the needles on a strip between grass alleys that can be raked [1].
    months_without_grazing_after_cut
        Months of the growing season after a cut in which torn grass is left alone [month].
    stumps_and_landings_share
        Share of the land where no grass comes in a stand that is opened: stems, stumps, landings [1].
    """

    fence_life_yr: float
    weed_control_passes: float
    reseeded_after_logging_share: float
    mowing_tree_loss_per_yr: float
    hay_cuts_yr: float
    straw_after_cut_yr: float
    straw_raked_share: float
    straw_in_alleys_share: float
    months_without_grazing_after_cut: float
    stumps_and_landings_share: float


class Stocking(NamedTuple):
    """Months of growth that a herd is sized to.

    Attributes
    ----------
    cow_months, cow_months_with_winter_grass
        Own cows, which stay all year, on summer grass alone and with a winter annual in it.
    tenant_months_a_growing_month
        A tenant's animals, which come and go with the grass, for each month in which it grows: nine for bahiagrass.
    stocker_months
        Own stockers; the month they come is the grass's.
    stocker_growth_share
        Share of the year's growth that falls into their months where that many are right [1].
    """

    cow_months: float
    cow_months_with_winter_grass: float
    tenant_months_a_growing_month: float
    stocker_months: float
    stocker_growth_share: float


class Practice(NamedTuple):
    """How work is done, whatever the species."""

    marking: Marking
    logging_damage: LoggingDamage
    loads: Loads
    logging: Logging
    hours: Hours
    ground: Ground
    stocking: Stocking


class Tables(NamedTuple):
    """All numbers of one batch."""

    tree: Tree
    wood: Wood
    quality: StemQuality
    grass: Grass
    winter_grass: Grass | None
    later_grass: Grass | None
    animals: Animals | None
    grazing: Grazing
    hay: Hay
    straw: Straw
    practice: Practice
    light: LightCoefficients
    season: Season
    climate: Climate
    events: Events

    def for_grasses(self, *, overseeded: str, later: str) -> "Tables":
        """The same numbers without a winter annual or a later grass that a plan does not name."""
        return self._replace(
            winter_grass=None if overseeded == NOTHING else self.winter_grass,
            later_grass=None if later == NOTHING else self.later_grass,
        )


@cache
def load_practice() -> Practice:
    """Read how work on the ground is done."""
    file = read_sourced(Path(__file__).parent / "practice.toml")
    return Practice(
        coefficients(file, "marking", Marking),
        coefficients(file, "logging_damage", LoggingDamage),
        coefficients(file, "loads", Loads),
        coefficients(file, "logging", Logging),
        coefficients(file, "hours", Hours),
        coefficients(file, "ground", Ground),
        coefficients(file, "stocking", Stocking),
    )


@cache
def load_tables(
    species: str, grass: str, animals: str, winter_grass: str = NOTHING, later_grass: str = NOTHING
) -> Tables:
    """Read every table that a batch needs.

    Parameters
    ----------
    species, grass, animals
        Ids of the catalogue; ``animals`` may be ``none``.
    winter_grass, later_grass
        What is sown into the grass every autumn and what takes its place one day; ``none`` for neither.

    Returns
    -------
    Tables

    Raises
    ------
    ParameterError
        If a file is missing or breaks its schema.
    """
    return Tables(
        tree=load_tree(species),
        wood=load_wood(species, natural=False),
        quality=load_stem_quality(species),
        grass=load_grass(grass),
        winter_grass=None if winter_grass == NOTHING else load_grass(winter_grass),
        later_grass=None if later_grass == NOTHING else load_grass(later_grass),
        animals=None if animals == "none" else load_animals(animals),
        grazing=load_grazing(),
        hay=load_hay(),
        straw=load_straw(species),
        practice=load_practice(),
        light=load_light(),
        season=load_season(),
        climate=load_climate(),
        events=load_events(),
    )
