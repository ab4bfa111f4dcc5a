"""What a series of yearly cash flows is worth.

Cash has shape (..., T + 1): candidates first, year index 0..T last; end-of-year flows, year 0 undiscounted, real
money and real rates unless told. Single sums and regular series are in `simulator.interest`.
"""

from itertools import pairwise
from typing import Final

import numpy as np

from simulator.interest import capital_recovery, discount_factor
from simulator.roots import root_between
from simulator.units import FloatArray, Floats

ROUNDING: Final = 1e-12
"""Part of the largest amount below which an amount is taken for rounding, not money."""


def net_present_value(cash: FloatArray, rate: Floats) -> FloatArray:
    """Return the sum of the discounted cash flows.

    Parameters
    ----------
    cash
        Cash flow of years 0..T [$], shape (..., T + 1).
    rate
        Discount rate [1/yr], above -1; scalar, or the candidate shape of `cash`, or broadcasting with it.

    Returns
    -------
    FloatArray
        Net present value [$], shape (...).

    Raises
    ------
    ValueError
        Where a rate is -1 or less.

    References
    ----------
    Common practice. Year 0 is undiscounted; spreadsheets discount the first value they are given by one year.
    """
    cash = np.asarray(cash, dtype=np.float64)
    rate = np.asarray(rate, dtype=np.float64)
    factors = discount_factor(rate[..., np.newaxis], np.arange(cash.shape[-1], dtype=np.float64))
    return np.asarray((cash * factors).sum(axis=-1))


def land_expectation_value(cash: FloatArray, rate: Floats, rotation: Floats) -> FloatArray:
    """Return the worth of bare land on which one cycle of cash flows is repeated without end.

    Parameters
    ----------
    cash
        Cash flow of one cycle [$], years 0..T, shape (..., T + 1); land itself neither bought nor sold.
    rate
        Discount rate [1/yr], above -1.
    rotation
        Length of the cycle [yr], positive, broadcasting with the candidates.

    Returns
    -------
    FloatArray
        Land expectation value [$], NPV / (1 - (1 + rate) ** -rotation), shape (...); NaN where the rate is 0 or
        less, because the endless series then has no sum.

    Raises
    ------
    ValueError
        Where a rate is -1 or less, or a rotation is not positive.

    References
    ----------
    Faustmann 1849 (from memory); Bettinger, Boston, Siry & Grebner, Forest Management and Planning, chapter 2.
    """
    income = equal_annual_income(cash, rate, rotation)
    return np.asarray(income / np.where(np.asarray(rate) > 0.0, rate, np.nan))


def equal_annual_income(cash: FloatArray, rate: Floats, rotation: Floats) -> FloatArray:
    """Return the equal yearly income, years 1 to the end of the cycle, that is worth as much as the cash flows.

    Parameters
    ----------
    cash
        Cash flow of one cycle [$], years 0..T, shape (..., T + 1).
    rate
        Discount rate [1/yr], above -1.
    rotation
        Length of the cycle [yr], positive, broadcasting with the candidates.

    Returns
    -------
    FloatArray
        Equal annual income [$/yr], rate times the land expectation value, shape (...); NPV / rotation where the
        rate is 0. It compares cycles of different length.

    Raises
    ------
    ValueError
        Where a rate is -1 or less, or a rotation is not positive.

    References
    ----------
    Common practice.
    """
    return capital_recovery(net_present_value(cash, rate), rate, _positive(rotation))


def _positive(rotation: Floats) -> FloatArray:
    rotation = np.asarray(rotation, dtype=np.float64)
    if not np.all(rotation > 0.0):
        raise ValueError(f"a rotation must be longer than 0 years, received {rotation}")
    return rotation


def benefit_cost(benefits: FloatArray, costs: FloatArray, rate: Floats) -> FloatArray:
    """Return the ratio of discounted gross benefits to discounted gross costs.

    Parameters
    ----------
    benefits, costs
        Every benefit and every cost [$] of years 0..T as positive amounts, shape (..., T + 1). They are gross:
        a year's costs are never taken off its benefits, which would change the ratio.
    rate
        Discount rate [1/yr], above -1.

    Returns
    -------
    FloatArray
        Benefit/cost ratio [1], shape (...); NaN where there is no cost.

    References
    ----------
    Common practice.
    """
    present_costs = net_present_value(costs, rate)
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = net_present_value(benefits, rate) / present_costs
    return np.where(present_costs > 0.0, ratio, np.nan)


def deepest_cumulative_cash(cash: FloatArray) -> FloatArray:
    """Return the most that was ever paid in and not yet got back, undiscounted.

    Parameters
    ----------
    cash
        Cash flow of years 0..T [$], shape (..., T + 1).

    Returns
    -------
    FloatArray
        Lowest cumulative cash [$], 0 or less, shape (...).

    References
    ----------
    Definition.
    """
    return np.asarray(np.minimum(np.cumsum(cash, axis=-1).min(axis=-1), 0.0))


