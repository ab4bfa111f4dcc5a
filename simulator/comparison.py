"""Trees alone, grass alone and both together on one piece of land, side by side."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, NamedTuple

import numpy as np

from simulator.alternatives import systems_of
from simulator.baselines import other_pastures
from simulator.events.light import Precision
from simulator.findings.warnings import Warning_, warnings_of
from simulator.herd_accounts import COWS, items_of
from simulator.interest import discount_factor
from simulator.land_equivalent import LandEquivalent, land_equivalent
from simulator.measures import annual_income
from simulator.orientation import RowDirection, row_direction
from simulator.parameters.catalogue import NO_ANIMALS
from simulator.parameters.herds import Words
from simulator.parameters.pasture import load_animals
from simulator.result import Outcome, run, run_batch
from simulator.scenario.model import Scenario
from simulator.units import FloatArray

BEEF = ("calf", "cull_cow", "bred_cow", "feeder", "feeder_purchase", "grazing_lease", "grazing_lease_month")
"""What moves with the price of meat; a flock's or another herd's own items beside it."""
WOOD = ("pulpwood", "chip_and_saw", "sawtimber", "pole")
SWITCH_ITEMS = (*WOOD, "hay", "calf", "feeder", "grazing_lease", "grazing_lease_month", "straw_bale", "wage")
CLEARLY_MORE = 2.0
"""Another pasture is worth a word when it earns so much more [$/ac/yr]."""
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


class BetterPasture(NamedTuple):
    """Another way to use the pasture that earns more than the one compared.

    Attributes
    ----------
    plan
        What would be done.
    equal_annual_income
        What it would earn [$/ac/yr].
    """

    plan: Scenario
    equal_annual_income: float


@dataclass(frozen=True)
class Comparison:
    """Three systems on the same land and what follows from putting them side by side.

    Attributes
    ----------
    systems
        Outcome by name: silvopasture, plantation, pasture; with a stand that was found also open_later.
    land_equivalent
        Land equivalent ratio of the silvopasture.
    price_sets
        Equal annual income under low beef and high wood, the prices in force, high beef and low wood.
    labour_free
        Equal annual income with the owner's hours uncharged [$/ac/yr].
    switches
        Prices at which the best system changes, nearest first.
    better_pasture
        A way to use the pasture that earns clearly more than the one compared, if there is one: a comparison
        with a badly kept pasture flatters the trees.
    warnings
        What a reader must know.
    row_direction
        The plan with its rows as they lie and turned by a quarter; None without trees.
    """

    systems: Mapping[str, Outcome]
    land_equivalent: LandEquivalent
    price_sets: tuple[PriceSet, ...]
    labour_free: Mapping[str, float]
    switches: tuple[Switch, ...]
    better_pasture: BetterPasture | None
    warnings: tuple[Warning_, ...]
    row_direction: RowDirection | None = None

    @property
    def ranking(self) -> list[str]:
        """Systems by equal annual income, best first."""
        return sorted(self.systems, key=lambda name: -self.systems[name].measures.equal_annual_income)


def compare(scenario: Scenario, beside: Path | None = None, precision: Precision = "exact") -> Comparison:
    """Run a plan beside the two single uses of its land. No ordering is built in.

    Parameters
    ----------
    scenario
        The plan; its ``[baseline.*]`` tables override the derived single uses.
    beside
        Folder of the scenario file, where a user's own price table is looked for.
    precision
        Light path.

    Returns
    -------
    Comparison
    """
    systems = {name: run(plan, beside, precision) for name, plan in systems_of(scenario, beside).items()}
    return Comparison(
        systems=systems,
        land_equivalent=land_equivalent(systems),
        price_sets=_price_sets(systems),
        labour_free={name: _income(outcome, {"wage": 0.0}) for name, outcome in systems.items()},
        switches=switch_prices(systems),
        better_pasture=better_pasture(systems["pasture"], beside),
        warnings=tuple(w for name, outcome in systems.items() for w in warnings_of(name, outcome)),
        row_direction=row_direction(scenario, beside),
    )


def better_pasture(pasture: Outcome, beside: Path | None = None) -> BetterPasture | None:
    """Try the usual other ways to use the pasture and return the best that earns clearly more.

    Parameters
    ----------
    pasture
        The pasture of a comparison.
    beside
        Folder of the scenario file, for its own price table.

    Returns
    -------
    BetterPasture or None
    """
    grass = pasture.lives[-1] if pasture.lives else pasture
    ways = other_pastures(grass.scenario)
    incomes = [_income(outcome, {}) for outcome in run_batch(ways, beside)]
    best = max(range(len(ways)), key=lambda place: incomes[place])
    # a stand that was found is cleared first, whatever grass comes after it
    more = (incomes[best] - _income(grass, {})) * float(discount_factor(pasture.rate, pasture.flows.leading_yr))
    if more < CLEARLY_MORE:
        return None
    return BetterPasture(ways[best], _income(pasture, {}) + more if pasture.lives else incomes[best])


def _income(outcome: Outcome, changed: Mapping[str, float]) -> float:
    return annual_income(outcome.flows, outcome.prices | dict(changed), outcome.rate)


def _price_sets(systems: Mapping[str, Outcome]) -> tuple[PriceSet, ...]:
    """Three price sets: prices in force moved as far, in proportion, as the table's ranges lie from its prices."""
    words = _words(systems)
    animals = (*BEEF, *items_of(words)[:3])
    sets = {
        f"low {words.meat}, high wood": _at(systems, animals, "low") | _at(systems, WOOD, "high"),
        "prices in force": {},
        f"high {words.meat}, low wood": _at(systems, animals, "high") | _at(systems, WOOD, "low"),
    }
    return tuple(
        PriceSet(name, {system: _income(outcome, changed) for system, outcome in systems.items()})
        for name, changed in sets.items()
    )


