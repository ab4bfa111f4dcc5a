"""The plan with the highest internal rate of return among many, found by raising the rate until none gains."""

from typing import Final, NamedTuple

import numpy as np

from simulator.finance import every_real_irr
from simulator.units import BoolArray, FloatArray

HIGHEST_RATE: Final = 1.0
RATES_CHECKED: Final = 200
NOTHING: Final = 1e-6
"""A present value this far above zero [$/ac] is rounding."""


class BestRate(NamedTuple):
    """The plan with the highest rate.

    Attributes
    ----------
    place
        Place of the plan; None where no plan has a rate.
    rate
        Its internal rate of return; NaN without a plan.
    steps
        Rates tried.
    several
        Plans left out because they have several rates above zero, (plans,).
    """

    place: int | None
    rate: float
    steps: int
    several: BoolArray


def outlays(cash: FloatArray) -> FloatArray:
    """Deepest cumulative cash of each plan as a positive outlay.

    Parameters
    ----------
    cash
        Cash by year [$/ac], (plans, years).

    Returns
    -------
    FloatArray
        Outlay, 0 or more [$/ac], (plans,).

    References
    ----------
    Definition.
    """
    return np.asarray(np.maximum(-np.cumsum(cash, axis=1).min(axis=1), 0.0))


def best_rate(cash: FloatArray, eligible: BoolArray, least_outlay: float) -> BestRate:
    """Find the plan with the highest internal rate of return.

    At each rate the plan of the highest present value is taken, and the rate raised to that plan's own, until no
    plan has a present value above zero. A rate says nothing of the size of what earns it, so plans that
    hardly put any money in are left out, and a plan with several rates has none.

    Parameters
    ----------
    cash
        Cash by year with end values [$/ac], (plans, years).
    eligible
        Plans meant, (plans,).
    least_outlay
        Least outlay of a plan that counts [$/ac], above 0.

    Returns
    -------
    BestRate
        Plan and its rate [1/yr].

    Raises
    ------
    ValueError
        If the least outlay is not above 0.

    References
    ----------
    Fractional objective: Dinkelbach 1967, Management Science 13:492-498 (from memory). Several rates: Lorie & Savage
    1955, Journal of Business 28:229-239 (from memory).
    """
    if least_outlay <= 0:
        raise ValueError("a plan without an outlay has no rate of return")
    left = eligible & (outlays(np.nan_to_num(cash)) >= least_outlay)
    several = np.zeros(len(cash), bool)
    rate, best, steps = 0.0, None, 0
    while left.any():
        steps += 1
        leader = _leader_at(cash, left, rate) if best is None else _leader_above(cash, left, rate)
        if leader is None:
            break
        roots = [root for root in every_real_irr(cash[leader]) if root > 0]
        if len(roots) != 1:
            several[leader], left[leader] = len(roots) > 1, False
            continue
        if best is not None and roots[0] <= rate:
            if leader == best:
                break
            left[leader] = False
            continue
        rate, best = roots[0], leader
    return BestRate(best, rate if best is not None else float("nan"), steps, several)


def _leader_at(cash: FloatArray, left: BoolArray, rate: float) -> int | None:
    """The plan of the highest present value at a rate, None where none is above zero."""
    values = np.where(left, cash @ (1.0 + rate) ** -np.arange(cash.shape[1]), -np.inf)
    leader = int(np.argmax(values))
    return leader if values[leader] > NOTHING else None


def _leader_above(cash: FloatArray, left: BoolArray, rate: float) -> int | None:
    """The best plan at this rate, or at any higher one: a plan of several rates may gain again later."""
    for higher in np.linspace(rate, max(HIGHEST_RATE, rate), RATES_CHECKED):
        leader = _leader_at(cash, left, float(higher))
        if leader is not None:
            return leader
    return None
