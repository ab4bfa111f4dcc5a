"""What felling and loading a ton costs, against a ton of middling trees: small pieces and thinnings cost more."""

from typing import NamedTuple

import numpy as np

from simulator.units import BoolArray, FloatArray, Floats


class Logging(NamedTuple):
    """How the cost of cutting and loading follows the trees.

    Attributes
    ----------
    reference_piece_ton
        Merchantable green tons of the tree that costs 1; heavier trees cost no less.
    least_piece_ton
        Lighter trees cost no more than this one.
    piece_power
        How the cost of a ton falls with the weight of a tree [1].
    thinning_factor
        What working between trees that stay multiplies it by [1].
    """

    reference_piece_ton: float
    least_piece_ton: float
    piece_power: float
    thinning_factor: float


def cut_and_load_factor(piece_ton: Floats, thinning: BoolArray | bool, logging: Logging) -> FloatArray:  # noqa: FBT001 - an array of yes and no
    """Cost of cutting and loading a ton against a ton of reference trees in a clearcut.

    Parameters
    ----------
    piece_ton
        Mean merchantable weight of the trees cut [green ton], any shape, at least 0.
    thinning
        Whether trees stay, broadcastable.
    logging
        Reference, bounds and power.

    Returns
    -------
    FloatArray
        Factor [1], at least 1.

    References
    ----------
    Form and numbers assumed for this project. Between trees of .06 and .30 tons it rises by 1.39 (1.50 without the
    lower bound); Conrad, Croatian Journal of Forest Engineering 44, found 1.49 between stands of pulpwood and of
    sawtimber size after a tornado.
    """
    piece = np.clip(np.asarray(piece_ton, np.float64), logging.least_piece_ton, logging.reference_piece_ton)
    factor = (logging.reference_piece_ton / piece) ** logging.piece_power
    return np.asarray(factor * np.where(thinning, logging.thinning_factor, 1.0))
