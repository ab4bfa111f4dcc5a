"""Other prices: sets of them that favour the grass or the trees, and the price at which another system leads."""

from collections.abc import Mapping
from typing import Literal, NamedTuple

import numpy as np

from simulator.enterprises.offers import bids_hold
from simulator.herd_accounts import COWS, items_of
from simulator.measures import annual_income
from simulator.parameters.catalogue import NO_ANIMALS
from simulator.parameters.herds import Words
from simulator.parameters.pasture import load_animals
from simulator.result import Outcome
from simulator.scenario.sale import MILL_ITEMS
from simulator.units import FloatArray

BEEF = ("calf", "cull_cow", "bred_cow", "feeder", "feeder_purchase", "grazing_lease", "grazing_lease_month")
"""What moves with the price of meat; a flock's or another herd's own items beside it."""
WOOD = ("pulpwood", "chip_and_saw", "sawtimber", "pole", *MILL_ITEMS)
"""Standing, and at the mill's gate."""
NUTS = ("nuts",)
HAY = ("hay",)
SWITCH_ITEMS = (*WOOD, *NUTS, *HAY, "calf", "feeder", "grazing_lease", "grazing_lease_month", "straw_bale", "wage")
DEAREST = 5.0
"""Switch prices are looked for between nothing and this many times the price in force."""


class PriceSet(NamedTuple):
    """Equal annual income of each system under one set of prices [$/ac/yr]."""

    name: str
    equal_annual_income: Mapping[str, float]


class Switch(NamedTuple):
    """Price of one item at which another system becomes the best.

    Attributes
    ----------
    item, unit
        Price item.
    base, price
        Price in force, and price of the switch.
    now, then
        Best system at the price in force, and beyond the switch.
    """

    item: str
    unit: str
    base: float
    price: float
    now: str
    then: str


class _Group(NamedTuple):
    """Price items that rise and fall together, and what they are called."""

    name: str
    items: tuple[str, ...]


def income_at(outcome: Outcome, changed: Mapping[str, float]) -> float:
    """Equal annual income of a system with some prices changed.

    Parameters
    ----------
    outcome
        The system.
    changed
        Prices in place of those in force, by item.

    Returns
    -------
    float
        [$/ac/yr]. Where a sale at the mill's gate wins or loses its bid at these prices the plan is run anew.
    """
    prices = outcome.prices | dict(changed)
    if outcome.again is not None and not bids_hold(outcome.offers, prices):
        outcome = outcome.again(changed)
    return annual_income(outcome.flows, prices, outcome.rate)


def price_sets(systems: Mapping[str, Outcome]) -> tuple[PriceSet, ...]:
    """Three price sets: prices in force moved as far, in proportion, as the table's ranges lie from its prices.

    Parameters
    ----------
    systems
        Outcomes by name, all at the same prices.

    Returns
    -------
    tuple of PriceSet
        What moves, and gives a set its name, is what these systems sell: meat, or hay where nothing grazes; wood,
        or nuts.
    """
    ground, trees = _of_the_ground(systems), _of_the_trees(systems)
    sets = {
        f"low {ground.name}, high {trees.name}": _at(systems, ground, "low") | _at(systems, trees, "high"),
        "prices in force": {},
        f"high {ground.name}, low {trees.name}": _at(systems, ground, "high") | _at(systems, trees, "low"),
    }
    return tuple(
        PriceSet(name, {system: income_at(outcome, changed) for system, outcome in systems.items()})
        for name, changed in sets.items()
    )


def _of_the_ground(systems: Mapping[str, Outcome]) -> _Group:
    words = _words(systems)
    meat = _Group(words.meat, (*BEEF, *items_of(words)[:3]))
    return _Group("hay", HAY) if _sold(systems, HAY) and not _sold(systems, meat.items) else meat


def _of_the_trees(systems: Mapping[str, Outcome]) -> _Group:
    groups = [group for group in (_Group("nuts", NUTS), _Group("wood", WOOD)) if _sold(systems, group.items)]
    if not groups:
        return _Group("wood", WOOD)
    return _Group(" and ".join(group.name for group in groups), tuple(item for group in groups for item in group.items))


