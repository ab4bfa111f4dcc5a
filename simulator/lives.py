"""When a plan cuts the last of its trees: of trees that it plants, of a stand it found, and of what follows that."""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from simulator.result import Outcome


class HarvestRow(NamedTuple):
    """A final harvest of a plan.

    Attributes
    ----------
    year
        Row of the plan's own record.
    life
        The trees that were cut, as they were run by themselves: the plan itself, or one of its two lives.
    row
        Row of that run.
    """

    year: int
    life: Outcome
    row: int


def harvests_of(outcome: Outcome) -> Iterator[HarvestRow]:
    """Every final harvest within the horizon, the earliest first.

    Parameters
    ----------
    outcome
        The plan that was run.

    Yields
    ------
    HarvestRow
        A stand that was found is cut in the year of the file, whatever its age; trees that were planted at the age
        that the plan of their own life states.
    """
    last = len(outcome.cash_per_ac) - 1
    if not outcome.lives:
        yield from (HarvestRow(row, outcome, row) for row in _at_age(outcome))
        return
    found, then = outcome.lives
    cut = found.scenario.harvest.year if found.scenario.harvest else last + 1
    if cut <= last:
        yield HarvestRow(cut, found, cut)
    yield from (HarvestRow(cut + row, then, row) for row in _at_age(then) if cut + row <= last)


def _at_age(outcome: Outcome) -> list[int]:
    harvest = outcome.scenario.harvest
    if outcome.scenario.trees is None or harvest is None:
        return []
    return [int(row) for row in np.flatnonzero(outcome.states["age"] == harvest.year)]
