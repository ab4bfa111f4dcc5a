"""Where the sun stands."""

from collections.abc import Sequence
from typing import Final

import numpy as np

from simulator.units import FloatArray, Floats

# Fourier series in the day angle (constant, cos, sin, cos 2, sin 2, ...): Spencer 1971, Search 2(5):172 (from memory).
_DECLINATION: Final = (0.006918, -0.399912, 0.070257, -0.006758, 0.000907, -0.002697, 0.00148)


def fourier(series: Sequence[float], day_of_year: Floats) -> FloatArray:
    """Return the sum of a Fourier series in the day angle.

    Parameters
    ----------
    series
        Coefficients: constant, cos, sin, cos 2, sin 2, ... [any].
    day_of_year
        Day of the year, 1 January = 1 [day], any shape.

    Returns
    -------
    FloatArray
        Sum, unit of the coefficients, same shape as the day.

    References
    ----------
    Definition.
    """
    angle = 2.0 * np.pi * (np.asarray(day_of_year, dtype=np.float64) - 1.0) / 365.0
    value = np.full_like(angle, series[0])
    for term, coefficient in enumerate(series[1:]):
        harmonic = (term // 2 + 1) * angle
        value += coefficient * (np.sin(harmonic) if term % 2 else np.cos(harmonic))
    return value


def declination(day_of_year: Floats) -> FloatArray:
    """Return the sun's declination.

    Parameters
    ----------
    day_of_year
        Day of the year, 1 January = 1 [day], any shape.

    Returns
    -------
    FloatArray
        Declination [rad], same shape; within about 0.0006 rad of the almanac in a mean year.

    References
    ----------
    Spencer 1971, Search 2(5):172 (coefficients from memory).
    """
    return fourier(_DECLINATION, day_of_year)


def sunset_hour_angle(latitude_deg: Floats, day_of_year: Floats) -> FloatArray:
    """Return the hour angle of geometric sunset (sun's centre on the horizon, no refraction).

    Parameters
    ----------
    latitude_deg
        Latitude, south negative [deg], any shape.
    day_of_year
        Day of the year [day], broadcast against the latitude.

    Returns
    -------
    FloatArray
        Hour angle [rad], 0 in polar night to pi in polar day.

    References
    ----------
    Spherical astronomy, common knowledge.
    """
    cosine = -np.tan(np.radians(latitude_deg)) * np.tan(declination(day_of_year))
    return np.asarray(np.arccos(np.clip(cosine, -1.0, 1.0)))


def day_length_h(latitude_deg: Floats, day_of_year: Floats) -> FloatArray:
    """Return the geometric day length.

    Parameters
    ----------
    latitude_deg
        Latitude, south negative [deg], any shape.
    day_of_year
        Day of the year [day], broadcast against the latitude.

    Returns
    -------
    FloatArray
        Day length [h]; an almanac's, with refraction and the sun's upper limb, is about 0.14 h longer at 31 deg.

    References
    ----------
    Spherical astronomy, common knowledge.
    """
    return 24.0 / np.pi * sunset_hour_angle(latitude_deg, day_of_year)


def sun_vector(latitude_deg: Floats, day_of_year: Floats, hour_angle_rad: Floats) -> FloatArray:
    """Return the unit vector towards the sun.

    Parameters
    ----------
    latitude_deg
        Latitude, south negative [deg], any shape.
    day_of_year
        Day of the year [day].
    hour_angle_rad
        Hour angle from solar noon, afternoon positive [rad].

    Returns
    -------
    FloatArray
        East, north and up components [1], (3, ...) with the inputs' broadcast shape.

    References
    ----------
    Spherical astronomy, common knowledge.
    """
    latitude, sun = np.radians(latitude_deg), declination(day_of_year)
    cosine = np.cos(sun) * np.cos(hour_angle_rad)
    east = -np.cos(sun) * np.sin(hour_angle_rad) + 0.0 * latitude
    north = np.cos(latitude) * np.sin(sun) - np.sin(latitude) * cosine
    up = np.sin(latitude) * np.sin(sun) + np.cos(latitude) * cosine
    return np.stack(np.broadcast_arrays(east, north, up))
