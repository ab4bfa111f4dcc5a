"""The files and the document of a sensitivity study: a table of each result, and figures."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

import pandas as pd

from optimize.sensitivity.study import Study
from workbench.charts.files import write_charts
from workbench.charts.sensitivity import dependence_figure, effects_figure, indices_figure, tornado_figure
from workbench.files import csv_text, write_all
from workbench.output import json_text
from workbench.sweep_words import SENSITIVITY_CAUTIONS

NAMES: Final = {
    "swings": "tornado.csv",
    "partial_dependence": "partial_dependence.csv",
    "sobol": "sobol.csv",
    "morris": "morris.csv",
    "break_even": "break_even.csv",
}


def tables_of(study: Study) -> dict[str, pd.DataFrame]:
    """Every result of a study that its design gives, as tables with one row a factor, point or pair."""
    rows: dict[str, list[dict[str, Any]]] = {
        "swings": [{"factor": s.name} | _without(s._asdict(), "name") | {"width": s.width} for s in study.swings],
        "partial_dependence": [
            {"factor": name} | point._asdict() for name, points in study.along.items() for point in points
        ],
        "sobol": _by_factor(study.sobol),
        "morris": _by_factor(study.morris),
        "break_even": [
            {"factor": name, "unit": study.units[name]} | tie._asdict()
            for name, ties in (study.ties or {}).items()
            for tie in ties
        ],
    }
    return {name: pd.DataFrame(listed) for name, listed in rows.items() if listed}


def _by_factor(found: Mapping[str, Any] | None) -> list[dict[str, Any]]:
    return [{"factor": name} | _without(index._asdict(), "factor") for name, index in (found or {}).items()]


def _without(row: dict[str, Any], key: str) -> dict[str, Any]:
    return {name: value for name, value in row.items() if name != key}


def sensitivity_document(study: Study) -> dict[str, Any]:
    """The study as JSON."""
    low, mean, high = study.spread
    head = {"output": study.column, "unit": study.unit, "design": study.design, "scenarios": study.scenarios}
    head |= {"failed": study.failed, "left_out": study.left_out}
    spread = {"lowest_tenth": low, "mean": mean, "highest_tenth": high}
    tables = {
        name: table.astype(object).where(table.notna(), None).to_dict("records")
        for name, table in tables_of(study).items()
    }
    return {**head, "spread": spread, **tables, "cautions": list(SENSITIVITY_CAUTIONS)}


def write_sensitivity(study: Study, folder: Path) -> list[Path]:
    """Write the tables as CSV, the document as JSON, and the figures; return the files written."""
    texts = {NAMES[name]: csv_text(table) for name, table in tables_of(study).items()}
    texts["sensitivity.json"] = json_text(sensitivity_document(study))
    figures = {
        "tornado": tornado_figure(study),
        "sobol": indices_figure(study),
        "morris": effects_figure(study),
        "partial_dependence": dependence_figure(study),
    }
    return write_all(folder, texts) + write_charts(figures, folder)
