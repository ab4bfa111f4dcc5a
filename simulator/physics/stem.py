"""The stem of a tree: volume of wood and bark, how it is shared along the stem, and green weight."""

from typing import NamedTuple

import numpy as np

from simulator.units import POUNDS_PER_TON, FloatArray, Floats


class VolumeCoefficients(NamedTuple):
    """Coefficients of one volume equation, ``scale * dbh^b * height^c * exp(-decay * dbh)``.

    ``b`` is ``small_dbh_exponent`` under ``knee_in`` and ``large_dbh_exponent`` above, the curve unbroken at
    the knee.  Equations without a knee give both exponents the same value; those without decay give it zero.
    """

    scale: float
    small_dbh_exponent: float
    large_dbh_exponent: float
    height_exponent: float
    decay_per_in: float
    knee_in: float


class RatioCoefficients(NamedTuple):
    """Exponents of the cumulative volume ratio outside and inside bark."""

    outside_alpha: float
    outside_beta: float
    inside_alpha: float
    inside_beta: float


class TieCoefficients(NamedTuple):
    """How the taper that the ratio implies is tied to the measured dbh.

    ``tied_up_to_ft`` is the height at which the correction has faded to nothing; ``inside_share_limit`` is
    the largest diameter inside bark as a share of that outside.
    """

    tied_up_to_ft: float
    inside_share_limit: float


class StemCoefficients(NamedTuple):
    """All that fixes the size and shape of a stem of one species and origin."""

    wood: VolumeCoefficients
    bark: VolumeCoefficients
    ratio: RatioCoefficients
    tie: TieCoefficients


class GreenWeight(NamedTuple):
    """Weight of freshly cut wood and bark.

    Attributes
    ----------
    wood_lb_ft3, bark_lb_ft3
        Weight of a cubic foot, wood and bark each by itself [lb/ft3].
    """

    wood_lb_ft3: float
    bark_lb_ft3: float


class StemQuality(NamedTuple):
    """Shares of stems good enough for the better products, and what moves them (all pure numbers).

    Attributes
    ----------
    sawtimber_grade_share
        Share of sawtimber-size stems that pass sawtimber grade in a closed, unthinned stand.
    knot_discount_open
        Share lost where a tree is open on both sides of its row and unpruned; in proportion to open sides.
    pruned_gain
        Share won back by pruning a tree open on both sides; in proportion to open sides.
    full_pruning_ft
        Height of pruning that earns the whole gain [ft].
    selective_thinning_gain
        Share of the remaining failing stems removed, per unit of stems removed, by a thinning that takes
        the faulty stems first.
    pole_share_closed, pole_share_open
        Share of pole-size stems that pass as poles in a closed stand and in the open.
    """

    sawtimber_grade_share: float
    knot_discount_open: float
    pruned_gain: float
    full_pruning_ft: float
    selective_thinning_gain: float
    pole_share_closed: float
    pole_share_open: float


def _volume(dbh_in: Floats, height_ft: Floats, equation: VolumeCoefficients) -> FloatArray:
    dbh = np.asarray(dbh_in, dtype=np.float64)
    small = equation.scale * dbh**equation.small_dbh_exponent
    if equation.large_dbh_exponent != equation.small_dbh_exponent:
        step = equation.knee_in ** (equation.small_dbh_exponent - equation.large_dbh_exponent)
        large = equation.scale * step * dbh**equation.large_dbh_exponent
        small = np.where(dbh < equation.knee_in, small, large)
    if equation.decay_per_in != 0.0:
        small = small * np.exp(-equation.decay_per_in * dbh)
    return np.asarray(small * np.asarray(height_ft, dtype=np.float64) ** equation.height_exponent)


def volume_inside_bark_ft3(dbh_in: Floats, height_ft: Floats, stem: StemCoefficients) -> FloatArray:
    """Volume of wood in the whole stem, from the ground to the tip.

    Parameters
    ----------
    dbh_in
        Diameter outside bark at 4.5 ft [in], any shape; fitted on 5-25 in.
    height_ft
        Total height [ft], same shape or broadcastable; fitted on 3.5-8 ft per inch of dbh.
    stem
        Coefficients of the species and origin.

    Returns
    -------
    FloatArray
        Volume [ft3] of the broadcast shape.

    References
    ----------
    Westfall et al. 2024, USDA Forest Service General Technical Report WO-104, forms 1, 2 and 4, table S1a.
    """
    return _volume(dbh_in, height_ft, stem.wood)


def volume_outside_bark_ft3(dbh_in: Floats, height_ft: Floats, stem: StemCoefficients) -> FloatArray:
    """Volume of wood and bark in the whole stem: the sum of the two equations, as the authors do it.

    Parameters
    ----------
    dbh_in, height_ft, stem
        As for :func:`volume_inside_bark_ft3`.

    Returns
    -------
    FloatArray
        Volume [ft3] of the broadcast shape.

    References
    ----------
    Westfall et al. 2024, USDA Forest Service General Technical Report WO-104, tables S1a and S2a.
    """
    return _volume(dbh_in, height_ft, stem.wood) + _volume(dbh_in, height_ft, stem.bark)


def volume_share_below(at_ft: Floats, height_ft: Floats, alpha: float, beta: float) -> FloatArray:
    """Share of the stem's volume that lies below a height.

    Parameters
    ----------
    at_ft
        Height on the stem [ft], any shape; below the ground reads as 0, above the tip as 1.
    height_ft
        Total height [ft], broadcastable.
    alpha, beta
        Exponents, outside or inside bark.

    Returns
    -------
    FloatArray
        Share of the volume, 0-1 [1], of the broadcast shape.

    References
    ----------
    Westfall et al. 2024, USDA Forest Service General Technical Report WO-104, tables S4a and S5a.
    """
    above = np.clip(1.0 - np.asarray(at_ft) / np.maximum(height_ft, 1e-9), 0.0, 1.0)
    return np.asarray((1.0 - above**alpha) ** beta)


def green_ton(dbh_in: Floats, height_ft: Floats, stem: StemCoefficients, weight: GreenWeight) -> FloatArray:
    """Green weight of the whole stem, wood and bark.

    Parameters
    ----------
    dbh_in, height_ft, stem
        As for :func:`volume_inside_bark_ft3`.
    weight
        Green weights of wood and bark.

    Returns
    -------
    FloatArray
        Weight of wood and bark [green ton] of the broadcast shape.

    References
    ----------
    Densities from the USDA Forest Service's reference table of species; volumes by Westfall et al. 2024.
    """
    wood = _volume(dbh_in, height_ft, stem.wood) * weight.wood_lb_ft3
    return (wood + _volume(dbh_in, height_ft, stem.bark) * weight.bark_lb_ft3) / POUNDS_PER_TON
