"""Years in words."""

import numpy as np

from simulator.units import BoolArray, FloatArray


def in_years(flag: FloatArray | BoolArray) -> str:
    """Years where a flag is up, in words: "year 8", "years 8-15, 34"."""
    years = np.flatnonzero(flag)
    runs = np.split(years, np.flatnonzero(np.diff(years) > 1) + 1)
    said = ", ".join(f"{run[0]}" if len(run) == 1 else f"{run[0]}-{run[-1]}" for run in runs)
    return f"year {said}" if len(years) == 1 else f"years {said}"