def _sold(systems: Mapping[str, Outcome], items: tuple[str, ...]) -> bool:
    """Whether any system sells something that one of the items prices."""
    return any(
        bool((flows.quantity[:, place] > 0).any() or (flows.cycle_quantity[:, place] > 0).any())
        for flows in (outcome.flows for outcome in systems.values())
        for place, line in enumerate(flows.lines)
        if line.account == "sale" and line.prices[:1] and line.prices[0] in items
    )


def _words(systems: Mapping[str, Outcome]) -> Words:
    """Names of the animals of a comparison, cattle's where there are none."""
    named = {outcome.scenario.use.animals for outcome in systems.values()} - {NO_ANIMALS}
    return load_animals(named.pop()).words if len(named) == 1 else COWS


def _at(systems: Mapping[str, Outcome], group: _Group, end: Literal["low", "high"]) -> dict[str, float]:
    any_one = next(iter(systems.values()))
    moved = {item: any_one.price_at(item, end) for item in group.items if item in any_one.price_table.items}
    return {item: price for item, price in moved.items() if price is not None}


def switch_prices(systems: Mapping[str, Outcome]) -> tuple[Switch, ...]:
    """Find, item by item, the nearest price at which the best system changes.

    Parameters
    ----------
    systems
        Outcomes by name, all at the same prices.

    Returns
    -------
    tuple of Switch
        Nearest first, relative to the price in force. Income is a straight line in each price, so the
        switch is exact; with wood sold at the mill's gate only switches are given up to which every sale keeps its
        answer, for beyond that the line breaks.
    """
    found = []
    for item in dict.fromkeys((*SWITCH_ITEMS, items_of(_words(systems)).young)):
        switch = _switch(systems, item)
        if switch is not None:
            found.append(switch)
    return tuple(sorted(found, key=lambda switch: abs(switch.price / switch.base - 1.0)))


def _switch(systems: Mapping[str, Outcome], item: str) -> Switch | None:
    """The nearest price of an item at which another system becomes the best; slopes from the income at no price."""
    any_one = next(iter(systems.values()))
    base = any_one.prices.get(item, 0.0)
    if base <= 0:
        return None
    names = list(systems)
    at_zero = np.array([_straight_on(systems[name], {item: 0.0}) for name in names])
    now = np.array([_straight_on(systems[name], {}) for name in names])
    slope = (now - at_zero) / base
    best = int(np.argmax(now))
    prices = [
        (price, then)
        for price, then in _crossings(now, slope, best, base)
        if all(bids_hold(outcome.offers, outcome.prices | {item: price}) for outcome in systems.values())
    ]
    if not prices:
        return None
    price, then = min(prices, key=lambda pair: abs(pair[0] - base))
    return Switch(item, any_one.price_table.items[item].unit, base, price, names[best], names[then])


def _straight_on(outcome: Outcome, changed: Mapping[str, float]) -> float:
    """Income at other prices with every sale answered as at those in force [$/ac/yr]."""
    return annual_income(outcome.flows, outcome.prices | dict(changed), outcome.rate)


def _crossings(now: FloatArray, slope: FloatArray, best: int, base: float) -> list[tuple[float, int]]:
    """Prices where another line meets the best one, within the range searched.

    Parameters
    ----------
    now
        Income of each system at the price in force [$/ac/yr], (systems,).
    slope
        What a unit more of the price adds to it [$/ac/yr per unit of price], (systems,).
    best
        Place of the best of them.
    base
        Price in force, in its unit.

    Returns
    -------
    list of tuple
        Price of each crossing, and the system that meets the best there.

    References
    ----------
    Two straight lines; derived.
    """
    found = []
    for other in range(len(now)):
        lead, closing = now[best] - now[other], slope[other] - slope[best]
        if other == best or abs(closing) < 1e-12:
            continue
        price = base + lead / closing
        if 0.0 <= price <= DEAREST * base:
            found.append((float(price), other))
    return found
