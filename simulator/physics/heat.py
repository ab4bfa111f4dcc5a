"""Heat on cattle, and what shade is worth to them."""

from typing import NamedTuple

import numpy as np

from simulator.units import FloatArray, Floats


class ShadeBonus(NamedTuple):
    """Gain that shade adds in hot weather.

    Attributes
    ----------
    alert_thi
        Temperature-humidity index from which cattle suffer [degF].
    hot_share
        Share of the season's time above it [1].
    most_bonus_share
        Most that shade adds while it is hot, as a share of gain [1].
    full_benefit_cover
        Ground under crowns at which all animals find shade [1].
    most_bonus_lb_day
        Cap [lb/day].
    """

    alert_thi: float
    hot_share: float
    most_bonus_share: float
    full_benefit_cover: float
    most_bonus_lb_day: float


def thi_f(temperature_f: Floats, relative_humidity: Floats) -> FloatArray:
    """Temperature-humidity index of air.

    Parameters
    ----------
    temperature_f
        Air temperature [degF], any shape.
    relative_humidity
        Relative humidity [1], 0 to 1, broadcastable.

    Returns
    -------
    Index [degF], broadcast shape; beef cattle: alert from 75, danger from 79, emergency from 84.

    References
    ----------
    Thom 1959, Weatherwise 12:57-61, in the form of the US National Research Council 1971 (from memory).
    """
    warm = np.asarray(temperature_f, dtype=np.float64)
    dryness = 0.55 - 0.55 * np.asarray(relative_humidity, dtype=np.float64)
    return np.asarray(warm - dryness * (warm - 58.0), dtype=np.float64)


def shade_bonus_lb_day(gain_lb_day: Floats, canopy_cover: Floats, bonus: ShadeBonus) -> FloatArray:
    """Gain that trees' shade adds in the hot part of the season; never more than the cap.

    Parameters
    ----------
    gain_lb_day
        Gain without shade [lb/day], any shape.
    canopy_cover
        Ground covered by crowns [1].
    bonus
        Coefficients of the animal.

    Returns
    -------
    Extra gain [lb/day], broadcast shape.

    References
    ----------
    Assumed for this project: four summers of steers gave 19 lb a summer more (second-hand); others found none.
    """
    cover = np.minimum(1.0, np.asarray(canopy_cover, dtype=np.float64) / bonus.full_benefit_cover)
    extra = np.asarray(gain_lb_day, dtype=np.float64) * bonus.most_bonus_share * bonus.hot_share * cover
    return np.asarray(np.minimum(bonus.most_bonus_lb_day, extra), dtype=np.float64)
