"""One task of a sweep: scenarios grown together, each physics once, and priced in as many ways as are asked."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache
from typing import Final, NamedTuple

import numpy as np

from optimize.sweeps.job import (
    DISCOUNT_RATE,
    INFLATION,
    PRICES,
    Job,
    Task,
    numbers_of,
    physics_of,
    reason_of,
    scenario_of,
)
from optimize.sweeps.money import MEASURES, Prices, priced, same_bids
from optimize.sweeps.outputs import Output
from simulator.alternatives import systems_of
from simulator.band import ids_of
from simulator.errors import InputError
from simulator.interest import real_rate
from simulator.parameters.prices import PriceTable, load_prices
from simulator.parameters.ranges import Range, moved, ranges_of
from simulator.parameters.tables import Tables, load_tables
from simulator.result import Outcome, run_batch
from simulator.scenario.land import Money
from simulator.scenario.lines import FieldPath
from simulator.scenario.model import Scenario
from simulator.scenario.price_rules import MOST_PRICE, SHARE_UNIT
from simulator.units import FloatArray, IntArray

PLAN: Final = "plan"
Numbers = tuple[tuple[str, float], ...]
Grown = Mapping[str, Outcome] | str
"""Outcome by system, or why there is none."""


class Done(NamedTuple):
    """What came out of a task.

    Attributes
    ----------
    number, places
        Of the task.
    columns
        Outputs by column, (scenarios,) each.
    failed
        Why a scenario could not be run; ``None`` for those that ran.
    """

    number: int
    places: IntArray
    columns: dict[str, FloatArray]
    failed: list[str | None]


class _Plan(NamedTuple):
    """A system to be grown with some sourced numbers moved, and the species, grass and animals of its numbers."""

    scenario: Scenario
    ids: tuple[tuple[str, str], ...]
    numbers: Numbers

    @property
    def key(self) -> tuple[str, Numbers]:
        """What makes it grow and earn as it does."""
        return self.scenario.model_dump_json(exclude={"title", "report", "baseline", "search"}), self.numbers


def worked(job: Job, task: Task) -> Done:
    """Work through one task.

    Parameters
    ----------
    job
        The job.
    task
        One of its tasks.

    Returns
    -------
    Done
        A scenario that cannot be run says why and does not stop the others.
    """
    group = physics_of(job, task.codes)
    order = np.argsort(group, kind="stable")
    parts = np.split(order, np.flatnonzero(np.diff(group[order])) + 1)
    grown = _grown(job, [task.codes[rows[0]] for rows in parts])
    done = Done(task.number, task.places, {}, [None] * len(task.places))
    for rows, what in zip(parts, grown, strict=True):
        if isinstance(what, str):
            _fail(done, rows, [what] * len(rows))
        else:
            _fill(job, done, rows, task.codes[rows], what)
    return done


def _fail(done: Done, rows: IntArray, reasons: Sequence[str]) -> None:
    for row, reason in zip(rows.tolist(), reasons, strict=True):
        done.failed[row] = reason


def _grown(job: Job, codes: Sequence[FloatArray]) -> list[Grown]:
    """Grow what each row of codes stands for, equal systems of different scenarios once."""
    wanted = [_systems(job, row) for row in codes]
    plans: dict[tuple[str, Numbers], _Plan] = {}
    for systems in wanted:
        if not isinstance(systems, str):
            plans.update({plan.key: plan for plan in systems.values()})
    found = _outcomes(job, plans)
    return [systems if isinstance(systems, str) else _joined(systems, found) for systems in wanted]


def _systems(job: Job, codes: FloatArray) -> dict[str, _Plan] | str:
    scenario = scenario_of(job, codes)
    if isinstance(scenario, str):
        return scenario
    try:
        systems = systems_of(scenario, job.beside) if job.all_systems else {PLAN: scenario}
    except InputError as error:
        return reason_of(error)
    numbers = numbers_of(job, codes)
    return {name: _Plan(plan, tuple(ids_of(plan, scenario).items()), numbers) for name, plan in systems.items()}


def _joined(systems: Mapping[str, _Plan], found: Mapping[tuple[str, Numbers], Outcome | str]) -> Grown:
    outcomes: dict[str, Outcome] = {}
    for name, plan in systems.items():
        outcome = found[plan.key]
        if isinstance(outcome, str):
            return outcome if len(systems) == 1 else f"{name}: {outcome}"
        outcomes[name] = outcome
    return outcomes


def _outcomes(job: Job, plans: Mapping[tuple[str, Numbers], _Plan]) -> dict[tuple[str, Numbers], Outcome | str]:
    """Run plans in batches that share their numbers; where a batch fails, one by one."""
    batches: dict[object, list[tuple[str, Numbers]]] = {}
    for key, plan in plans.items():
        batches.setdefault((plan.ids, plan.numbers) if plan.numbers else (), []).append(key)
    found: dict[tuple[str, Numbers], Outcome | str] = {}
    for keys in batches.values():
        members = [plans[key].scenario for key in keys]
        tables = _tables(job, plans[keys[0]])
        try:
            found.update(zip(keys, run_batch(members, job.beside, tables=tables), strict=True))
        except Exception:  # noqa: BLE001 - one scenario's failure is its own: found below, and told in its row
            found.update({key: _alone(plans[key].scenario, job, tables) for key in keys})
    return found


def _alone(scenario: Scenario, job: Job, tables: Tables | None) -> Outcome | str:
    try:
        return run_batch([scenario], job.beside, tables=tables)[0]
    except Exception as error:  # noqa: BLE001 - see above
        return f"a fault of ours: {type(error).__name__}: {error}"


def _tables(job: Job, plan: _Plan) -> Tables | None:
    """The plan's tables with numbers moved; numbers of another species, grass or animal are not its own."""
    if not plan.numbers:
        return None
    tables, theirs = load_tables(*dict(plan.ids).values()), _ranges(plan.ids)
    base = _ranges(tuple(ids_of(job.scenario, job.scenario).items()))
    for name, value in plan.numbers:
        if name in theirs and theirs[name] == base[name]:
            tables = moved(tables, theirs[name].path, value)
    return tables


