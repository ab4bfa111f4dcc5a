"""What a logger's machines do to the trees that are left: scarred stems, some of which lose their grade."""

from typing import NamedTuple

import numpy as np

from simulator.units import FloatArray, Floats


class LoggingDamage(NamedTuple):
    """Damage of one thinning to the trees that stay.

    Attributes
    ----------
    scarred_share
        Share of the leave trees scarred on bole, crown or root [1].
    downgraded_share
        Share of the scarred that make no sawtimber any more [1].
    alley_factor
        Scars beside an open alley, where machines have room, against those in a closed stand [1].
    """

    scarred_share: float
    downgraded_share: float
    alley_factor: float


def grade_kept_share(room: Floats, c: LoggingDamage) -> FloatArray:
    """Share of the good leave trees that are still good after the machines have been through.

    Parameters
    ----------
    room
        1 where the row stands beside an open alley, 0 in a closed stand [1], any shape.
    c
        Damage of one thinning.

    Returns
    -------
    FloatArray
        Share [1], same shape. What scars cost in growth, under 2 % of the diameter growth of a scarred tree, is left
        out.

    References
    ----------
    Share of residual trees damaged in loblolly thinnings: Forests 11:731 (8 %) and Forests 15:794 (10 % where rows
    were taken by machine). How many lose their grade, and what alleys spare, is assumed for this project.
    """
    scarred = c.scarred_share * (1.0 - (1.0 - c.alley_factor) * np.asarray(room, np.float64))
    return np.asarray(1.0 - scarred * c.downgraded_share)
