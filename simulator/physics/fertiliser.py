"""What fertiliser does for trees: a published mid-rotation answer, and a small luxury from a fertilised pasture."""

from typing import NamedTuple

import numpy as np

from simulator.units import FloatArray, Floats


class FertiliserResponse(NamedTuple):
    """Coefficients of the mid-rotation response.

    Attributes
    ----------
    height_per_lb_nitrogen, height_with_phosphorus
        Dominant height per pound of nitrogen [ft ac/lb/yr], and where phosphorus is given [ft/yr].
    height_fading
        How fast the height answer fades [1/yr].
    area_per_lb_nitrogen, area_with_phosphorus
        Basal area per pound of nitrogen [ft2/lb/yr], and where phosphorus is given [ft2/ac/yr].
    area_fading
        How fast the basal-area answer fades [1/yr].
    full_stocking
        Relative density at which the trees use the whole dose [1].
    """

    height_per_lb_nitrogen: float
    height_with_phosphorus: float
    height_fading: float
    area_per_lb_nitrogen: float
    area_with_phosphorus: float
    area_fading: float
    full_stocking: float


class PastureNitrogen(NamedTuple):
    """Luxury that trees take from nitrogen spread on the grass beside them.

    Attributes
    ----------
    most_gain
        Extra diameter growth at the full rate [1].
    full_rate_lb_ac
        Rate on the grass ground at which the gain is full [lb/ac].
    """

    most_gain: float
    full_rate_lb_ac: float


def height_response_ft(
    nitrogen_lb_ac: Floats, phosphorus_given: Floats, years_since: Floats, c: FertiliserResponse
) -> FloatArray:
    """Dominant height above that of the same stand unfertilised.

    Parameters
    ----------
    nitrogen_lb_ac
        Elemental nitrogen [lb/ac], any shape.
    phosphorus_given
        1 where phosphorus is given, else 0 [1].
    years_since
        Growing seasons since it was spread [yr], >= 0; made for the ten years after treatment.
    c
        Coefficients.

    Returns
    -------
    FloatArray
        Dominant height that the dose has added so far [ft], broadcast shape.

    References
    ----------
    Harrison & Borders 1996, PMRC Technical Report 1996-1; coefficients second-hand.
    """
    years = np.asarray(years_since, dtype=np.float64)
    dose = c.height_per_lb_nitrogen * np.asarray(nitrogen_lb_ac) + c.height_with_phosphorus * np.asarray(
        phosphorus_given
    )
    return np.asarray(dose * years * np.exp(-c.height_fading * years))


def basal_area_response_ft2_ac(
    nitrogen_lb_ac: Floats, phosphorus_given: Floats, years_since: Floats, c: FertiliserResponse
) -> FloatArray:
    """Basal area above that of the same stand unfertilised, beside what the height answer brings.

    Parameters
    ----------
    nitrogen_lb_ac, phosphorus_given, years_since, c
        As for :func:`height_response_ft`.

    Returns
    -------
    FloatArray
        Basal area that the dose has added so far in a fully stocked stand [ft2/ac], broadcast shape; it
        peaks near the fourth year and fades.

    References
    ----------
    Harrison & Borders 1996, PMRC Technical Report 1996-1; coefficients second-hand.
    """
    years = np.asarray(years_since, dtype=np.float64)
    dose = c.area_per_lb_nitrogen * np.asarray(nitrogen_lb_ac) + c.area_with_phosphorus * np.asarray(phosphorus_given)
    return np.asarray(dose * years * np.exp(-c.area_fading * years))


def stocking_share(relative_density: Floats, c: FertiliserResponse) -> FloatArray:
    """Share of the response that a stand of this density can make use of.

    Parameters
    ----------
    relative_density
        Stand density index of the whole field / its maximum [1].
    c
        Coefficients.

    Returns
    -------
    FloatArray
        Share, 0-1 [1]: few trees an acre cannot use a dose meant for many.

    References
    ----------
    Assumed for this project.
    """
    return np.asarray(np.minimum(np.asarray(relative_density) / c.full_stocking, 1.0))


def pasture_nitrogen_gain(nitrogen_lb_ac: Floats, c: PastureNitrogen) -> FloatArray:
    """Diameter-growth multiplier of trees whose grass was fertilised last season.

    Parameters
    ----------
    nitrogen_lb_ac
        Nitrogen spread on the grass ground last season [lb/ac], any shape.
    c
        Coefficients.

    Returns
    -------
    FloatArray
        Multiplier, at least 1 [1]; bounded at the full rate. Assumed for this project after one observation of fast
        growth on
        improved pasture; it may be nothing.

    References
    ----------
    Assumed for this project, after one observation.
    """
    return np.asarray(1.0 + c.most_gain * np.minimum(np.asarray(nitrogen_lb_ac) / c.full_rate_lb_ac, 1.0))
