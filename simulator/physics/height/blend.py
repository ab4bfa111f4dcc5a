"""Dominant height of loblolly: a curve for the first years blended into a base-age-invariant one."""

from typing import NamedTuple

import numpy as np

from simulator.units import FloatArray, Floats

BASE_AGE_YR = 25.0


class HeightCoefficients(NamedTuple):
    """Coefficients of the two site equations and of their blend.

    Attributes
    ----------
    asymptote_ft, rate, age_power
        Coefficients of the curve of Dieguez-Aranda, Burkhart & Amateis 2006.
    young_age_power, young_rate_yr
        Coefficients of the curve of Amateis & Burkhart 1985.
    blend_from_yr, blend_to_yr
        Ages between which the young curve gives way to the other.
    """

    asymptote_ft: float
    rate: float
    age_power: float
    young_age_power: float
    young_rate_yr: float
    blend_from_yr: float
    blend_to_yr: float


def dominant_height_base_age_invariant(site_index_ft: Floats, age_yr: Floats, c: HeightCoefficients) -> FloatArray:
    """Dominant height by the base-age-invariant site equation.

    Parameters
    ----------
    site_index_ft
        Dominant height at age 25 [ft], any shape.
    age_yr
        Age from planting [yr], > 0, broadcast with ``site_index_ft``.
    c
        Coefficients.

    Returns
    -------
    FloatArray
        Dominant height [ft], broadcast shape. Fits cover site index 50-85 and ages 10-40;
        about 4 ft too tall at age 5.

    References
    ----------
    Dieguez-Aranda, Burkhart & Amateis 2006, Forest Science 52:262-272 (coefficients from memory).
    """
    offset = np.asarray(site_index_ft) - c.asymptote_ft
    x = 0.5 * (offset + np.sqrt(offset**2 + 4.0 * c.rate * np.asarray(site_index_ft) * BASE_AGE_YR**-c.age_power))
    return np.asarray((c.asymptote_ft + x) / (1.0 + (c.rate / x) * np.asarray(age_yr, float) ** -c.age_power))


def dominant_height_young(site_index_ft: Floats, age_yr: Floats, c: HeightCoefficients) -> FloatArray:
    """Dominant height on site-prepared cutover land; the better curve for the first years.

    Parameters
    ----------
    site_index_ft
        Dominant height at age 25 [ft], any shape.
    age_yr
        Age from planting [yr], > 0.
    c
        Coefficients.

    Returns
    -------
    FloatArray
        Dominant height [ft].

    References
    ----------
    Amateis & Burkhart 1985, Southern Journal of Applied Forestry 9:166-169 (coefficients from memory;
    it is the logarithm of site index that is multiplied).
    """
    age = np.asarray(age_yr, float)
    shape = (BASE_AGE_YR / age) ** -c.young_age_power * np.exp(-c.young_rate_yr * (1.0 / age - 1.0 / BASE_AGE_YR))
    return np.asarray(np.exp(np.log(np.asarray(site_index_ft, float)) * shape))


def dominant_height_ft(site_index_ft: Floats, age_yr: Floats, c: HeightCoefficients) -> FloatArray:
    """Dominant height, the young curve blended into the base-age-invariant one.

    Parameters
    ----------
    site_index_ft
        Dominant height at age 25 [ft], any shape.
    age_yr
        Age from planting [yr], >= 0; 0 gives 0.
    c
        Coefficients.

    Returns
    -------
    FloatArray
        Dominant height [ft]. No effect of spacing or thinning: published spacing trials found none
        between 50 and 900 trees/ac (Burner 2013, USDA Forest Service SRS-GTR-175:465).

    References
    ----------
    Both curves as for :func:`dominant_height_base_age_invariant` and :func:`dominant_height_young`; the blend: assumed
    for
    this project.
    """
    age = np.maximum(np.asarray(age_yr, float), 1e-6)
    grown = age > 0.5
    safe = np.where(grown, age, 1.0)
    weight = np.clip((age - c.blend_from_yr) / (c.blend_to_yr - c.blend_from_yr), 0.0, 1.0)
    old = dominant_height_base_age_invariant(site_index_ft, safe, c)
    young = dominant_height_young(site_index_ft, safe, c)
    return np.where(grown, weight * old + (1.0 - weight) * young, 0.0)
