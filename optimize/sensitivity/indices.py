"""Indices of sensitivity from the outputs of a Sobol or Morris design."""

from typing import Final, NamedTuple

import numpy as np

from optimize.sweeps.designs import MORRIS_LEVELS, problem_of, shares_of
from optimize.sweeps.model import MORRIS
from simulator.units import FloatArray

CONFIDENCE: Final = 0.95
RESAMPLES: Final = 200
NO_SPREAD: Final = 1e-12


class SobolIndex(NamedTuple):
    """How much of an output's variance a factor makes.

    Attributes
    ----------
    factor
        Place of the factor.
    first, first_half_width
        Share of the variance that it makes by itself, and half the width of its 95 % interval [1].
    total, total_half_width
        Share in which it has any part, together with others too [1].
    """

    factor: int
    first: float
    first_half_width: float
    total: float
    total_half_width: float


class MorrisEffect(NamedTuple):
    """Elementary effects of a factor: change of the output from one end of the factor to the other.

    Attributes
    ----------
    factor
        Place of the factor.
    mean, mean_size, spread
        Mean effect, mean of its size, and standard deviation, in the unit of the output: a large spread means that
        the effect bends or depends on other factors.
    mean_size_half_width
        Half the width of the 95 % interval of the mean size.
    """

    factor: int
    mean: float
    mean_size: float
    spread: float
    mean_size_half_width: float


def sobol_indices(output: FloatArray, factors: int, seed: int) -> tuple[list[SobolIndex], int]:
    """First and total indices from the outputs of a Sobol design in its order.

    Parameters
    ----------
    output
        Of each scenario, any unit, (base samples x (factors + 2),); NaN where a scenario failed.
    factors
        Number of factors [1].
    seed
        Of the resampling that gives the intervals.

    Returns
    -------
    tuple
        One index for each factor [1], and the base samples left out because one of their scenarios has no output.

    Raises
    ------
    ValueError
        Where fewer than two base samples are whole, or the output does not vary.

    References
    ----------
    Sobol' 1993, Mathematical Modelling and Computational Experiments 1:407-414; Saltelli et al. 2010, Computer Physics
    Communications 181:259-270 (from memory). Computed by SALib, whose estimators these are.
    """
    from SALib.analyze import sobol  # noqa: PLC0415 - slow to import

    blocks = output.reshape(-1, factors + 2)
    whole = np.isfinite(blocks).all(axis=1)
    kept = blocks[whole].ravel()
    _need_spread(kept, int(whole.sum()))
    found = sobol.analyze(
        problem_of(factors), kept, calc_second_order=False, num_resamples=RESAMPLES, conf_level=CONFIDENCE, seed=seed
    )
    columns = (found[name] for name in ("S1", "S1_conf", "ST", "ST_conf"))
    rows = zip(*columns, strict=True)
    return [SobolIndex(i, *map(float, row)) for i, row in enumerate(rows)], int((~whole).sum())


def morris_effects(
    output: FloatArray, factors: int, trajectories: int, seed: int
) -> tuple[list[MorrisEffect], int]:  # fmt: skip
    """Elementary effects from the outputs of a Morris design in its order.

    Parameters
    ----------
    output
        Of each scenario, any unit, (trajectories x (factors + 1),); NaN where a scenario failed.
    factors
        Number of factors [1].
    trajectories
        Trajectories drawn [1].
    seed
        Of the design.

    Returns
    -------
    tuple
        One effect for each factor in the unit of the output, and the trajectories left out because one of their
        scenarios
        has no output.

    Raises
    ------
    ValueError
        Where fewer than two trajectories are whole, or the output does not vary.

    References
    ----------
    Morris 1991, Technometrics 33:161-174; mean of sizes: Campolongo, Cariboni & Saltelli 2007, Environmental
    Modelling & Software 22:1509-1518 (from memory). Computed by SALib.
    """
    from SALib.analyze import morris  # noqa: PLC0415 - slow to import

    steps = factors + 1
    shares = shares_of(MORRIS, factors, trajectories, seed).reshape(-1, steps, factors)
    walks = output.reshape(-1, steps)
    whole = np.isfinite(walks).all(axis=1)
    kept = walks[whole].ravel()
    _need_spread(kept, int(whole.sum()))
    found = morris.analyze(
        problem_of(factors),
        shares[whole].reshape(-1, factors),
        kept,
        num_resamples=RESAMPLES,
        conf_level=CONFIDENCE,
        num_levels=MORRIS_LEVELS,
        seed=seed,
    )
    columns = (np.asarray(found[name], np.float64) for name in ("mu", "mu_star", "sigma", "mu_star_conf"))
    rows = zip(*columns, strict=True)
    return [MorrisEffect(i, *map(float, row)) for i, row in enumerate(rows)], int((~whole).sum())


def _need_spread(output: FloatArray, samples: int) -> None:
    if samples < 2:
        raise ValueError("fewer than two samples have every scenario they need")
    if float(np.ptp(output)) <= NO_SPREAD * max(1.0, float(np.abs(output).max())):
        raise ValueError("the output is the same in every scenario")