def _words(systems: Mapping[str, Outcome]) -> Words:
    """Names of the animals of a comparison, cattle's where there are none."""
    named = {outcome.scenario.use.animals for outcome in systems.values()} - {NO_ANIMALS}
    return load_animals(named.pop()).words if len(named) == 1 else COWS


def _at(systems: Mapping[str, Outcome], items: tuple[str, ...], end: Literal["low", "high"]) -> dict[str, float]:
    any_one = next(iter(systems.values()))
    moved = {item: any_one.price_at(item, end) for item in items}
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
        switch is exact.
    """
    found = []
    for item in dict.fromkeys((*SWITCH_ITEMS, items_of(_words(systems)).young)):
        switch = _switch(systems, item)
        if switch is not None:
            found.append(switch)
    return tuple(sorted(found, key=lambda switch: abs(switch.price / switch.base - 1.0)))


def _switch(systems: Mapping[str, Outcome], item: str) -> Switch | None:
    any_one = next(iter(systems.values()))
    base = any_one.prices.get(item, 0.0)
    if base <= 0:
        return None
    names = list(systems)
    at_zero = np.array([_income(systems[name], {item: 0.0}) for name in names])
    now = np.array([_income(systems[name], {}) for name in names])
    slope = (now - at_zero) / base
    best = int(np.argmax(now))
    prices = _crossings(now, slope, best, base)
    if not prices:
        return None
    price, then = min(prices, key=lambda pair: abs(pair[0] - base))
    return Switch(item, any_one.price_table.items[item].unit, base, price, names[best], names[then])


def _crossings(now: FloatArray, slope: FloatArray, best: int, base: float) -> list[tuple[float, int]]:
    """Prices where another line meets the best one, within the range searched."""
    found = []
    for other in range(len(now)):
        lead, closing = now[best] - now[other], slope[other] - slope[best]
        if other == best or abs(closing) < 1e-12:
            continue
        price = base + lead / closing
        if 0.0 <= price <= DEAREST * base:
            found.append((float(price), other))
    return found
