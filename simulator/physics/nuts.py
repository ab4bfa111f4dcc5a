"""Nuts of orchard trees by age and number, heavy and light years in turn."""

from typing import NamedTuple

import numpy as np

from simulator.units import FloatArray, Floats


class NutYield(NamedTuple):
    """Nuts of a tree with room, and what an acre bears at most.

    Attributes
    ----------
    age_yr, yield_lb_tree
        Mean yearly yield of a tree with room at so many years from planting, in shell.
    level
        Factor on the whole course by soil, variety and care [1].
    ceiling_lb_ac
        Most that an acre of orchard bears in a mean year [lb/ac].
    alternate_share
        How far a heavy year lies above the mean and a light one below it [1].
    """

    age_yr: tuple[float, ...]
    yield_lb_tree: tuple[float, ...]
    level: float
    ceiling_lb_ac: float
    alternate_share: float


def nut_yield_lb_ac(trees_per_ac: Floats, age_yr: Floats, c: NutYield) -> FloatArray:
    """Nuts of a year per acre of land.

    Parameters
    ----------
    trees_per_ac
        Living trees [1/ac], any shape.
    age_yr
        Whole years from planting [yr], broadcastable; even years are the heavy ones.
    c
        Coefficients.

    Returns
    -------
    FloatArray
        Nuts in shell [lb/ac], broadcast shape. Whose year is heavy is unknown beforehand: only the mean of two
        years means anything.

    References
    ----------
    Ranges of extension guidance for pecan (10-30 lb a tree at 6-10 years, 40-50 from about 15, few orchards hold
    1,500 lb/ac; second-hand and weak); course between them and evenness of bearing assumed for this project.
    """
    age = np.asarray(age_yr, float)
    tree = c.level * np.interp(age, c.age_yr, c.yield_lb_tree)
    mean = np.minimum(tree * np.asarray(trees_per_ac), c.ceiling_lb_ac)
    turn = np.where(age % 2 == 0, 1.0, -1.0)
    return np.asarray(mean * (1.0 + c.alternate_share * turn))
