"""Dominant height of measured trees: the mean height of the larger half."""

import numpy as np

from simulator.units import FloatArray


def dominant_height_of_ft(dbh_in: FloatArray, heights_ft: FloatArray, per_ac: FloatArray) -> float:
    """Mean height of the larger half of the trees.

    Parameters
    ----------
    dbh_in, heights_ft
        Trees tallied [in], [ft], (trees,).
    per_ac
        Trees that each stands for [1/ac], (trees,).

    Returns
    -------
    float
        Dominant height [ft]: the mean of dominants and codominants, taken as the larger half by diameter. The
        tallest third lies 1-2 ft above it.

    References
    ----------
    Assumed for this project; on one national-inventory loblolly plantation plot the equation of relative heights
    then fits without bias.
    """
    order = np.argsort(-dbh_in, kind="stable")
    weight = per_ac[order]
    half = weight.sum() / 2.0
    before = np.cumsum(weight) - weight
    counted = np.clip(half - before, 0.0, weight)
    return float((counted * heights_ft[order]).sum() / counted.sum())
