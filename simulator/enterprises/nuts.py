"""Nuts of orchard trees: gathered, cleaned and sold, and the orchard kept."""

import numpy as np

from simulator.enterprises.setting import Setting, planted
from simulator.physics.nuts import nut_yield_lb_ac
from simulator.state import Stand, trees_per_ac
from simulator.units import FloatArray


def gather(setting: Setting, year: int, stand: Stand) -> FloatArray:
    """Book the year's nuts and the care of the trees; nothing for species that bear none, or once nobody cares.

    Parameters
    ----------
    setting
        The batch.
    year
        Row.
    stand
        At the end of the season, (candidates, rows).

    Returns
    -------
    FloatArray
        Nuts gathered [lb/ac], (candidates,).
    """
    bearing, orchard = setting.tables.tree.species.nuts, setting.tables.tree.species.orchard
    if bearing is None or orchard is None:
        return np.zeros(setting.plan.candidates)
    book, trees = setting.book, planted(setting.plan) & (stand.age < setting.plan.agenda.let_go_from)
    pounds = nut_yield_lb_ac(trees_per_ac(stand), stand.age, bearing) * trees
    book.post(year, "nuts", pounds, trees)
    book.post(year, "nut_harvest", pounds, trees)
    book.post(year, "orchard_care", 1.0, trees)
    book.post(year, "nut_labour", orchard.care_h_ac_yr, trees)
    return pounds