def payback_year(cash: FloatArray) -> int | None:
    """Return the year from which the money paid in is back for good, undiscounted.

    Parameters
    ----------
    cash
        Cash flow of years 0..T [$], shape (T + 1,).

    Returns
    -------
    int or None
        The last year in which cumulative cash goes from below zero to zero or above; 0 where it is never below
        zero, ``None`` where it is below zero at the end.

    References
    ----------
    Definition.
    """
    cumulative = np.cumsum(cash)
    below = np.flatnonzero(cumulative < -ROUNDING * np.abs(cash).sum())
    if below.size == 0:
        return 0
    return int(below[-1]) + 1 if below[-1] + 1 < cumulative.size else None


def sign_changes(cash: FloatArray) -> int:
    """Count how often the cash flow turns from paying to earning or back, zeros left out.

    Parameters
    ----------
    cash
        Cash flow of years 0..T [$], shape (T + 1,).

    Returns
    -------
    int
        Sign changes [1]; there are at most as many internal rates of return above -1.

    References
    ----------
    Descartes' rule of signs.
    """
    signs = np.sign(_without_rounding(cash))
    signs = signs[signs != 0.0]
    return int(np.count_nonzero(signs[1:] != signs[:-1]))


def every_real_irr(cash: FloatArray) -> list[float]:
    """Return every real rate above -1 at which the net present value is zero, ascending.

    Parameters
    ----------
    cash
        Cash flow of years 0..T [$], shape (T + 1,); tried to T = 1000. Amounts below 1e-12 of the largest
        are taken for rounding.

    Returns
    -------
    list of float
        Internal rates of return [1/yr]; empty where there is none. A rate at which the net present value only
        touches zero is listed once.

    Raises
    ------
    ValueError
        Where an amount is not finite.

    References
    ----------
    Several roots: Lorie & Savage 1955, Journal of Business 28:229-239 (from memory). The isolation of the roots
    follows the proof of Descartes' rule of signs by Rolle's theorem.
    """
    if not np.all(np.isfinite(cash)):
        raise ValueError("every amount must be a finite number")
    cash = _without_rounding(cash)
    years = np.flatnonzero(cash)
    logs = _log_discount_roots(np.sign(cash[years]), np.log(np.abs(cash[years])), years.astype(np.float64))
    return sorted(float(np.expm1(-log)) for log in logs)


def _without_rounding(cash: FloatArray) -> FloatArray:
    size = np.abs(cash)
    return np.where(size > ROUNDING * size.max(initial=0.0), cash, 0.0)


def _log_discount_roots(signs: FloatArray, logs: FloatArray, years: FloatArray) -> list[float]:
    """Zeros x, ascending, of sum(signs * exp(logs + years * x)), years ascending.

    Multiplied by exp(-s * x) with s inside a sign change, the sum's slope has one sign change less; between the
    zeros of that slope the sum is monotone, so that one zero is bracketed there or none. Amounts are kept as
    logarithms, because their products over many slopes leave the range of a float.
    """
    sums = []
    while (turns := np.flatnonzero(signs[1:] != signs[:-1])).size:
        sums.append((signs, logs))
        turn = turns[turns.size // 2]
        from_middle = years - (years[turn] + years[turn + 1]) / 2.0
        signs, logs = signs * np.sign(from_middle), logs + np.log(np.abs(from_middle))
    zeros: list[float] = []
    for slope_of in reversed(sums):
        zeros = _zeros_between(*slope_of, years, zeros)
    return zeros


def _zeros_between(signs: FloatArray, logs: FloatArray, years: FloatArray, slope_zeros: list[float]) -> list[float]:
    def scaled_sum(log: float) -> float:
        exponents = logs + years * log
        return float(np.sum(signs * np.exp(exponents - exponents.max())))

    # Cauchy's bounds on the zeros of a polynomial and of its reverse; one wider, so that no end is a zero
    low = -float(np.logaddexp(0.0, logs.max() - logs[0])) - 1.0
    high = float(np.logaddexp(0.0, logs.max() - logs[-1])) + 1.0
    points = [low, *(zero for zero in slope_zeros if low < zero < high), high]
    sides = [0.0 if abs(total) < ROUNDING else np.sign(total) for total in map(scaled_sum, points)]
    zeros = [point for point, side in zip(points, sides, strict=True) if side == 0.0]
    for (left, right), (left_side, right_side) in zip(pairwise(points), pairwise(sides), strict=True):
        if left_side * right_side < 0.0:
            zeros.append(root_between(scaled_sum, left, right, 1e-14))
    return sorted(zeros)
