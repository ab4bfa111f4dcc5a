"""Light on the ground under rows of trees."""

from typing import Literal, NamedTuple

import numpy as np

from simulator.physics.light.crowns import Cell, LightCoefficients, RowCrowns, Rows, rows_of
from simulator.physics.light.exact import exact_profile
from simulator.physics.light.fast import fast_profile
from simulator.physics.light.rays import Reals, Sky, few_slopes, slopes
from simulator.units import FloatArray


class OverRows(NamedTuple):
    """A season's sky as the rows lie under it.

    Attributes
    ----------
    sky
        Rays of the season, from above the horizon.
    row_azimuth_deg
        Direction of the rows, clockwise from north [deg]; positions count to their right (east for 0).
    """

    sky: Sky
    row_azimuth_deg: float


def light_profile(
    rows: RowCrowns,
    cell: Cell,
    points_ft: FloatArray,
    over: OverRows,
    coefficients: LightCoefficients,
    *,
    precision: Literal["exact", "fast"] = "exact",
) -> FloatArray:
    """Return the share of open-sky light that reaches ground points under rows of trees.

    Crowns are ellipsoids of evenly spread leaves that take light by Beer's law without scattering; rows repeat for
    ever, their trees out of step with the next row's; trees are missing at random; stems are opaque. Level ground,
    no edges. The site's real light is not known better than to about 0.05 to 0.08.

    Parameters
    ----------
    rows
        The mean tree of each row of the cell, fields (..., rows). Rows without leaf or living tree take no light.
    cell
        The repeating unit, fields (...,).
    points_ft
        Across-row positions [ft], same origin as the rows' offsets, (..., points).
    over
        The season's sky and the direction of the rows under it.
    coefficients
        How crowns and stems take light.
    precision
        ``"exact"`` sums every ray; ``"fast"`` some fifty, its mean over the points within 0.01 of the exact one.

    Returns
    -------
    FloatArray
        Transmitted share [1], (..., points); 1 is open ground.

    References
    ----------
    Ellipsoid crowns: Norman & Welles 1983, Agronomy Journal 75:481 (from memory). Projection: Sampson & Allen 1998,
    Trees 13:80. Line-of-crowns kernel: derived for this project, tested against crown-by-crown tracing.
    """
    stand = rows_of(rows, cell, coefficients)
    points = np.asarray(points_ft, dtype=np.float64) / np.asarray(cell.width_ft)[..., None]
    lead = np.broadcast_shapes(stand.offset.shape[:-1], points.shape[:-1])
    states, places = _flat(stand, lead), _spread(points, lead)
    if precision == "fast":
        light = fast_profile(states, places, few_slopes(*over), coefficients.trunk_floor)
    else:
        light = _one_by_one(states, places, over, coefficients.trunk_floor)
    return light.reshape(*lead, -1)


def _one_by_one(states: Rows, points: FloatArray, over: OverRows, trunk_floor: float) -> FloatArray:
    rays = slopes(*over)
    stands = (Rows(*fields) for fields in zip(*states, strict=True))
    return np.stack(
        [exact_profile(stand, places, rays, trunk_floor) for stand, places in zip(stands, points, strict=True)]
    )


def _flat(stand: Rows, lead: tuple[int, ...]) -> Rows:
    return Rows(*(_spread(field, lead) for field in stand))


def _spread(field: Reals, lead: tuple[int, ...]) -> FloatArray:
    spread = np.broadcast_to(np.asarray(field, dtype=np.float64), (*lead, field.shape[-1]))
    return spread.reshape(-1, field.shape[-1])
