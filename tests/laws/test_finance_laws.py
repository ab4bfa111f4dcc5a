"""What must hold for every cash flow and rate."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from simulator import finance, interest
from simulator.units import FloatArray

cents = st.integers(-500_000, 500_000).map(lambda amount: amount / 100.0)
rates = st.floats(0.001, 0.3)
any_rates = st.floats(-0.5, 0.5)
flows = st.integers(2, 61).flatmap(lambda length: arrays(np.float64, length, elements=cents))
sparse_flows = st.integers(2, 61).flatmap(
    lambda length: arrays(np.float64, length, elements=st.one_of(st.just(0.0), st.just(0.0), cents))
)


def discounted_size(cash: FloatArray, rate: float) -> float:
    return float(finance.net_present_value(np.abs(cash), rate))


@given(flows, any_rates, st.floats(-3.0, 3.0))
def test_present_value_is_linear_in_cash(cash: FloatArray, rate: float, factor: float) -> None:
    other = cash[::-1]
    together = finance.net_present_value(cash + factor * other, rate)
    apart = finance.net_present_value(cash, rate) + factor * finance.net_present_value(other, rate)
    size = discounted_size(cash, rate) + 3.0 * discounted_size(other, rate)
    assert together == pytest.approx(apart, abs=1e-12 * size + 1e-12)


@given(flows, rates, st.floats(-0.02, 0.15))
def test_inflation_of_cash_and_rate_together_changes_no_value(cash: FloatArray, rate: float, inflation: float) -> None:
    inflated = cash * (1.0 + inflation) ** np.arange(cash.size)
    nominal = (1.0 + rate) * (1.0 + inflation) - 1.0
    assert interest.real_rate(nominal, inflation) == pytest.approx(rate, abs=1e-12)
    assert finance.net_present_value(inflated, nominal) == pytest.approx(
        finance.net_present_value(cash, rate), abs=1e-10 * discounted_size(cash, rate) + 1e-12
    )


@given(flows, rates)
def test_land_value_is_one_cycle_and_then_the_land_again(cash: FloatArray, rate: float) -> None:
    rotation = cash.size - 1
    land = finance.land_expectation_value(cash, rate, rotation)
    cycle_then_land = cash.copy()
    cycle_then_land[-1] += land
    size = 1.0 + abs(float(land))
    assert finance.net_present_value(cycle_then_land, rate) == pytest.approx(land, abs=1e-9 * size)
    assert finance.equal_annual_income(cash, rate, rotation) == pytest.approx(rate * land, abs=1e-9 * size)


@given(flows, st.floats(0.0, 0.3))
def test_two_cycles_in_a_row_earn_the_same_each_year_as_one(cash: FloatArray, rate: float) -> None:
    rotation = cash.size - 1
    twice = np.zeros(2 * rotation + 1)
    twice[: rotation + 1] += cash
    twice[rotation:] += cash
    once = finance.equal_annual_income(cash, rate, rotation)
    assert finance.equal_annual_income(twice, rate, 2 * rotation) == pytest.approx(once, rel=1e-6, abs=1e-6)


@given(flows)
def test_without_interest_the_yearly_income_is_the_plain_mean(cash: FloatArray) -> None:
    rotation = cash.size - 1
    assert finance.equal_annual_income(cash, 0.0, rotation) == pytest.approx(cash.sum() / rotation, abs=1e-6)
    assert np.isnan(finance.land_expectation_value(cash, 0.0, rotation))


@given(sparse_flows)
def test_every_root_brings_the_present_value_to_zero_and_descartes_bounds_their_number(cash: FloatArray) -> None:
    roots = finance.every_real_irr(cash)
    assert roots == sorted(roots)
    assert len(roots) <= finance.sign_changes(cash)
    if finance.sign_changes(cash) == 1:
        assert len(roots) == 1
    for root in roots:
        logs = -np.arange(cash.size) * np.log1p(root)
        terms = cash * np.exp(logs - logs[cash != 0.0].max())
        assert abs(terms.sum()) <= 1e-8 * np.abs(terms).sum()


@given(sparse_flows)
def test_no_change_of_sign_of_the_present_value_is_without_a_root(cash: FloatArray) -> None:
    grid = np.expm1(np.linspace(-1.5, 1.5, 301))
    values = finance.net_present_value(cash, grid)
    sizes = finance.net_present_value(np.abs(cash), grid)
    sure = np.abs(values) > 1e-9 * sizes
    roots = np.array(finance.every_real_irr(cash))
    for left, right in zip(range(300), range(1, 301), strict=True):
        if sure[left] and sure[right] and values[left] * values[right] < 0.0:
            assert np.any((grid[left] < roots) & (roots < grid[right]))


@given(st.lists(st.integers(-30, 150), min_size=1, max_size=6, unique=True))
def test_roots_put_into_a_flow_are_found_again(percents: list[int]) -> None:
    planted = np.sort(np.array(percents) / 100.0)
    assume(np.all(np.diff(planted) >= 0.05))
    cash = np.array([1000.0])
    for rate in planted:
        cash = np.convolve(cash, [-1.0, 1.0 + rate])
    assert finance.every_real_irr(cash) == pytest.approx(planted.tolist(), abs=1e-5)


@given(st.integers(1, 60), st.floats(-0.2, 0.5))
def test_a_rate_at_which_the_value_only_touches_zero_is_listed_once(years: int, rate: float) -> None:
    growth = (1.0 + rate) ** years
    assume(1e-4 < growth < 1e4)  # further apart, the smallest amount is rounding beside the largest
    cash = np.zeros(2 * years + 1)
    cash[[0, years, 2 * years]] = -1.0, 2.0 * growth, -(growth**2)
    assert finance.every_real_irr(cash) == pytest.approx([rate], abs=1e-6)


@given(flows)
def test_payback_is_the_last_return_to_zero(cash: FloatArray) -> None:
    cumulative = np.cumsum(cash)
    noise = 1e-9 * np.abs(cash).sum()
    year = finance.payback_year(cash)
    assert finance.deepest_cumulative_cash(cash) == pytest.approx(min(0.0, cumulative.min()))
    if year is None:
        assert cumulative[-1] < 0.0
    else:
        assert np.all(cumulative[year:] >= -noise)
        assert year == 0 or cumulative[year - 1] < 0.0


@given(arrays(np.float64, (4, 21), elements=cents), arrays(np.float64, 4, elements=rates))
def test_a_batch_gives_each_candidate_its_own_answer(cash: FloatArray, rate: FloatArray) -> None:
    rotation = np.array([20.0, 21.0, 25.0, 30.0])
    together = (
        finance.net_present_value(cash, rate),
        finance.land_expectation_value(cash, rate, rotation),
        finance.equal_annual_income(cash, rate, rotation),
        finance.benefit_cost(np.abs(cash), np.abs(cash) + 1.0, rate),
        finance.deepest_cumulative_cash(cash),
    )
    for each in range(4):
        alone = (
            finance.net_present_value(cash[each], rate[each]),
            finance.land_expectation_value(cash[each], rate[each], rotation[each]),
            finance.equal_annual_income(cash[each], rate[each], rotation[each]),
            finance.benefit_cost(np.abs(cash[each]), np.abs(cash[each]) + 1.0, rate[each]),
            finance.deepest_cumulative_cash(cash[each]),
        )
        assert np.array(together)[:, each] == pytest.approx(np.array(alone), rel=1e-12, abs=1e-9)


def test_edges_are_as_documented() -> None:
    nothing = np.zeros(5)
    assert finance.every_real_irr(nothing) == []
    assert finance.sign_changes(nothing) == 0
    assert finance.payback_year(nothing) == 0
    assert finance.payback_year(np.array([5.0, 1.0])) == 0
    assert finance.payback_year(np.array([-5.0, 6.0, -2.0])) is None
    assert finance.payback_year(np.array([-5.0, 6.0, -2.0, 1.0])) == 3
    # in floating point 0.09 three times is a rounding short of 0.27
    assert finance.payback_year(np.array([-0.27, 0.09, 0.09, 0.09])) == 3
    assert np.isnan(finance.benefit_cost(np.ones(3), nothing[:3], 0.05))
    assert finance.every_real_irr(np.array([1e-13, -100.0, 110.0])) == pytest.approx([0.1])  # rounding, not money


@pytest.mark.parametrize("rate", [-1.0, -2.0, float("nan")])
def test_a_rate_that_takes_everything_is_refused(rate: float) -> None:
    with pytest.raises(ValueError, match="above -1"):
        finance.net_present_value(np.ones(3), rate)


def test_a_rotation_without_length_and_an_amount_without_end_are_refused() -> None:
    with pytest.raises(ValueError, match="longer than 0"):
        finance.equal_annual_income(np.ones(3), 0.05, 0.0)
    with pytest.raises(ValueError, match="finite"):
        finance.every_real_irr(np.array([-1.0, np.inf]))
