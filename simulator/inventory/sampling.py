"""How sure a mean over plots is, and how many plots a wanted precision asks for."""

from typing import Final, NamedTuple

import numpy as np
from scipy import stats

from simulator.units import FloatArray

MOST_PLOTS: Final = 100_000


class Estimate(NamedTuple):
    """A mean over plots and its sampling error.

    Attributes
    ----------
    mean
        Mean over the plots, per acre.
    standard_error
        Standard error of the mean; NaN for a single plot.
    low, high
        Confidence limits of the mean, the lower one at least 0; NaN for a single plot.
    variation
        Standard deviation between plots / mean [1]; NaN where the mean is 0 or there is one plot.
    plots_needed
        Plots that would bring half the confidence interval down to the wanted share of the mean, or None where
        that cannot be told.
    """

    mean: float
    standard_error: float
    low: float
    high: float
    variation: float
    plots_needed: int | None

    @property
    def standard_error_percent(self) -> float:
        """Standard error as a percentage of the mean; NaN where the mean is 0."""
        return 100.0 * self.standard_error / self.mean if self.mean > 0 else float("nan")


def estimate(by_plot: FloatArray, confidence: float, precision: float) -> Estimate:
    """Mean of plots laid out at random or on a grid, with its sampling error.

    Parameters
    ----------
    by_plot
        Value of each plot per acre, plots without trees as 0, (plots,).
    confidence
        Confidence level [1], 0.5-0.999.
    precision
        Wanted half-width of the confidence interval as a share of the mean [1], above 0.

    Returns
    -------
    Estimate
        No correction for a finite number of plots: the plots are a small part of any tract.

    References
    ----------
    Simple random sampling with Student's t; Freese 1962, Elementary Forest Sampling, USDA Agriculture Handbook 232
    (from memory). A systematic grid is treated alike, as common practice does; it then errs on the safe side.
    """
    count = len(by_plot)
    mean = float(np.mean(by_plot))
    if count < 2:
        nan = float("nan")
        return Estimate(mean, nan, nan, nan, nan, None)
    deviation = float(np.std(by_plot, ddof=1))
    error = deviation / float(count) ** 0.5
    reach = float(stats.t.ppf(0.5 + confidence / 2.0, count - 1)) * error
    variation = deviation / mean if mean > 0 else float("nan")
    needed = plots_needed(variation, confidence, precision) if mean > 0 else None
    return Estimate(mean, error, max(mean - reach, 0.0), mean + reach, variation, needed)


def plots_needed(variation: float, confidence: float, precision: float) -> int | None:
    """Fewest plots whose confidence interval is as narrow as wanted.

    Parameters
    ----------
    variation
        Coefficient of variation between plots [1], 0 or more.
    confidence
        Confidence level [1].
    precision
        Wanted half-width as a share of the mean [1], above 0.

    Returns
    -------
    int or None
        At least 2; None above 100,000 plots.

    References
    ----------
    n = (t CV / E)^2 with t of n - 1 degrees of freedom, solved for the fewest n; Freese 1962 (from memory).
    """
    low, high = 2, MOST_PLOTS
    if not _narrow_enough(high, variation, confidence, precision):
        return None
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if _narrow_enough(middle, variation, confidence, precision) else (middle + 1, high)
    return low


def _narrow_enough(plots: int, variation: float, confidence: float, precision: float) -> bool:
    """Whether so many plots bring half the confidence interval down to the wanted share of the mean."""
    reach = float(stats.t.ppf(0.5 + confidence / 2.0, plots - 1)) * variation / float(plots) ** 0.5
    return bool(reach <= precision)
