"""Heat on animals by month, what shade and moving air take off it, and what that is worth in gain."""

from typing import NamedTuple

import numpy as np

from simulator.units import FloatArray, Floats

HOURS_PER_DAY = 24.0


class ShadeBonus(NamedTuple):
    """Gain that shade adds in hot weather.

    Attributes
    ----------
    alert_thi
        Temperature-humidity index from which the animal suffers [degF].
    full_heat_thi
        Index at which it suffers fully [degF].
    most_bonus_share
        Most that shade adds while it is fully hot, as a share of gain [1].
    full_benefit_cover
        Ground under crowns at which all animals find shade [1].
    still_air_cover
        Ground under crowns above which the stand holds the wind off [1].
    most_still_air_loss
        Share of the shelter's good that still air takes back under a closed canopy [1].
    most_relief_share
        Most that shelter takes off the heat load [1].
    most_bonus_lb_day
        Most that it adds in a day [lb/day].
    """

    alert_thi: float
    full_heat_thi: float
    most_bonus_share: float
    full_benefit_cover: float
    still_air_cover: float
    most_still_air_loss: float
    most_relief_share: float
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


def heat_load(afternoon_thi: Floats, bonus: ShadeBonus) -> FloatArray:
    """How far an afternoon lies on the way from the alert to full heat.

    Parameters
    ----------
    afternoon_thi
        Temperature-humidity index of ordinary afternoons [degF], any shape.
    bonus
        Coefficients of the animal.

    Returns
    -------
    Load [1], 0 (cool) to 1, same shape.

    References
    ----------
    Livestock weather index for beef cattle, second-hand; the straight line between its classes assumed for this
    project.
    """
    way = (np.asarray(afternoon_thi, dtype=np.float64) - bonus.alert_thi) / (bonus.full_heat_thi - bonus.alert_thi)
    return np.asarray(np.clip(way, 0.0, 1.0), dtype=np.float64)


def hot_hours_day(afternoon_thi: Floats, daily_swing_thi: Floats, alert_thi: float) -> FloatArray:
    """Hours of an ordinary day on which the index passes the alert, if it runs over the day as a cosine.

    Parameters
    ----------
    afternoon_thi
        Temperature-humidity index of ordinary afternoons, the day's highest [degF], any shape.
    daily_swing_thi
        What the index falls from there to dawn [degF], broadcastable, above 0.
    alert_thi
        Index from which the animal suffers [degF].

    Returns
    -------
    Hours [h/day], 0 to 24, broadcast shape.

    References
    ----------
    Form assumed for this project.
    """
    over = (np.asarray(afternoon_thi, dtype=np.float64) - alert_thi) / daily_swing_thi
    hours = HOURS_PER_DAY * np.arccos(1.0 - 2.0 * np.clip(over, 0.0, 1.0)) / np.pi
    return np.asarray(hours, dtype=np.float64)


def shelter_share(canopy_cover: Floats, bonus: ShadeBonus) -> FloatArray:
    """Good that trees do against heat: shade for all animals, less the wind that a dense stand holds off.

    Parameters
    ----------
    canopy_cover
        Ground covered by crowns [1], any shape.
    bonus
        Coefficients of the animal.

    Returns
    -------
    Shelter [1], 0 in the open to at most 1, same shape.

    References
    ----------
    Assumed for this project.
    """
    cover = np.clip(np.asarray(canopy_cover, dtype=np.float64), 0.0, 1.0)
    shade = np.minimum(1.0, cover / bonus.full_benefit_cover)
    closed = np.clip((cover - bonus.still_air_cover) / (1.0 - bonus.still_air_cover), 0.0, 1.0)
    return np.asarray(shade * (1.0 - bonus.most_still_air_loss * closed), dtype=np.float64)


def load_under_trees(load: Floats, canopy_cover: Floats, bonus: ShadeBonus) -> FloatArray:
    """Heat load that is left under trees.

    Parameters
    ----------
    load
        Heat load in the open [1], 0 to 1, any shape.
    canopy_cover
        Ground covered by crowns [1], broadcastable.
    bonus
        Coefficients of the animal.

    Returns
    -------
    Load [1], never more than in the open, broadcast shape.

    References
    ----------
    Assumed for this project.
    """
    left = 1.0 - bonus.most_relief_share * shelter_share(canopy_cover, bonus)
    return np.asarray(np.asarray(load, dtype=np.float64) * left, dtype=np.float64)


def shade_bonus_lb_day(gain_lb_day: Floats, canopy_cover: Floats, load: Floats, bonus: ShadeBonus) -> FloatArray:
    """Gain that trees' shelter adds in hot weather; never more than the cap, nothing in the open or the cool.

    Parameters
    ----------
    gain_lb_day
        Gain without shade [lb/day], any shape.
    canopy_cover
        Ground covered by crowns [1].
    load
        Heat load of the months on grass, mean [1], 0 to 1; see :func:`heat_load`.
    bonus
        Coefficients of the animal.

    Returns
    -------
    Extra gain [lb/day], broadcast shape.

    References
    ----------
    Assumed for this project: four summers of steers gave 19 lb a summer more (second-hand); others found none.
    """
    hot = bonus.most_bonus_share * np.clip(np.asarray(load, dtype=np.float64), 0.0, 1.0)
    extra = np.asarray(gain_lb_day, dtype=np.float64) * hot * shelter_share(canopy_cover, bonus)
    return np.asarray(np.minimum(bonus.most_bonus_lb_day, extra), dtype=np.float64)
