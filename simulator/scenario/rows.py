"""Plain arithmetic of row layouts, shared by the rules that check a plan and the plan itself."""

from typing import Final

from simulator.units import SQUARE_FEET_PER_ACRE

DEFAULT_ROW_REMOVAL: Final = 5
"""A row thinning takes one row in five where single rows say nothing else; common practice, no source."""


def period_ft(rows_in_set: float, row_gap_ft: float, alley_ft: float) -> float:
    """Distance from one row set to the next.

    Parameters
    ----------
    rows_in_set
        Rows planted close together [1], at least 1.
    row_gap_ft
        Distance between rows of one set [ft].
    alley_ft
        Distance between the outer rows of neighbouring sets [ft].

    Returns
    -------
    float
        Distance from the first row of one set to the first of the next [ft].

    References
    ----------
    Definition.
    """
    return alley_ft + (rows_in_set - 1.0) * row_gap_ft


def planted_trees_per_ac(rows_in_set: float, row_gap_ft: float, in_row_ft: float, alley_ft: float) -> float:
    """Trees planted per acre of the ground that rows and alleys take.

    Parameters
    ----------
    rows_in_set
        Rows planted close together [1], at least 1.
    row_gap_ft
        Distance between rows of one set [ft].
    in_row_ft
        Distance between trees along a row [ft], above 0.
    alley_ft
        Distance between the outer rows of neighbouring sets [ft].

    Returns
    -------
    float
        Trees planted [1/ac].

    References
    ----------
    Definition.
    """
    return rows_in_set * SQUARE_FEET_PER_ACRE / (period_ft(rows_in_set, row_gap_ft, alley_ft) * in_row_ft)


def row_removal(rows_in_set: int, stated: int | None) -> int:
    """One row in how many a row thinning takes: as stated, else one of each set, else one in five."""
    return stated or (rows_in_set if rows_in_set > 1 else DEFAULT_ROW_REMOVAL)


def takes_rows(method: str) -> bool:
    """Whether a thinning of this method removes whole rows, single or in strips."""
    return "rows" in method or "strips" in method
