"""Functions of prices on which the worth of waiting is regressed."""

from collections.abc import Callable
from itertools import combinations, combinations_with_replacement
from typing import TypeAlias

import numpy as np
from scipy.special import eval_laguerre

from simulator.units import FloatArray, Floats

Basis: TypeAlias = Callable[[FloatArray], FloatArray]
"""From what is known of each draw, (draws, features), to the functions, (draws, functions); a 1 first."""


def polynomials(degree: int, scale: Floats = 1.0) -> Basis:
    """Every product of features up to a degree.

    Parameters
    ----------
    degree
        Highest sum of powers [1]; 2 of one feature x are 1, x, x**2.
    scale
        What a feature is divided by, in its unit, scalar or (features,); about its usual size keeps large powers of
        large numbers out of the regression.

    Returns
    -------
    Basis
    """

    def functions(known: FloatArray) -> FloatArray:
        x = known / scale
        powers = [
            np.prod(x[:, list(chosen)], axis=1)
            for order in range(1, degree + 1)
            for chosen in combinations_with_replacement(range(x.shape[1]), order)
        ]
        return np.stack([np.ones(len(x)), *powers], axis=1)

    return functions


def laguerre_functions(count: int, scale: Floats = 1.0) -> Basis:
    """Weighted Laguerre functions of each feature, and products of the first of each two features.

    Parameters
    ----------
    count
        Functions of each feature [1]: exp(-x / 2) times the Laguerre polynomials of degree 0 to count - 1.
    scale
        What a feature is divided by, in its unit, scalar or (features,): large x all come to nothing.

    Returns
    -------
    Basis

    References
    ----------
    Longstaff & Schwartz 2001, Review of Financial Studies 14:113, section 2.
    """

    def functions(known: FloatArray) -> FloatArray:
        x = known / scale
        damp = np.exp(-x / 2.0)
        single = [damp[:, i] * eval_laguerre(n, x[:, i]) for i in range(x.shape[1]) for n in range(count)]
        joint = [damp[:, i] * damp[:, j] for i, j in combinations(range(x.shape[1]), 2)]
        return np.stack([np.ones(len(x)), *single, *joint], axis=1)

    return functions
