"""Light on the ground under rows of trees: an exact and a fast path behind one function."""

from simulator.physics.light.crowns import Cell, LightCoefficients, RowCrowns, canopy_cover
from simulator.physics.light.profile import OverRows, light_profile
from simulator.physics.light.rays import Sky

__all__ = ["Cell", "LightCoefficients", "OverRows", "RowCrowns", "Sky", "canopy_cover", "light_profile"]
