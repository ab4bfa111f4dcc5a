"""Several plans beside each other, before a chapter of each."""

from collections.abc import Sequence
from typing import Final

import numpy as np

from simulator.comparison import Comparison
from workbench.charts.plans import plans_figure
from workbench.report.blocks import Picture, Section, Table, Text, listed, section
from workbench.report.gather import Gathered
from workbench.reports import whole
from workbench.words import dollars, names_of, nearly_tied

USES: Final = ("silvopasture", "plantation", "pasture")


def plans_beside(reports: Sequence[Gathered]) -> Section | None:
    """Table and chart of several plans; nothing for one."""
    if len(reports) < 2:
        return None
    titles = plan_titles(reports)
    best = max(range(len(reports)), key=lambda place: _income(reports[place]))
    said = _first(titles, reports, best)
    return section(
        "plans",
        "The plans side by side",
        Text(said, leading=True),
        listed(_unlike(reports)),
        Table(
            "plans",
            "Each plan, per acre of its own field unless another unit is given",
            ("plan", "acres", "equal annual income, $", "trees alone, $", "grass alone, $", "land expectation value, $",
             "deepest cash, $", "first wood sold", "wood in a cycle, tons", "land equivalent ratio"),
            tuple(_row(title, each) for title, each in zip(titles, reports, strict=True)),
            wide=True,
        ),
        Picture("plans", _alt(titles, reports), lambda: plans_figure(_bars(titles, reports), said)),
    )  # fmt: skip


def _first(titles: Sequence[str], reports: Sequence[Gathered], best: int) -> str:
    """Which plan earns most, and which are too close to it to tell apart."""
    income = dollars(_income(reports[best]), yearly=True)
    close = [
        title
        for place, (title, each) in enumerate(zip(titles, reports, strict=True))
        if place != best and nearly_tied(_income(reports[best]), _income(each))
    ]
    tied = f"; {' and '.join(close)} {'is' if len(close) == 1 else 'are'} nearly tied with it" if close else ""
    return f"By equal annual income {titles[best]} comes first: {income} an acre a year{tied}.{_alone(reports, best)}"


def _alone(reports: Sequence[Gathered], best: int) -> str:
    """Which single uses of the best plan's field earn more than it does."""
    systems, own = reports[best].comparison.systems, _income(reports[best])
    incomes = {name: systems[name].measures.equal_annual_income for name in USES[1:] if name in systems}
    names = names_of(systems)
    more = [f"{names[name]} {dollars(income, yearly=True)}" for name, income in incomes.items() if income > own]
    return f" On its field a single use earns more: {', '.join(more)}." if more else ""


def plan_titles(reports: Sequence[Gathered]) -> list[str]:
    """What each plan is called; those of one title are told apart by a number."""
    names = [each.scenario.title or "Plan" for each in reports]
    return [
        f"{name} ({names[: place + 1].count(name)})" if names.count(name) > 1 else name
        for place, name in enumerate(names)
    ]


def _income(of: Gathered) -> float:
    return of.comparison.systems["silvopasture"].measures.equal_annual_income


def _unlike(reports: Sequence[Gathered]) -> list[str]:
    """In what the plans differ beside what is done, so that nobody holds unlike amounts against each other."""
    found = []
    lands = {each.scenario.land.acres for each in reports}
    if len(lands) > 1:
        said = ", ".join(f"{each.scenario.land.acres:,g}" for each in reports)
        found.append(f"The fields are not of one size ({said} acres): amounts an acre can be compared, totals cannot.")
    prices = {(each.scenario.money.price_table, tuple(sorted(each.scenario.money.prices.items()))) for each in reports}
    if len(prices) > 1:
        found.append("The plans do not rest on the same prices: a part of every difference is one of prices.")
    if len({each.comparison.systems["silvopasture"].rate for each in reports}) > 1:
        found.append("The plans are not discounted at the same rate: their incomes cannot be held against each other.")
    sites = {(each.scenario.land.site_index_ft, each.scenario.land.former_use) for each in reports}
    if len(sites) > 1:
        found.append("The fields are not alike in site or former use: a part of every difference is one of the ground.")
    if len({each.scenario.stand is None for each in reports}) > 1:
        found.append(
            "Some plans start from trees that stand already and some from planting: their incomes mean unlike things."
        )
    return found


def _row(title: str, of: Gathered) -> tuple[str, ...]:
    systems = of.comparison.systems
    plan = systems["silvopasture"]
    wood = np.flatnonzero(plan.wood_ton_ac.sum(axis=1) > 0)
    worth = plan.measures.land_expectation
    cycle = plan.wood_ton_ac[: min(plan.flows.cycle_yr, len(plan.wood_ton_ac) - 1) + 1].sum()
    return (
        title,
        f"{of.scenario.land.acres:,g}",
        whole(plan.measures.equal_annual_income),
        *(whole(systems[name].measures.equal_annual_income) for name in ("plantation", "pasture")),
        "-" if worth is None else whole(worth),
        whole(plan.measures.deepest_cash),
        f"year {wood[0]}" if len(wood) else "never",
        f"{cycle:.0f}",
        f"{of.comparison.land_equivalent.total:.2f}",
    )


def _bars(titles: Sequence[str], reports: Sequence[Gathered]) -> list[tuple[str, list[tuple[str, str, float]]]]:
    """Of each plan its title and, by system, key, name and income."""
    return [(title, _uses(each.comparison)) for title, each in zip(titles, reports, strict=True)]


def _uses(comparison: Comparison) -> list[tuple[str, str, float]]:
    names = names_of(comparison.systems)
    return [(key, names[key], comparison.systems[key].measures.equal_annual_income) for key in USES]


def _alt(titles: Sequence[str], reports: Sequence[Gathered]) -> str:
    said = [
        f"{title}: {', '.join(f'{name} {dollars(amount, yearly=True)}' for _, name, amount in bars)}"
        for title, bars in _bars(titles, reports)
    ]
    return f"Bars of equal annual income an acre, three a plan. {'; '.join(said)}."
