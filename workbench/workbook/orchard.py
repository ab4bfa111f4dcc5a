"""What is left of an orchard at the horizon: which quantities of it follow the rate, and from what."""

from typing import Final, NamedTuple

import numpy as np

from simulator.enterprises.orchard_value import REST_OF_THE_PLAN, WAY_BACK
from simulator.interest import discount_factor
from simulator.parameters.species import load_species
from simulator.result import Outcome
from simulator.units import FloatArray

CLOSE: Final = 1e-9
HIRED: Final = "_hired"


class Rest(NamedTuple):
    """A quantity at the horizon that is the worth of later years.

    Attributes
    ----------
    quantity
        At the rate given.
    sources
        Places of the lines whose later years it holds; empty where it is one quantity that waits for the harvest.
    row
        Row of the cycle in which the horizon falls.
    wait
        Years from there to the harvest [yr].
    found
        Whether the orchard is one that was found, whose years stand before the cycle.
    """

    quantity: float
    sources: tuple[int, ...]
    row: int
    wait: int
    found: bool


def is_orchard(outcome: Outcome) -> bool:
    """Whether a plan's trees are kept for nuts."""
    trees = outcome.scenario.trees
    return trees is not None and load_species(trees.species).orchard is not None


def rest_of(outcome: Outcome) -> dict[int, Rest]:
    """Quantities at the horizon that follow the rate, by place of their line.

    Parameters
    ----------
    outcome
        A system.

    Returns
    -------
    dict
        Only such as the later years really add up to; the others are stated.
    """
    flows, last = outcome.flows, len(outcome.flows.quantity) - 1
    if not is_orchard(outcome):
        return {}
    found = flows.leading is not None and flows.leading_yr > last
    cycle = flows.leading if found and flows.leading is not None else flows.cycle_quantity
    row = last if found else last - flows.leading_yr if outcome.lives else int(outcome.states["age"][last])
    wait = len(cycle) - 1 - row
    if wait < 1:
        return {}
    place = {line.key: i for i, line in enumerate(flows.lines)}
    made = {}
    for end, key in REST_OF_THE_PLAN.items():
        sources = tuple(place[name] for name in (key, f"{key}{HIRED}") if name in place)
        quantity = float(flows.quantity[last, place[end]]) if end in place else 0.0
        if quantity and np.isclose(_worth(cycle, sources, row, outcome.rate), quantity, rtol=CLOSE, atol=0.0):
            made[place[end]] = Rest(quantity, sources, row, wait, found)
    stands = outcome.states["trees_per_ac"][last] > 0
    way_back = float(flows.quantity[last, place[WAY_BACK]]) if WAY_BACK in place and stands else 0.0
    if way_back:
        made[place[WAY_BACK]] = Rest(way_back, (), row, wait, found)
    return made


def _worth(cycle: FloatArray, sources: tuple[int, ...], row: int, rate: float) -> float:
    later = cycle[row + 1 :, list(sources)].sum(axis=1)
    return float(later @ discount_factor(rate, np.arange(1.0, len(later) + 1.0)))
