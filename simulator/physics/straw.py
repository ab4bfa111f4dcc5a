"""Needles that fall under pines, and raking them for sale as straw."""

from typing import NamedTuple

import numpy as np

from simulator.units import BoolArray, FloatArray, Floats


class StrawYield(NamedTuple):
    """Yearly needlefall against basal area and age.

    Attributes
    ----------
    slope_lb_ft2, ceiling_lb_ac
        Needles to a square foot of basal area in an open stand [lb/ft2/yr], and the most that falls [lb/ac/yr].
    bend
        How sharply one gives way to the other [1].
    first_age, first_share, full_age, decline_age, yearly_decline, least_share
        Share of that by age: from the first age and share, all of it between the next two, then a little less
        every year [1/yr] down to the least [1].
    """

    slope_lb_ft2: float
    ceiling_lb_ac: float
    bend: float
    first_age: float
    first_share: float
    full_age: float
    decline_age: float
    yearly_decline: float
    least_share: float


class Raking(NamedTuple):
    """When straw is raked, what a bale weighs and what raking takes from the stand."""

    first_age: float
    interval_years: float
    most_rakes: float
    bale_lb: float
    yield_loss_per_rake: float
    most_yield_loss: float


def straw_yield_lb_ac(strip_basal_area_ft2_ac: Floats, age: Floats, straw: StrawYield) -> FloatArray:
    """Air-dry needles that fall in a year, which is also what one raking of them yields.

    Grass under the trees meets the same needles: the answer is the needlefall of `litter_response`.

    Parameters
    ----------
    strip_basal_area_ft2_ac
        Basal area per acre of the ground the needles are taken from [ft2/ac], any shape: in rows with grass
        alleys that of the tree strips alone, and the answer is then per strip acre. Evidence 30 to 125.
    age
        Years since planting [yr], broadcastable.
    straw
        Coefficients of the species.

    Returns
    -------
    Needles [lb/ac/yr], broadcast shape.

    References
    ----------
    Form made for this project: slope after Morris et al. in Dickens et al. 2020, Forests 11:799 (50 lb/ac for
    each ft2/ac in young slash pine), ceilings at the largest published yields; course with age assumed.
    """
    linear = straw.slope_lb_ft2 * np.asarray(strip_basal_area_ft2_ac, dtype=np.float64)
    filled = (1.0 + (linear / straw.ceiling_lb_ac) ** straw.bend) ** (1.0 / straw.bend)
    return np.asarray(linear / filled * _age_share(age, straw), dtype=np.float64)


def _age_share(age: Floats, straw: StrawYield) -> FloatArray:
    years = np.asarray(age, dtype=np.float64)
    rising = np.interp(years, [straw.first_age, straw.full_age], [straw.first_share, 1.0])
    falling = 1.0 - straw.yearly_decline * np.maximum(0.0, years - straw.decline_age)
    share = np.minimum(rising, np.maximum(straw.least_share, falling))
    return np.where(years < straw.first_age, 0.0, share)


def rake_due(age: Floats, rakes_done: Floats, raking: Raking) -> BoolArray:
    """Whether straw is raked in the winter of a year.

    Parameters
    ----------
    age
        Years since planting [yr], any shape.
    rakes_done
        Rakings so far [1], broadcastable.
    raking
        First age, years between rakings and the most rakings of a rotation.

    Returns
    -------
    True where a raking is due, broadcast shape.

    References
    ----------
    Extension guidance: first at seven or eight years, every second year, five in a rotation; second-hand.
    """
    since_first = np.asarray(age, dtype=np.float64) - raking.first_age
    in_turn = np.mod(since_first, raking.interval_years) == 0.0
    return np.asarray((since_first >= 0.0) & in_turn & (np.asarray(rakes_done) < raking.most_rakes))


def bales_ac(straw_lb_ac: Floats, bale_lb: float) -> FloatArray:
    """Count whole bales in a raking.

    Parameters
    ----------
    straw_lb_ac
        Straw raked [lb/ac], any shape.
    bale_lb
        Weight of a bale [lb], above 0.

    Returns
    -------
    Bales [1/ac], same shape.

    References
    ----------
    Definition.
    """
    return np.asarray(np.floor(np.asarray(straw_lb_ac, dtype=np.float64) / bale_lb), dtype=np.float64)


def raking_share(rakes_done: Floats, loss_per_rake: float, most_loss: float) -> FloatArray:
    """Take from straw yield, or from volume growth, what rakings without fertiliser cost on cutover land.

    Parameters
    ----------
    rakes_done
        Rakings so far [1], any shape; 0 where the stand is fertilised or stands on an old field.
    loss_per_rake, most_loss
        Share lost for each raking and in all [1].

    Returns
    -------
    Multiplier [1], same shape.

    References
    ----------
    Assumed for this project; Haywood 2009 found no loss of growth in longleaf raked 13 times.
    """
    lost = loss_per_rake * np.asarray(rakes_done, dtype=np.float64)
    return np.asarray(1.0 - np.minimum(most_loss, lost), dtype=np.float64)
