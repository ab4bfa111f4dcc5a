"""Leave trees scarred in a thinning."""

from dataclasses import replace

import numpy as np

from simulator.events.planting import open_side_share
from simulator.events.thinning import Cut
from simulator.geometry import Geometry
from simulator.physics.scars import LoggingDamage, grade_kept_share
from simulator.state import Stand


def scarred(left: Stand, cut: Cut, geometry: Geometry, damage: LoggingDamage) -> Stand:
    """What a thinning leaves, with the scars of its machines.

    Parameters
    ----------
    left
        The trees that stay.
    cut
        What was taken; where nothing was, nobody drove.
    geometry
        Rows, some of them beside alleys.
    damage
        Damage of one thinning.

    Returns
    -------
    Stand
        A smaller share of its stems is good enough for sawtimber; sizes of trees stay.
    """
    worked = np.asarray(cut.trees.any(axis=(1, 2)))
    room = np.asarray(open_side_share(geometry) > 0, np.float64)
    share = np.where(worked[:, None], grade_kept_share(room, damage), 1.0)
    return replace(left, grade=left.grade * share[..., None])
