"""Designs: which combinations of factor values become scenarios."""

from collections.abc import Sequence
from math import prod
from typing import Any, Final

import numpy as np

from optimize.sweeps.factors import Sampled
from optimize.sweeps.model import (
    GRID,
    LATIN_HYPERCUBE,
    MORRIS,
    ONE_AT_A_TIME,
    SOBOL_INDICES,
    SOBOL_SEQUENCE,
    Design,
)
from simulator.units import FloatArray

NEEDS_SAMPLES: Final = (LATIN_HYPERCUBE, SOBOL_SEQUENCE, MORRIS, SOBOL_INDICES)
NEEDS_POWER_OF_TWO: Final = (SOBOL_SEQUENCE, SOBOL_INDICES)
MORRIS_LEVELS: Final = 4
"""Levels of the grid that Morris trajectories walk on; his own choice in the examples of 1991 (from memory)."""
MOST_SCENARIOS: Final = 20_000_000


def scenarios_in(design: Design, factors: Sequence[Sampled], samples: int | None) -> int:
    """Number of scenarios that a design asks for, without drawing them.

    Parameters
    ----------
    design
        How the factors are sampled.
    factors
        At least one.
    samples
        Scenarios, base samples or trajectories.

    Returns
    -------
    int
        Scenarios [1].

    References
    ----------
    As for :func:`shares_of`.
    """
    drawn, count = samples or 0, len(factors)
    if design == GRID:
        return prod(len(factor.steps()) for factor in factors)
    if design == ONE_AT_A_TIME:
        return 1 + sum(len(factor.two_ends()) for factor in factors)
    if design == MORRIS:
        return drawn * (count + 1)
    return drawn * (count + 2) if design == SOBOL_INDICES else drawn


def codes_of(design: Design, factors: Sequence[Sampled], samples: int | None, seed: int) -> FloatArray:
    """Draw a design.

    Parameters
    ----------
    design
        How the factors are sampled.
    factors
        At least one.
    samples
        Scenarios, base samples or trajectories; unused by a grid and one at a time.
    seed
        The same seed draws the same scenarios.

    Returns
    -------
    FloatArray
        Codes of the factors' values, (scenarios, factors). One at a time, the first scenario is the one of the file
        and has NaN in every column that is left as it is.
    """
    if design == GRID:
        return _grid(factors)
    if design == ONE_AT_A_TIME:
        return _one_at_a_time(factors)
    shares = shares_of(design, len(factors), samples or 0, seed)
    return np.stack([factor.codes(shares[:, i]) for i, factor in enumerate(factors)], axis=1)


def shares_of(design: Design, count: int, samples: int, seed: int) -> FloatArray:
    """Draw the unit cube of a sampled design, (scenarios, factors).

    Parameters
    ----------
    design
        One that is drawn.
    count
        Factors.
    samples
        Scenarios, base samples or trajectories.
    seed
        Of the draw.

    Returns
    -------
    FloatArray
        Shares of all cases [1].

    References
    ----------
    Latin hypercube: McKay, Beckman & Conover 1979, Technometrics 21:239-245. Sobol sequence: Sobol' 1967. Trajectories:
    Morris 1991, Technometrics 33:161-174. Sobol indices: Saltelli et al. 2010, Computer Physics Communications
    181:259-270. All from memory; drawn by scipy.stats.qmc and SALib.
    """
    if design == MORRIS:
        from SALib.sample import morris  # noqa: PLC0415 - slow to import

        return np.asarray(morris.sample(problem_of(count), samples, num_levels=MORRIS_LEVELS, seed=seed))
    if design == SOBOL_INDICES:
        from SALib.sample import sobol  # noqa: PLC0415 - slow to import

        return np.asarray(sobol.sample(problem_of(count), samples, calc_second_order=False, seed=seed))
    from scipy.stats import qmc  # noqa: PLC0415 - slow to import

    sampler = qmc.Sobol(count, seed=seed) if design == SOBOL_SEQUENCE else qmc.LatinHypercube(count, seed=seed)
    return np.asarray(sampler.random(samples))


def problem_of(count: int) -> dict[str, Any]:
    """A number of factors in the unit cube, as SALib wants it."""
    return {"num_vars": count, "names": [f"x{i}" for i in range(count)], "bounds": [[0.0, 1.0]] * count}


def _grid(factors: Sequence[Sampled]) -> FloatArray:
    axes = np.meshgrid(*(factor.steps() for factor in factors), indexing="ij")
    return np.stack([axis.ravel() for axis in axes], axis=1)


def _one_at_a_time(factors: Sequence[Sampled]) -> FloatArray:
    rows = [np.full(len(factors), np.nan)]
    for i, factor in enumerate(factors):
        for code in factor.two_ends():
            row = np.full(len(factors), np.nan)
            row[i] = code
            rows.append(row)
    return np.array(rows)
