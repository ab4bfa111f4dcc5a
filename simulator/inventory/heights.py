"""Heights of the trees nobody measured, from those somebody did."""

from typing import Final, NamedTuple

import numpy as np
from scipy import optimize

from simulator.units import BoolArray, FloatArray

BREAST_HEIGHT_FT: Final = 4.5
FEWEST_HEIGHTS: Final = 5
"""Fewer measured heights than this do not carry a curve of their own; judgement of practice, no source."""
TYPICAL_STEEPNESS_IN: Final = -4.5
"""Slope of the curve where too few heights were measured to fit it; assumed for this project, no source."""

_TO_THE_LAST: Final = 1e-15
"""Tolerance of the fit: the eighth digit would hang on the version of the library that steps towards it."""


class HeightCurve(NamedTuple):
    """Height over diameter: ``4.5 + exp(level + steepness / (dbh + 1))``.

    Attributes
    ----------
    level, steepness
        Level of the curve [ln ft]; how fast it rises with diameter [in].
    measured
        Heights it was fitted to.
    rmse_ft
        Root mean square error of the fit [ft]; NaN where only the level was fitted.
    pooled
        Whether it is of all species, because the species had too few heights of its own.
    """

    level: float
    steepness: float
    measured: int
    rmse_ft: float
    pooled: bool = False


def height_ft(dbh_in: FloatArray, curve: HeightCurve) -> FloatArray:
    """Height by a fitted curve.

    Parameters
    ----------
    dbh_in
        Diameter at 4.5 ft [in], above 0, any shape.
    curve
        Fitted coefficients.

    Returns
    -------
    FloatArray
        Total height [ft], same shape; rises with diameter.

    References
    ----------
    A form in common use, ``exp(a + b / (dbh + 1))`` above breast height; common practice, no single source.
    """
    return np.asarray(BREAST_HEIGHT_FT + np.exp(curve.level + curve.steepness / (dbh_in + 1.0)))


def fitted_curve(dbh_in: FloatArray, measured_ft: FloatArray) -> HeightCurve:
    """Fit height over diameter by least squares on the heights themselves.

    Parameters
    ----------
    dbh_in
        Diameters of the trees whose height was measured [in], (trees,).
    measured_ft
        Their heights [ft], above 4.5, (trees,); at least one.

    Returns
    -------
    HeightCurve
        Level [ln ft] and steepness [in]. With fewer than five heights, or all of one diameter, only the level is
        fitted.

    Raises
    ------
    ValueError
        If there is no height.

    References
    ----------
    As for :func:`height_ft`; that a curve may not fall: this project's own.
    """
    if len(measured_ft) == 0:
        raise ValueError("a height curve needs at least one measured height")
    above = np.log(measured_ft - BREAST_HEIGHT_FT)
    inverse = 1.0 / (dbh_in + 1.0)
    level_only = HeightCurve(
        float(np.mean(above - TYPICAL_STEEPNESS_IN * inverse)), TYPICAL_STEEPNESS_IN, len(measured_ft), float("nan")
    )
    if len(measured_ft) < FEWEST_HEIGHTS or np.ptp(dbh_in) < 1.0:
        return level_only

    def misses(coefficients: FloatArray) -> FloatArray:
        return np.asarray(BREAST_HEIGHT_FT + np.exp(coefficients[0] + coefficients[1] * inverse) - measured_ft)

    start = np.array([level_only.level, level_only.steepness])

    def slopes(coefficients: FloatArray) -> FloatArray:
        above_breast_height = np.exp(coefficients[0] + coefficients[1] * inverse)
        return np.stack([above_breast_height, above_breast_height * inverse], axis=1)

    # a taller tree of smaller diameter is chance or error, never a rule: the curve may not fall
    bounds = ([-np.inf, -60.0], [np.inf, 0.0])
    fit = optimize.least_squares(misses, start, slopes, bounds, x_scale="jac", xtol=_TO_THE_LAST, ftol=_TO_THE_LAST)
    rmse = float(np.sqrt(np.sum(fit.fun**2) / (len(measured_ft) - 2)))
    return HeightCurve(float(fit.x[0]), float(fit.x[1]), len(measured_ft), rmse)


def completed_heights_ft(
    dbh_in: FloatArray, measured_ft: FloatArray, groups: FloatArray
) -> tuple[FloatArray, dict[int, HeightCurve]]:
    """Fill in heights by curves of each group, or of all trees together where a group has too few.

    Parameters
    ----------
    dbh_in
        Diameters [in], (trees,).
    measured_ft
        Heights [ft], NaN where not measured, (trees,); at least one is measured.
    groups
        Number of each tree's species, (trees,).

    Returns
    -------
    tuple
        Heights [ft] with measured ones as they were, and the curve used for each group.
    """
    known: BoolArray = np.isfinite(measured_ft)
    everything = fitted_curve(dbh_in[known], measured_ft[known])._replace(pooled=len(np.unique(groups)) > 1)
    heights, curves = measured_ft.copy(), {}
    for group in np.unique(groups):
        here = groups == group
        own = here & known
        curve = fitted_curve(dbh_in[own], measured_ft[own]) if own.sum() >= FEWEST_HEIGHTS else everything
        curves[int(group)] = curve
        missing = here & ~known
        heights[missing] = height_ft(dbh_in[missing], curve)
    return heights, curves
