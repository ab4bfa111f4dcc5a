"""The files of a property's plan: each one whole or not at all."""

from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from optimize.property.file import Property
from optimize.property.plan import JOBS, PropertyPlan
from optimize.property.whole import Planned
from workbench.charts.calendar import calendar_figure
from workbench.charts.files import image
from workbench.files import csv_text, write_all
from workbench.output import json_text


def write_property(wanted: Property, planned: Planned, document: dict[str, Any], folder: Path) -> list[Path]:
    """Write the document and, where there is a plan, its calendar, its flows and a picture.

    Parameters
    ----------
    wanted
        The property file.
    planned
        Its plan.
    document
        Its JSON document.
    folder
        An existing folder.

    Returns
    -------
    list of Path
        Files written.
    """
    content: dict[str, bytes | str] = {"property.json": json_text(document)}
    if planned.shown.tracts:
        figure = calendar_figure(planned.shown, wanted.file.title)
        content |= {
            "calendar.csv": csv_text(_calendar(planned.shown)),
            "flows.csv": csv_text(_flows(planned.shown)),
            "calendar.png": image(figure, "png"),
        }
    return write_all(folder, content)


def _calendar(plan: PropertyPlan) -> pd.DataFrame:
    """One row for each tract, year and job."""
    rows = [
        (int(year), tract.name, tract.acres, job)
        for number, tract in enumerate(plan.tracts)
        for job, years in plan.jobs(number).items()
        for year in years
    ]
    frame = pd.DataFrame(rows, columns=["year", "tract", "acres", "job"])
    order = frame["job"].map({job: place for place, job in enumerate(JOBS)})
    return frame.assign(order=order).sort_values(["year", "tract", "order"], kind="stable").drop(columns="order")


def _flows(plan: PropertyPlan) -> pd.DataFrame:
    """Sums over all tracts, one row a year."""
    years = len(plan.flows["cash"])
    named = {"cash": "cash", "planted": "planted_ac", "thinned": "thinned_ac", "harvested": "harvested_ac"}
    named["grazed"] = "grazed_ac"
    columns = {named.get(name, name): flow for name, flow in plan.flows.items()}
    for name, held in plan.herd.items():
        short = np.full(years, np.nan)
        # feed is bought from year 1 on, animals move at the end of a year
        short[years - len(held) :] = held if name == "feed" else short[years - len(held) :]
        if name != "feed":
            short[: len(held)] = held
        columns[f"herd_{name}"] = short
    if len(plan.balance):
        columns["balance"] = plan.balance
    return pd.DataFrame({"year": np.arange(years), **columns})
