"""What every process of a sweep is told, and how scenarios are parted: physics that is grown, money that is priced."""

from collections.abc import Iterator, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path
from typing import Any, Final, NamedTuple

import numpy as np

from optimize.sweeps.factors import Varied
from optimize.sweeps.file import Question
from optimize.sweeps.outputs import Output
from simulator.errors import InputError
from simulator.parameters.catalogue import NO_ANIMALS
from simulator.parameters.tables import load_tables
from simulator.scenario.fields import put
from simulator.scenario.file import validate_document
from simulator.scenario.model import Scenario
from simulator.units import FloatArray, IntArray

PLANS_IN_A_TASK: Final = 300
"""Scenarios of different physics in one task: a second or more of growing, and some hundred MB at most."""
CASES_IN_A_TASK: Final = 50_000
"""Scenarios in one task that differ in money alone."""
DISCOUNT_RATE: Final = ("money", "discount_rate")
INFLATION: Final = ("money", "inflation")
RATES: Final = (DISCOUNT_RATE, INFLATION)
"""Fields that decide the discount rate and nothing else, but for the worth of an orchard's years to come."""
PRICES: Final = ("money", "prices")
PAY_LABOUR: Final = ("money", "pay_labour")
MOST_REASON: Final = 400


@dataclass(frozen=True)
class Job:
    """What a sweep is asked, as it travels to the processes.

    Attributes
    ----------
    scenario, document, beside
        The scenario as it is, its tables as written, and the folder of its file.
    factors
        What is varied.
    physical, monetary
        Places of the factors that need growing, and of those that only price.
    outputs
        What is kept.
    all_systems
        Whether the single uses are run beside the plan.
    """

    scenario: Scenario
    document: Mapping[str, Any]
    beside: Path | None
    factors: tuple[Varied, ...]
    physical: tuple[int, ...]
    monetary: tuple[int, ...]
    outputs: tuple[Output, ...]
    all_systems: bool


class Plan(NamedTuple):
    """A scenario, its tables as written, and the folder of its file."""

    scenario: Scenario
    document: Mapping[str, Any]
    beside: Path | None


class Task(NamedTuple):
    """Scenarios that one process works through, and what becomes one file.

    Attributes
    ----------
    number
        Its place among the tasks.
    places
        Numbers of its scenarios in the design, (scenarios,).
    codes
        Codes of their factors' values, (scenarios, factors).
    """

    number: int
    places: IntArray
    codes: FloatArray


def job_of(question: Question) -> Job:
    """Make the job of a question."""
    varied = tuple(sampled.varied for sampled in question.factors)
    plan = Plan(question.scenario, question.document, question.beside)
    return job_for(plan, varied, question.outputs, all_systems=question.file.systems == "all")


def job_for(plan: Plan, varied: tuple[Varied, ...], outputs: tuple[Output, ...], *, all_systems: bool) -> Job:
    """Make a job, parting its factors into those that need growing and those that only price."""
    money = tuple(i for i, factor in enumerate(varied) if _only_money(factor, plan.scenario, varied))
    physical = tuple(i for i in range(len(varied)) if i not in money)
    return Job(plan.scenario, plan.document, plan.beside, varied, physical, money, outputs, all_systems)


def _only_money(factor: Varied, scenario: Scenario, factors: tuple[Varied, ...]) -> bool:
    """Whether a factor changes prices or the rate and nothing that is grown or booked as a quantity."""
    paths = [move.path for move in factor.moves]
    rates, prices = [path in RATES for path in paths], [path[:2] == PRICES for path in paths]
    if not paths or not all(rate or price for rate, price in zip(rates, prices, strict=True)):
        return False
    # caps of help are sums of money, and other enterprises are given up where they are not worth their hours
    labour_priced = scenario.money.pay_labour and not any(move.path == PAY_LABOUR for f in factors for move in f.moves)
    priced_late = not scenario.cost_share and not scenario.other and labour_priced
    return (priced_late or not any(prices)) and (not any(rates) or not _orchard_possible(scenario, factors))


