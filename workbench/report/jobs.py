"""The plan as jobs: what is done when, how much of it, what it costs and brings, and whom to call."""

from collections.abc import Iterator, Mapping, Sequence
from fnmatch import fnmatch
from typing import Final, NamedTuple

import numpy as np

from simulator.accounts import Line
from simulator.measures import END_VALUE
from simulator.result import Outcome
from simulator.units import FloatArray
from workbench.report.amounts import money_span, net_span, span
from workbench.report.work import HERD, JOBS, Job, job_of


class Row(NamedTuple):
    """A job in a run of years.

    Attributes
    ----------
    job
        What is done.
    when
        Years, ascending and evenly apart.
    amount
        Quantity on the whole field, in words.
    costs, brings
        On the whole field in a year [$], by year of the run, both 0 or more.
    """

    job: Job
    when: tuple[int, ...]
    amount: str
    costs: tuple[float, ...]
    brings: tuple[float, ...]

    @property
    def first(self) -> int:
        """First year."""
        return self.when[0]

    @property
    def years(self) -> str:
        """Years as written in a table: 16, 1-4, 8-16 every 2."""
        if len(self.when) == 1:
            return f"{self.first}"
        step = self.when[1] - self.first
        return f"{self.first}-{self.when[-1]}{'' if step == 1 else f' every {step}'}"

    def cells(self, acres: float) -> tuple[str, ...]:
        """What a table shows, for a field of so many acres [ac]."""
        every = "" if len(self.when) == 1 else " a year"
        sums = [money_span(amounts) for amounts in (self.costs, self.brings)]
        return (
            self.years,
            self.job.words,
            self.amount,
            *(f"{said}{every}" if said else "" for said in sums),
            net_span([(brought - cost) / acres for cost, brought in zip(self.costs, self.brings, strict=True)]),
            self.job.whom,
        )


LONGEST_STEP_YR: Final = 5
"""Work that comes back at longer steps is told each time."""
UNITS: Final = {
    "ac": "acres",
    "ac charged": "acres",
    "strip ac": "acres of strips",
    "tree": "trees",
    "ton": "tons",
    "lb": "lb",
    "bale": "bales",
    "h": "hours",
    "ft": "ft",
    "animal-unit month": "animal-unit months",
    "1000 lb": "thousand lb",
}


def jobs_of(outcome: Outcome, last: int | None = None) -> list[Row]:
    """Every job of a plan in the order of its years, one row for each run of years.

    Parameters
    ----------
    outcome
        The plan.
    last
        Last year told; to the horizon where absent.

    Returns
    -------
    list of Row
        Their costs and receipts add up to the plan's cash of those years; end values and loans are not among them.
    """
    lines, acres = outcome.flows.lines, outcome.scenario.land.acres
    end = len(outcome.amount) if last is None else last + 1
    amount, count = outcome.amount[:end] * acres, outcome.flows.quantity[:end] * acres
    places: dict[Job, list[int]] = {}
    for place, line in enumerate(lines):
        if line.account != END_VALUE and amount[:, place].any():
            places.setdefault(job_of(line), []).append(place)
    order = {job: number for number, job in enumerate((*JOBS, HERD))}
    rows = [
        row
        for job, mine in places.items()
        for row in _rows(job, [lines[i] for i in mine], amount[:, mine], count[:, mine])
    ]
    return sorted(rows, key=lambda row: (row.first, order.get(row.job, len(order))))


def _rows(job: Job, lines: Sequence[Line], amount: FloatArray, count: FloatArray) -> Iterator[Row]:
    for run in runs_of(np.flatnonzero(amount.any(axis=1)).tolist()):
        here = amount[run]
        yield Row(
            job,
            tuple(run),
            _amount(job, lines, count[run]),
            tuple(np.where(here < 0, -here, 0.0).sum(axis=1).tolist()),
            tuple(np.where(here > 0, here, 0.0).sum(axis=1).tolist()),
        )


def runs_of(years: Sequence[int]) -> list[list[int]]:
    """Years parted into runs that go on year after year, or come back at even steps of a few years three times over.

    Parameters
    ----------
    years
        Ascending.
    """
    runs: list[list[int]] = []
    for year in years:
        step = year - runs[-1][-1] if runs else 0
        if runs and step == (runs[-1][1] - runs[-1][0] if len(runs[-1]) > 1 else 1):
            runs[-1].append(year)
        elif (
            len(runs) > 1
            and step == runs[-1][0] - runs[-2][0] <= LONGEST_STEP_YR
            and len(runs[-1]) == len(runs[-2]) == 1
        ):
            runs[-2:] = [[*runs[-2], *runs[-1], year]]
        else:
            runs.append([year])
    return runs


def _amount(job: Job, lines: Sequence[Line], count: FloatArray) -> str:
    for pattern in job.counted:
        mine = [place for place, line in enumerate(lines) if fnmatch(line.key, pattern)]
        # the fee of a sale is counted in tons too
        mine = [place for place in mine if lines[place].account == "sale"] or mine
        if mine and count[:, mine].any():
            yearly = count[:, mine].sum(axis=1)
            every = "" if len(yearly) == 1 else " a year"
            return f"{span(yearly.tolist())} {_unit(lines[mine[0]])}{every}"
    return ""


def _unit(line: Line) -> str:
    # rent by the acre is paid for as much of the open pasture as the grass under the trees is worth
    return "acres' worth of open grass" if line.key == "grazing_lease" else UNITS.get(line.unit, line.unit)


def cut_words(outcome: Outcome) -> Mapping[int, str]:
    """What each cut takes and leaves, by its year: 170 trees an acre before, 100 left."""
    states = outcome.states
    said = {}
    for year in np.flatnonzero(states["trees_cut_per_ac"]).tolist():
        before, cut = float(states["trees_per_ac"][year]), float(states["trees_cut_per_ac"][year])
        left = round(before - cut)
        said[year] = f"{before:.0f} trees an acre before, {f'{left} left' if left else 'none left'}"
    return said
