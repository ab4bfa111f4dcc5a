"""Indices against functions whose variance can be worked out on paper.

Ishigami & Homma 1990, Proceedings of the First International Symposium on Uncertainty Modeling and Analysis, 398-403;
g-function: Sobol' 1993, Mathematical Modelling and Computational Experiments 1:407-414. Both from memory; the formulas
of their indices are textbook and follow from the integrals.
"""

import numpy as np
import pytest

from optimize.sensitivity.indices import morris_effects, sobol_indices
from optimize.sweeps.designs import shares_of
from optimize.sweeps.model import MORRIS, SOBOL_INDICES
from simulator.units import FloatArray

BASE_SAMPLES = 4096
SEED = 3
NEAR = 0.03


def _ishigami(shares: FloatArray, a: float, b: float) -> FloatArray:
    x = np.pi * (2.0 * shares - 1.0)
    return np.sin(x[:, 0]) + a * np.sin(x[:, 1]) ** 2 + b * x[:, 2] ** 4 * np.sin(x[:, 0])


def _g_function(shares: FloatArray, a: FloatArray) -> FloatArray:
    return np.prod((np.abs(4.0 * shares - 2.0) + a) / (1.0 + a), axis=1)


def test_ishigami() -> None:
    a, b = 7.0, 0.1
    alone = np.array([0.5 * (1.0 + b * np.pi**4 / 5.0) ** 2, a**2 / 8.0, 0.0])
    together = b**2 * np.pi**8 * (1.0 / 18.0 - 1.0 / 50.0)
    whole = alone.sum() + together
    total = alone + together * np.array([1.0, 0.0, 1.0])
    indices, left_out = sobol_indices(_ishigami(shares_of(SOBOL_INDICES, 3, BASE_SAMPLES, SEED), a, b), 3, SEED)
    assert left_out == 0
    assert [index.first for index in indices] == pytest.approx(alone / whole, abs=NEAR)
    assert [index.total for index in indices] == pytest.approx(total / whole, abs=NEAR)


@pytest.mark.parametrize("coefficients", [[0.0, 1.0, 4.5, 9.0, 99.0], [0.0, 0.0, 0.0], [1.0, 2.0, 3.0, 4.0]])
def test_g_function(coefficients: list[float]) -> None:
    a = np.array(coefficients)
    alone = 1.0 / (3.0 * (1.0 + a) ** 2)
    whole = np.prod(1.0 + alone) - 1.0
    total = alone * np.prod(1.0 + alone) / (1.0 + alone)
    output = _g_function(shares_of(SOBOL_INDICES, len(a), BASE_SAMPLES, SEED), a)
    indices, _ = sobol_indices(output, len(a), SEED)
    assert [index.first for index in indices] == pytest.approx(alone / whole, abs=NEAR)
    assert [index.total for index in indices] == pytest.approx(total / whole, abs=NEAR)
    for index, first in zip(indices, alone / whole, strict=True):
        assert abs(index.first - first) < 2.0 * index.first_half_width + 1e-3


def test_a_failed_scenario_costs_its_base_sample_and_no_more() -> None:
    output = _ishigami(shares_of(SOBOL_INDICES, 3, BASE_SAMPLES, SEED), 7.0, 0.1)
    whole, _ = sobol_indices(output, 3, SEED)
    output[[7, 500]] = np.nan
    indices, left_out = sobol_indices(output, 3, SEED)
    assert left_out == 2
    assert [index.total for index in indices] == pytest.approx([index.total for index in whole], abs=0.01)


def test_morris_of_a_straight_line_is_its_slopes() -> None:
    """Elementary effects of a plane are its coefficients, without spread."""
    slopes = np.array([3.0, -2.0, 0.0])
    output = shares_of(MORRIS, 3, 20, SEED) @ slopes
    effects, _ = morris_effects(output, 3, 20, SEED)
    assert [effect.mean for effect in effects] == pytest.approx(slopes)
    assert [effect.mean_size for effect in effects] == pytest.approx(np.abs(slopes))
    assert [effect.spread for effect in effects] == pytest.approx(np.zeros(3), abs=1e-9)


def test_an_output_that_does_not_vary_is_refused() -> None:
    with pytest.raises(ValueError, match="same in every scenario"):
        sobol_indices(np.full(5 * 64, 2.0), 3, SEED)
    with pytest.raises(ValueError, match="fewer than two"):
        sobol_indices(np.full(5 * 64, np.nan), 3, SEED)
