"""Diameter growth: what an open-grown tree could add, slowed by the crowding of its own growing space."""

from typing import NamedTuple

import numpy as np

from simulator.units import SQUARE_FEET_PER_ACRE, FloatArray, Floats


class DiameterCoefficients(NamedTuple):
    """Coefficients of open-grown potential, crowding and stand density index.

    Attributes
    ----------
    open_intercept_in, height_slope_in_ft, age_slope_in_yr
        Open-grown line of Daniels & Burkhart 1975: dbh = intercept + slope * height + slope * age.
    crowding_slope, crowding_power
        Modifier exp(-slope * (SDI / SDImax) ** power).
    sdi_maximum
        Stand density index at full self-thinning [10-in trees/ac].
    sdi_power
        Reineke's exponent.
    start_in_ft
        First dbh per foot of height above breast height.
    lateral_reach
        How far a tree's crown and roots reach for space, in open-grown crown radii.
    edge_reach
        How far an outermost row reaches into open ground beyond the field's last row, in open-grown crown radii.
    """

    open_intercept_in: float
    height_slope_in_ft: float
    age_slope_in_yr: float
    crowding_slope: float
    crowding_power: float
    sdi_maximum: float
    sdi_power: float
    start_in_ft: float
    lateral_reach: float
    edge_reach: float


class GrowthLevel(NamedTuple):
    """Diameter growth of a species against loblolly of the same height growth and crowding, by age."""

    age_yr: tuple[float, ...]
    multiplier: tuple[float, ...]


BREAST_HEIGHT_FT = 4.5


def growth_multiplier(age_yr: Floats, level: GrowthLevel) -> FloatArray:
    """Factor on the year's diameter growth that sets a species apart from loblolly.

    Parameters
    ----------
    age_yr
        Age at the end of the year [yr], any shape.
    level
        Points of a line, level before the first and after the last.

    Returns
    -------
    FloatArray
        Factor [1]; 1 for loblolly. Provisional for every other species: calibrated for this project to stand
        figures, see each species' file.

    References
    ----------
    Calibrated for this project to stand figures, see the numbers of each species.
    """
    return np.asarray(np.interp(age_yr, level.age_yr, level.multiplier))


def open_grown_dbh_in(height_ft: Floats, age_yr: Floats, c: DiameterCoefficients) -> FloatArray:
    """Diameter of an open-grown tree, the upper bound of every other.

    Parameters
    ----------
    height_ft
        Dominant height [ft].
    age_yr
        Age from planting [yr].
    c
        Coefficients.

    Returns
    -------
    FloatArray
        dbh [in], >= 0.

    References
    ----------
    Daniels & Burkhart 1975, Virginia Polytechnic Institute FWS-5-75 (from memory).
    """
    line = c.open_intercept_in + c.height_slope_in_ft * np.asarray(height_ft) + c.age_slope_in_yr * np.asarray(age_yr)
    return np.maximum(line, 0.0)


def stand_density_index(trees_per_ac: Floats, dbh_in: Floats, c: DiameterCoefficients) -> FloatArray:
    """Stand density index: the number of 10-in trees an acre that crowd as much.

    Parameters
    ----------
    trees_per_ac
        Living trees [1/ac].
    dbh_in
        Quadratic mean dbh [in].
    c
        Coefficients.

    Returns
    -------
    FloatArray
        Index [10-in trees/ac].

    References
    ----------
    Reineke 1933, Journal of Agricultural Research 46:627.
    """
    return np.asarray(np.asarray(trees_per_ac) * (np.asarray(dbh_in) / 10.0) ** c.sdi_power)


def local_trees_per_ac(
    along_ft: FloatArray, left_ft: FloatArray, right_ft: FloatArray, reach_ft: FloatArray
) -> FloatArray:
    """Trees per acre that a tree feels: an acre over its own growing space, cut off at its lateral reach.

    A tree beside a wide alley uses the alley only as far as its crown and roots reach, so that
    the same number of trees crowds more in rows than on a square.

    Parameters
    ----------
    along_ft
        Distance to the next living tree of its row [ft].
    left_ft, right_ft
        Distances to the next living rows on either side [ft].
    reach_ft
        Lateral reach [ft].

    Returns
    -------
    FloatArray
        Local density [trees/ac], broadcast shape.

    References
    ----------
    Assumed for this project; agrees with the published lack of any effect of 3:1 rectangularity
    (Sharma, Burkhart & Amateis 2002, Canadian Journal of Forest Research 32:1451) and with outer rows
    outgrowing inner rows (Burner 2013, USDA Forest Service SRS-GTR-175:465).
    """
    across = np.minimum(left_ft / 2.0, reach_ft) + np.minimum(right_ft / 2.0, reach_ft)
    return np.asarray(SQUARE_FEET_PER_ACRE / (across * along_ft))


def dbh_increment_in(
    height_growth_ft: Floats, relative_density: Floats, site_culture: Floats, c: DiameterCoefficients
) -> FloatArray:
    """Year's growth of quadratic mean dbh: open-grown potential x site culture x crowding.

    Parameters
    ----------
    height_growth_ft
        Dominant-height growth of the year [ft].
    relative_density
        Local stand density index / its maximum [1], 0-1.
    site_culture
        Multiplier of the site [1]: 0.79 cutover, 0.965 old field or pasture with a weed-free strip.
    c
        Coefficients.

    Returns
    -------
    FloatArray
        Increment [in/yr], >= 0.

    References
    ----------
    Potential: first difference of the open-grown line of Daniels & Burkhart 1975 (from memory).
    Crowding fitted for this project to 100 stand diameters of Harrison & Borders 1996 (2.7 % rms) and
    four observed spacings; extrapolates below 250 trees/ac after age 10 and beyond age 35.
    """
    potential = c.height_slope_in_ft * np.asarray(height_growth_ft) + c.age_slope_in_yr
    crowding = np.exp(-c.crowding_slope * np.asarray(relative_density) ** c.crowding_power)
    return np.asarray(np.asarray(site_culture) * potential * crowding)
