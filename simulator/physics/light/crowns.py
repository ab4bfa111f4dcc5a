"""The trees as light meets them: a periodic cell of rows, one mean ellipsoidal crown per row."""

from typing import Final, NamedTuple

import numpy as np

from simulator.physics.light.rays import Reals, Slopes
from simulator.units import FloatArray

INCHES_PER_FOOT: Final = 12.0
_LEAST_FT: Final = 1e-3
"""Half width below which a crown is widened: keeps directions finite without shading anything."""
_COVER_POINTS: Final = 64
"""Points across the cell at which cover is sampled."""


class LightCoefficients(NamedTuple):
    """How crowns and stems take light.

    Parameters
    ----------
    projection
        Leaf area seen along a ray per projected leaf area, G [1].
    leaf_area_density_cap_per_ft
        Most projected leaf area a crown's volume holds [ft2/ft3 = 1/ft]; 1.2 m2/m3 is 0.366 per ft.
    trunk_floor
        Least light that one row's stems let through [1].
    """

    projection: float
    leaf_area_density_cap_per_ft: float
    trunk_floor: float


class RowCrowns(NamedTuple):
    """The mean tree of each row of the periodic cell; every field (..., rows).

    Parameters
    ----------
    offset_ft
        Across-row position of the row [ft].
    half_width_across_ft, half_width_along_ft
        Crown radius at right angles to the row and along it [ft].
    half_length_ft, center_height_ft
        Half the crown's length and the height of its middle [ft].
    leaf_area_ft2
        Projected leaf area of a living tree in the season meant [ft2].
    keep_share
        Share of the row's planting spots, thinned at random, that hold a living tree [1], 0 to 1.
    dbh_in
        Stem diameter at breast height [in].
    crown_base_ft
        Height of the lowest foliage, where the bare stem ends [ft].
    """

    offset_ft: FloatArray
    half_width_across_ft: FloatArray
    half_width_along_ft: FloatArray
    half_length_ft: FloatArray
    center_height_ft: FloatArray
    leaf_area_ft2: FloatArray
    keep_share: FloatArray
    dbh_in: FloatArray
    crown_base_ft: FloatArray


class Cell(NamedTuple):
    """The repeating unit of the planting; every field (...,).

    Parameters
    ----------
    width_ft
        Distance across rows after which the pattern of rows repeats [ft].
    in_row_ft
        Distance between planting spots along the row [ft].
    """

    width_ft: FloatArray
    in_row_ft: FloatArray


class Rows(NamedTuple):
    """Rows in the units of the ray sums: lengths [ft], extinction [1/ft], positions in cell widths."""

    offset: Reals
    across: Reals
    along: Reals
    upright: Reals
    center: Reals
    extinction: Reals
    keep: Reals
    trunk: Reals
    trunk_height: Reals
    width: Reals
    in_row: Reals


class Shadows(NamedTuple):
    """A row's line of crown shadows along a ray.

    Parameters
    ----------
    depth
        Optical depth of the longest path through one crown [1].
    overlap
        Half length of the shadow along the row over the distance between planting spots [1].
    half_width
        Half width of the shadow across the rows [cell widths].
    shift
        How far the shadow lies from its row, away from the sun [cell widths].
    trunk_depth
        Optical depth of the row's stems where a ray passes between them [1].
    trunk_run
        Across-row run of a ray between the ground and the foot of the crowns [cell widths].
    """

    depth: Reals
    overlap: Reals
    half_width: Reals
    shift: Reals
    trunk_depth: Reals
    trunk_run: Reals


