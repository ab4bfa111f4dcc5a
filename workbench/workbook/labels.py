"""Where the names of lines stand in a chart: above each line, in the year in which no other runs through the name."""

from collections.abc import Mapping
from typing import Final

import numpy as np

from simulator.units import FloatArray

ABOVE: Final = 0.06
"""How high the middle of a name stands above its point, as a share of the chart."""
HALF_A_NAME: Final = 0.09
"""Half the width of a name as a share of the years."""
ENOUGH: Final = 0.05
"""Space between a name and the nearest line that is as good as more of it, as a share of the chart."""


def label_years(values: Mapping[str, FloatArray], top: float | None = None) -> dict[str, int]:
    """Choose the year in which each line is named.

    Parameters
    ----------
    values
        Lines by name, (years,) each.
    top
        Upper end of the scale, beyond which no name fits; none where the scale leaves room.

    Returns
    -------
    dict of int
        Year by name. Names placed before count as obstacles.
    """
    lines = list(values.values())
    span = float(max(line.max() for line in lines) - min(line.min() for line in lines)) or 1.0
    half = max(round(HALF_A_NAME * len(lines[0])), 1)
    chosen: dict[str, int] = {}
    for name, line in values.items():
        free = [_free(line, year, lines, (span, half)) for year in range(len(line))]
        for other, year in chosen.items():
            near = range(max(year - 2 * half, 0), min(year + 2 * half + 1, len(line)))
            for place in near:
                free[place] = min(free[place], abs(line[place] - values[other][year]) / span - ABOVE)
        if top is not None:
            free = [each if line[i] + 2 * ABOVE * span <= top else each - 1.0 for i, each in enumerate(free)]
        middle = (len(line) - 1) / 2
        inner = range(min(half, len(line) - 1), max(len(line) - half, 1)) or range(len(line))
        worth = [(min(free[i], ENOUGH), -abs(i - middle), i) for i in inner]
        chosen[name] = max(worth)[2]
    return chosen


def _free(line: FloatArray, year: int, lines: list[FloatArray], scale: tuple[float, int]) -> float:
    """Space between a name above a line in a year and the nearest of all lines, as a share of the chart."""
    span, half = scale
    near = slice(max(year - half, 0), year + half + 1)
    height = line[year] + ABOVE * span
    return float(min(np.abs(each[near] - height).min() for each in lines) / span)
