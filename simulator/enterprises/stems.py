"""Measured trees: their volumes, both surfaces of their stems and the weight below any height."""

from typing import NamedTuple

import numpy as np

from simulator.physics.stem import (
    GreenWeight,
    StemCoefficients,
    volume_inside_bark_ft3,
    volume_outside_bark_ft3,
    volume_share_below,
)
from simulator.physics.taper import (
    BREAST_HEIGHT_FT,
    Taper,
    diameter_in,
    height_to_diameter_ft,
    implied_diameter_in,
)
from simulator.units import POUNDS_PER_TON, BoolArray, FloatArray, Floats


class Stems(NamedTuple):
    """Trees of one species and origin with all that questions about their stems need.

    ``inside_share_limit`` is the largest diameter inside bark as a share of that outside.
    """

    dbh_in: FloatArray
    outside: Taper
    inside: Taper
    inside_share_limit: float


def measured_stems(dbh_in: Floats, height_ft: Floats, stem: StemCoefficients) -> Stems:
    """Volumes of trees and the tie of their taper to the measured dbh, computed once.

    Parameters
    ----------
    dbh_in
        Diameter outside bark at 4.5 ft [in], any shape.
    height_ft
        Total height [ft], broadcastable.
    stem
        Coefficients of the species and origin.

    Returns
    -------
    Stems
        Arrays of the broadcast shape.

    References
    ----------
    Volumes by Westfall et al. 2024, USDA Forest Service General Technical Report WO-104; the tie to the
    measured dbh is this project's own.
    """
    dbh, height = np.broadcast_arrays(np.asarray(dbh_in, dtype=np.float64), np.asarray(height_ft, np.float64))
    untied = np.ones_like(dbh)
    ratio, end = stem.ratio, stem.tie.tied_up_to_ft
    outside = Taper(
        height,
        volume_outside_bark_ft3(dbh, height, stem),
        untied,
        ratio.outside_alpha,
        ratio.outside_beta,
        end,
    )
    implied = implied_diameter_in(BREAST_HEIGHT_FT, outside)
    tie = np.divide(dbh, implied, out=untied, where=implied > 0.0)
    inside = Taper(height, volume_inside_bark_ft3(dbh, height, stem), tie, ratio.inside_alpha, ratio.inside_beta, end)
    return Stems(dbh, outside._replace(tie=tie), inside, stem.tie.inside_share_limit)


def chosen_stems(stems: Stems, chosen: BoolArray) -> Stems:
    """Those of the trees that are chosen, in a flat array.

    Parameters
    ----------
    stems
        Trees from :func:`measured_stems`.
    chosen
        Which of them, same shape.

    Returns
    -------
    Stems
        Arrays of one axis.
    """
    outside, inside = (
        side._replace(height_ft=side.height_ft[chosen], volume_ft3=side.volume_ft3[chosen], tie=side.tie[chosen])
        for side in (stems.outside, stems.inside)
    )
    return Stems(stems.dbh_in[chosen], outside, inside, stems.inside_share_limit)


def diameter_outside_bark_in(at_ft: Floats, stems: Stems) -> FloatArray:
    """Diameter outside bark at a height.

    Parameters
    ----------
    at_ft
        Height on the stem [ft], broadcastable with the stems; read no lower than 0.1 ft.
    stems
        Trees from :func:`measured_stems`.

    Returns
    -------
    FloatArray
        Diameter [in] of the broadcast shape; 0 above the tip.
    """
    return diameter_in(at_ft, stems.outside)


def diameter_inside_bark_in(at_ft: Floats, stems: Stems) -> FloatArray:
    """Diameter of the wood at a height: always a little less than the diameter outside bark.

    Parameters
    ----------
    at_ft
        Height on the stem [ft], broadcastable with the stems; read no lower than 0.1 ft.
    stems
        Trees from :func:`measured_stems`.

    Returns
    -------
    FloatArray
        Diameter [in] of the broadcast shape; 0 above the tip.

    References
    ----------
    As for :func:`simulator.physics.taper.diameter_in`; the limit where both equations cross: this project's own.
    """
    limit = stems.inside_share_limit * diameter_in(at_ft, stems.outside)
    return np.minimum(diameter_in(at_ft, stems.inside), limit)


def height_to_top_diameter_ft(top_in: Floats, stems: Stems, *, inside_bark: bool = False) -> FloatArray:
    """Greatest height at which a stem still has a top diameter.

    Parameters
    ----------
    top_in
        Top diameter [in] above 0, broadcastable with the stems.
    stems
        Trees from :func:`measured_stems`.
    inside_bark
        Whether the diameter is of the wood alone.

    Returns
    -------
    FloatArray
        Height [ft] of the broadcast shape, within 0.001 ft.
    """
    if not inside_bark:
        return height_to_diameter_ft(top_in, stems.outside)
    limit = height_to_diameter_ft(np.asarray(top_in) / stems.inside_share_limit, stems.outside)
    return np.minimum(height_to_diameter_ft(top_in, stems.inside), limit)


def green_ton_below(at_ft: Floats, stems: Stems, weight: GreenWeight) -> FloatArray:
    """Green weight of wood and bark between the ground and a height.

    Parameters
    ----------
    at_ft
        Height on the stem [ft], broadcastable with the stems.
    stems
        Trees from :func:`measured_stems`.
    weight
        Green weights of wood and bark.

    Returns
    -------
    FloatArray
        Green weight [green ton] of the broadcast shape; of the whole stem at or above the tip.

    References
    ----------
    As for :func:`simulator.physics.stem.volume_share_below` and :func:`simulator.physics.stem.green_ton`.
    """
    wood, both = (
        side.volume_ft3 * volume_share_below(at_ft, side.height_ft, side.alpha, side.beta)
        for side in (stems.inside, stems.outside)
    )
    pounds = wood * (weight.wood_lb_ft3 - weight.bark_lb_ft3) + both * weight.bark_lb_ft3
    return np.asarray(pounds / POUNDS_PER_TON)
