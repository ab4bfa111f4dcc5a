"""The cumulative cash of draws as a band over the years, for the page to draw."""

from typing import Final

import numpy as np

from optimize.risk.found import Odds
from optimize.risk.summary import TENTHS

NAMES: Final = ("p10", "p50", "p90")


def fan_document(odds: Odds) -> dict[str, dict[str, list[float]]]:
    """Cash added up by year, undiscounted, of each system.

    Parameters
    ----------
    odds
        What was drawn.

    Returns
    -------
    dict
        By system: what a tenth, half and nine tenths of the draws stay below at the end of each year [$/ac].
    """
    return {
        system: {
            name: np.round(band, 1).tolist()
            for name, band in zip(NAMES, np.quantile(drawn.cumulative, TENTHS, axis=0), strict=True)
        }
        for system, drawn in odds.systems.items()
    }
