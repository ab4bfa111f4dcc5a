"""Taper of a stem: the diameter that its cumulative volume ratio implies, tied to the measured dbh."""

from functools import lru_cache
from typing import Final, NamedTuple

import numpy as np

from simulator.units import BASAL_AREA_FT2_PER_IN2, BoolArray, FloatArray, Floats

BREAST_HEIGHT_FT: Final = 4.5
LOWEST_READING_FT: Final = 0.1
"""The implied diameter grows without bound at the ground, so it is never read lower than this."""
_BISECTIONS: Final = 22
_TABLE_NODES: Final = 8192
_TINY: Final = 1e-9


class Taper(NamedTuple):
    """One surface, outside bark or inside, of many stems.

    ``alpha`` and ``beta`` are the exponents of the volume ratio; ``tie`` is the measured dbh over the
    diameter outside bark that the ratio alone implies at breast height, a correction that fades to nothing
    at ``tied_up_to_ft``.

    Attributes
    ----------
    height_ft
        Total height [ft], (trees,).
    volume_ft3
        Volume within the surface, outside bark or inside [ft3], (trees,).
    tie
        Measured dbh over that which the volume ratio implies [1], (trees,).
    alpha, beta
        Exponents of the volume ratio [1].
    tied_up_to_ft
        Height where the tie has faded out [ft].
    """

    height_ft: FloatArray
    volume_ft3: FloatArray
    tie: FloatArray
    alpha: float
    beta: float
    tied_up_to_ft: float


def implied_diameter_in(at_ft: Floats, taper: Taper) -> FloatArray:
    """Diameter whose basal area is the volume gained per foot of height, with no tie to dbh.

    Parameters
    ----------
    at_ft
        Height on the stem [ft], broadcastable with the stems; read no lower than 0.1 ft.
    taper
        The surface asked for.

    Returns
    -------
    FloatArray
        Diameter [in] of the broadcast shape; 0 above the tip.

    References
    ----------
    Slope of the volume ratio of Westfall et al. 2024, USDA Forest Service General Technical Report WO-104.
    """
    height = np.maximum(taper.height_ft, _TINY)
    above = np.clip(1.0 - np.maximum(at_ft, LOWEST_READING_FT) / height, 0.0, 1.0)
    steepness = (1.0 - above**taper.alpha) ** (taper.beta - 1.0) * above ** (taper.alpha - 1.0)
    basal_area_ft2 = taper.volume_ft3 / height * taper.alpha * taper.beta * steepness
    return np.asarray(np.sqrt(basal_area_ft2 / BASAL_AREA_FT2_PER_IN2))


def _tied_in(at_ft: Floats, taper: Taper) -> FloatArray:
    fade = (taper.tied_up_to_ft - np.asarray(at_ft)) / (taper.tied_up_to_ft - BREAST_HEIGHT_FT)
    return implied_diameter_in(at_ft, taper) * (1.0 + (taper.tie - 1.0) * np.clip(fade, 0.0, 1.0))


def diameter_in(at_ft: Floats, taper: Taper) -> FloatArray:
    """Diameter at a height; outside bark it equals dbh at 4.5 ft, and it never swells upward.

    Parameters
    ----------
    at_ft
        Height on the stem [ft], broadcastable with the stems; read no lower than 0.1 ft.
    taper
        The surface asked for.

    Returns
    -------
    FloatArray
        Diameter [in] of the broadcast shape; 0 above the tip.

    References
    ----------
    As for :func:`implied_diameter_in`; the tie to dbh is this project's own.
    """
    tied = _tied_in(at_ft, taper)
    low = np.asarray(at_ft) < taper.tied_up_to_ft
    if not low.any():
        return tied
    # A very tall stem would dip below its diameter at the end of the correction and swell again.
    least = implied_diameter_in(taper.tied_up_to_ft, taper)
    return np.where(low, np.maximum(tied, least), tied)


@lru_cache(maxsize=16)
def _steepness_table(alpha: float, beta: float) -> tuple[FloatArray, FloatArray]:
    # Nodes crowd toward the ground and the tip, where the steepness runs away.
    angle = np.linspace(0.0, np.pi, _TABLE_NODES + 2)[1:-1]
    above = 0.5 * (1.0 - np.cos(angle))
    return (beta - 1.0) * np.log1p(-(above**alpha)) + (alpha - 1.0) * np.log(above), above


def _implied_height_ft(diameter_in: Floats, taper: Taper) -> FloatArray:
    """Height of a diameter with no tie to dbh: one table per surface serves every tree."""
    cylinder = BASAL_AREA_FT2_PER_IN2 * np.asarray(diameter_in) ** 2 * taper.height_ft
    volume = np.maximum(taper.volume_ft3, _TINY) * taper.alpha * taper.beta
    steepness, above = _steepness_table(taper.alpha, taper.beta)
    wanted = np.log(np.maximum(cylinder, _TINY) / volume)
    return np.asarray(taper.height_ft * (1.0 - np.interp(wanted, steepness, above)))


def _some(taper: Taper, chosen: BoolArray, shape: tuple[int, ...]) -> Taper:
    height, volume, tie = (np.broadcast_to(part, shape)[chosen] for part in taper[:3])
    return taper._replace(height_ft=height, volume_ft3=volume, tie=tie)


def _tied_height_ft(diameter: FloatArray, taper: Taper) -> FloatArray:
    """Height of a diameter between breast height and the end of the correction, by halving."""
    low = np.full_like(diameter, BREAST_HEIGHT_FT)
    high = np.minimum(taper.tied_up_to_ft, taper.height_ft)
    for _ in range(_BISECTIONS):
        middle = 0.5 * (low + high)
        wide = _tied_in(middle, taper) >= diameter
        low, high = np.where(wide, middle, low), np.where(wide, high, middle)
    return low


def height_to_diameter_ft(diameter_in: Floats, taper: Taper) -> FloatArray:
    """Greatest height at which the stem still has a diameter: the inverse of :func:`diameter_in`.

    Parameters
    ----------
    diameter_in
        Diameter [in] above 0, broadcastable with the stems.
    taper
        The surface asked for.

    Returns
    -------
    FloatArray
        Height [ft] of the broadcast shape, within 0.001 ft.

    References
    ----------
    As for :func:`diameter_in`.
    """
    height = _implied_height_ft(diameter_in, taper)
    tied = height < taper.tied_up_to_ft
    if not tied.any():
        return height
    # Below breast height the tie is constant, so the untied inverse serves once the tie is divided out.
    part = _some(taper, tied, height.shape)
    wanted = np.broadcast_to(diameter_in, height.shape)[tied]
    below = _implied_height_ft(wanted / np.maximum(part.tie, _TINY), part)
    between = below > BREAST_HEIGHT_FT
    below[between] = _tied_height_ft(wanted[between], _some(part, between, below.shape))
    height[tied] = below
    return height
