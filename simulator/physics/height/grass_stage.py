"""The grass stage of longleaf pine: years in which a seedling makes roots and no stem."""

from typing import NamedTuple

import numpy as np

from simulator.units import BoolArray, FloatArray, Floats


class GrassStage(NamedTuple):
    """When seedlings leave the grass stage, with weeds controlled and without.

    Attributes
    ----------
    weeded_rate_per_yr, weeded_half_yr
        Logistic of the share that has left it with weeds controlled: steepness, and age at one half.
    unweeded_rate_per_yr, unweeded_half_yr
        The same where grass is left to grow.
    weeded_shift_yr, unweeded_shift_yr
        Shift of the height curve's start [yr].
    safe_share
        Share of the trees that must be out before animals may come [1].
    """

    weeded_rate_per_yr: float
    weeded_half_yr: float
    unweeded_rate_per_yr: float
    unweeded_half_yr: float
    weeded_shift_yr: float
    unweeded_shift_yr: float
    safe_share: float


def emerged_share(age_yr: Floats, weeded: BoolArray, c: GrassStage) -> FloatArray:
    """Share of the living trees that has left the grass stage.

    Parameters
    ----------
    age_yr
        Growing seasons since planting [yr], any shape.
    weeded
        Whether herbaceous weeds were controlled, broadcastable.
    c
        Coefficients.

    Returns
    -------
    FloatArray
        Share [1], 0-1, broadcast shape.

    References
    ----------
    Haywood 2000, New Forests 19:279-290: 59 % out after three seasons weeded and 17 % unweeded, 87 % of both after
    five. Logistics through those two points are this project's; one site.
    """
    rate = np.where(weeded, c.weeded_rate_per_yr, c.unweeded_rate_per_yr)
    half = np.where(weeded, c.weeded_half_yr, c.unweeded_half_yr)
    return np.asarray(1.0 / (1.0 + np.exp(-rate * (np.asarray(age_yr, float) - half))))


def start_shift_yr(weeded: BoolArray, c: GrassStage) -> FloatArray:
    """Shift of the height curve's start by weed control [yr], shape of ``weeded``.

    Parameters
    ----------
    weeded
        Whether herbaceous weeds were controlled.
    c
        Coefficients.

    Returns
    -------
    FloatArray
        Years early, or late where negative [yr].
    """
    return np.where(weeded, c.weeded_shift_yr, c.unweeded_shift_yr)
