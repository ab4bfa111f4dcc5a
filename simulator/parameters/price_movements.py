"""How prices move from year to year: invented defaults by price item, and how far wood prices move together."""

from collections.abc import Mapping
from functools import cache
from importlib import resources
from typing import NamedTuple

from simulator.sourced import coefficients, read_sourced


class Movement(NamedTuple):
    """How the price of one item moves.

    Attributes
    ----------
    keep
        Share of the distance of the log price from its level that is left a year later [1].
    spread
        Standard deviation of what a year adds to the log price [1].
    with_wood
        Correlation of what a year adds with that of wood prices [1]; 0 for what has no part in their market.
    """

    keep: float
    spread: float
    with_wood: float


@cache
def load_movements() -> Mapping[str, Movement]:
    """Read how each price item moves that has a default.

    Returns
    -------
    Mapping
        Item to movement; all of it invented, see the file.

    Raises
    ------
    ParameterError
        If the file breaks the schema.
    """
    with resources.as_file(resources.files("price_tables") / "movements" / "demo-2025.toml") as path:
        file = read_sourced(path)
    return {item: coefficients(file, item, Movement) for item in file.tables}


def default_correlation(one: str, other: str) -> float:
    """How far the yearly changes of two prices go together, where the owner states nothing.

    Parameters
    ----------
    one, other
        Two different price items.

    Returns
    -------
    float
        Correlation of the changes of the log prices [1]: the smaller of their two with wood prices; 0 where one of
        them has no default.
    """
    movements = load_movements()
    if one not in movements or other not in movements:
        return 0.0
    return min(movements[one].with_wood, movements[other].with_wood)
