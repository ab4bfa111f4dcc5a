"""Light under trees whose places are known: every crown by itself, on a map that repeats in both directions."""

from typing import NamedTuple

import numpy as np

from simulator.physics.light.crowns import LightCoefficients
from simulator.physics.light.rays import Slopes
from simulator.units import FloatArray

_LEAST_FT = 1e-3


class MappedCrowns(NamedTuple):
    """Trees on a map; every field (trees,).

    Attributes
    ----------
    x_ft, y_ft
        Place, east and north [ft].
    radius_ft
        Crown radius [ft].
    height_ft, crown_base_ft
        Tip and lowest foliage [ft].
    leaf_area_ft2
        Projected leaf area in the season meant [ft2].
    """

    x_ft: FloatArray
    y_ft: FloatArray
    radius_ft: FloatArray
    height_ft: FloatArray
    crown_base_ft: FloatArray
    leaf_area_ft2: FloatArray


def mapped_light(
    crowns: MappedCrowns,
    points_ft: FloatArray,
    box_ft: tuple[float, float],
    rays: Slopes,
    coefficients: LightCoefficients,
) -> FloatArray:
    """Share of open light that reaches points on the ground between mapped trees.

    Parameters
    ----------
    crowns
        The trees.
    points_ft
        Ground points, east and north [ft], (points, 2).
    box_ft
        Width and depth after which the map repeats [ft], so that its edge is as shaded as its middle.
    rays
        Rays towards the sky for rows of azimuth 0: across is east, along is north.
    coefficients
        How crowns take light; stems are left out.

    Returns
    -------
    FloatArray
        Transmitted share [1], (points,).

    References
    ----------
    Beer's law along the chord of each ellipsoid, after Norman & Welles 1983, Agronomy Journal 75:481 (from memory).
    """
    if crowns.x_ft.size == 0:
        return np.ones(len(points_ft))
    radius = np.maximum(crowns.radius_ft, _LEAST_FT)
    half = np.maximum((crowns.height_ft - crowns.crown_base_ft) / 2.0, _LEAST_FT)
    middle = (crowns.height_ft + crowns.crown_base_ft) / 2.0
    density = np.minimum(
        crowns.leaf_area_ft2 / (4.0 / 3.0 * np.pi * radius**2 * half), coefficients.leaf_area_density_cap_per_ft
    )
    extinction = coefficients.projection * density
    east = crowns.x_ft - points_ft[:, :1]
    north = crowns.y_ft - points_ft[:, 1:]
    light = np.zeros(len(points_ft))
    for across, along, length, weight in zip(*rays, strict=True):
        # how far the crown's middle lies from the ray where the ray is as high, to the nearest repeat of the map
        dx, dy = (
            (apart - middle * slope + size / 2.0) % size - size / 2.0
            for apart, slope, size in ((east, across, box_ft[0]), (north, along, box_ft[1]))
        )
        square = (across**2 + along**2) / radius**2 + 1.0 / half**2
        cross = (across * dx + along * dy) / radius**2
        rest = (dx**2 + dy**2) / radius**2 - 1.0
        chord = 2.0 * np.sqrt(np.maximum(cross**2 - square * rest, 0.0)) / square * length
        light += weight * np.exp(-(chord * extinction).sum(axis=1))
    return light
