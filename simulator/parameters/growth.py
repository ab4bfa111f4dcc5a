"""Numbers of a tree species that its growth, crown and straw need, bundled."""

from functools import cache
from pathlib import Path
from typing import NamedTuple

from simulator.parameters.species import Species, load_species
from simulator.physics.crown import CrownCoefficients
from simulator.physics.diameter import DiameterCoefficients
from simulator.physics.height import HeightByDiameter, HeightCoefficients
from simulator.physics.light import LightCoefficients
from simulator.physics.sizes import SizeCoefficients
from simulator.physics.survival import SurvivalCoefficients
from simulator.sourced import coefficients, read_sourced

FOLDER = Path(__file__).parent


class SiteCulture(NamedTuple):
    """Growth multiplier by what the land was before, the same for every system on it."""

    pasture: float
    cutover: float


class Planting(NamedTuple):
    """Ground kept clear for the trees.

    Attributes
    ----------
    strip_width_ft
        Width of the vegetation-free strip along a row [ft].
    broadcast_alley_ft
        Alleys narrower than this are prepared and sprayed over all their ground [ft].
    """

    strip_width_ft: float
    broadcast_alley_ft: float


class Season(NamedTuple):
    """Sky of the site."""

    clearness: float


class Tree(NamedTuple):
    """A tree species: everything about it that the yearly loop asks for."""

    title: str
    height: HeightCoefficients
    height_by_diameter: HeightByDiameter
    diameter: DiameterCoefficients
    site_culture: SiteCulture
    sizes: SizeCoefficients
    survival: SurvivalCoefficients
    crown: CrownCoefficients
    planting: Planting
    species: Species


@cache
def load_tree(species: str) -> Tree:
    """Read the growth side of a tree species.

    Parameters
    ----------
    species
        File name without suffix, such as ``loblolly``.

    Returns
    -------
    Tree

    Raises
    ------
    ParameterError
        If the file breaks its schema.
    """
    file = read_sourced(FOLDER / "trees" / f"{species}.toml")
    return Tree(
        title=file.title,
        height=coefficients(file, "height", HeightCoefficients),
        height_by_diameter=coefficients(file, "height_by_diameter", HeightByDiameter),
        diameter=coefficients(file, "diameter", DiameterCoefficients),
        site_culture=coefficients(file, "site_culture", SiteCulture),
        sizes=coefficients(file, "sizes", SizeCoefficients),
        survival=coefficients(file, "survival", SurvivalCoefficients),
        crown=coefficients(file, "crown", CrownCoefficients),
        planting=coefficients(file, "planting", Planting),
        species=load_species(species),
    )


@cache
def load_light() -> LightCoefficients:
    """Read how crowns and stems take light."""
    return coefficients(read_sourced(FOLDER / "sky.toml"), "light", LightCoefficients)


@cache
def load_season() -> Season:
    """Read the sky's clearness."""
    return coefficients(read_sourced(FOLDER / "sky.toml"), "season", Season)
