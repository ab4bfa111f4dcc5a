"""What an output does as one factor goes from its low to its high end, from the results of any design."""

from typing import Final, NamedTuple

import numpy as np

from simulator.units import FloatArray

BANDS: Final = 10
"""Parts of alike many scenarios that a factor's range is divided into."""
LOW, HIGH = 0.10, 0.90


class Swing(NamedTuple):
    """An output at the low and at the high end of a factor.

    Attributes
    ----------
    name
        The factor.
    low, high
        Ends: values, or means of the lowest and highest tenth of a sampled factor.
    at_low, at_high
        Output there, the mean over the other factors where they vary too.
    """

    name: str
    low: float
    high: float
    at_low: float
    at_high: float

    @property
    def width(self) -> float:
        """Distance between the two outputs."""
        return abs(self.at_high - self.at_low)


class Point(NamedTuple):
    """An output at one value of a factor.

    Attributes
    ----------
    value
        Of the factor, or the mean of a part of its range.
    mean
        Mean output over the other factors.
    low, high
        A tenth of the scenarios lies below, a tenth above.
    scenarios
        Scenarios behind it.
    """

    value: float
    mean: float
    low: float
    high: float
    scenarios: int


def dependence(factor: FloatArray, output: FloatArray) -> list[Point]:
    """Follow an output along one factor.

    Parameters
    ----------
    factor
        Its value in each scenario, (scenarios,).
    output
        NaN where a scenario has none, (scenarios,).

    Returns
    -------
    list of Point
        One for each value where they are few, else for ten parts of alike many scenarios; empty without outputs.

    References
    ----------
    Definition; parts of alike many scenarios: a choice of this project.
    """
    known = np.isfinite(output) & np.isfinite(factor)
    factor, output = factor[known], output[known]
    if not len(factor):
        return []
    values, place = np.unique(factor, return_inverse=True)
    if len(values) > BANDS:
        edges = np.quantile(factor, np.linspace(0.0, 1.0, BANDS + 1)[1:-1])
        place = np.searchsorted(edges, factor, side="right")
    points = []
    for part in range(int(place.max()) + 1):
        there = output[place == part]
        if len(there):
            low, high = np.quantile(there, [LOW, HIGH])
            value = float(factor[place == part].mean())
            points.append(Point(value, float(there.mean()), float(low), float(high), len(there)))
    return points


def swing(name: str, factor: FloatArray, output: FloatArray) -> Swing | None:
    """Output at both ends of a factor; ``None`` where it has but one value with an output."""
    points = dependence(factor, output)
    if len(points) < 2:
        return None
    first, last = points[0], points[-1]
    return Swing(name, first.value, last.value, first.mean, last.mean)


def swing_one_at_a_time(name: str, factor: FloatArray, output: FloatArray, now: float) -> Swing | None:
    """The same where only this factor was moved, from the scenario of the file in the first row.

    Parameters
    ----------
    name
        The factor.
    factor, output
        Of all scenarios of a design that moves one factor at a time.
    now
        Value of the factor in the scenario.
    """
    own = (factor != now) & np.isfinite(output)
    own[0] = bool(np.isfinite(output[0]))
    return swing(name, factor[own], output[own])
