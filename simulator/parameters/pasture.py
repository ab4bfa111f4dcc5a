"""Read the numbers of grasses, animals, grazing, hay and straw from their parameter files."""

from functools import cache
from pathlib import Path
from typing import NamedTuple

from simulator.errors import ParameterError
from simulator.parameters.habits import Habit, Quality
from simulator.parameters.herds import Care, Words, browse_of, words_of
from simulator.physics.animals import AnimalUnits, BreedingHerd, Stocker
from simulator.physics.browse import Browse
from simulator.physics.forage import Establishment, LitterLoss, OpenYield, Persistence, Season, ShadeResponse
from simulator.physics.grazing import Gate, TreeDamage
from simulator.physics.hay import HayChain
from simulator.physics.heat import ShadeBonus
from simulator.physics.overseeding import Overseeding
from simulator.physics.straw import Raking, StrawYield
from simulator.sourced import SourcedFile, coefficients, read_sourced

FOLDER = Path(__file__).parent


class Grass(NamedTuple):
    """A grass: how it yields, takes shade, persists and spreads its growth over the year."""

    title: str
    open_yield: OpenYield
    shade: ShadeResponse
    litter: LitterLoss
    persistence: Persistence
    establishment: Establishment
    season: Season
    quality: Quality
    habit: Habit
    overseeding: Overseeding | None


class HerdBudget(NamedTuple):
    """Quantities that a head needs in a year; their prices live in the price tables."""

    days_on_land: float
    labour_hours_head: float
    hay_reserve_ton_head: float


class Animals(NamedTuple):
    """A kind of herd: exactly one of ``herd`` and ``stocker`` is set."""

    title: str
    units: AnimalUnits
    budget: HerdBudget
    gate: Gate
    tree_damage: TreeDamage
    shade_bonus: ShadeBonus
    herd: BreedingHerd | None
    stocker: Stocker | None
    care: Care
    words: Words
    browse: Browse | None


class Utilisation(NamedTuple):
    """Share of growth eaten under each grazing system."""

    continuous: float
    slow_rotation: float
    strip: float


class Carryover(NamedTuple):
    """Share of grass standing at a month's end that is still good in the next."""

    monthly_kept_share: float


class Grazing(NamedTuple):
    """Numbers of grazing that belong to no one animal or grass."""

    utilisation: Utilisation
    carryover: Carryover


class HayKeeping(NamedTuple):
    """Losses from the bale to the animal."""

    transport_loss: float
    storage_outside_loss: float
    storage_inside_loss: float
    feeding_rack_loss: float
    feeding_ground_loss: float


class HayRemoval(NamedTuple):
    """What a ton of hay carries off the land."""

    nitrogen_lb_ton: float
    phosphate_lb_ton: float
    potash_lb_ton: float
    lime_lb_ton: float


class Hay(NamedTuple):
    """Making, keeping and feeding hay."""

    chain: HayChain
    keeping: HayKeeping
    removal: HayRemoval


class Straw(NamedTuple):
    """Needlefall and raking of a tree species."""

    yearly: StrawYield
    raking: Raking


def _file(folder: str, name: str) -> SourcedFile:
    path = FOLDER / folder / f"{name}.toml"
    if not path.is_file():
        known = ", ".join(sorted(other.stem for other in path.parent.glob("*.toml")))
        raise ParameterError(f"no parameter file {folder}/{name}.toml; there is {known}")
    return read_sourced(path)


@cache
def load_grass(name: str) -> Grass:
    """Read a grass.

    Parameters
    ----------
    name
        File name without suffix, such as ``bahiagrass``.

    Returns
    -------
    Grass

    Raises
    ------
    ParameterError
        If there is no such grass or its file breaks the schema.
    """
    file = _file("grasses", name)
    return Grass(
        title=file.title,
        open_yield=coefficients(file, "open_yield", OpenYield),
        shade=coefficients(file, "shade", ShadeResponse),
        litter=coefficients(file, "litter", LitterLoss),
        persistence=coefficients(file, "persistence", Persistence),
        establishment=coefficients(file, "establishment", Establishment),
        season=coefficients(file, "season", Season),
        quality=coefficients(file, "quality", Quality),
        habit=coefficients(file, "habit", Habit),
        overseeding=coefficients(file, "overseeding", Overseeding) if "overseeding" in file.tables else None,
    )


@cache
def load_animals(name: str) -> Animals:
    """Read a kind of herd.

    Parameters
    ----------
    name
        File name without suffix, such as ``cattle``.

    Returns
    -------
    Animals

    Raises
    ------
    ParameterError
        If there is no such animal, its file breaks the schema, or it is both or neither kind of herd.
    """
    file = _file("animals", name)
    if ("herd" in file.tables) == ("stocker" in file.tables):
        raise ParameterError(f"{file.path.name}: needs exactly one of [herd] and [stocker]")
    return Animals(
        title=file.title,
        units=coefficients(file, "units", AnimalUnits),
        budget=coefficients(file, "budget", HerdBudget),
        gate=coefficients(file, "gate", Gate),
        tree_damage=coefficients(file, "tree_damage", TreeDamage),
        shade_bonus=coefficients(file, "shade_bonus", ShadeBonus),
        herd=coefficients(file, "herd", BreedingHerd) if "herd" in file.tables else None,
        stocker=coefficients(file, "stocker", Stocker) if "stocker" in file.tables else None,
        care=coefficients(file, "care", Care),
        words=words_of(file),
        browse=browse_of(file),
    )


@cache
def load_grazing() -> Grazing:
    """Read what belongs to grazing at large.

    Returns
    -------
    Grazing

    Raises
    ------
    ParameterError
        If the file breaks the schema.
    """
    file = _file("", "grazing")
    return Grazing(
        utilisation=coefficients(file, "utilisation", Utilisation),
        carryover=coefficients(file, "carryover", Carryover),
    )


@cache
def load_hay() -> Hay:
    """Read the hay chain.

    Returns
    -------
    Hay

    Raises
    ------
    ParameterError
        If the file breaks the schema.
    """
    file = _file("", "hay")
    return Hay(
        chain=coefficients(file, "chain", HayChain),
        keeping=coefficients(file, "keeping", HayKeeping),
        removal=coefficients(file, "removal", HayRemoval),
    )


@cache
def load_straw(species: str) -> Straw:
    """Read needlefall and raking of a tree species.

    Parameters
    ----------
    species
        File name without suffix, such as ``loblolly``.

    Returns
    -------
    Straw

    Raises
    ------
    ParameterError
        If there is no such species or its file breaks the schema.
    """
    file = _file("trees", species)
    return Straw(
        yearly=coefficients(file, "straw", StrawYield),
        raking=coefficients(file, "straw_raking", Raking),
    )
