"""What many draws say in a few numbers."""

from typing import Final, NamedTuple

import numpy as np

from optimize.risk.found import Drawn
from simulator.units import FloatArray

WORST_SHARE: Final = 0.05
TENTHS: Final = (0.1, 0.5, 0.9)


class Spread(NamedTuple):
    """Mean, its standard error, and the values below which a tenth, half and nine tenths of the draws lie."""

    mean: float
    error: float
    low: float
    median: float
    high: float


class Summary(NamedTuple):
    """One system through the draws.

    Attributes
    ----------
    income
        Yearly income [$/ac/yr].
    income_at_risk
        Income that 5 of 100 draws stay below [$/ac/yr].
    worth_at_risk
        The same of what the land is worth under the plan [$/ac].
    deepest
        Deepest cumulative cash [$/ac].
    below_limit
        Share of the draws whose cumulative cash is ever below the limit [1]; None without a limit.
    loses
        Share of the draws in which the plan does not earn the rate asked [1].
    years_with_income
        Mean share of the years after year 0 that bring more than they cost [1].
    largest_share
        Mean share of the receipts that the largest enterprise brings [1]; NaN without receipts.
    replanted
        Share of the draws in which a stand was lost at least once [1].
    """

    income: Spread
    income_at_risk: float
    worth_at_risk: float
    deepest: Spread
    below_limit: float | None
    loses: float
    years_with_income: float
    largest_share: float
    replanted: float


def spread(value: FloatArray) -> Spread:
    """Mean and tenths of what the draws gave.

    Parameters
    ----------
    value
        What each draw gave, any unit, (draws,).

    Returns
    -------
    Spread
        In the same unit; the error of a single draw is NaN.

    References
    ----------
    Standard error of the mean: definition.
    """
    error = float(value.std(ddof=1) / np.sqrt(len(value))) if len(value) > 1 else float("nan")
    low, median, high = (float(part) for part in np.quantile(value, TENTHS))
    return Spread(float(value.mean()), error, low, median, high)


def value_at_risk(value: FloatArray, share: float = WORST_SHARE) -> float:
    """Value that only a share of the draws stays below.

    Parameters
    ----------
    value
        What each draw gave, any unit, (draws,).
    share
        Share of the draws that stay below it, the worst [1].

    Returns
    -------
    float
        In the same unit.

    References
    ----------
    Common practice: the quantile of the outcomes by linear interpolation between the two nearest.
    """
    ordered = np.sort(value)
    place = share * (len(ordered) - 1)
    below = int(place)
    above = min(below + 1, len(ordered) - 1)
    return float(ordered[below] + (place - below) * (ordered[above] - ordered[below]))


def summary_of(drawn: Drawn, limit: float | None = None) -> Summary:
    """Put a system's draws into a few numbers.

    Parameters
    ----------
    drawn
        The system.
    limit
        Most money that may be out at any time [$/ac], not negative; None where nobody asks.

    Returns
    -------
    Summary
    """
    shares = drawn.largest_share[~np.isnan(drawn.largest_share)]
    return Summary(
        income=spread(drawn.income),
        income_at_risk=value_at_risk(drawn.income),
        worth_at_risk=value_at_risk(drawn.worth),
        deepest=spread(drawn.deepest),
        below_limit=None if limit is None else float((drawn.deepest < -limit).mean()),
        loses=float((drawn.worth < 0).mean()),
        years_with_income=float(drawn.years_with_income.mean()),
        largest_share=float(shares.mean()) if len(shares) else float("nan"),
        replanted=float((drawn.replanted > 0).mean()),
    )
