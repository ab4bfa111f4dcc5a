"""Two lives of one piece of land in one record: a stand that was found, and what follows its harvest."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, ClassVar, Protocol, TypeVar

import numpy as np

from simulator.alternatives import successor_of
from simulator.enterprises.offers import Offer
from simulator.enterprises.sold_early import ExitValue
from simulator.measures import Flows
from simulator.scenario.model import Scenario
from simulator.units import FloatArray


class Life(Protocol):
    """What joining two lives asks of an outcome, which is a dataclass."""

    __dataclass_fields__: ClassVar[dict[str, Any]]

    @property
    def scenario(self) -> Scenario:
        """What was run."""
        ...

    @property
    def flows(self) -> Flows:
        """Its quantities."""
        ...

    @property
    def states(self) -> dict[str, FloatArray]:
        """Yearly states by name."""
        ...

    @property
    def wood_ton_ac(self) -> FloatArray:
        """Wood sold by year and product."""
        ...

    @property
    def offers(self) -> tuple[Offer, ...]:
        """Wood offered to buyers."""
        ...

    @property
    def profile_warm(self) -> FloatArray:
        """Light across the grass ground by year."""
        ...

    @property
    def hours_by_month(self) -> FloatArray:
        """Hours of work by year and month."""
        ...

    @property
    def exit_value(self) -> ExitValue:
        """What could be sold with the land after each year."""
        ...

    @property
    def cycle_forage_lb_ac(self) -> FloatArray:
        """Forage of a cycle by year."""
        ...


Grown = TypeVar("Grown", bound=Life)


def followed(
    outcomes: Sequence[Grown], grow: Callable[[list[Scenario]], list[Grown]], beside: Path | None = None
) -> list[Grown]:
    """Let every stand that was found be followed by its successor; leave other plans as they are.

    Parameters
    ----------
    outcomes
        Plans grown by themselves.
    grow
        Grows further plans.
    beside
        Folder of the scenario file, for its own price table.

    Returns
    -------
    list
        In the same order. Where a successor begins before the horizon it is grown to the horizon, whose end values
        are then its own; the cycle it repeats for ever is that of a whole horizon.
    """
    found = [place for place, outcome in enumerate(outcomes) if outcome.scenario.stand is not None]
    if not found:
        return list(outcomes)
    plans: list[Scenario] = []
    for place in found:
        plans += after_harvest(outcomes[place].scenario, beside)
    grown = grow(plans)
    joined = list(outcomes)
    for i, place in enumerate(found):
        joined[place] = _joined(outcomes[place], steady=grown[2 * i], then=grown[2 * i + 1])
    return joined


def harvest_year(scenario: Scenario) -> int:
    """Year in which a plan cuts the last of its trees."""
    if scenario.harvest is None:
        raise ValueError("a stand is cut some day")
    return scenario.harvest.year


def after_harvest(scenario: Scenario, beside: Path | None = None) -> tuple[Scenario, Scenario]:
    """What follows the harvest of a stand that was found: as it is repeated for ever, and to the horizon."""
    successor = successor_of(scenario, beside)
    left = max(scenario.money.horizon_years - harvest_year(scenario), 1)
    money = successor.money.model_copy(update={"horizon_years": left})
    return successor, successor.model_copy(update={"money": money})


def _joined(first: Grown, *, steady: Grown, then: Grown) -> Grown:
    cut, last = harvest_year(first.scenario), first.scenario.money.horizon_years
    states, wood, profile = dict(first.states), first.wood_ton_ac, first.profile_warm
    forage, hours, sold = first.states["forage_lb_ac"], first.hours_by_month, first.exit_value
    if cut < last:
        states = {name: _spliced(values, then.states[name], cut) for name, values in first.states.items()}
        wood = _spliced(wood, then.wood_ton_ac, cut)
        profile = _spliced(profile, then.profile_warm, cut)
        forage = states["forage_lb_ac"]
        hours = _spliced(hours, then.hours_by_month, cut)
        hours[cut] += then.hours_by_month[0]
        sold = sold.followed_by(then.exit_value, cut)
    return replace(
        first,
        flows=joined_flows(first.flows, steady=steady.flows, then=then.flows, cut=cut),
        states=states,
        wood_ton_ac=wood,
        profile_warm=profile,
        cycle_forage_lb_ac=forage[1:],
        hours_by_month=hours,
        exit_value=sold,
        offers=(*first.offers, *(offer.later(cut) for offer in steady.offers)),
        lives=(first, then),
    )


def joined_flows(first: Flows, *, steady: Flows, then: Flows, cut: int) -> Flows:
    """Quantities of a stand that was found, and of what follows it.

    Parameters
    ----------
    first
        The stand by itself.
    steady
        What follows, as it is repeated for ever.
    then
        What follows, from the harvest to the horizon; not read where the harvest is not before it.
    cut
        Row of the harvest.

    Returns
    -------
    Flows
        The harvest's row pays for what is planted or sown next.
    """
    lines = tuple(dict.fromkeys((*first.lines, *steady.lines, *then.lines)))
    mine, theirs, repeated = (_laid_out(flows, lines) for flows in (first, then, steady))
    quantity = mine.quantity
    if cut < len(quantity) - 1:
        quantity = _spliced(quantity, theirs.quantity, cut)
        quantity[cut] += theirs.quantity[0]
    return Flows(lines, quantity, repeated.cycle_quantity, repeated.replanting, mine.cycle_quantity)


def _spliced(before: FloatArray, after: FloatArray, cut: int) -> FloatArray:
    """Rows of the first life to its harvest, then those of the second from its first season on."""
    return np.concatenate([before[: cut + 1], after[1:]])


def _laid_out(flows: Flows, lines: tuple[object, ...]) -> Flows:
    """The same quantities with a column for every line."""
    place = [lines.index(line) for line in flows.lines]

    def wide(quantity: FloatArray) -> FloatArray:
        out = np.zeros((*quantity.shape[:-1], len(lines)))
        out[..., place] = quantity
        return out

    return flows._replace(
        quantity=wide(flows.quantity), cycle_quantity=wide(flows.cycle_quantity), replanting=wide(flows.replanting)
    )
