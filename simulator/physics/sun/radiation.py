"""How much radiation a day brings above the atmosphere, and how much of it arrives diffuse."""

from typing import Final

import numpy as np

from simulator.physics.sun.position import declination, fourier, sunset_hour_angle
from simulator.units import FloatArray, Floats

SOLAR_CONSTANT_W_M2: Final = 1361.0
"""Total solar irradiance: Kopp & Lean 2011, Geophysical Research Letters 38:L01706 (from memory)."""
# Fourier series in the day angle (constant, cos, sin, cos 2, sin 2, ...): Spencer 1971, Search 2(5):172 (from memory).
_ECCENTRICITY: Final = (1.000110, 0.034221, 0.001280, 0.000719, 0.000077)
# Polynomials in the clearness index, constant first: Erbs, Klein & Duffie 1982, Solar Energy 28:293 (from memory).
_ERBS_HOURLY: Final = (0.9511, -0.1604, 4.388, -16.638, 12.336)
_ERBS_MONTHLY_SHORT_DAY: Final = (1.391, -3.560, 4.189, -2.137)
_ERBS_MONTHLY_LONG_DAY: Final = (1.311, -3.022, 3.427, -1.821)
_ERBS_SHORT_DAY_SUNSET_DEG: Final = 81.4


def extraterrestrial_mj_m2_day(latitude_deg: Floats, day_of_year: Floats) -> FloatArray:
    """Return the radiation a level surface above the atmosphere receives in a day.

    Parameters
    ----------
    latitude_deg
        Latitude, south negative [deg], any shape.
    day_of_year
        Day of the year [day], broadcast against the latitude.

    Returns
    -------
    FloatArray
        Radiation [MJ m-2 day-1].

    References
    ----------
    Klein 1977, Solar Energy 19:325; Spencer 1971, Search 2(5):172 (from memory).
    """
    latitude, sun = np.radians(latitude_deg), declination(day_of_year)
    sunset = sunset_hour_angle(latitude_deg, day_of_year)
    geometry = np.cos(latitude) * np.cos(sun) * np.sin(sunset) + sunset * np.sin(latitude) * np.sin(sun)
    return 86400.0 / np.pi * SOLAR_CONSTANT_W_M2 * 1e-6 * fourier(_ECCENTRICITY, day_of_year) * geometry


def hourly_diffuse_share(clearness: Floats) -> FloatArray:
    """Return the diffuse share of an hour's radiation on level ground.

    Parameters
    ----------
    clearness
        Hour's radiation over the extraterrestrial [1], any shape, 0 to 1.

    Returns
    -------
    FloatArray
        Diffuse share [1], same shape.

    References
    ----------
    Erbs, Klein & Duffie 1982, Solar Energy 28:293 (coefficients from memory).
    """
    index = np.asarray(clearness, dtype=np.float64)
    middle = np.polynomial.polynomial.polyval(index, _ERBS_HOURLY)
    return np.where(index <= 0.22, 1.0 - 0.09 * index, np.where(index > 0.80, 0.165, middle))


def monthly_diffuse_share(clearness: Floats, sunset_rad: Floats) -> FloatArray:
    """Return the diffuse share of a month's radiation on level ground.

    Parameters
    ----------
    clearness
        Month's radiation over the extraterrestrial [1], any shape; correlation fitted over 0.3 to 0.8.
    sunset_rad
        Sunset hour angle of the month's mean day [rad], broadcast against ``clearness``.

    Returns
    -------
    FloatArray
        Diffuse share [1].

    References
    ----------
    Erbs, Klein & Duffie 1982, Solar Energy 28:293 (coefficients from memory).
    """
    short = np.polynomial.polynomial.polyval(clearness, _ERBS_MONTHLY_SHORT_DAY)
    long = np.polynomial.polynomial.polyval(clearness, _ERBS_MONTHLY_LONG_DAY)
    return np.where(np.degrees(sunset_rad) <= _ERBS_SHORT_DAY_SUNSET_DEG, short, long)
