"""How crowded each row of a stand is in its own space, inside the field and where it is the outermost row."""

from typing import NamedTuple

import numpy as np

from simulator.geometry import Geometry
from simulator.parameters.growth import Tree
from simulator.physics.crown import open_grown_width_ft
from simulator.physics.diameter import local_trees_per_ac, stand_density_index
from simulator.state import Stand, keep_share, neighbour_rows_ft, row_gaps_ft
from simulator.units import FloatArray


class Part(NamedTuple):
    """Trees of each row that stand inside the field, or of its outermost length, (candidates, rows) each.

    Attributes
    ----------
    share
        Of the row's length [1].
    dbh_in
        Quadratic mean dbh [in].
    density
        Stand density index in their own growing space, as a share of the maximum [1].
    """

    share: FloatArray
    dbh_in: FloatArray
    density: FloatArray


def parts_of(stand: Stand, geometry: Geometry, tree: Tree) -> tuple[Part, ...]:
    """The rows as they stand inside the field and, where a field has edges, as outermost rows beside open ground.

    Parameters
    ----------
    stand
        The stand.
    geometry
        Its rows.
    tree
        Species.

    Returns
    -------
    tuple of Part
        One, or two where any candidate has edges: diameters inside and outermost [in], whose quadratic mean is that
        of the row. Outermost rows use the open ground as far as they reach, never less far than a row inside does.

    References
    ----------
    That outermost rows reach a number of open-grown crown radii into open ground: assumed for this project.
    """
    left, right = neighbour_rows_ft(stand, geometry)
    if not geometry.edge_share.any():
        everywhere = np.ones_like(stand.dbh_in)
        return (Part(everywhere, stand.dbh_in, _density(stand, geometry, tree, stand.dbh_in, (left, right))),)
    share, to_left = edge_share_of_rows(stand, geometry)
    spread = np.sqrt(1.0 - share + share * stand.edge_gain**2)
    inner = np.where(share > 0.0, stand.dbh_in / spread, stand.dbh_in)
    outer = inner * stand.edge_gain
    # one-sided open ground: never less than the row has inside, and never more than its lateral reach
    open_ft = tree.diameter.edge_reach * open_grown_width_ft(outer, tree.crown)
    ways = ((to_left, (np.maximum(left, open_ft), right)), (1.0 - to_left, (left, np.maximum(right, open_ft))))
    open_ = [weight * _density(stand, geometry, tree, outer, gaps) for weight, gaps in ways]
    inside = _density(stand, geometry, tree, inner, (left, right))
    return Part(1.0 - share, inner, inside), Part(share, outer, open_[0] + open_[1])


def relative_density(stand: Stand, geometry: Geometry, tree: Tree) -> FloatArray:
    """Stand density index in each row's own growing space, as a share of the maximum [1], (candidates, rows)."""
    return joined(*((part.share, part.density) for part in parts_of(stand, geometry, tree)))


def joined(inside: tuple[FloatArray, FloatArray], *outermost: tuple[FloatArray, FloatArray]) -> FloatArray:
    """Mean of a value over the parts of each row.

    Parameters
    ----------
    inside
        Share of the row's length [1] and the value there, any unit, (candidates, rows) each.
    outermost
        The same of further parts.

    Returns
    -------
    FloatArray
        Mean in the unit of the values, (candidates, rows).
    """
    mean = inside[1]
    for share, value in outermost:
        mean = mean + share * (value - mean)
    return np.asarray(mean)


def _density(
    stand: Stand, geometry: Geometry, tree: Tree, dbh_in: FloatArray, gaps_ft: tuple[FloatArray, FloatArray]
) -> FloatArray:
    """Stand density index of trees in their own growing space, as a share of the maximum.

    Parameters
    ----------
    stand
        The stand.
    geometry
        Its rows.
    tree
        Species.
    dbh_in
        Quadratic mean dbh of the trees meant [in], (candidates, rows).
    gaps_ft
        Distances to the next rows on the left and on the right [ft], (candidates, rows) each.

    Returns
    -------
    FloatArray
        Relative density, at most 1 [1], (candidates, rows); 0 where there are no trees.

    References
    ----------
    Stand density index: Reineke 1933, Journal of Agricultural Research 46:627. The growing space of a row, as far as
    its lateral reach goes: assumed for this project.
    """
    along = geometry.in_row_ft[:, None] / np.maximum(keep_share(stand, geometry), 1e-6)
    reach = tree.diameter.lateral_reach * open_grown_width_ft(dbh_in, tree.crown) / 2.0
    local = local_trees_per_ac(along, *gaps_ft, reach)
    index = stand_density_index(local, dbh_in, tree.diameter) / tree.diameter.sdi_maximum
    return np.where(stand.trees > 0, np.minimum(index, 1.0), 0.0)


def edge_share_of_rows(stand: Stand, geometry: Geometry) -> tuple[FloatArray, FloatArray]:
    """Where a row of the pattern is the outermost of the field, and on which side it then looks out.

    Parameters
    ----------
    stand
        The stand: where outermost rows were taken, the next one is outermost.
    geometry
        Its rows, and the share of their length that is outermost.

    Returns
    -------
    tuple of FloatArray
        Share of each row's length that is outermost [1], and of that the share that looks out to the left [1], each
        (candidates, rows). Only rows beside an alley are outermost, for a field ends with a whole set.

    References
    ----------
    Bookkeeping of this project, no source.
    """
    left, right = row_gaps_ft(geometry.planted, geometry)
    widest = np.where(geometry.planted, np.maximum(left, right), 0.0)
    outer = geometry.planted & (widest >= widest.max(axis=1, keepdims=True) - 1e-9)
    standing = outer & stand.alive
    standing = np.where(standing.any(axis=1, keepdims=True), standing, stand.alive)
    rows, outermost = geometry.planted.sum(axis=1), standing.sum(axis=1)
    share = np.minimum(geometry.edge_share * rows / np.maximum(outermost, 1), 1.0)[:, None] * standing
    to_left = np.where(np.abs(left - right) < 1e-9, 0.5, (left > right).astype(float))
    return share, to_left