def rows_of(crowns: RowCrowns, cell: Cell, coefficients: LightCoefficients) -> Rows:
    """Turn trees into what the ray sums need; rows without leaf or tree take no light at all.

    Parameters
    ----------
    crowns, cell
        The stand, fields (..., rows) and (...,).
    coefficients
        How crowns and stems take light.

    Returns
    -------
    Rows
        Fields broadcast to a common (..., rows).
    """
    width, in_row = np.asarray(cell.width_ft)[..., None], np.asarray(cell.in_row_ft)[..., None]
    across = np.maximum(crowns.half_width_across_ft, _LEAST_FT)
    along = np.maximum(crowns.half_width_along_ft, _LEAST_FT)
    upright = np.maximum(crowns.half_length_ft, _LEAST_FT)
    volume = 4.0 / 3.0 * np.pi * across * along * upright
    density = np.minimum(crowns.leaf_area_ft2 / volume, coefficients.leaf_area_density_cap_per_ft)
    keep = np.where(np.asarray(crowns.leaf_area_ft2) > 0.0, crowns.keep_share, 0.0)
    fields = (
        crowns.offset_ft / width,
        across,
        along,
        upright,
        crowns.center_height_ft,
        coefficients.projection * density,
        keep,
        keep * crowns.dbh_in / INCHES_PER_FOOT / in_row,
        crowns.crown_base_ft,
        width,
        in_row,
    )
    return Rows(*np.broadcast_arrays(*fields))


def shadows(rows: Rows, rays: Slopes, trunk_floor: float) -> Shadows:
    """Return the crown and stem shadows of rows along rays.

    Parameters
    ----------
    rows
        Rows; shape broadcastable to that of the rays.
    rays
        Rays; shape broadcastable to that of the rows.
    trunk_floor
        Least light that one row's stems let through [1].

    Returns
    -------
    Shadows
        Fields of the broadcast shape.

    References
    ----------
    Ellipsoid crowns in rows after Norman & Welles 1983, Agronomy Journal 75:481 (from memory); shadow of a line
    of equal ellipsoids derived for this project.
    """
    half_width = np.hypot(rays.across * rows.upright, rows.across)
    steepness = np.sqrt((half_width / (rows.across * rows.upright)) ** 2 + (rays.along / rows.along) ** 2)
    overlap = rows.across * rows.along * rows.upright * steepness / (half_width * rows.in_row)
    run = np.hypot(rays.across, rays.along) / np.maximum(np.abs(rays.across), 1e-9)
    return Shadows(
        depth=2.0 * rows.extinction * rays.length / steepness,
        overlap=overlap,
        half_width=half_width / rows.width,
        shift=rows.center * rays.across / rows.width,
        trunk_depth=-np.log(np.maximum(1.0 - rows.trunk * run, trunk_floor)),
        trunk_run=rows.trunk_height * rays.across / rows.width,
    )


def canopy_cover(rows: RowCrowns, cell: Cell) -> FloatArray:
    """Return the share of the ground that lies vertically under crowns, taken as opaque.

    Crowns of one row overlap as their spacing says; missing trees are random; rows are out of step.

    Parameters
    ----------
    rows
        The rows' crowns, fields (..., rows).
    cell
        The repeating unit, fields (...,).

    Returns
    -------
    FloatArray
        Cover [1], (...,).

    References
    ----------
    Geometry derived for this project.
    """
    width, in_row = np.asarray(cell.width_ft)[..., None], np.asarray(cell.in_row_ft)[..., None]
    radius = np.maximum(rows.half_width_across_ft, _LEAST_FT)
    reach = int(np.ceil(np.max(radius / width))) + 1
    images = np.arange(-reach, reach + 1)[:, None]
    points = (np.arange(_COVER_POINTS) + 0.5) / _COVER_POINTS
    place = (np.asarray(rows.offset_ft) / width)[..., None, None]
    distance = (points - place + np.floor(place) + images) * (width / radius)[..., None, None]
    under = np.abs(distance) < 1.0  # most of the ground is not under most crowns: only there is a power worth taking
    spots = (2.0 * (rows.half_width_along_ft / in_row)[..., None, None] * np.ones_like(distance))[under]
    spots = spots * np.sqrt(1.0 - distance[under] ** 2)
    keep = np.broadcast_to(np.asarray(rows.keep_share)[..., None, None], distance.shape)[under]
    whole = np.floor(spots)
    gap = np.ones_like(distance)
    gap[under] = (1.0 - keep) ** whole * (1.0 - keep * (spots - whole))
    return np.asarray(1.0 - gap.prod(axis=(-3, -2)).mean(axis=-1))
