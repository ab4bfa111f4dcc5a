"""The files of draws of hazards: every draw, bands of cumulative cash, the document, and two figures."""

from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from optimize.risk.found import Odds
from optimize.risk.summary import TENTHS
from workbench.charts.files import write_charts
from workbench.charts.odds import fan_figure, income_odds_figure
from workbench.files import csv_text, write_all
from workbench.output import json_text


def write_odds(odds: Odds, document: dict[str, Any], folder: Path) -> list[Path]:
    """Write what was drawn.

    Parameters
    ----------
    odds
        The draws.
    document
        Their JSON document.
    folder
        An existing folder.

    Returns
    -------
    list of Path
        draws.csv, bands.csv, odds.json, and the figures cash_bands and income_odds.
    """
    texts = {
        "draws.csv": csv_text(_draws(odds)),
        "bands.csv": csv_text(_bands(odds)),
        "odds.json": json_text(document),
    }
    figures = {"cash_bands": fan_figure(odds), "income_odds": income_odds_figure(odds)}
    return write_all(folder, texts) + write_charts(figures, folder)


def _draws(odds: Odds) -> pd.DataFrame:
    """One row for each draw and system."""
    frames = [
        pd.DataFrame(
            {
                "draw": np.arange(1, len(drawn.income) + 1),
                "system": system,
                "equal_annual_income_per_ac": drawn.income,
                "land_expectation_per_ac": drawn.worth if odds.without_end else np.nan,
                "deepest_cash_per_ac": drawn.deepest,
                "last_cumulative_cash_per_ac": drawn.cumulative[:, -1],
                "years_with_income_share": drawn.years_with_income,
                "largest_enterprise_share": drawn.largest_share,
                "stands_lost": drawn.replanted,
            }
        )
        for system, drawn in odds.systems.items()
    ]
    return pd.concat(frames).sort_values(["draw"], kind="stable")


def _bands(odds: Odds) -> pd.DataFrame:
    """Cumulative cash by system and year below which a tenth, half and nine tenths of the draws lie."""
    frames = []
    for system, drawn in odds.systems.items():
        low, middle, high = np.quantile(drawn.cumulative, TENTHS, axis=0)
        years = np.arange(len(low))
        frames.append(pd.DataFrame({"system": system, "year": years, "p10": low, "p50": middle, "p90": high}))
    return pd.concat(frames)
