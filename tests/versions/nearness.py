"""How far two documents of answers are apart: every number of the one held against the same number of the other."""

import math
from collections.abc import Iterator
from typing import Any, Final, NamedTuple

NOTHING: Final = 1e-12
"""Dollars, tons or feet below which a number is what rounding leaves of a difference, and as good as none."""


class Apart(NamedTuple):
    """One place at which two documents are not the same.

    Attributes
    ----------
    place
        Keys and positions that lead there.
    one, other
        What stands there.
    relative
        Difference of two numbers over the larger [1], 0 below ``NOTHING``; infinite where anything else differs.
    """

    place: str
    one: object
    other: object
    relative: float


def apart(one: Any, other: Any, place: str = "") -> Iterator[Apart]:  # noqa: ANN401 - documents of any shape
    """Every place at which two documents differ at all.

    Parameters
    ----------
    one, other
        Documents as `json` reads them.
    place
        Where they stand in a larger document.

    Yields
    ------
    Apart
        Numbers are compared as numbers whether or not one of them is whole, everything else as it is.
    """
    if isinstance(one, dict) and isinstance(other, dict) and one.keys() == other.keys():
        for key, value in one.items():
            yield from apart(value, other[key], f"{place}.{key}")
    elif isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        for number, value in enumerate(one):
            yield from apart(value, other[number], f"{place}[{number}]")
    elif one != other:
        yield Apart(place, one, other, _relative(one, other))


def _relative(one: object, other: object) -> float:
    numbers = [value for value in (one, other) if isinstance(value, int | float) and not isinstance(value, bool)]
    if len(numbers) < 2 or not all(map(math.isfinite, numbers)):
        return math.inf
    gap = abs(numbers[0] - numbers[1])
    return 0.0 if gap < NOTHING else gap / max(map(abs, numbers))