def _orchard_possible(scenario: Scenario, factors: tuple[Varied, ...]) -> bool:
    """Whether trees are valued by the years of nuts left to them, which takes the rate."""
    trees, grass = scenario.trees, scenario.pasture.grass
    if any(factor.target == "trees.species" for factor in factors):
        return True
    return trees is not None and load_tables(trees.species, grass, NO_ANIMALS).tree.species.orchard is not None


def tasks_of(job: Job, codes: FloatArray) -> Iterator[Task]:
    """Part a design into tasks whose borders depend on the design alone.

    Parameters
    ----------
    job
        The job.
    codes
        The whole design, (scenarios, factors).

    Yields
    ------
    Task
        Scenarios of the same physics stand together, so that each is grown once, or once for every
        ``CASES_IN_A_TASK`` of its money cases.
    """
    group = physics_of(job, codes)
    order = np.argsort(group, kind="stable")
    borders = _borders(group[order])
    for number, (first, last) in enumerate(pairwise(borders)):
        places = order[first:last]
        yield Task(number, places, codes[places])


def physics_of(job: Job, codes: FloatArray) -> IntArray:
    """Number of the physics of each scenario, counted as they first appear, (scenarios,)."""
    if not job.physical:
        return np.zeros(len(codes), np.int64)
    parts = np.where(np.isnan(codes), -np.inf, codes)[:, job.physical]
    first, which = np.unique(parts, axis=0, return_index=True, return_inverse=True)[1:]
    rank = np.empty(len(first), np.int64)
    rank[np.argsort(first)] = np.arange(len(first))
    return rank[which.ravel()]


def _borders(group: IntArray) -> list[int]:
    starts = np.flatnonzero(np.diff(group, prepend=-1))
    borders, plans = [0], 0
    for start, end in zip(starts, np.append(starts[1:], len(group)), strict=True):
        full = plans == PLANS_IN_A_TASK or end - borders[-1] > CASES_IN_A_TASK
        if full and start > borders[-1]:
            borders.append(int(start))
            plans = 0
        plans += 1
        while end - borders[-1] > CASES_IN_A_TASK:
            borders.append(borders[-1] + CASES_IN_A_TASK)
            plans = 1
    return [*borders, len(group)]


def scenario_of(job: Job, codes: FloatArray) -> Scenario | str:
    """Scenario of one row of the design with its physical factors set, or why it cannot be one.

    Parameters
    ----------
    job
        The job.
    codes
        Of its factors, (factors,); NaN leaves a factor as it is.
    """
    document = deepcopy(dict(job.document))
    for place in job.physical:
        factor = job.factors[place]
        if np.isnan(codes[place]):
            continue
        value = factor.decoded(codes[place])
        for number, move in enumerate(factor.moves):
            moved: Any = value
            if not isinstance(value, str | bool):
                moved = value * move.times + move.plus
                if move.whole and (number > 0 or float(moved).is_integer()):
                    moved = round(moved)
            put(document, move.path, moved)
    try:
        return validate_document(document, _nowhere, "", job.beside)
    except InputError as error:
        return reason_of(error)


def _nowhere(_path: object) -> None:
    return None


def reason_of(error: InputError) -> str:
    """Everything wrong with a scenario as one line for its row of the results."""
    return " ".join(str(replace(problem, file=None, line=None)) for problem in error.problems)[:MOST_REASON]


def numbers_of(job: Job, codes: FloatArray) -> tuple[tuple[str, float], ...]:
    """Sourced numbers that a row of the design moves, and their values."""
    moved: Sequence[int] = [i for i in job.physical if job.factors[i].kind == "number" and not np.isnan(codes[i])]
    return tuple((job.factors[i].target, float(job.factors[i].decoded(codes[i]))) for i in moved)
