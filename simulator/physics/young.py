"""What hard ground and self-sown trees take from the growth of the trees that were planted."""

from typing import NamedTuple

import numpy as np

from simulator.units import FloatArray, Floats, IntArray


class Unripped(NamedTuple):
    """Trees planted into compacted pasture without ripping.

    Attributes
    ----------
    survival_factor
        Survival against ripped ground [1].
    growth_factor
        Diameter growth against ripped ground in the first years [1].
    years
        Years until the roots are through [yr].
    """

    survival_factor: float
    growth_factor: float
    years: float


class Volunteers(NamedTuple):
    """Self-sown trees among the planted ones.

    Attributes
    ----------
    most_loss
        Largest loss of diameter growth of the planted trees [1].
    half_loss_per_ac
        Volunteers at which half of that is lost [1/ac].
    control_age
        Age at which they are cut where the owner controls them, and from which they crowd elsewhere [yr].
    """

    most_loss: float
    half_loss_per_ac: float
    control_age: float


class Burn(NamedTuple):
    """How prescribed fire is done.

    Attributes
    ----------
    least_charged_ac
        A burner charges for at least so many acres.
    rest_months
        Months of the growing season without grazing, so that there is grass to burn and it comes back.
    safe_height_ft
        Height from which a cool burn kills no tree [ft].
    most_lost
        Share of the smallest trees lost [1].
    """

    least_charged_ac: float
    rest_months: float
    safe_height_ft: float
    most_lost: float


def unripped_growth(age: IntArray, c: Unripped) -> FloatArray:
    """Diameter-growth multiplier on ground that was not ripped.

    Parameters
    ----------
    age
        Years since planting at the end of the season, any shape.
    c
        Coefficients.

    Returns
    -------
    FloatArray
        Multiplier [1], below 1 in the first years.

    References
    ----------
    Assumed for this project.
    """
    return np.where(np.asarray(age) <= c.years, c.growth_factor, 1.0)


def crowded_growth(volunteers_per_ac: Floats, c: Volunteers) -> FloatArray:
    """Diameter-growth multiplier of planted trees among volunteers.

    Parameters
    ----------
    volunteers_per_ac
        Self-sown trees left standing [1/ac], any shape.
    c
        Coefficients.

    Returns
    -------
    FloatArray
        Multiplier [1], from 1 down to 1 less the largest loss.

    References
    ----------
    Assumed for this project.
    """
    count = np.asarray(volunteers_per_ac, dtype=np.float64)
    return np.asarray(1.0 - c.most_loss * count / (count + c.half_loss_per_ac))
