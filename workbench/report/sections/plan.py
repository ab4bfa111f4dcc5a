"""The plan year by year: what to do, how much, what it costs and brings, and whom to call."""

from collections.abc import Mapping
from typing import Final

from simulator.result import Outcome
from workbench.report.blocks import Section, Table, Text, section
from workbench.report.gather import Gathered
from workbench.report.jobs import Row, cut_words, jobs_of

COLUMNS: Final = ("years", "what to do", "how much, whole field", "costs", "brings in", "net, $/ac", "whom to call")
CUTS: Final = ("First thinning", "Later thinning", "Final harvest")
CALL_FIRST: Final = (
    "Before the first dollar is spent: a consulting or registered forester walks the land and sells what is cut; the "
    "county extension agent knows soil tests, grasses, leases and help with costs; a licensed pesticide applicator "
    "sprays; a certified burn manager burns; a veterinarian looks after animals; a tax adviser is asked before "
    "planting and before every sale."
)


def the_plan(of: Gathered) -> Section:
    """The plan of the file as jobs, in the order of their years."""
    outcome = of.comparison.systems["silvopasture"]
    last = last_year_told(outcome)
    cuts = cut_words(outcome)
    acres = of.scenario.land.acres
    rows = tuple(_cells(row, cuts, acres) for row in jobs_of(outcome, last))
    start = "now" if of.scenario.stand is not None else "planting"
    note = (
        f"Dollars of the whole {acres:,g} acres, net also of an acre, of one year each, before income tax "
        "and loans; your own hours are charged as hired ones are."
    )
    again = _what_follows(outcome, last)
    return section(
        "plan",
        "The plan, year by year",
        Text(CALL_FIRST),
        Table(
            "jobs",
            f"What to do when, years counted from {start}",
            COLUMNS,
            rows,
            f"{note} {again}".strip(),
            words=(0, 1, 2, -1),
            wide=True,
        ),
    )


def last_year_told(outcome: Outcome) -> int:
    """The final harvest, or the horizon where nothing is harvested before it."""
    horizon, scenario = len(outcome.cash_per_ac) - 1, outcome.scenario
    if scenario.trees is None or scenario.harvest is None or outcome.lives:
        return horizon
    return min(horizon, scenario.harvest.year)


def _cells(row: Row, cuts: Mapping[int, str], acres: float) -> tuple[str, ...]:
    years, words, amount, *rest = row.cells(acres)
    if row.job.words in CUTS and row.first in cuts:
        amount = f"{amount}; {cuts[row.first]}"
    return years, words, amount, *rest


def _what_follows(outcome: Outcome, last: int) -> str:
    if outcome.scenario.trees is None or outcome.lives or last >= len(outcome.cash_per_ac) - 1:
        return ""
    return f"After the harvest of year {last} the trees are planted again, and the same years come round once more."
