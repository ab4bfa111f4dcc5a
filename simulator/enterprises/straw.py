"""Pine straw raked from the tree strips, where there is a market for it."""

from typing import NamedTuple

import numpy as np

from simulator.enterprises.setting import Setting, has_alley
from simulator.enterprises.sward import Needles
from simulator.physics.straw import bales_ac, raking_share
from simulator.units import BoolArray, FloatArray


class Rakes(NamedTuple):
    """Where straw is raked this year, how many rakes went before, and where animals graze, (candidates,)."""

    due: BoolArray
    done: FloatArray
    grazed: BoolArray


def rake(setting: Setting, year: int, fall: Needles, rakes: Rakes) -> FloatArray:
    """Rake where it is due, and book bales, floor preparation and temporary fence.

    Parameters
    ----------
    setting
        The batch.
    year
        Row.
    fall
        Needlefall of the year.
    rakes
        Where straw is raked and how often before; on cutover land each rake takes a little from the next.

    Returns
    -------
    FloatArray
        Bales [1/ac of land], (candidates,). Between grass alleys only the strips are raked, and
        limbs and sod leave part of the needles.

    References
    ----------
    Shares that a rake gathers: practice or assumed, see the numbers.
    """
    plan, tables, book = setting.plan, setting.tables, setting.book
    rules, ground = tables.straw.raking, tables.practice.ground
    strip = 1.0 - plan.geometry.grass_share
    alley = has_alley(setting)
    under_crowns = np.maximum(np.maximum(fall.zone_share, strip), 1e-9)
    raked_share = np.where(alley, ground.straw_in_alleys_share * strip / under_crowns, ground.straw_raked_share)
    poor = np.where(plan.flags("land", "former_use", equals="cutover"), rakes.done, 0.0)
    worn = raking_share(poor, rules.yield_loss_per_rake, rules.most_yield_loss)
    bales = np.where(rakes.due, bales_ac(fall.per_ac_lb * raked_share * worn, rules.bale_lb), 0.0)
    area = np.where(alley, strip, 1.0)
    grade = tables.tree.species.straw_grade
    book.post(year, "straw", bales * (1.0 - grade.slash_share - grade.longleaf_share))
    book.post(year, "straw_slash", bales * grade.slash_share)
    book.post(year, "straw_longleaf", bales * grade.longleaf_share)
    book.post(year, "straw_preparation", np.where(rakes.due & (rakes.done == 0), area, 0.0))
    book.post(year, "straw_fence", 1.0, rakes.due & rakes.grazed & plan.flags("straw", "temporary_fence"))
    return bales
