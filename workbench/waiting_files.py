"""The files of a question of waiting: the document, a table of the answers, and the figure."""

from pathlib import Path
from typing import Any

import pandas as pd

from optimize.waiting.answer import Answer
from workbench.charts.files import write_charts
from workbench.charts.waiting import waiting_figure
from workbench.files import csv_text, write_all
from workbench.output import json_text


def write_waiting(found: Answer, item: str, document: dict[str, Any], folder: Path) -> list[Path]:
    """Write what waiting is worth.

    Parameters
    ----------
    found
        The answer.
    item
        Price whose reservation price is drawn.
    document
        The JSON document.
    folder
        An existing folder.

    Returns
    -------
    list of Path
        wait.json; wait.csv, one row for each answer; wait.png and wait.svg.
    """
    figure = waiting_figure(found, item, document["reservation_price"]["unit"])
    texts = {"wait.json": json_text(document), "wait.csv": csv_text(_table(document))}
    return write_all(folder, texts) + write_charts({"wait": figure}, folder)


def _table(document: dict[str, Any]) -> pd.DataFrame:
    entries = [("thin", 0, document["now"]), *(("thin", entry["years"], entry) for entry in document["wait"])]
    entries += [("clearcut now", None, document["clearcut_now"]), ("never thin", None, document["hold"])]
    return pd.DataFrame([_row(*entry) for entry in entries]).astype({"years": "Int64"})


def _row(answer: str, years: int | None, entry: dict[str, Any]) -> dict[str, Any]:
    plan = entry["plan"] or {}
    wood = {
        f"{what}_{product}_ton_ac": tons
        for what in ("thinning", "wood")
        for product, tons in entry.get("thinning_ton_ac" if what == "thinning" else "wood_ton_ac", {}).items()
    }
    kept = ("present_value_per_ac", "against_now_per_ac", "of_grass_per_ac")
    waited = ("value_growth", "likely_loss_per_ac_yr", "forage_lost_lb_ac", "animal_unit_months_lost_ac")
    return {
        "answer": answer,
        "years": years,
        **{key: entry[key] for key in kept},
        "harvest_year": plan.get("harvest_year"),
        "thinnings": len(plan.get("thinnings", ())),
        **{key: entry.get(key) for key in waited},
        **wood,
        "cannot": entry["cannot"] or "",
    }
