"""Winter annuals sown into a summer grass: what they take from its spring and leave to its summer."""

from typing import Final, NamedTuple

import numpy as np

from simulator.units import FloatArray, Floats

APRIL: Final = 3
MAY: Final = 4


class Overseeding(NamedTuple):
    """A winter annual in another grass: spring growth it costs, nitrogen it needs and leaves."""

    spring_loss_to_base: float
    usual_nitrogen_lb_ac: float
    nitrogen_credit_lb_ac: float
    credit_ends_at_lb_ac: float


def base_after_overseeding_lb(monthly_lb: FloatArray, sown: Floats, winter: Overseeding) -> FloatArray:
    """Growth of the summer grass by month where a winter annual stood in it.

    Parameters
    ----------
    monthly_lb
        Growth without the annual [lb or lb/ac], shape (..., 12), January first.
    sown
        1 where the annual was sown, 0 elsewhere, shape (...).
    winter
        Coefficients of the annual.

    Returns
    -------
    Growth by month [same unit], shape (..., 12): April and May are set back, the other months are as they were.

    References
    ----------
    Assumed for this project; a share of a tenth, of which one trial shows more and another nothing.
    """
    left = np.ones(np.shape(monthly_lb))
    left[..., APRIL : MAY + 1] -= winter.spring_loss_to_base * np.asarray(sown)[..., np.newaxis]
    return np.asarray(monthly_lb * left)


def clover_nitrogen_lb_ac(growth_share: Floats, nitrogen_lb_ac: Floats, winter: Overseeding) -> FloatArray:
    """Nitrogen that a winter annual leaves to the summer grass of the same year.

    Parameters
    ----------
    growth_share
        Its growth against a full stand in the open [1], any shape, 0 to 1.
    nitrogen_lb_ac
        Nitrogen bought for the summer grass [lb/ac], broadcastable: fed with it, a clover fixes less.
    winter
        Coefficients of the annual.

    Returns
    -------
    Nitrogen [lb/ac], broadcast shape: from 0 to the full credit.

    References
    ----------
    Credit from memory; that it falls in a straight line with nitrogen bought is assumed for this project.
    """
    unfed = np.clip(1.0 - np.asarray(nitrogen_lb_ac) / winter.credit_ends_at_lb_ac, 0.0, 1.0)
    return np.asarray(winter.nitrogen_credit_lb_ac * np.clip(growth_share, 0.0, 1.0) * unfed)
