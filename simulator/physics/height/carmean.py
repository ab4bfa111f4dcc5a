"""Dominant height of natural stands with site index at age 50, shifted to begin as plantations do."""

from typing import NamedTuple

import numpy as np

from simulator.units import FloatArray, Floats

BASE_AGE_YR = 50.0
FULL_SHIFT_YR = 10.0
"""A gain at the start comes in over so many years (derived for this project)."""


class CarmeanHeight(NamedTuple):
    """Coefficients b1 to b5 of b1 x S ^ b2 x (1 - exp(-rate x age)) ^ (b4 x S ^ b5).

    Attributes
    ----------
    scale, site_power
        Final height over site index, and how it changes with site index: b1 and b2 of the table [1].
    rate_per_yr
        How soon it is reached: minus b3 of the table [1/yr].
    power, power_by_site
        Shape of the start, and how it changes with site index: b4 and b5 of the table [1].
    """

    scale: float
    site_power: float
    rate_per_yr: float
    power: float
    power_by_site: float


def natural_height_carmean_ft(site_index_ft: Floats, age_yr: Floats, c: CarmeanHeight) -> FloatArray:
    """Dominant height of a natural stand, as published.

    Parameters
    ----------
    site_index_ft
        Dominant height at age 50 [ft], 60-90 for longleaf and shortleaf.
    age_yr
        Age [yr], broadcastable.
    c
        Coefficients of the species.

    Returns
    -------
    FloatArray
        Dominant height [ft], broadcast shape; at 50 within .2 ft of site index, which the form does not force.

    References
    ----------
    Carmean, Hahn & Jacobs 1989, USDA Forest Service General Technical Report NC-128 (coefficients from memory).
    """
    site = np.asarray(site_index_ft, float)
    return np.asarray(c.scale * site**c.site_power * _risen(site, np.asarray(age_yr, float), c))


def dominant_height_carmean_ft(
    site_index_ft: Floats, age_yr: Floats, start_shift: Floats, c: CarmeanHeight
) -> FloatArray:
    """Dominant height of a plantation: the natural curve forced through site index at 50, its start shifted.

    Parameters
    ----------
    site_index_ft
        Dominant height at age 50 [ft], any shape.
    age_yr
        Age from planting [yr], >= 0, broadcastable.
    start_shift
        Years by which the start is early, or late where negative [yr], broadcastable.
    c
        Coefficients of the species.

    Returns
    -------
    FloatArray
        Dominant height [ft], broadcast shape; 0 while a late start lasts. Beyond age 60 on the best sites
        taller than any stand that was measured.

    References
    ----------
    Curve: Carmean, Hahn & Jacobs 1989, USDA Forest Service General Technical Report NC-128 (from memory). Shift:
    derived for this project from heights of planted longleaf at age 6, Haywood 2005, Forest Ecology and
    Management 214:384.
    """
    age, shift = np.asarray(age_yr, float), np.asarray(start_shift, float)
    felt = np.where(shift < 0.0, shift, shift * np.minimum(age / FULL_SHIFT_YR, 1.0))
    site = np.asarray(site_index_ft, float)
    return np.asarray(site * _risen(site, age + felt, c) / _risen(site, BASE_AGE_YR + shift, c))


def _risen(site: FloatArray, age: FloatArray, c: CarmeanHeight) -> FloatArray:
    share = 1.0 - np.exp(-c.rate_per_yr * np.maximum(age, 0.0))
    return np.asarray(share ** (c.power * site**c.power_by_site))
