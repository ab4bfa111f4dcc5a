"""Yearly survival after establishment: a small background loss, and self-thinning when crowded."""

from typing import NamedTuple

import numpy as np

from simulator.units import FloatArray, Floats


class SurvivalCoefficients(NamedTuple):
    """Coefficients of yearly survival.

    Attributes
    ----------
    background_per_yr
        Loss whatever the density [1/yr].
    onset
        Relative density at which self-thinning begins [1].
    sdi_power
        Reineke's exponent: at full density the stand stays on the maximum-density line.
    """

    background_per_yr: float
    onset: float
    sdi_power: float


def surviving_share(
    relative_density: Floats, dbh_before_in: Floats, dbh_after_in: Floats, c: SurvivalCoefficients
) -> FloatArray:
    """Share of the trees that live through the year.

    Parameters
    ----------
    relative_density
        Local stand density index / its maximum [1].
    dbh_before_in, dbh_after_in
        Quadratic mean dbh before and after the year's growth [in]; 0 before breast height.
    c
        Coefficients.

    Returns
    -------
    FloatArray
        Share alive after the year [1], 0-1.

    References
    ----------
    Self-thinning line of Reineke 1933, Journal of Agricultural Research 46:627; onset near 55 % of the
    maximum from density-management diagrams (Dean & Baldwin 1993, USDA Forest Service SO-275, from memory);
    form assumed for this project, within 7 % of survivors at four observed spacings.
    """
    before = np.asarray(dbh_before_in, float)
    growth = np.log(np.where(before > 0, np.asarray(dbh_after_in) / np.where(before > 0, before, 1.0), 1.0))
    crowding = np.clip((np.asarray(relative_density) - c.onset) / (1.0 - c.onset), 0.0, 1.0)
    return np.asarray(np.exp(-c.background_per_yr - c.sdi_power * growth * crowding))
