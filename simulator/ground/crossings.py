"""How often an outline meets itself, before anybody tries to repair it."""

from typing import Any, Final

import numpy as np
import shapely

MOST_MEETINGS: Final = 200
"""A slip of the pen makes a handful. Repair takes more than the square of them: some thousand keep it for minutes."""
AT_A_TIME: Final = 100
"""Sides compared with all others at once, so that an outline of nothing but crossings takes little memory."""
ITSELF_AND_TWO_NEIGHBOURS: Final = 3


def meets_itself_too_often(shape: Any, most: int = MOST_MEETINGS) -> bool:  # noqa: ANN401 - a shape of shapely
    """Whether sides of an outline touch or cross other than their neighbours in more places than can be repaired.

    Parameters
    ----------
    shape
        A polygon, or several.
    most
        Places.

    Returns
    -------
    bool
    """
    sides = _sides(shape)
    tree, pairs = shapely.STRtree(sides), 0
    for start in range(0, len(sides), AT_A_TIME):
        some = sides[start : start + AT_A_TIME]
        met = len(tree.query(some, predicate="intersects")[0])
        pairs += max(met - ITSELF_AND_TWO_NEIGHBOURS * len(some), 0)
        if pairs > 2 * most:  # each place is met from both sides
            return True
    return False


def _sides(shape: Any) -> Any:  # noqa: ANN401 - arrays of shapes
    """Every side of every ring, those of no length left out."""
    sides = []
    for ring in shapely.get_rings(shapely.get_parts(shape)):
        corners = shapely.get_coordinates(ring)
        corners = corners[np.r_[True, np.any(np.diff(corners, axis=0) != 0.0, axis=1)]]
        sides.append(shapely.linestrings(np.stack([corners[:-1], corners[1:]], axis=1)))
    return np.concatenate(sides) if sides else np.array([])
