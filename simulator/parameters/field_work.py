"""Habits of laying rows on a field: margins, shortest rows, what is ordered."""

from functools import cache
from pathlib import Path
from typing import NamedTuple

from simulator.sourced import coefficients, read_sourced

_FOLDER = Path(__file__).parent


class FieldLayout(NamedTuple):
    """What holds on a field unless a person says otherwise.

    Attributes
    ----------
    headland_ft
        Ground for turning at the ends of rows [ft].
    headland_machine_widths
        Least headland in widths of the machine [1].
    side_parallel_deg
        Angle between a side and the rows up to which nobody turns there [degrees].
    setback_ft
        Kept free of trees along the fence and around holes [ft].
    stream_buffer_ft
        Kept free along streams and around ponds [ft].
    lane_width_ft
        Width of an access lane [ft].
    deck_ac
        Area of a loading deck given as a point [ac].
    end_margin_ft
        From a row's end to its first and last tree [ft].
    least_row_ft, short_row_ft
        Rows below the first are left out, below the second counted as short [ft].
    corner_ft
        An outline that bends by less is one side [ft].
    fence_near_ft
        A fence this near to a side stands on it [ft].
    contour_slope_share
        Slope from which rows follow the contour, fall over run [1].
    few_trees_lost_share
        Trees given up for longer rows [1].
    spare_seedling_share
        Seedlings culled, dried out or dropped on the day [1].
    order_multiple
        Orders are rounded up to a multiple of so many trees.
    """

    headland_ft: float
    headland_machine_widths: float
    side_parallel_deg: float
    setback_ft: float
    stream_buffer_ft: float
    lane_width_ft: float
    deck_ac: float
    end_margin_ft: float
    least_row_ft: float
    short_row_ft: float
    corner_ft: float
    fence_near_ft: float
    contour_slope_share: float
    few_trees_lost_share: float
    spare_seedling_share: float
    order_multiple: float


@cache
def load_field_layout() -> FieldLayout:
    """Read the habits of laying out a field."""
    return coefficients(read_sourced(_FOLDER / "ground.toml"), "field_layout", FieldLayout)
