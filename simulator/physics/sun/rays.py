"""The rays, beam and diffuse, that stand for a season."""

from collections.abc import Sequence
from typing import Final, Literal, NamedTuple

import numpy as np

from simulator.physics.sun.position import sun_vector, sunset_hour_angle
from simulator.physics.sun.radiation import extraterrestrial_mj_m2_day, monthly_diffuse_share
from simulator.units import FloatArray

MEAN_DAYS: Final = (17, 47, 75, 105, 135, 162, 198, 228, 258, 288, 318, 344)
"""Day of the year that stands for each month: Klein 1977, Solar Energy 19:325 (from memory)."""
DAYS_IN_MONTH: Final = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
LATITUDE_LIMIT_DEG: Final = 66.0
"""Beyond it a month's mean day may have no sunrise, which the hourly ratios do not describe."""


class Quadrature(NamedTuple):
    """How finely a season's sky is sampled, and how its diffuse radiance is spread.

    Parameters
    ----------
    hours
        Hour angles per month between sunrise and sunset [1].
    rings, azimuths
        Zenith rings and azimuths per ring of the diffuse sky [1].
    sky
        ``"uniform"``: equal radiance; ``"overcast"``: radiance rising to three times the horizon's at the
        zenith (Moon & Spencer 1942, Illuminating Engineering 37:707; from memory).
    """

    hours: int = 24
    rings: int = 8
    azimuths: int = 16
    sky: Literal["uniform", "overcast"] = "uniform"


class SkyRays(NamedTuple):
    """Rays from the ground towards the sky with their share of a season's open-ground radiation.

    Parameters
    ----------
    east, north, up
        Components of the unit vectors towards the sky [1], (rays,).
    weight
        Share of the radiation on open level ground [1], (rays,); sums to one.
    """

    east: FloatArray
    north: FloatArray
    up: FloatArray
    weight: FloatArray


def _beam_over_hours(hour_angle: FloatArray, sunset: FloatArray, diffuse_share: FloatArray) -> FloatArray:
    """Share of a day's radiation that is beam in each hour angle, to a common factor within the month.

    Hour-to-day ratios of the total (Collares-Pereira & Rabl 1979, Solar Energy 22:155) less the diffuse
    (Liu & Jordan 1960, Solar Energy 4:1), both from memory; the curves may cross near sunset.
    """
    constant = 0.409 + 0.5016 * np.sin(sunset - np.pi / 3.0)
    slope = 0.6609 - 0.4767 * np.sin(sunset - np.pi / 3.0)
    elevation = np.cos(hour_angle) - np.cos(sunset)
    return np.maximum(elevation * (constant + slope * np.cos(hour_angle) - diffuse_share), 0.0)


def _beam_rays(latitude_deg: float, days: FloatArray, clearness: float, hours: int) -> tuple[FloatArray, FloatArray]:
    """Vectors (3, months, hours) towards the sun and each hour's share of its day's radiation."""
    sunset = sunset_hour_angle(latitude_deg, days)[:, None]
    diffuse = monthly_diffuse_share(clearness, sunset)
    hour_angle = sunset * ((np.arange(hours) + 0.5) * 2.0 / hours - 1.0)
    beam = _beam_over_hours(hour_angle, sunset, diffuse)
    share = (1.0 - diffuse) * beam / beam.sum(axis=1, keepdims=True)
    return sun_vector(latitude_deg, days[:, None], hour_angle), share


def _sky_rays(quadrature: Quadrature) -> tuple[FloatArray, FloatArray]:
    """Vectors (3, rings, azimuths) towards the diffuse sky and their share of its radiation.

    A ring's rays stand at the zenith angle that halves its horizontal area; alternate rings are turned by half a
    step, which evens the sampling and keeps the set mirrored about north-south and east-west.
    """
    edges = np.linspace(0.0, np.pi / 2.0, quadrature.rings + 1)
    area = np.sin(edges) ** 2
    sine = np.sqrt(0.5 * (area[1:] + area[:-1]))[:, None]
    turn = 0.5 * (np.arange(quadrature.rings) % 2)[:, None]
    azimuth = (np.arange(quadrature.azimuths) + turn) * 2.0 * np.pi / quadrature.azimuths
    overcast = (3.0 * area + 4.0 * (1.0 - np.cos(edges) ** 3)) / 7.0
    below = area if quadrature.sky == "uniform" else overcast
    vectors = np.broadcast_arrays(sine * np.sin(azimuth), sine * np.cos(azimuth), np.sqrt(1.0 - sine**2))
    ring = np.diff(below)[:, None] / quadrature.azimuths
    return np.stack(vectors), np.broadcast_to(ring, vectors[0].shape)


def season_rays(
    latitude_deg: float, months: Sequence[int], clearness: float, quadrature: Quadrature | None = None
) -> SkyRays:
    """Return the rays, beam and diffuse, that stand for the radiation of some months.

    Each month counts by its days and its radiation; its mean day is sampled between sunrise and sunset.

    Parameters
    ----------
    latitude_deg
        Latitude, south negative [deg], -66 to 66.
    months
        Months of the season, 1 to 12; a month given twice counts twice.
    clearness
        Monthly radiation over the extraterrestrial [1], 0.3 to 0.8.
    quadrature
        How finely to sample; ``Quadrature()`` when not given.

    Returns
    -------
    SkyRays
        (months * hours + rings * azimuths,) rays whose weights sum to one.

    Raises
    ------
    ValueError
        If a month, the latitude or the clearness lies outside its range.

    References
    ----------
    Klein 1977, Solar Energy 19:325; Erbs, Klein & Duffie 1982, Solar Energy 28:293; Collares-Pereira & Rabl
    1979, Solar Energy 22:155; Liu & Jordan 1960, Solar Energy 4:1 (from memory).
    """
    _check_season(latitude_deg, months, clearness)
    quadrature = quadrature or Quadrature()
    place = np.asarray(months, dtype=np.int64) - 1
    days = np.asarray(MEAN_DAYS, dtype=np.float64)[place]
    energy = np.asarray(DAYS_IN_MONTH)[place] * extraterrestrial_mj_m2_day(latitude_deg, days)
    month_share = energy / energy.sum()
    sun, beam = _beam_rays(latitude_deg, days, clearness, quadrature.hours)
    sky, diffuse = _sky_rays(quadrature)
    beam = beam * month_share[:, None]
    east, north, up = np.concatenate([sun.reshape(3, -1), sky.reshape(3, -1)], axis=1)
    return SkyRays(east, north, up, np.concatenate([beam.ravel(), (1.0 - beam.sum()) * diffuse.ravel()]))


def _check_season(latitude_deg: float, months: Sequence[int], clearness: float) -> None:
    if not months or any(month not in range(1, 13) for month in months):
        raise ValueError(f"months: one or more of 1 to 12 expected (received {tuple(months)})")
    if not abs(latitude_deg) <= LATITUDE_LIMIT_DEG:
        raise ValueError(f"latitude_deg: -66 to 66 expected (received {latitude_deg})")
    if not 0.3 <= clearness <= 0.8:
        raise ValueError(f"clearness: 0.3 to 0.8 expected (received {clearness})")
