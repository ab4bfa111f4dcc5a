"""Thousands of plans grown and priced: batches of fixed borders, on one process or on several."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Final, NamedTuple

import numpy as np

from optimize.processes import side_by_side
from optimize.verdicts import NOT_REACHED, verdicts
from simulator.batch import kind_of
from simulator.books import books_of
from simulator.cycles import flows_of
from simulator.finance import equal_annual_income, land_expectation_value
from simulator.interest import discount_factor
from simulator.ledger import unit_prices
from simulator.measures import Flows, effective_prices, real_discount_rate
from simulator.parameters.prices import PriceTable, load_prices
from simulator.result import run_batch
from simulator.scenario.land import Money
from simulator.scenario.model import Scenario
from simulator.shared_growth import grow_sharing, stages_of, without_decisions, years_grown
from simulator.simulation import Simulation
from simulator.succession import after_harvest, joined_flows
from simulator.units import FloatArray, IntArray

BATCH: Final = 2000
"""Plans grown together at most: more share more of their years, and need more memory (about 60 kB each)."""


@dataclass(frozen=True)
class Worth:
    """What many plans are worth; arrays begin with the axis of plans.

    Attributes
    ----------
    npv, land_expectation, annual_income
        Measures of each [$/ac], [$/ac], [$/ac/yr], (plans,); land expectation is NaN at a rate of 0.
    cash
        Cash by year with end values in the last [$/ac], (plans, years).
    verdict
        Place in ``VERDICTS``, (plans,).
    """

    npv: FloatArray
    land_expectation: FloatArray
    annual_income: FloatArray
    cash: FloatArray
    verdict: IntArray


class Progress(NamedTuple):
    """How far a search is: plans done, plans in all."""

    done: int
    of: int


Tell = Callable[[Progress], None]


class Batch(NamedTuple):
    """Plans that one process grows at once, and their places among all."""

    places: IntArray
    plans: tuple[Scenario, ...]
    beside: Path | None


def worth_of(
    plans: Sequence[Scenario], beside: Path | None = None, *, workers: int = 1, tell: Tell | None = None
) -> Worth:
    """Grow and price plans on the fast light path.

    Parameters
    ----------
    plans
        Any mixture with one horizon.
    beside
        Folder of the scenario file, for its own price table.
    workers
        Processes; the result is the same with any number, for the borders of batches do not depend on it.
    tell
        Called as batches are done.

    Returns
    -------
    Worth
        In the order of the plans. A search that is interrupted keeps what it has; plans it did not reach say so.

    Raises
    ------
    KeyboardInterrupt
        Where it is interrupted before anything is done.
    """
    batches = list(_batches(plans, beside))
    results: dict[int, Worth] = {}
    try:
        for number, worth in side_by_side(batch_worth, batches, workers):
            results[number] = worth
            if tell is not None:
                tell(Progress(sum(len(batches[i].places) for i in results), len(plans)))
    except KeyboardInterrupt:
        if not results:
            raise
    years = next(iter(results.values())).cash.shape[1]
    for number in set(range(len(batches))) - set(results):
        results[number] = _unreached(len(batches[number].places), years)
    order = np.argsort(np.concatenate([batch.places for batch in batches]))
    columns = {
        field.name: np.concatenate([getattr(results[i], field.name) for i in range(len(batches))])[order]
        for field in fields(Worth)
    }
    return Worth(**columns)


def _unreached(plans: int, years: int) -> Worth:
    nothing = np.full(plans, np.nan)
    return Worth(nothing, nothing, nothing, np.full((plans, years), np.nan), np.full(plans, NOT_REACHED))


def years_to_grow(plans: Sequence[Scenario]) -> tuple[int, int]:
    """Years grown with the common ones grown once, and years of all plans one by one."""
    shared = alone = 0
    for batch in _batches(plans, None):
        last = _last_year(batch.plans)
        shared += years_grown(stages_of(batch.plans, last))
        alone += len(batch.plans) * (last + 1)
    return shared, alone


def _last_year(plans: Sequence[Scenario]) -> int:
    cuts = [plan.harvest.year for plan in plans if plan.harvest is not None and plan.trees is not None]
    return max(plans[0].money.horizon_years, max(cuts, default=0))


def _batches(plans: Sequence[Scenario], beside: Path | None) -> Iterator[Batch]:
    kinds: dict[object, list[int]] = {}
    for place, plan in enumerate(plans):
        kinds.setdefault(kind_of(plan), []).append(place)
    for places in kinds.values():
        for first in range(0, len(places), BATCH):
            part = np.array(places[first : first + BATCH])
            yield Batch(part, tuple(plans[i] for i in part), beside)


def batch_worth(batch: Batch) -> Worth:
    """Grow one batch, and value each of its plans."""
    tables = {name: load_prices(name, batch.beside) for name in {plan.money.price_table for plan in batch.plans}}
    simulation = grow_sharing(batch.plans, tables)
    later, priced = _Later(batch.beside), _Priced(tables)
    rows = [_worth(simulation, i, priced, later) for i in range(len(batch.plans))]
    npv, land, income, cash = (np.array(column) for column in zip(*rows, strict=True))
    return Worth(npv, land, income, cash, verdicts(simulation))


class _Later:
    """What follows the harvest of stands that were found, grown once for each year of harvest."""

    def __init__(self, beside: Path | None) -> None:
        self._beside = beside
        self._grown: dict[int, list[tuple[Scenario, tuple[Flows, Flows]]]] = {}

    def after(self, plan: Scenario) -> tuple[Flows, Flows]:
        """Quantities of what follows a plan: as it is repeated, and to the horizon."""
        alike = self._grown.setdefault(plan.harvest.year if plan.harvest else 0, [])
        asked = without_decisions(plan).model_copy(update={"straw": plan.straw, "harvest": plan.harvest})
        for other, flows in alike:
            if other == asked:
                return flows
        steady, then = run_batch(list(after_harvest(plan, self._beside)), self._beside, "fast")
        alike.append((asked, (steady.flows, then.flows)))
        return alike[-1][1]


class _Priced:
    """Signed prices of the lines of a plan; alike plans follow one another, so the last ones are kept."""

    def __init__(self, tables: Mapping[str, PriceTable]) -> None:
        self.tables = tables
        self._last: tuple[object, object, FloatArray] | None = None

    def of(self, flows: Flows, money: Money) -> FloatArray:
        """Signed price of each line [$/unit], (lines,)."""
        if self._last is None or self._last[0] is not flows.lines or self._last[1] is not money:
            price = unit_prices(flows.lines, effective_prices(money, self.tables[money.price_table]))
            self._last = flows.lines, money, price
        return self._last[2]


def _worth(simulation: Simulation, i: int, priced: _Priced, later: _Later) -> tuple[float, float, float, FloatArray]:
    plan = simulation.setting.plan.scenarios[i]
    flows = flows_of(simulation, i, books_of(simulation, i, priced.tables[plan.money.price_table]).ledger)
    if plan.stand is not None and plan.harvest is not None:
        steady, then = later.after(plan)
        flows = joined_flows(flows, steady=steady, then=then, cut=plan.harvest.year)
    return values_of(flows, priced.of(flows, plan.money), real_discount_rate(plan.money))


def values_of(flows: Flows, price: FloatArray, rate: float) -> tuple[float, float, float, FloatArray]:
    """Net present value, land expectation, equal annual income and yearly cash of one plan's quantities.

    Parameters
    ----------
    flows
        Quantities.
    price
        Signed price of each line [$/unit], (lines,).
    rate
        Real yearly discount rate.

    Returns
    -------
    tuple
        As `simulator.measures.measure` takes them, without what a search does not ask.

    References
    ----------
    As for :func:`simulator.measures.measure`, in products of arrays.
    """
    cash, cycle = flows.quantity @ price, flows.cycle_quantity @ price
    npv = float(_discounted(cash, rate))
    income = float(equal_annual_income(cycle, rate, flows.cycle_yr))
    land = float(land_expectation_value(cycle, rate, flows.cycle_yr)) if rate > 0 else float("nan")
    if flows.leading is not None:
        leading, wait = float(_discounted(flows.leading @ price, rate)), float(discount_factor(rate, flows.leading_yr))
        income, land = rate * leading + income * wait, leading + land * wait
    return npv, land, income, cash


def _discounted(cash: FloatArray, rate: float) -> float:
    """Present value of yearly cash [$/ac], as a product of arrays."""
    return float(cash @ (1.0 + rate) ** -np.arange(len(cash)))
