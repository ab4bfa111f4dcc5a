"""Dominant height by age and site index, forms beside one another, and height by size among neighbours."""

from simulator.physics.height.blend import (
    HeightCoefficients,
    dominant_height_base_age_invariant,
    dominant_height_ft,
    dominant_height_young,
)
from simulator.physics.height.carmean import CarmeanHeight, dominant_height_carmean_ft
from simulator.physics.height.grass_stage import GrassStage, emerged_share, start_shift_yr
from simulator.physics.height.pienaar import PienaarHeight, dominant_height_pienaar_ft
from simulator.physics.height.relative import HeightByDiameter, relative_height

__all__ = [
    "CarmeanHeight",
    "GrassStage",
    "HeightByDiameter",
    "HeightCoefficients",
    "PienaarHeight",
    "dominant_height_base_age_invariant",
    "dominant_height_carmean_ft",
    "dominant_height_ft",
    "dominant_height_pienaar_ft",
    "dominant_height_young",
    "emerged_share",
    "relative_height",
    "start_shift_yr",
]
