"""Roots against scipy's own (Brent's method), and against roots that are known beforehand."""

from collections.abc import Callable
from math import atan, copysign, cos, exp, gamma, inf, ulp

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq
from scipy.special import gamma as scipys_gamma

from simulator.roots import root_between

MOST_CALLS = 130
"""Halving alone, from the widest bracket here to the last digit, needs about 65; a curve may spoil each second one."""
CURVES: dict[str, Callable[[float], float]] = {
    "cosine against the line": lambda x: cos(x) - x,
    "a step's arc": lambda x: atan(40.0 * (x - 0.3)),
    "exponential": lambda x: exp(3.0 * x) - 2.0,
    "cubic": lambda x: x**3 - 0.4 * x - 0.1,
    "moments of a Weibull": lambda x: gamma(1.0 + 2.0 / (x + 1.0)) / gamma(1.0 + 1.0 / (x + 1.0)) ** 2 - 1.4,
}


@pytest.mark.parametrize("curve", CURVES.values(), ids=CURVES)
def test_root_is_scipys(curve: Callable[[float], float]) -> None:
    assert root_between(curve, 0.0, 1.0, 1e-14) == pytest.approx(brentq(curve, 0.0, 1.0, xtol=1e-14), abs=3e-14)
    assert root_between(curve, 1.0, 0.0, 1e-14) == pytest.approx(brentq(curve, 0.0, 1.0, xtol=1e-14), abs=3e-14)


@given(
    st.floats(-30.0, 30.0),
    st.floats(-40.0, -30.5),
    st.floats(30.5, 40.0),
    st.sampled_from([0.2, 1.0, 3.0, 9.0]),
    st.sampled_from([1e-300, 1e-3, 1.0, 1e250]),
    st.sampled_from([1e-13, 1e-9, 0.01]),
)
def test_root_is_where_it_was_put(at: float, low: float, high: float, power: float, size: float, within: float) -> None:
    """Flat, steep, tiny and huge: powers of the distance; 9 is so flat that Brent's method gives up."""
    calls = 0

    def curve(x: float) -> float:
        nonlocal calls
        calls += 1
        return copysign(size * (abs(x - at) / 80.0) ** power, x - at)

    found = root_between(curve, low, high, within)
    # where the power is below the least number, the curve is zero and any point there is a root
    assert abs(found - at) <= within + 1e-14 or curve(found) == 0.0
    assert calls <= MOST_CALLS


def test_an_end_that_is_a_root_is_found_at_once() -> None:
    assert root_between(lambda x: x - 2.0, 2.0, 5.0, 1e-12) == 2.0
    assert root_between(lambda x: x - 5.0, 2.0, 5.0, 1e-12) == 5.0


@pytest.mark.parametrize("at", [0.0, -5e-324, 1e-310, 0.1])
def test_a_step_is_found_to_the_last_digit(at: float) -> None:
    """No point lies between two neighbouring numbers: at 0 the search once went on for ever."""
    assert abs(root_between(lambda x: -1.0 if x <= at else 1.0, -1.0, 1.0, 0.0) - at) <= 2.0 * ulp(at)


def test_one_sign_at_both_ends_is_refused_even_where_the_product_is_too_small_for_a_number() -> None:
    with pytest.raises(ValueError, match=r"one sign at 0\.0 and 1\.0"):
        root_between(lambda x: 1e-200 * (1.0 + x), 0.0, 1.0, 1e-12)


def test_a_curve_that_is_no_number_somewhere_still_ends() -> None:
    assert 0.0 <= root_between(lambda x: -1.0 if x < 0.5 else inf, 0.0, 1.0, 1e-9) <= 1.0


def test_the_gamma_function_of_the_standard_library_is_scipys() -> None:
    at = 1.0 + 1.0 / np.linspace(0.5, 60.0, 500)
    assert [gamma(each) for each in at] == pytest.approx(scipys_gamma(at), rel=1e-14)
