"""Sprays by active ingredient, and when in the year the owner's hours fall."""

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import NamedTuple

import numpy as np

from simulator.errors import ParameterError
from simulator.sourced import coefficients, read_sourced
from simulator.units import FloatArray

_FOLDER = Path(__file__).parent


class Spray(NamedTuple):
    """What a spray of one active ingredient asks; the label of the product in hand governs.

    Attributes
    ----------
    graze_days, hay_days
        Days that animals stay out, and until hay may be cut [d].
    injures_pine, injures_grass
        1 where it can injure young pines, or the pasture grass.
    forbids_use
        1 where ground that was sprayed is neither grazed nor cut for hay that year.
    """

    graze_days: float
    hay_days: float
    injures_pine: float
    injures_grass: float
    forbids_use: float


@cache
def load_sprays() -> Mapping[str, Spray]:
    """Read every active ingredient known here."""
    file = read_sourced(_FOLDER / "herbicides.toml")
    return {name: coefficients(file, name, Spray) for name in file.tables}


@cache
def load_months() -> Mapping[str, FloatArray]:
    """Read how the hours of each line of labour fall over twelve months [1], shares that add up to 1."""
    file = read_sourced(_FOLDER / "labour.toml")
    months = {name: np.array(entry.value, float) for name, entry in file.tables["months"].items()}
    for name, shares in months.items():
        if shares.shape != (12,) or abs(shares.sum() - 1.0) > 1e-9:
            raise ParameterError(f"labour.toml: months.{name}: needs twelve shares that add up to 1")
    return months