@cache
def _ranges(ids: tuple[tuple[str, str], ...]) -> dict[str, Range]:
    named = dict(ids)
    return {".".join(found.path): found for found in ranges_of(load_tables(*named.values()), named)}


def _fill(job: Job, done: Done, rows: IntArray, codes: FloatArray, systems: Mapping[str, Outcome]) -> None:
    """Price the outcome of one physics in every way that its rows ask for."""
    money = next(iter(systems.values())).scenario.money
    prices, rate, faults = _money_of(job, money, codes)
    sound = np.array([not fault for fault in faults])
    _fail(done, rows[~sound], [fault for fault in faults if fault])
    rows, rate = rows[sound], rate[sound]
    prices = {item: values[sound] for item, values in prices.items()}
    for name, outcome in systems.items():
        prefix = "" if name == PLAN else f"{name}_"
        for cases, run in same_bids(outcome, prices, len(rows)):
            chosen = {item: values[cases] for item, values in prices.items()}
            for output, values in _values(job.outputs, run, chosen, rate[cases]):
                column = done.columns.setdefault(prefix + output.column, np.full(len(done.places), np.nan))
                column[rows[cases]] = values


def _values(
    outputs: Sequence[Output], run: Outcome, prices: Prices, rate: FloatArray
) -> Iterator[tuple[Output, FloatArray | float]]:
    case = priced(run, prices, rate)
    for output in outputs:
        yield output, MEASURES[output.column](case) if output.money else output.of(run)


def _money_of(job: Job, money: Money, codes: FloatArray) -> tuple[dict[str, FloatArray], FloatArray, list[str]]:
    """Prices by item and real rate of each row, and what is wrong with them.

    A rate that a factor of growing set stands in the money of the scenario that was grown, not in the file's.
    """
    moved = dict(_money_moves(job, codes))
    prices = {str(path[2]): values for path, values in moved.items() if path[:2] == PRICES}
    rate = moved.get(DISCOUNT_RATE, np.full(len(codes), money.discount_rate))
    inflation = moved.get(INFLATION, np.full(len(codes), money.inflation))
    faults = [""] * len(codes)
    table = load_prices(money.price_table, job.beside)
    for place in _limits(table, prices, rate, inflation):
        for row in np.flatnonzero(place.broken).tolist():
            faults[row] = faults[row] or place.why(row)
    real = np.asarray(real_rate(rate, inflation)) if money.rate_basis == "nominal" else rate
    for row in np.flatnonzero(real < 0.0).tolist():
        faults[row] = faults[row] or f"money.discount_rate leaves a real rate below 0 (received {rate[row]:g})."
    return prices, real, faults


def _money_moves(job: Job, codes: FloatArray) -> Iterator[tuple[FieldPath, FloatArray]]:
    for place in job.monetary:
        factor, column = job.factors[place], codes[:, place]
        left = np.isnan(column)
        values = column
        if factor.values is not None:
            values = np.array(factor.values, np.float64)[np.where(left, 0.0, column).astype(np.int64)]
        for move in factor.moves:
            yield move.path, np.where(left, float(move.now), values * move.times + move.plus)


class _Broken(NamedTuple):
    """Rows in which a limit is broken, and the words for it."""

    broken: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]
    why: Callable[[int], str]


def _limits(table: PriceTable, prices: Prices, rate: FloatArray, inflation: FloatArray) -> Iterator[_Broken]:
    for item, values in prices.items():
        most = 1.0 if table.items[item].unit == SHARE_UNIT else MOST_PRICE
        yield _outside(f"money.prices.{item}", values, 0.0, most)
    for name, values in (("discount_rate", rate), ("inflation", inflation)):
        bounds = {type(limit).__name__: limit for limit in Money.model_fields[name].metadata}
        yield _outside(f"money.{name}", values, bounds["Ge"].ge, bounds["Le"].le)


def _outside(field: str, values: FloatArray, low: float, high: float) -> _Broken:
    return _Broken(
        (values < low) | (values > high),
        lambda row: f"{field}: must be from {low:g} to {high:,g} (received {values[row]:g}).",
    )
