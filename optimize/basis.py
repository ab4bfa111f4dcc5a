"""Functions of prices on which the worth of waiting is regressed."""

from collections.abc import Callable
from itertools import combinations_with_replacement
from typing import TypeAlias

import numpy as np

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
