"""Crown width, crown base and leaf area of the mean tree of a row."""

from typing import NamedTuple

import numpy as np

from simulator.units import (
    BASAL_AREA_FT2_PER_IN2,
    CENTIMETRES_PER_INCH,
    FEET_PER_METRE,
    SQUARE_FEET_PER_ACRE,
    FloatArray,
    Floats,
)


class CrownCoefficients(NamedTuple):
    """Coefficients of crown size and leaf area.

    Attributes
    ----------
    open_intercept_m, open_slope_m_cm, open_curve_m_cm2
        Open-grown crown width by dbh, metric as published.
    stand_intercept_ft, stand_slope_ft_in, stand_curve_ft_in2
        Stand-grown crown width by dbh, from 5 in.
    sapling_dbh_in, sapling_share
        Share of the 5-in width at smaller dbh.
    closed_density
        Relative density at and above which crowns are stand-grown [1].
    widest_ft_in, widest_ft, widest_share_of_height
        Caps on crown width: so many ft per inch of dbh plus ft, and a share of height.
    overlap
        Crown radius / distance to the neighbour at which crowns stop growing sideways [1].
    radius_growth_ft_yr
        Most a crown radius grows in a year [ft].
    ratio_intercept, ratio_age_yr
        Crown ratio 1 - exp(-(intercept + age term / age) * dbh / height).
    ratio_least_dbh_in
        Below this dbh crowns reach the ground and the equation is not used [in].
    longest_ratio, shortest_ratio
        Bounds on the crown ratio [1].
    leaf_area_per_basal_area
        Peak leaf area index per ft2/ac of basal area and unit of crown ratio above breast height.
    leaf_crown_ratio_cap
        Crown ratio beyond which more crown carries no more leaf area per sapwood [1].
    warm_share, cool_share
        Season's mean leaf area / peak [1].
    width_share
        Crown width of the strain against its species [1].
    """

    open_intercept_m: float
    open_slope_m_cm: float
    open_curve_m_cm2: float
    stand_intercept_ft: float
    stand_slope_ft_in: float
    stand_curve_ft_in2: float
    sapling_dbh_in: tuple[float, ...]
    sapling_share: tuple[float, ...]
    closed_density: float
    widest_ft_in: float
    widest_ft: float
    widest_share_of_height: float
    overlap: float
    radius_growth_ft_yr: float
    ratio_intercept: float
    ratio_age_yr: float
    ratio_least_dbh_in: float
    longest_ratio: float
    shortest_ratio: float
    leaf_area_per_basal_area: float
    leaf_crown_ratio_cap: float
    warm_share: float
    cool_share: float
    width_share: float


BREAST_HEIGHT_FT = 4.5


def open_grown_width_ft(dbh_in: Floats, c: CrownCoefficients) -> FloatArray:
    """Crown width of an open-grown tree.

    Parameters
    ----------
    dbh_in
        dbh [in], any shape; beyond 18 in an upper bound only.
    c
        Coefficients.

    Returns
    -------
    FloatArray
        Crown width [ft].

    References
    ----------
    Smith, Farrar, Murphy, Yeiser, Meldahl & Kush 1992, Canadian Journal of Forest Research 22:341-347 (from memory).
    """
    dbh_cm = np.asarray(dbh_in) * CENTIMETRES_PER_INCH
    width_m = c.open_intercept_m + c.open_slope_m_cm * dbh_cm + c.open_curve_m_cm2 * dbh_cm**2
    return np.asarray(width_m * FEET_PER_METRE)


def stand_grown_width_ft(dbh_in: Floats, c: CrownCoefficients) -> FloatArray:
    """Crown width of a stand-grown tree.

    Parameters
    ----------
    dbh_in
        dbh [in], any shape.
    c
        Coefficients.

    Returns
    -------
    FloatArray
        Crown width [ft].

    References
    ----------
    Bechtold 2003, Southern Journal of Applied Forestry 27:269-278, simplified model (second-hand);
    saplings below 5 in by shares assumed from other pines.
    """
    dbh = np.asarray(dbh_in, float)
    smallest = c.sapling_dbh_in[-1]
    grown = np.maximum(dbh, smallest)
    line = c.stand_intercept_ft + c.stand_slope_ft_in * grown + c.stand_curve_ft_in2 * grown**2
    return np.asarray(line * np.interp(dbh, c.sapling_dbh_in, c.sapling_share))


