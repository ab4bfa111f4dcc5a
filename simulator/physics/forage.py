"""How much grass an acre grows in the open and under trees."""

from typing import NamedTuple

import numpy as np

from simulator.units import BoolArray, FloatArray, Floats


class OpenYield(NamedTuple):
    """Yearly yield in full sun against nitrogen, and what a farm gets of a clipped plot's yield.

    Attributes
    ----------
    unfertilised_lb_ac, response_ceiling_lb_ac
        Yield without nitrogen, and the most that nitrogen adds to it [lb/ac/yr].
    response_per_lb_nitrogen
        How soon that is reached [ac/lb].
    farm_factor
        Yield of a farm against that of a clipped plot [1].
    """

    unfertilised_lb_ac: float
    response_ceiling_lb_ac: float
    response_per_lb_nitrogen: float
    farm_factor: float


class ShadeResponse(NamedTuple):
    """Answer of a sward to light and to the roots of trees.

    Attributes
    ----------
    compensation_light, half_saturation
        Light at which nothing grows, and how the answer bends above it [1].
    root_loss, full_root_stocking
        Share of growth lost to roots in a full stand, and the density at which a stand is that [1].
    """

    compensation_light: float
    half_saturation: float
    root_loss: float
    full_root_stocking: float


class LitterLoss(NamedTuple):
    """Share of growth lost under needles that nobody rakes, burns or mows.

    Attributes
    ----------
    most_loss
        Most that is lost [1].
    full_needlefall_lb_ac
        Needlefall from which that much is lost [lb/ac/yr].
    """

    most_loss: float
    full_needlefall_lb_ac: float


class Persistence(NamedTuple):
    """Yearly thinning of a sward kept too dark, its way back, and how far from the threshold both are in full.

    Attributes
    ----------
    threshold_light, full_rate_distance
        Light below which the sward thins, and how far from it the rates are reached in full [1].
    yearly_thinning, yearly_recovery, reseeded_recovery
        Share of the sward lost in a year, and gained, without and with seed [1/yr].
    least_share
        Least that is left of it [1].
    """

    threshold_light: float
    full_rate_distance: float
    yearly_thinning: float
    yearly_recovery: float
    reseeded_recovery: float
    least_share: float


class Establishment(NamedTuple):
    """Share of a full sward's yield in the first, second, ... year after sowing; the last one holds on."""

    yearly_share: tuple[float, ...]


class Season(NamedTuple):
    """Share of the year's growth in each month, January to December."""

    monthly_share: tuple[float, ...]


def open_yield_lb_ac(nitrogen_lb_ac: Floats, curve: OpenYield) -> FloatArray:
    """Yearly dry matter that a full sward grows in the open.

    Parameters
    ----------
    nitrogen_lb_ac
        Nitrogen spread in the year [lb/ac], any shape; fitted from 0 to 400.
    curve
        Coefficients of the grass.

    Returns
    -------
    Dry matter [lb/ac], same shape.

    References
    ----------
    Saturating response fitted for this project to a published table of nitrogen on bahiagrass plots.
    """
    rising = 1.0 - np.exp(-curve.response_per_lb_nitrogen * np.asarray(nitrogen_lb_ac, dtype=np.float64))
    plot_yield = curve.unfertilised_lb_ac + curve.response_ceiling_lb_ac * rising
    return np.asarray(curve.farm_factor * plot_yield, dtype=np.float64)


def monthly_growth_lb(yearly_lb: Floats, season: Season) -> FloatArray:
    """Spread a year's growth over its months.

    Parameters
    ----------
    yearly_lb
        Growth of the year [lb or lb/ac], shape (...).
    season
        Twelve shares that sum to one.

    Returns
    -------
    Growth by month, January first [same unit], shape (..., 12).

    References
    ----------
    Definition.
    """
    yearly = np.asarray(yearly_lb, dtype=np.float64)
    return np.asarray(yearly[..., np.newaxis] * np.asarray(season.monthly_share), dtype=np.float64)


