"""The stand as it is: stems by candidate, row and diameter class, their crowns and their quality."""

from dataclasses import dataclass

import numpy as np

from simulator.geometry import Geometry
from simulator.units import BASAL_AREA_FT2_PER_IN2, BoolArray, FloatArray, IntArray

CLASSES = 10
"""Diameter classes of equal number in each row; stems stay members of their class for life."""


@dataclass(frozen=True)
class Stand:
    """Trees of a batch of candidates; axes are candidate, row of the cell, diameter class.

    Attributes
    ----------
    age
        Years since planting, (candidates,).
    height_ft
        Dominant height [ft], (candidates,).
    alive
        Rows that still stand, (candidates, rows).
    trees
        Living trees of the row per acre of land [1/ac], (candidates, rows).
    dbh_in
        Quadratic mean dbh of the row [in], (candidates, rows).
    size
        Class dbh / row's quadratic mean dbh [1], (candidates, rows, classes).
    share
        Share of the row's trees in the class [1], (candidates, rows, classes).
    tallness
        Class height / dominant height [1], (candidates, rows, classes).
    grade
        Share of the class's stems that pass as sawtimber [1], (candidates, rows, classes).
    across_ft, along_ft
        Crown radii at right angles to the row and along it [ft], (candidates, rows).
    crown_base_ft
        Height of the crown base [ft], (candidates, rows).
    pruned_ft
        Height pruned to [ft], (candidates,).
    thinnings
        Thinnings done in this tree cycle, (candidates,).
    edge_gain
        Dbh of the row where it is the outermost of the field / its dbh inside [1], (candidates, rows).
    """

    age: IntArray
    height_ft: FloatArray
    alive: BoolArray
    trees: FloatArray
    dbh_in: FloatArray
    size: FloatArray
    share: FloatArray
    tallness: FloatArray
    grade: FloatArray
    across_ft: FloatArray
    along_ft: FloatArray
    crown_base_ft: FloatArray
    pruned_ft: FloatArray
    thinnings: IntArray
    edge_gain: FloatArray


def bare(geometry: Geometry) -> Stand:
    """A stand with nothing in it, shaped for the rows of a plan."""
    candidates, rows = geometry.planted.shape
    by_row, by_class = np.zeros((candidates, rows)), np.ones((candidates, rows, CLASSES))
    return Stand(
        age=np.zeros(candidates, np.int64),
        height_ft=np.zeros(candidates),
        alive=np.zeros((candidates, rows), bool),
        trees=by_row,
        dbh_in=by_row,
        size=by_class,
        share=by_class / CLASSES,
        tallness=by_class,
        grade=by_class,
        across_ft=by_row,
        along_ft=by_row,
        crown_base_ft=by_row,
        pruned_ft=np.zeros(candidates),
        thinnings=np.zeros(candidates, np.int64),
        edge_gain=np.ones((candidates, rows)),
    )


def select(where: BoolArray, yes: Stand, no: Stand) -> Stand:
    """Candidate by candidate, one stand or the other.

    Parameters
    ----------
    where
        Which candidates take ``yes``, (candidates,).
    yes, no
        Stands of the same shape.

    Returns
    -------
    Stand
    """
    if not where.any():
        return no
    if where.all():
        return yes
    mixed = {}
    for name in Stand.__dataclass_fields__:
        one, other = getattr(yes, name), getattr(no, name)
        mixed[name] = np.where(where.reshape((-1,) + (1,) * (one.ndim - 1)), one, other)
    return Stand(**mixed)


def trees_per_ac(stand: Stand) -> FloatArray:
    """Living trees [1/ac], (candidates,)."""
    return np.asarray(stand.trees.sum(axis=1))


def basal_area_ft2_ac(stand: Stand) -> FloatArray:
    """Basal area of a stand.

    Parameters
    ----------
    stand
        The stand.

    Returns
    -------
    FloatArray
        Cross-section of all stems at breast height [ft2/ac], (candidates,).

    References
    ----------
    Definition.
    """
    return np.asarray(BASAL_AREA_FT2_PER_IN2 * (stand.trees * stand.dbh_in**2).sum(axis=1))


def quadratic_mean_dbh_in(stand: Stand) -> FloatArray:
    """Diameter of the tree of mean basal area.

    Parameters
    ----------
    stand
        The stand.

    Returns
    -------
    FloatArray
        Quadratic mean dbh [in], (candidates,); 0 where there are no trees.

    References
    ----------
    Definition.
    """
    count = trees_per_ac(stand)
    square = (stand.trees * stand.dbh_in**2).sum(axis=1)
    return np.asarray(np.sqrt(np.divide(square, count, out=np.zeros_like(count), where=count > 0)))


def class_dbh_in(stand: Stand) -> FloatArray:
    """Dbh of each class [in], (candidates, rows, classes): the row's times the class's relative size."""
    return np.asarray(stand.dbh_in[..., None] * stand.size)


def class_height_ft(stand: Stand) -> FloatArray:
    """Height of each class [ft], (candidates, rows, classes): dominant height times the class's share of it."""
    return np.asarray(stand.height_ft[:, None, None] * stand.tallness)


def class_trees(stand: Stand) -> FloatArray:
    """Trees of each class per acre of land [1/ac], (candidates, rows, classes): the row's times the class's share."""
    return np.asarray(stand.trees[..., None] * stand.share)


def mean_height_ft(stand: Stand) -> FloatArray:
    """Mean tree height of each row.

    Parameters
    ----------
    stand
        The stand.

    Returns
    -------
    FloatArray
        Mean height [ft], (candidates, rows).

    References
    ----------
    Definition.
    """
    return np.asarray(stand.height_ft[:, None] * (stand.tallness * stand.share).sum(axis=2))


def row_gaps_ft(standing: BoolArray, geometry: Geometry) -> tuple[FloatArray, FloatArray]:
    """Distances from each row to the next standing row on either side, round the repeating cell.

    Parameters
    ----------
    standing
        Rows that count, (candidates, rows).
    geometry
        Where the rows lie.

    Returns
    -------
    tuple of FloatArray
        Left and right distance [ft], each (candidates, rows); the cell width where the row is alone.
    """
    cell = geometry.cell_ft[:, None, None]
    ahead = (geometry.offset_ft[:, None, :] - geometry.offset_ft[:, :, None]) % cell
    behind = (geometry.offset_ft[:, :, None] - geometry.offset_ft[:, None, :]) % cell
    left, right = (np.where(standing[:, None, :] & (gap > 0.0), gap, cell).min(axis=2) for gap in (behind, ahead))
    return left, right


def neighbour_rows_ft(stand: Stand, geometry: Geometry) -> tuple[FloatArray, FloatArray]:
    """Left and right distance from each row to the next row that still stands [ft], each (candidates, rows)."""
    return row_gaps_ft(stand.alive, geometry)


def keep_share(stand: Stand, geometry: Geometry) -> FloatArray:
    """Share of each row's planting spots that hold a living tree.

    Parameters
    ----------
    stand
        The stand.
    geometry
        Its rows.

    Returns
    -------
    FloatArray
        Keep-share [1], (candidates, rows).

    References
    ----------
    Definition.
    """
    return np.asarray(stand.trees / geometry.spots_per_ac[:, None])
