"""Where the money comes from, and the years in which more has gone out than come in."""

from collections.abc import Mapping

import numpy as np

from simulator.result import Outcome
from simulator.units import FloatArray
from workbench.charts.income import cash_figure
from workbench.charts.style import ENTERPRISE_NAME
from workbench.enterprise_cash import net_by_enterprise
from workbench.report.alt import cash_alt
from workbench.report.blocks import Picture, Section, Table, Text, section
from workbench.report.gather import Gathered
from workbench.reports import whole
from workbench.words import dollars, names_of


def the_money(of: Gathered) -> Section:
    """Income by enterprise and the lean years."""
    comparison = of.comparison
    return section(
        "money",
        "Income by enterprise, and the lean years",
        Picture("cash", cash_alt(comparison), lambda: cash_figure(comparison)),
        _by_decade(comparison.systems["silvopasture"]),
        _lean(of),
        Text(
            "Lean years are counted from the first day: a year is lean while more has gone out since then than has "
            "come in. Have that money, or a loan for it, before you begin."
        ),
    )


def _by_decade(outcome: Outcome) -> Table:
    decades = list(outcome.measures.by_decade)
    net: Mapping[str, FloatArray] = net_by_enterprise(outcome)
    rows = [
        (ENTERPRISE_NAME.get(name, name), *(whole(_sum(amount, decade)) for decade in decades), whole(amount.sum()))
        for name, amount in net.items()
    ]
    total = sum(outcome.measures.by_decade.values())
    rows.append(("all together", *(whole(amount) for amount in outcome.measures.by_decade.values()), whole(total)))
    columns = ("enterprise", *(_heading(decade) for decade in decades), "all years")
    return Table(
        "by-enterprise",
        "The plan: sales less costs by enterprise, $ per acre, not discounted",
        columns,
        tuple(rows),
        "What still stands at the end is not in it.",
    )


def _heading(decade: str) -> str:
    first, last = decade.split("-")
    return f"year {first}" if first == last else f"years {decade}"


def _sum(amount: FloatArray, decade: str) -> float:
    first, last = (int(year) for year in decade.split("-"))
    return float(amount[first : last + 1].sum())


def _lean(of: Gathered) -> Table:
    acres, names = of.scenario.land.acres, names_of(of.comparison.systems)
    rows = []
    for name, outcome in of.comparison.systems.items():
        total = np.cumsum(outcome.cash_per_ac)
        deepest, year = float(total.min()), int(total.argmin())
        rows.append(
            (
                names[name],
                f"{int((total < 0).sum())}",
                spells_below_zero(total) or "none",
                dollars(deepest, yearly=True) if deepest < 0 else "-",
                dollars(deepest * acres) if deepest < 0 else "-",
                f"{year}" if deepest < 0 else "-",
            )
        )
    columns = ("use", "lean years", "which", "deepest, an acre", "deepest, whole field", "in year")
    return Table("lean", f"Lean years of each use to year {len(total) - 1}", columns, tuple(rows), words=(0, 2))


def spells_below_zero(total: FloatArray) -> str:
    """Runs of years in which more has gone out than come in: 0-3, 10, 12-34; empty where there are none.

    Parameters
    ----------
    total
        Cumulative cash by year [$].
    """
    years = np.flatnonzero(total < 0)
    runs = np.split(years, np.flatnonzero(np.diff(years) > 1) + 1) if len(years) else []
    return ", ".join(f"{run[0]}" if len(run) == 1 else f"{run[0]}-{run[-1]}" for run in runs)
