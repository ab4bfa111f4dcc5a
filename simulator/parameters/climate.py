"""Afternoons of the site by month: from the packaged table and the latitude."""

from functools import cache
from pathlib import Path
from typing import NamedTuple

import numpy as np

from simulator.sourced import coefficients, read_sourced
from simulator.units import FloatArray, Floats


class Climate(NamedTuple):
    """Ordinary afternoons by month.

    Attributes
    ----------
    temperature_f, relative_humidity
        Mean of the day's highest temperature [degF] and humidity then [1], twelve months.
    cooler_f_per_degree
        How much cooler it is a degree of latitude farther north [degF/degree], twelve months.
    reference_latitude_deg
        Latitude for which the table holds [degree].
    daily_swing_thi
        What the temperature-humidity index falls from afternoon to dawn [degF].
    """

    temperature_f: tuple[float, ...]
    relative_humidity: tuple[float, ...]
    cooler_f_per_degree: tuple[float, ...]
    reference_latitude_deg: float
    daily_swing_thi: float


@cache
def load_climate() -> Climate:
    """Read the packaged climate.

    Returns
    -------
    Climate

    Raises
    ------
    ParameterError
        If the file breaks the schema.
    """
    return coefficients(read_sourced(Path(__file__).parent / "climate.toml"), "afternoon", Climate)


def afternoon_temperature_f(latitude_deg: Floats, climate: Climate) -> FloatArray:
    """Mean of the day's highest temperature by month at a latitude.

    Parameters
    ----------
    latitude_deg
        Latitude [degree north], any shape.
    climate
        The packaged table.

    Returns
    -------
    FloatArray
        Temperature [degF], shape (..., 12), January first.

    References
    ----------
    Table from memory, cooling to the north assumed; see the numbers of the climate.
    """
    north = np.asarray(latitude_deg, dtype=np.float64)[..., None] - climate.reference_latitude_deg
    return np.asarray(np.array(climate.temperature_f) - north * np.array(climate.cooler_f_per_degree))
