"""The ways to treat a stand as a choice made year by year: leave it, thin it, or cut it, with what each brings."""

from typing import Final, NamedTuple

import numpy as np

from optimize.decisions import ENDS, Decisions
from optimize.prices.repricing import Repricing
from optimize.waiting.growing import Grown
from optimize.waiting.ways import Way
from simulator.interest import discount_factor
from simulator.units import BoolArray, FloatArray, IntArray

HOLD, THIN, CLEAR = range(3)
UNTHINNED: Final = 0


class Tables(NamedTuple):
    """Arrays of decisions while they are filled; see `Decisions`."""

    fixed: FloatArray
    per_price: FloatArray
    next_state: IntArray
    allowed: BoolArray


def decisions_of(grown: Grown, items: tuple[str, ...]) -> Decisions:
    """Make yearly decisions of the ways a stand can be treated.

    Parameters
    ----------
    grown
        The ways.
    items
        Prices that move, in the order wanted.

    Returns
    -------
    Decisions
        Stages are the years 0 to the last harvest. State 0 is the stand unthinned; the others are its thinnings done
        by the year of the first. Whatever a way books in years before its decision (a buyer who pays at signing) is
        counted with interest in the year decided, so that the present value of every way is kept. The land
        after the harvest is worth what it is at the prices in force.
    """
    question = grown.question
    waits, last = question.longest_wait + 1, question.last
    states = 1 + len(question.offsets) * waits
    shape = (last + 1, states, 3)
    tables = Tables(np.zeros(shape), np.zeros((*shape, len(items))), np.full(shape, ENDS), np.zeros(shape, dtype=bool))
    paths = {way: grown.lines_of(way, items) for way in grown.doable()}
    _fill(tables, grown, paths, UNTHINNED, Way(0, 0, last), 0)
    for thinned in range(1, len(question.offsets) + 1):
        for first in range(waits):
            at = first + question.offsets[thinned - 1]
            longest, state = Way(thinned, first, last), state_of(thinned, first, waits)
            before = Way(thinned - 1, first if thinned > 1 else 0, last)
            if longest not in paths or before not in paths:
                continue
            _fill(tables, grown, paths, state, longest, at + 1)
            earlier = state_of(thinned - 1, first, waits)
            _book(tables, (at, earlier, THIN), _added(paths[longest], paths[before], at, grown.rate))
            tables.next_state[at, earlier, THIN] = state
    return Decisions(*tables, float(discount_factor(grown.rate, 1.0))).checked()


def state_of(thinned: int, first: int, waits: int) -> int:
    """Number of the state of a stand thinned so often, first in a year."""
    return UNTHINNED if thinned == 0 else 1 + (thinned - 1) * waits + first


def _fill(tables: Tables, grown: Grown, paths: dict[Way, Repricing], state: int, longest: Way, begins: int) -> None:
    """What leaving and cutting bring in a state from a year on."""
    path, last = paths[longest], longest.harvest
    for year in range(begins, last + 1):
        way = longest._replace(harvest=year)
        if way in paths:
            cut = _added(paths[way], path, year, grown.rate)
            _book(tables, (year, state, CLEAR), cut._replace(steady=cut.steady + grown.bare_land[year]))
        if year < last:
            _book(tables, (year, state, HOLD), Repricing(path.steady[year], path.weight[year]))
            tables.next_state[year, state, HOLD] = state


def _book(tables: Tables, place: tuple[int, int, int], money: Repricing) -> None:
    tables.fixed[place], tables.per_price[place], tables.allowed[place] = money.steady, money.weight, True


def _added(way: Repricing, path: Repricing, year: int, rate: float) -> Repricing:
    """What a way brings to the end of a year beside the path it leaves in it, with interest to that year.

    Parameters
    ----------
    way
        Money of the way by year [$/ac].
    path
        Money of the path that it leaves [$/ac].
    year
        Year in which it is left [yr].
    rate
        Real yearly discount rate [1/yr].

    Returns
    -------
    Repricing
        Money in that year [$/ac].

    References
    ----------
    Derived: so the present value of every way is kept.
    """
    grows = (1.0 + rate) ** np.arange(year, -1.0, -1.0)
    steady, weight = way.steady[: year + 1].copy(), way.weight[: year + 1].copy()
    steady[:year] -= path.steady[:year]
    weight[:year] -= path.weight[:year]
    return Repricing(np.asarray(grows @ steady), np.asarray((grows[:, None] * weight).sum(axis=0)))
