"""Numbers of hazards, fire, fertiliser for trees and young trees in trouble, bundled."""

from functools import cache
from pathlib import Path
from typing import Final, NamedTuple

from simulator.physics.fertiliser import FertiliserResponse, PastureNitrogen
from simulator.physics.hazards import BySpecies, Fuel, Hazard
from simulator.physics.young import Burn, Unripped, Volunteers
from simulator.sourced import SourcedFile, coefficients, read_sourced

FELLING_KINDS: Final = ("ice", "wind", "wildfire", "beetles")
"""Events that kill and damage standing trees."""


class Young(NamedTuple):
    """Ordinary losses of seedlings, sod and forage [1], and the years in which a tree counts as a seedling [yr]."""

    hogs_seedlings_lost_share: float
    hogs_sod_lost_share: float
    browsed_share: float
    seedling_loss_share: float
    seedling_years: float
    drought_forage_lost_share: float


class Bids(NamedTuple):
    """Share of pulpwood above which a cut hangs on the pulpwood bid [1]."""

    mostly_pulpwood_share: float


class Events(NamedTuple):
    """Everything that may happen to a plan beside its ordinary years."""

    ice: Hazard
    wind: Hazard
    wildfire: Hazard
    beetles: Hazard
    ice_by_species: BySpecies
    wind_by_species: BySpecies
    wildfire_by_species: BySpecies
    beetles_by_species: BySpecies
    fuel: Fuel
    young: Young
    mid_rotation: FertiliserResponse
    pasture_nitrogen: PastureNitrogen
    unripped: Unripped
    volunteers: Volunteers
    burn: Burn
    first_burn_age: BySpecies
    scorch_by_species: BySpecies
    bids: Bids


@cache
def _file() -> SourcedFile:
    return read_sourced(Path(__file__).parent / "hazards.toml")


@cache
def load_events() -> Events:
    """Read the numbers of events.

    Returns
    -------
    Events

    Raises
    ------
    ParameterError
        If the file breaks its schema.
    """
    kinds = Events.__annotations__
    return Events(**{name: coefficients(_file(), name, kind) for name, kind in kinds.items()})


def of_species(factors: BySpecies, species: str) -> float:
    """The factor of a species; other trees take loblolly's.

    Parameters
    ----------
    factors
        By species.
    species
        Id of the catalogue.

    Returns
    -------
    float
    """
    return float(getattr(factors, species, factors.loblolly))
