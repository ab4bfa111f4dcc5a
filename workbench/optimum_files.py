"""The files of a search: the best plan as a scenario, its tables, the ranking, and three figures."""

from pathlib import Path
from typing import Any

import pandas as pd

from optimize.around import Refined
from optimize.best import BestPlan, Member
from simulator.comparison import Comparison
from simulator.scenario.model import Scenario
from workbench.charts.files import write_charts
from workbench.charts.optimum import grazing_figure, thinning_figure, timeline_figure
from workbench.files import csv_text, write_text
from workbench.optimum_words import GOAL_WORDS, member_name, plan_in_short
from workbench.output import json_text
from workbench.plan_file import plan_text
from workbench.words import cautions


def write_optimum(
    found: BestPlan, comparison: Comparison, near: Refined, document: dict[str, Any], folder: Path
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

    Returns
    -------
    list of Path
        best.toml, and refined.toml where a better plan lies off the grid; ledger.csv and years.csv of the best plan;
        ranking.csv; optimize.json; figures.
    """
    best = comparison.systems["silvopasture"]
    written = [
        write_text(folder / "best.toml", plan_text(best.scenario, _heading(found), _baselines(found))),
        write_text(folder / "ledger.csv", csv_text(best.ledger("run"))),
        write_text(folder / "years.csv", csv_text(best.years())),
        write_text(folder / "ranking.csv", csv_text(_ranking(found))),
        write_text(folder / "optimize.json", json_text(document)),
    ]
    if near.gain > 0:
        heading = "A plan a little off the grid of the search, better than its best; not proven."
        written.append(write_text(folder / "refined.toml", plan_text(near.outcome.scenario, heading)))
    figures = {
        "first_thinning": thinning_figure(found),
        "grazing_start": grazing_figure(found),
        "timeline": timeline_figure(found),
    }
    return written + write_charts({name: figure for name, figure in figures.items() if figure is not None}, folder)


def _heading(found: BestPlan) -> str:
    goal, best = GOAL_WORDS[found.objective.goal], found.best
    lines = [
        f"The best plan that `halfshade optimize` found on its grid, by {goal}.",
        f"{member_name(best)}: {plan_in_short(best.outcome.scenario)}",
    ]
    if _baselines(found):
        lines.append("The baselines below are trees alone and grass alone, each at its own best.")
    lines += ["", "CAUTION", *(f"- {line}" for line in cautions(best.outcome.scenario))]
    return "\n".join([*lines, "- Packaged prices are invented: ask local buyers, sellers and contractors first."])


def _baselines(found: BestPlan) -> dict[str, Scenario]:
    members = {name: found.best_of(name) for name in ("plantation", "pasture")}
    return {
        name: member.outcome.scenario
        for name, member in members.items()
        if member is not None and found.best.outcome.scenario.stand is None
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
