"""Where a planting crew begins: the first row, measured from a corner that they can find."""

from typing import NamedTuple

import numpy as np

from simulator.ground.field import Field
from simulator.ground.rows import Rows
from simulator.ground.sides import Corner, compass, corners_of
from simulator.units import FloatArray


class FirstRow(NamedTuple):
    """The first row from a corner of the field.

    Attributes
    ----------
    corner
        The corner nearest to the row's line, of those at its end.
    across_ft, across_deg
        From the corner square to the rows, and in which direction [ft], [degrees].
    along_ft, along_deg
        Then along the rows to the first tree [ft], [degrees].
    """

    corner: Corner
    across_ft: float
    across_deg: float
    along_ft: float
    along_deg: float

    @property
    def across_to(self) -> str:
        """Point of the compass of the step across."""
        return compass(self.across_deg)

    @property
    def along_to(self) -> str:
        """Point of the compass of the step along."""
        return compass(self.along_deg)


def first_row_of(field: Field, rows: Rows) -> FirstRow:
    """Measure from the corner nearest to the first tree of the first row.

    Parameters
    ----------
    field
        The field.
    rows
        Rows on it, at least one.

    Returns
    -------
    FirstRow
    """
    corners = corners_of(field)
    frame = _turned(np.array([corner.xy_ft for corner in corners]), rows.azimuth_deg)
    step = np.array([rows.x_ft[0], rows.start_ft[0]]) - frame
    nearest = int(np.hypot(*step.T).argmin())
    across, along = (float(each) for each in step[nearest])
    return FirstRow(
        corners[nearest],
        abs(across),
        (rows.azimuth_deg + (90.0 if across >= 0.0 else 270.0)) % 360.0,
        abs(along),
        (rows.azimuth_deg + (0.0 if along >= 0.0 else 180.0)) % 360.0,
    )


def _turned(xy: FloatArray, azimuth_deg: float) -> FloatArray:
    """Points in the frame of the rows: how far across them, and how far along.

    Parameters
    ----------
    xy
        East and north [ft], (points, 2).
    azimuth_deg
        Direction of the rows, clockwise from north [degrees].

    Returns
    -------
    FloatArray
        Across to the right and along [ft], (points, 2).

    References
    ----------
    Rotation: definition.
    """
    turn = np.radians(azimuth_deg)
    east, north = xy[:, 0], xy[:, 1]
    return np.column_stack([east * np.cos(turn) - north * np.sin(turn), east * np.sin(turn) + north * np.cos(turn)])
