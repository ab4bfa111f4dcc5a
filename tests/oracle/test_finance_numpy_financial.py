"""The measures of finance worked a second way: numpy-financial, numpy's polynomial roots, and plain sums."""

import numpy as np
import numpy_financial
import pytest

from simulator import finance, interest
from simulator.units import FloatArray

DICE = np.random.default_rng(20250101)
CASH = DICE.normal(0.0, 300.0, size=(6, 41))
RATES = np.array([0.0, 0.01, 0.04, 0.05, 0.12, -0.02])


def test_net_present_value_of_a_batch_is_numpy_financial_of_each() -> None:
    each = [numpy_financial.npv(rate, cash) for rate, cash in zip(RATES, CASH, strict=True)]
    assert finance.net_present_value(CASH, RATES) == pytest.approx(each, rel=1e-12)


def test_equal_annual_income_is_the_annuity_with_the_same_future_value() -> None:
    for cash in CASH:
        npv = numpy_financial.npv(0.05, cash)
        income = finance.equal_annual_income(cash, 0.05, 40)
        assert numpy_financial.fv(0.05, 40, -income, 0.0) == pytest.approx(npv * 1.05**40, rel=1e-12)


@pytest.mark.parametrize("rate", [-0.03, 0.0, 0.01, 0.07, 0.4])
def test_capital_recovery_is_the_payment_on_a_loan(rate: float) -> None:
    payment = -numpy_financial.pmt(rate, 20, 1000.0)
    assert interest.capital_recovery(1000.0, rate, 20) == pytest.approx(payment, rel=1e-10)


def test_capital_recovery_keeps_its_digits_at_a_rate_that_is_only_rounding() -> None:
    assert interest.capital_recovery(1000.0, 1e-17, 20) == pytest.approx(50.0, rel=1e-14)


def test_land_expectation_is_the_sum_over_very_many_cycles() -> None:
    cash = np.array([-300.0, 0.0, 20.0, 0.0, 0.0, 700.0])
    cycles = np.zeros(5 * 400 + 1)
    for start in range(0, 5 * 400, 5):
        cycles[start : start + 6] += cash
    summed = numpy_financial.npv(0.05, cycles)  # what is left out is below 700 * 1.05**-2000
    assert finance.land_expectation_value(cash, 0.05, 5) == pytest.approx(summed, rel=1e-12)


def test_the_one_root_that_numpy_financial_returns_is_among_ours() -> None:
    found = 0
    for cash in DICE.normal(0.0, 100.0, size=(200, 16)):
        root = numpy_financial.irr(cash)
        if np.isfinite(root):
            found += 1
            assert min(abs(root - ours) for ours in finance.every_real_irr(cash)) < 1e-8
    assert found > 50


def polynomial_rates(cash: FloatArray) -> FloatArray:
    """Every real root by the companion matrix, for short flows whose roots are well apart."""
    factors = np.roots(cash[::-1])
    factors = factors[(np.abs(factors.imag) < 1e-9) & (factors.real > 0.0)].real
    return np.sort(1.0 / factors - 1.0)


@pytest.mark.parametrize("years", [1, 2, 3, 5, 8, 20, 40, 100])
def test_every_root_is_a_root_of_the_polynomial_and_none_is_missed(years: int) -> None:
    for cash in DICE.normal(0.0, 100.0, size=(40, years + 1)):
        assert finance.every_real_irr(cash) == pytest.approx(polynomial_rates(cash).tolist(), rel=1e-6, abs=1e-8)


def test_numpy_financial_alone_would_hide_the_second_root() -> None:
    cash = np.array([-1600.0, 10000.0, -10000.0])
    assert numpy_financial.irr(cash) == pytest.approx(0.25)
    assert finance.every_real_irr(cash) == pytest.approx([0.25, 4.0])


@pytest.mark.parametrize("rate", [0.0, 0.03, 0.05, 0.11])
def test_series_are_plain_sums_of_discounted_payments(rate: float) -> None:
    def discounted(payments: dict[int, float]) -> float:
        return sum(payment / (1.0 + rate) ** year for year, payment in payments.items())

    annuity = interest.present_value_annuity(15.0, rate, 25, first_year=6)
    assert annuity == pytest.approx(discounted(dict.fromkeys(range(6, 31), 15.0)), rel=1e-12)
    growing = interest.present_value_growing_annuity(40.0, rate, 0.03, 30)
    assert growing == pytest.approx(discounted({year: 40.0 * 1.03 ** (year - 1) for year in range(1, 31)}), rel=1e-12)
    assert interest.capital_recovery(annuity, rate, 25) == pytest.approx(
        15.0 / (1.0 + rate) ** 5, rel=1e-12
    )  # the same annuity, five years earlier
    deposit = interest.sinking_fund(5000.0, rate, 12)
    assert sum(deposit * (1.0 + rate) ** (12 - year) for year in range(1, 13)) == pytest.approx(5000.0, rel=1e-12)


@pytest.mark.parametrize("rate", [0.03, 0.05, 0.11])
def test_periodic_series_are_plain_sums_of_discounted_payments(rate: float) -> None:
    some = sum(30.0 / (1.0 + rate) ** year for year in range(3, 31, 3))
    assert interest.present_value_periodic(30.0, rate, 3, 10) == pytest.approx(some, rel=1e-12)
    without_end = sum(30.0 / (1.0 + rate) ** year for year in range(3, 3001, 3))
    assert interest.present_value_perpetual_periodic(30.0, rate, 3) == pytest.approx(without_end, rel=1e-12)
