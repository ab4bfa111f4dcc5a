"""The files of a search: the best plan as a scenario, its tables, the ranking, and three figures."""

from pathlib import Path
from typing import Any

import pandas as pd

from optimize.around import Refined
from optimize.best import BestPlan, Member
from simulator.comparison import Comparison
from simulator.parameters.prices import price_table_names
from simulator.scenario.model import Scenario
from workbench.charts.files import write_charts
from workbench.charts.optimum import grazing_figure, thinning_figure, timeline_figure
from workbench.files import csv_text, write_text
from workbench.optimum_words import GOAL_WORDS, member_name, plan_in_short
from workbench.output import json_text
from workbench.plan_file import can_be_overrides, plan_text
from workbench.words import NAMES, cautions


def write_optimum(
    found: BestPlan,
    comparison: Comparison,
    near: Refined,
    document: dict[str, Any],
    folder: Path,
    beside: Path | None = None,
) -> list[Path]:
    """Write what a search found.

    Parameters
    ----------
    found
        The search.
    comparison
        Best against best.
    near
        The best a little off the grid.
    document
        The JSON document.
    folder
        An existing folder.
    beside
        Folder of the scenario file, for its own price table, which is copied beside the plans.

    Returns
    -------
    list of Path
        best.toml, and refined.toml where a better plan lies off the grid; ledger.csv and years.csv of the best plan;
        ranking.csv; optimize.json; figures.
    """
    best, written = comparison.systems["silvopasture"], _own_prices(found, beside, folder)
    baselines = _baselines(found)
    written += [
        write_text(folder / "best.toml", plan_text(_as_a_file(best.scenario, found), _heading(found), baselines)),
        write_text(folder / "ledger.csv", csv_text(best.ledger("run"))),
        write_text(folder / "years.csv", csv_text(best.years())),
        write_text(folder / "ranking.csv", csv_text(_ranking(found))),
        write_text(folder / "optimize.json", json_text(document)),
    ]
    if near.gain > 0:
        heading = "A plan a little off the grid of the search, better than its best; not proven."
        text = plan_text(_as_a_file(near.outcome.scenario, found), heading, _baselines(found))
        written.append(write_text(folder / "refined.toml", text))
    figures = {
        "first_thinning": thinning_figure(found),
        "grazing_start": grazing_figure(found),
        "timeline": timeline_figure(found),
    }
    return written + write_charts({name: figure for name, figure in figures.items() if figure is not None}, folder)


def _own_prices(found: BestPlan, beside: Path | None, folder: Path) -> list[Path]:
    """Copy the person's own price table beside the plans that name it."""
    name = found.best.outcome.scenario.money.price_table
    if name in price_table_names():
        return []
    source, copy = (beside or Path()) / name, folder / Path(name).name
    if copy.exists() and copy.samefile(source):
        return []
    return [write_text(copy, source.read_text(encoding="utf-8-sig"))]


def _as_a_file(plan: Scenario, found: BestPlan) -> Scenario:
    """A plan as a file of its own holds it: with the baselines of the file searched, and its price table beside it."""
    money = plan.money
    if money.price_table not in price_table_names():
        money = money.model_copy(update={"price_table": Path(money.price_table).name})
    return plan.model_copy(update={"money": money, "baseline": found.file.outcome.scenario.baseline})


def _heading(found: BestPlan) -> str:
    goal, best = GOAL_WORDS[found.objective.goal], found.best
    lines = [
        f"The best plan that `halfshade optimize` found on its grid, by {goal}.",
        f"{member_name(best)}: {plan_in_short(best.outcome.scenario)}",
    ]
    names = [NAMES[name] for name in _baselines(found)]
    if names:
        lines.append(f"The baselines below, {' and '.join(names)}, are each at its own best.")
    lines += ["", "CAUTION", *(f"- {line}" for line in cautions(best.outcome.scenario))]
    return "\n".join([*lines, "- Packaged prices are invented: ask local buyers, sellers and contractors first."])


def _baselines(found: BestPlan) -> dict[str, Scenario]:
    best, members = found.best.outcome.scenario, {name: found.best_of(name) for name in ("plantation", "pasture")}
    return {
        name: member.outcome.scenario
        for name, member in members.items()
        if member is not None and best.stand is None and can_be_overrides(member.outcome.scenario, name, best)
    }


def _ranking(found: BestPlan) -> pd.DataFrame:
    return pd.DataFrame([_row(rank, member) for rank, member in enumerate(found.ranking, start=1)])


def _row(rank: int, member: Member) -> dict[str, Any]:
    measures = member.outcome.measures
    return {
        "rank": rank,
        "system": member.system,
        "use": member_name(member),
        "plan": plan_in_short(member.outcome.scenario),
        "value": member.value,
        "value_on_fast_light": member.searched_value,
        "land_expectation_per_ac": measures.land_expectation,
        "equal_annual_income_per_ac": measures.equal_annual_income,
        "npv_per_ac": measures.npv,
    }
