"""Leaves and twigs of brush that goats eat beside the grass."""

from typing import NamedTuple

import numpy as np

from simulator.units import FloatArray, Floats


class Browse(NamedTuple):
    """Brush as feed, in proportion to the grass beside it.

    Attributes
    ----------
    most_share
        Most browse as a share of the grass grown [1].
    young_until_yr, gone_by_yr
        Years since planting up to which brush stands thick among the trees, and from which it is thin again [yr].
    dense_from_ft2_ac, dense_full_ft2_ac
        Basal area from which brush takes over again, and at which it is thickest [ft2/ac].
    """

    most_share: float
    young_until_yr: float
    gone_by_yr: float
    dense_from_ft2_ac: float
    dense_full_ft2_ac: float


def browse_lb_ac(grass_lb_ac: Floats, age_yr: Floats, basal_area_ft2_ac: Floats, browse: Browse) -> FloatArray:
    """Browse within reach among young or dense trees.

    Parameters
    ----------
    grass_lb_ac
        Grass grown in the year [lb/ac], any shape.
    age_yr
        Years since planting [yr].
    basal_area_ft2_ac
        Basal area of the trees [ft2/ac]; without trees there is no brush in a kept pasture.
    browse
        Coefficients of the animal.

    Returns
    -------
    Dry matter of browse [lb/ac], broadcast shape, at most ``most_share`` of the grass.

    References
    ----------
    Wolters, Martin and Pearson 1982 (abstract, second-hand): about a quarter of the forage is browse where pines
    stand dense, much less on clearings. Limits of age and basal area assumed.
    """
    age, area = np.asarray(age_yr, dtype=np.float64), np.asarray(basal_area_ft2_ac, dtype=np.float64)
    young = np.clip((browse.gone_by_yr - age) / (browse.gone_by_yr - browse.young_until_yr), 0.0, 1.0)
    dense = np.clip((area - browse.dense_from_ft2_ac) / (browse.dense_full_ft2_ac - browse.dense_from_ft2_ac), 0.0, 1.0)
    share = np.where(area > 0.0, browse.most_share * np.maximum(young, dense), 0.0)
    return np.asarray(np.asarray(grass_lb_ac, dtype=np.float64) * share, dtype=np.float64)
