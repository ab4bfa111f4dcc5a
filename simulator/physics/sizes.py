"""How unequal the stems of one row are: classes of equal number from a Weibull by moments."""

from functools import lru_cache
from math import gamma
from typing import NamedTuple

import numpy as np

from simulator.roots import root_between
from simulator.units import FloatArray


class SizeCoefficients(NamedTuple):
    """Spread of stem diameters.

    Attributes
    ----------
    density_trees_per_ac, variation
        Points of a line: coefficient of variation of dbh [1] at so many trees per acre.
    smallest_sds
        Where the smallest tree lies, in standard deviations below the mean.
    """

    density_trees_per_ac: tuple[float, ...]
    variation: tuple[float, ...]
    smallest_sds: float


class Weibull(NamedTuple):
    """Three-parameter Weibull distribution of dbh: location and scale [in], shape [1]."""

    location_in: float
    scale_in: float
    shape: float


def variation_of_dbh(trees_per_ac: FloatArray, c: SizeCoefficients) -> FloatArray:
    """Coefficient of variation of dbh by density at crown closure.

    Parameters
    ----------
    trees_per_ac
        Living trees [1/ac], any shape.
    c
        Coefficients.

    Returns
    -------
    FloatArray
        Standard deviation / mean [1]. Observed 0.163 on one national-inventory loblolly plot.

    References
    ----------
    One observed plot; the trend with density: assumed for this project.
    """
    return np.asarray(np.interp(trees_per_ac, c.density_trees_per_ac, c.variation))


def weibull_by_moments(quadratic_mean_in: float, variation: float, smallest_sds: float) -> Weibull:
    """Weibull whose mean square and spread are those of the stand.

    Parameters
    ----------
    quadratic_mean_in
        Quadratic mean dbh [in], > 0.
    variation
        Coefficient of variation of dbh [1], 0.05-0.4.
    smallest_sds
        Smallest tree, standard deviations below the mean.

    Returns
    -------
    Weibull

    References
    ----------
    Bailey & Dell 1973, Forest Science 19:97-104; moment recovery after Hyink & Moser 1983,
    Forest Science 29:85-95 (from memory).
    """
    mean = quadratic_mean_in / np.sqrt(1.0 + variation**2)
    sd = variation * mean
    location = 0.5 * (mean - smallest_sds * sd)

    def spread(shape: float) -> float:
        first, second = gamma(1.0 + 1.0 / shape), gamma(1.0 + 2.0 / shape)
        return float(second / first**2 - 1.0 - (sd / (mean - location)) ** 2)

    shape = root_between(spread, 0.5, 60.0, 1e-12)
    return Weibull(float(location), float((mean - location) / gamma(1.0 + 1.0 / shape)), shape)


@lru_cache(maxsize=512)
def _relative_classes(variation: float, smallest_sds: float, classes: int) -> tuple[float, ...]:
    curve = weibull_by_moments(1.0, variation, smallest_sds)
    inside = 16  # points per class: the class's mean square, not its midpoint, keeps basal area exact
    share = (np.arange(classes * inside) + 0.5) / (classes * inside)
    size = curve.location_in + curve.scale_in * (-np.log1p(-share)) ** (1.0 / curve.shape)
    square = (size**2).reshape(classes, inside).mean(axis=1)
    return tuple(np.sqrt(square / square.mean()))


def relative_size_classes(variation: FloatArray, smallest_sds: float, classes: int) -> FloatArray:
    """Diameters of classes of equal number, relative to the quadratic mean.

    Parameters
    ----------
    variation
        Coefficient of variation of dbh [1], any shape; rounded to .001.
    smallest_sds
        Smallest tree, standard deviations below the mean.
    classes
        Number of classes.

    Returns
    -------
    FloatArray
        Class dbh / quadratic mean dbh, ascending, shape ``variation.shape + (classes,)``;
        the mean square over classes is exactly 1.
    """
    values, inverse = np.unique(np.round(variation, 3), return_inverse=True)
    table = np.array([_relative_classes(float(value), smallest_sds, classes) for value in values])
    return np.asarray(table[inverse.reshape(np.shape(variation))])
