"""Where a function of one variable crosses zero, without the quarter of a second in which scipy's is imported.

Every command grows trees and prices cash, and both ask for a root; nothing else on that way needs scipy. What is asked
for seldom (a cruise, paddocks) takes scipy's own.
"""

from collections.abc import Callable
from typing import Final

ROUNDING: Final = 2.0**-52


def root_between(function: Callable[[float], float], low: float, high: float, within: float) -> float:
    """Root of a continuous function between two points where it has opposite signs.

    Parabola through three points where it can be trusted, else halving, so that it always ends.

    Parameters
    ----------
    function
        Finite between the points.
    low, high
        Points where its values have opposite signs, or one of them is zero, any unit that the function takes.
    within
        How near the root has to be found, 0 or more, in the unit of the points; never nearer than rounding allows.

    Returns
    -------
    float
        A point no further than that from a change of sign.

    Raises
    ------
    ValueError
        Where both values have one sign.

    References
    ----------
    Chandrupatla 1997, Advances in Engineering Software 28:145-149 (from memory); tests compare it with
    ``scipy.optimize.brentq``.
    """
    newest, opposite = high, low
    at_newest, at_opposite = function(newest), function(opposite)
    if min(at_newest, at_opposite) > 0.0 or max(at_newest, at_opposite) < 0.0:
        raise ValueError(f"the function has one sign at {low} and {high}: {at_opposite} and {at_newest}")
    share = 0.5
    while True:
        best = newest if abs(at_newest) < abs(at_opposite) else opposite
        if at_newest == 0.0 or at_opposite == 0.0:
            return best
        least = (0.5 * within + ROUNDING * abs(best)) / abs(opposite - newest)
        if least > 0.5:
            return best
        point = newest + min(1.0 - least, max(least, share)) * (opposite - newest)
        value = function(point)
        if (value > 0.0) == (at_newest > 0.0):
            older, at_older = newest, at_newest
        else:
            older, at_older, opposite, at_opposite = opposite, at_opposite, newest, at_newest
        newest, at_newest = point, value
        share = _parabola((newest, opposite, older), (at_newest, at_opposite, at_older))


def _parabola(points: tuple[float, float, float], values: tuple[float, float, float]) -> float:
    """Where the parabola through three points crosses zero, as a share of the way from the first to the second.

    The way's half where the parabola does not fall from one to the other.
    """
    (a, b, c), (at_a, at_b, at_c) = points, values
    where, height = (a - b) / (c - b), (at_a - at_b) / (at_c - at_b)
    if not (height**2 < where and (1.0 - height) ** 2 < 1.0 - where):
        return 0.5
    return at_a / (at_b - at_a) * at_c / (at_b - at_c) + (c - a) / (b - a) * at_a / (at_c - at_a) * at_b / (at_c - at_b)