def light_response(light_share: Floats, shade: ShadeResponse) -> FloatArray:
    """Growth at a point relative to full sun, for light alone.

    The curve bends downward, so the caller takes it at each point across the alley and averages the
    answers, never the light.

    Parameters
    ----------
    light_share
        Light of the growing season at the point as a share of the open [1], any shape, 0 to 1.
    shade
        Coefficients of the grass.

    Returns
    -------
    Relative growth [1], same shape: 0 at and below the compensation light, 1 in full sun.

    References
    ----------
    Shifted rectangular hyperbola; coefficients chosen for this project, see docs/fit_shade_response.py.
    """
    light = np.asarray(light_share, dtype=np.float64)
    used = np.maximum(0.0, (light - shade.compensation_light) / (1.0 - shade.compensation_light))
    return np.asarray((1.0 + shade.half_saturation) * used / (used + shade.half_saturation), dtype=np.float64)


def root_response(sdi_share_of_maximum: Floats, shade: ShadeResponse) -> FloatArray:
    """Growth left after trees' roots took their water and nitrogen.

    Parameters
    ----------
    sdi_share_of_maximum
        Stand density index as a share of the species' maximum [1], any shape, 0 or more.
    shade
        Coefficients of the grass.

    Returns
    -------
    Multiplier [1], same shape, from 1 without trees down to one minus the root loss.

    References
    ----------
    Assumed for this project: the difference between grass in shade cloth and grass under pines.
    """
    crowding = np.asarray(sdi_share_of_maximum, dtype=np.float64) / shade.full_root_stocking
    return np.asarray(1.0 - shade.root_loss * np.minimum(1.0, crowding), dtype=np.float64)


def litter_response(needlefall_lb_ac: Floats, litter: LitterLoss) -> FloatArray:
    """Growth left under a year's fallen needles.

    Parameters
    ----------
    needlefall_lb_ac
        Air-dry needles left lying on the grass [lb/ac/yr], any shape; 0 where raked, burnt or mown.
    litter
        Coefficients of the loss.

    Returns
    -------
    Multiplier [1], same shape.

    References
    ----------
    Assumed for this project.
    """
    cover = np.asarray(needlefall_lb_ac, dtype=np.float64) / litter.full_needlefall_lb_ac
    return np.asarray(1.0 - litter.most_loss * np.minimum(1.0, cover), dtype=np.float64)


def next_stand_share(
    stand_share: Floats, mean_light: Floats, persistence: Persistence, *, reseeded: bool | BoolArray = False
) -> FloatArray:
    """Share of a full sward alive at the end of a year.

    Parameters
    ----------
    stand_share
        Share alive at its start [1], any shape, 0 to 1.
    mean_light
        Mean growing-season light on the grass [1], broadcastable.
    persistence
        Coefficients of the grass. A small least share of crowns, runners and seed always stays, so that
        the sward can come back.
    reseeded
        Whether seed was sown into the sward in the year; it helps only above the threshold light.
        All rates grow in proportion to the distance of the light from the threshold, up to the full rate.

    Returns
    -------
    Share alive [1], broadcast shape.

    References
    ----------
    Assumed for this project; thresholds from memory.
    """
    stand = np.asarray(stand_share, dtype=np.float64)
    gain = np.where(reseeded, persistence.reseeded_recovery, persistence.yearly_recovery)
    beyond = np.asarray(mean_light, dtype=np.float64) - persistence.threshold_light
    pace = np.minimum(1.0, np.abs(beyond) / max(persistence.full_rate_distance, 1e-9))
    dark = beyond < 0.0
    moved = np.where(dark, stand * (1.0 - persistence.yearly_thinning * pace), stand + gain * pace)
    return np.asarray(np.clip(moved, persistence.least_share, 1.0), dtype=np.float64)


def establishment_share(years_since_sown: Floats, establishment: Establishment) -> FloatArray:
    """Yield of a sward sown lately relative to a full one.

    Parameters
    ----------
    years_since_sown
        1 in the first growing season after sowing [yr], any shape; below 1 nothing grows yet. A sward that
        was there already is given any large number.
    establishment
        Yearly shares of the grass.

    Returns
    -------
    Multiplier [1], same shape.

    References
    ----------
    Assumed for this project.
    """
    shares = np.asarray((0.0, *establishment.yearly_share))
    year = np.floor(np.minimum(np.asarray(years_since_sown, dtype=np.float64), len(shares) - 1))
    return np.asarray(shares[np.maximum(0, year).astype(np.int64)], dtype=np.float64)
