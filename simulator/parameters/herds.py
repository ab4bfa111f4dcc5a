"""What a kind of animal is called, and what it needs beside grass: water, company, browse."""

from typing import NamedTuple

from simulator.errors import ParameterError
from simulator.physics.browse import Browse
from simulator.sourced import SourcedFile, coefficients


class Words(NamedTuple):
    """Names of an animal, of which the herd's ledger lines and price items are made.

    Attributes
    ----------
    heads
        What is counted: cows, stockers, ewes, does.
    female, females, male, males, young, youngs
        Breeding animals and their young, one and many.
    meat
        What they are kept for, for the names of price sets.
    perimeter_fence, cross_fence
        Price items of the fence round the land and across it that holds them.
    """

    heads: str
    female: str
    females: str
    male: str
    males: str
    young: str
    youngs: str
    meat: str
    perimeter_fence: str
    cross_fence: str


class Care(NamedTuple):
    """Needs of a head beside grass.

    Attributes
    ----------
    water_gal_day
        Water of a head and its young in the hottest weather [gal/day].
    least_worth_head
        Smaller herds hardly pay for what a herd needs whatever its size [head].
    """

    water_gal_day: float
    least_worth_head: float


def words_of(file: SourcedFile) -> Words:
    """Read the names of an animal from its file.

    Parameters
    ----------
    file
        The animal's parameter file.

    Returns
    -------
    Words

    Raises
    ------
    ParameterError
        If a name is missing or unknown.
    """
    if set(file.words) != set(Words._fields):
        raise ParameterError(f"{file.path.name}: [words] needs exactly {list(Words._fields)}, has {list(file.words)}")
    return Words(**file.words)


def browse_of(file: SourcedFile) -> Browse | None:
    """Read what an animal makes of brush, None where it leaves brush alone.

    Parameters
    ----------
    file
        The animal's parameter file.

    Returns
    -------
    Browse or None
    """
    return coefficients(file, "browse", Browse) if "browse" in file.tables else None
