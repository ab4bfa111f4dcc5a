"""Dominant height as a share of site index that rises along a Chapman-Richards curve."""

from typing import NamedTuple

import numpy as np

from simulator.units import FloatArray, Floats


class PienaarHeight(NamedTuple):
    """Coefficients of height = scale x site index x (1 - exp(-rate x age)) ^ power.

    Attributes
    ----------
    scale
        Final height / site index [1].
    rate_per_yr
        How soon it is reached [1/yr].
    power
        Shape of the start [1].
    """

    scale: float
    rate_per_yr: float
    power: float


def dominant_height_pienaar_ft(site_index_ft: Floats, age_yr: Floats, c: PienaarHeight) -> FloatArray:
    """Dominant height of trees whose curves differ by site in height alone.

    Parameters
    ----------
    site_index_ft
        Dominant height at age 25 [ft], any shape.
    age_yr
        Age from planting [yr], >= 0, broadcastable.
    c
        Coefficients: 1.3679, 0.07345 and 1.804 for slash pine on prepared ground of the lower coastal plain.

    Returns
    -------
    FloatArray
        Dominant height [ft], broadcast shape; slash pine is known from about ages 5 to 30.

    References
    ----------
    Pienaar and co-workers, slash pine plantations, as used by Yin, Pienaar & Aronow 1998, Journal of Forestry
    (from memory; returns site index at 25). In improved pasture slash pine starts faster than this curve: Lewis,
    Burton, Monson & McCormick 1984, Agroforestry Systems 2:31-41.
    """
    age = np.maximum(np.asarray(age_yr, float), 0.0)
    return np.asarray(c.scale * np.asarray(site_index_ft) * (1.0 - np.exp(-c.rate_per_yr * age)) ** c.power)
