"""Where the sun stands over the land by month and hour, for the picture."""

import math
from typing import Any, Final

import numpy as np

from simulator.physics.sun import MEAN_DAYS, sun_vector, sunset_hour_angle

MONTHS: Final = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
STEPS_AN_HOUR: Final = 2
NOON_H: Final = 12.0
DEGREES_AN_HOUR: Final = 15.0


def sun_document(latitude_deg: float) -> dict[str, Any]:
    """The sun's path on the mean day of each month, by the sun's own clock.

    Parameters
    ----------
    latitude_deg
        Latitude [degrees north].

    Returns
    -------
    dict
        By month, 1 to 12: its name, sunrise and sunset [h] and, every half hour between them, the hour [h], altitude
        above the horizon and azimuth clockwise from north [degrees].
    """
    return {str(number): _month(name, latitude_deg, day) for number, (name, day) in enumerate(_months(), start=1)}


def _months() -> list[tuple[str, int]]:
    return list(zip(MONTHS, MEAN_DAYS, strict=True))


def _month(name: str, latitude_deg: float, day: int) -> dict[str, Any]:
    half = math.degrees(float(sunset_hour_angle(latitude_deg, day))) / DEGREES_AN_HOUR
    steps = math.floor(half * STEPS_AN_HOUR)
    hours = np.arange(-steps, steps + 1) / STEPS_AN_HOUR
    east, north, up = sun_vector(latitude_deg, day, np.radians(hours * DEGREES_AN_HOUR))
    return {
        "name": name,
        "day_of_year": day,
        "sunrise_h": round(NOON_H - half, 2),
        "sunset_h": round(NOON_H + half, 2),
        "hour": (NOON_H + hours).tolist(),
        "altitude_deg": np.degrees(np.arcsin(np.clip(up, -1.0, 1.0))).round(1).tolist(),
        "azimuth_deg": (np.degrees(np.arctan2(east, north)) % 360.0).round(1).tolist(),
    }
