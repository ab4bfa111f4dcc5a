"""The files of a search: the best plan as a scenario, its tables, the ranking, and three figures."""

from pathlib import Path
from typing import Any

import pandas as pd

from optimize.around import Refined
from optimize.best import BestPlan, Member
from simulator.comparison import Comparison
from simulator.parameters.prices import price_table_names
from workbench.charts.files import write_charts
from workbench.charts.optimum import grazing_figure, thinning_figure, timeline_figure
from workbench.files import csv_text, write_all
from workbench.optimum_plan import best_text, refined_text
from workbench.optimum_words import member_name, plan_in_short
from workbench.output import json_text


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
    best = comparison.systems["silvopasture"]
    texts = _own_prices(found, beside, folder) | {
        "best.toml": best_text(found),
        "ledger.csv": csv_text(best.ledger("run")),
        "years.csv": csv_text(best.years()),
        "ranking.csv": csv_text(_ranking(found)),
        "optimize.json": json_text(document),
    }
    if near.gain > 0:
        texts["refined.toml"] = refined_text(found, near)
    figures = {
        "first_thinning": thinning_figure(found),
        "grazing_start": grazing_figure(found),
        "timeline": timeline_figure(found),
    }
    return write_all(folder, texts) + write_charts(figures, folder)


def _own_prices(found: BestPlan, beside: Path | None, folder: Path) -> dict[str, str]:
    """The person's own price table, to lie beside the plans that name it."""
    name = found.best.outcome.scenario.money.price_table
    if name in price_table_names():
        return {}
    source, copy = (beside or Path()) / name, folder / Path(name).name
    if copy.exists() and copy.samefile(source):
        return {}
    return {copy.name: source.read_text(encoding="utf-8-sig")}


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