def crown_width_ft(
    dbh_in: Floats, height_ft: Floats, relative_density: Floats, multiplier: Floats, c: CrownCoefficients
) -> FloatArray:
    """Crown width a tree tends to, between stand-grown and open-grown by the crowding around it.

    Parameters
    ----------
    dbh_in
        Dbh of the mean tree of the row [in].
    height_ft
        Its height [ft].
    relative_density
        Local stand density index / maximum [1].
    multiplier
        Crown-width multiplier of the planting stock [1].
    c
        Coefficients.

    Returns
    -------
    FloatArray
        Crown width [ft], capped by dbh and height (caps from memory of practice).

    References
    ----------
    As for :func:`open_grown_width_ft` and :func:`stand_grown_width_ft`; what lies between, by density: assumed for this
    project.
    """
    openness = np.clip((c.closed_density - np.asarray(relative_density)) / c.closed_density, 0.0, 1.0)
    stand, alone = stand_grown_width_ft(dbh_in, c), open_grown_width_ft(dbh_in, c)
    width = (stand + openness * np.maximum(alone - stand, 0.0)) * (multiplier * c.width_share)
    by_dbh = c.widest_ft_in * np.asarray(dbh_in) + c.widest_ft
    return np.minimum(np.minimum(width, by_dbh), c.widest_share_of_height * np.asarray(height_ft))


def crown_ratio(dbh_in: Floats, height_ft: Floats, age_yr: Floats, c: CrownCoefficients) -> FloatArray:
    """Live crown ratio of the mean tree.

    Parameters
    ----------
    dbh_in
        Dbh of the mean tree [in].
    height_ft
        Its height [ft].
    age_yr
        Its age [yr], > 0.
    c
        Coefficients.

    Returns
    -------
    FloatArray
        Crown length / height [1], between the bounds of ``c``.

    References
    ----------
    Dyer & Burkhart 1987, Canadian Journal of Forest Research 17:572-574 (from memory).
    """
    slenderness = np.asarray(dbh_in) / np.maximum(np.asarray(height_ft), 0.1)
    rate = c.ratio_intercept + c.ratio_age_yr / np.maximum(np.asarray(age_yr, float), 1.0)
    sapling = np.asarray(dbh_in) < c.ratio_least_dbh_in
    ratio = np.where(sapling, c.longest_ratio, 1.0 - np.exp(-rate * slenderness))
    return np.clip(ratio, c.shortest_ratio, c.longest_ratio)


def leaf_area_ft2(dbh_in: Floats, height_ft: Floats, crown_base_ft: Floats, c: CrownCoefficients) -> FloatArray:
    """Peak projected leaf area of the mean tree.

    Parameters
    ----------
    dbh_in
        Dbh of the mean tree of the row [in].
    height_ft
        Its height [ft].
    crown_base_ft
        Height of its crown base [ft].
    c
        Coefficients.

    Returns
    -------
    FloatArray
        One-sided projected leaf area per tree [ft2].

    References
    ----------
    Basal area x modified crown ratio as surrogate for foliage: Valentine, Baldwin, Gregoire & Burkhart 1994,
    Forest Science 40:576-585 (from memory). The constant is derived for this project: a closed stand of
    130 ft2/ac with crown ratio .35 carries a leaf area index of 3.0.
    """
    basal_area_ft2 = BASAL_AREA_FT2_PER_IN2 * np.asarray(dbh_in, float) ** 2
    above = np.maximum(np.asarray(height_ft) - BREAST_HEIGHT_FT, 0.1)
    length = np.maximum(np.asarray(height_ft) - np.maximum(np.asarray(crown_base_ft), BREAST_HEIGHT_FT), 0.0)
    modified_ratio = np.minimum(length / above, c.leaf_crown_ratio_cap)
    return np.asarray(c.leaf_area_per_basal_area * basal_area_ft2 * modified_ratio * SQUARE_FEET_PER_ACRE)
