"""Light on the ground: under rows of trees by an exact and a fast path, under mapped trees crown by crown."""

from simulator.physics.light.crowns import Cell, LightCoefficients, RowCrowns, canopy_cover
from simulator.physics.light.mapped import MappedCrowns, mapped_light
from simulator.physics.light.profile import OverRows, light_profile
from simulator.physics.light.rays import Sky, slopes

__all__ = [
    "Cell",
    "LightCoefficients",
    "MappedCrowns",
    "OverRows",
    "RowCrowns",
    "Sky",
    "canopy_cover",
    "light_profile",
    "mapped_light",
    "slopes",
]
