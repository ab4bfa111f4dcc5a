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
        successor, left = successor_of(outcomes[place].scenario, beside), _years_left(outcomes[place].scenario)
        plans += [successor, _to_horizon(successor, max(left, 1))]
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


def _years_left(scenario: Scenario) -> int:
    return scenario.money.horizon_years - harvest_year(scenario)


def _to_horizon(scenario: Scenario, years: int) -> Scenario:
    return scenario.model_copy(update={"money": scenario.money.model_copy(update={"horizon_years": years})})


def _joined(first: Grown, *, steady: Grown, then: Grown) -> Grown:
    cut, last = harvest_year(first.scenario), first.scenario.money.horizon_years
    lines = tuple(dict.fromkeys((*first.flows.lines, *steady.flows.lines, *then.flows.lines)))
    mine, theirs = (_laid_out(flows, lines) for flows in (first.flows, then.flows))
    repeated = _laid_out(steady.flows, lines)
    quantity, states = mine.quantity, dict(first.states)
    wood, profile, forage = first.wood_ton_ac, first.profile_warm, first.states["forage_lb_ac"]
    hours, sold = first.hours_by_month, first.exit_value
    if cut < last:
        quantity = _spliced(mine.quantity, theirs.quantity, cut)
        # the harvest's row pays for what is planted or sown next
        quantity[cut] += theirs.quantity[0]
        states = {name: _spliced(values, then.states[name], cut) for name, values in first.states.items()}
        wood = _spliced(wood, then.wood_ton_ac, cut)
        profile = _spliced(profile, then.profile_warm, cut)
        forage = states["forage_lb_ac"]
        hours = _spliced(hours, then.hours_by_month, cut)
        hours[cut] += then.hours_by_month[0]
        sold = sold.followed_by(then.exit_value, cut)
    flows = Flows(lines, quantity, repeated.cycle_quantity, repeated.replanting, mine.cycle_quantity)
    return replace(
        first,
        flows=flows,
        states=states,
        wood_ton_ac=wood,
        profile_warm=profile,
        cycle_forage_lb_ac=forage[1:],
        hours_by_month=hours,
        exit_value=sold,
        offers=(*first.offers, *(offer.later(cut) for offer in steady.offers)),
        lives=(first, then),
    )


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
