"""The files that `--out` writes: each one whole or not at all, others in the folder untouched."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pandas as pd

from optimize.whole_files import write_atomically
from simulator.comparison import Comparison
from simulator.harvest_logs import harvest_logs
from simulator.result import Outcome
from simulator.sales import sales_table
from workbench.output import json_text

FLOAT_FORMAT = "%.6g"


def write_comparison(comparison: Comparison, document: dict[str, Any], folder: Path) -> list[Path]:
    """Write ledger, yearly table, comparison and four figures.

    Parameters
    ----------
    comparison
        What was compared.
    document
        Its JSON document.
    folder
        An existing folder.

    Returns
    -------
    list of Path
        Files written.
    """
    from workbench.charts import write_figures  # noqa: PLC0415 - who wants only the tables draws nothing

    return write_all(folder, comparison_texts(comparison, document)) + write_figures(comparison, folder)


def comparison_texts(comparison: Comparison, document: dict[str, Any]) -> dict[str, str]:
    """Ledger, yearly table and comparison as texts, by file name."""
    ledger = pd.concat([outcome.ledger(name) for name, outcome in comparison.systems.items()])
    years = pd.concat([outcome.years().assign(scenario=name) for name, outcome in comparison.systems.items()])
    years = years[["scenario", *(column for column in years.columns if column != "scenario")]]
    return {
        "ledger.csv": csv_text(ledger),
        "years.csv": csv_text(years),
        "comparison.json": json_text(document),
    }


def write_run(outcome: Outcome, document: dict[str, Any], folder: Path) -> list[Path]:
    """Write ledger, years, sales, pieces of the final harvest and result of one plan; return the files written."""
    texts = {
        "logs.csv": csv_text(harvest_logs(outcome)),
        "sales.csv": csv_text(sales_table(outcome)),
        "ledger.csv": csv_text(outcome.ledger("run")),
        "years.csv": csv_text(outcome.years()),
        "run.json": json_text(document),
    }
    return write_all(folder, texts)


def csv_text(frame: pd.DataFrame) -> str:
    """A table as the text of a CSV file."""
    return str(frame.to_csv(index=False, float_format=FLOAT_FORMAT, lineterminator="\n"))


def write_all(folder: Path, contents: Mapping[str, bytes | str]) -> list[Path]:
    """Write files by name into an existing folder, each whole or not at all, and return their paths."""
    for name, content in contents.items():
        write_atomically(folder / name, content)
    return [folder / name for name in contents]
