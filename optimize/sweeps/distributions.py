"""From a share of all cases to the value of a factor: the inverse of its distribution."""

from collections.abc import Callable
from typing import Final

import numpy as np

from optimize.sweeps.model import Factor
from simulator.units import FloatArray

Quantile = Callable[[FloatArray], FloatArray]
FAR_OUT: Final = 1e-3
"""Open ends are cut where one case in a thousand lies beyond, so that no design meets an infinite value."""
COVERED: Final = 0.05
"""One at a time, a distribution without ends goes from the lowest to the highest twentieth of its cases."""


def quantile_of(factor: Factor) -> Quantile:
    """Value below which a share of all cases lies, as a function of that share.

    Parameters
    ----------
    factor
        A factor with a complete range or distribution.

    Returns
    -------
    callable
        Shares [1], any shape, to values in the unit of the factor. A normal or log-normal distribution is cut at
        ``low``
        and ``high`` where they are given.

    References
    ----------
    Inverse of each distribution: definition.
    """
    if factor.distribution in {"normal", "log-normal"}:
        return _bell(factor)
    low, high = _number(factor.low), _number(factor.high)
    if factor.distribution == "triangular":
        return _triangle(low, _number(factor.most_likely), high)
    if factor.distribution == "log-uniform":
        return lambda share: np.asarray(low * (high / low) ** share)
    return lambda share: np.asarray(low + (high - low) * share)


def has_ends(factor: Factor) -> bool:
    """Whether a range or distribution has a lowest and a highest value."""
    return factor.low is not None and factor.high is not None


def _number(value: float | None) -> float:
    if value is None:
        raise ValueError("a distribution lacks a number that the check of the file asks for")
    return value


def _bell(factor: Factor) -> Quantile:
    """Inverse of a normal or log-normal distribution, cut at its ends.

    Parameters
    ----------
    factor
        With its mean and standard deviation, or median and spread.

    Returns
    -------
    callable
        Shares [1] to values. An open end is cut where one case in a thousand lies beyond.

    References
    ----------
    Definition; where open ends are cut is a choice of this project.
    """
    from scipy.special import ndtr, ndtri  # noqa: PLC0415 - asked only by who uses it

    logs = factor.distribution == "log-normal"
    middle = np.log(_number(factor.median)) if logs else _number(factor.mean)
    width = np.log(_number(factor.spread)) if logs else _number(factor.standard_deviation)

    def share_below(limit: float | None, open_end: float) -> float:
        if limit is None:
            return open_end
        return float(ndtr(((np.log(limit) if logs else limit) - middle) / width))

    below, above = share_below(factor.low, FAR_OUT), share_below(factor.high, 1.0 - FAR_OUT)

    def value(share: FloatArray) -> FloatArray:
        found = middle + width * ndtri(below + (above - below) * share)
        return np.asarray(np.exp(found) if logs else found)

    return value


def _triangle(low: float, top: float, high: float) -> Quantile:
    """Inverse of a triangular distribution.

    Parameters
    ----------
    low, top, high
        Lowest, most likely and highest value, in the unit of the factor.

    Returns
    -------
    callable
        Shares [1] to values.

    References
    ----------
    Definition.
    """
    left = (top - low) / (high - low)

    def value(share: FloatArray) -> FloatArray:
        rising = low + np.sqrt(share * (high - low) * (top - low))
        falling = high - np.sqrt((1.0 - share) * (high - low) * (high - top))
        return np.where(share < left, rising, falling)

    return value
