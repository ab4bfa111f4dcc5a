"""Thinning and final harvest: which stems go, and what the cut is worth in trees by class."""

from dataclasses import replace
from typing import Final, NamedTuple

import numpy as np

from simulator.events.marking import marked
from simulator.geometry import Geometry
from simulator.parameters.tables import Marking
from simulator.physics.stem import StemQuality
from simulator.schedule import Calendar
from simulator.state import Stand, basal_area_ft2_ac, class_trees, select, trees_per_ac
from simulator.units import BoolArray, FloatArray

_ROUNDING: Final = 1e-12
"""Share of a class below which the difference of before and after is rounding and no tree."""


class Cut(NamedTuple):
    """Trees taken.

    Attributes
    ----------
    trees
        Trees cut per acre [1/ac], (candidates, rows, classes); sizes are those of the stand before.
    grade
        Share of them that pass as sawtimber [1], (candidates, rows, classes).
    """

    trees: FloatArray
    grade: FloatArray


def thinned(
    stand: Stand, geometry: Geometry, calendar: Calendar, quality: StemQuality, marking: Marking
) -> tuple[Stand, Cut]:
    """Do the thinning that the calendar asks for at the stand's age.

    Parameters
    ----------
    stand
        At the end of the year.
    geometry
        Its rows; row removal takes those marked removable.
    calendar
        What is due.
    quality
        How far marking takes failing stems first.
    marking
        How exactly the smallest are taken.

    Returns
    -------
    tuple of Stand and Cut
        The stand that stays, and what was cut.
    """
    before = class_trees(stand)
    here = np.arange(len(stand.age))
    by_rows = calendar.thin_rows[here, stand.age]
    below = calendar.thin_below[here, stand.age]
    if not (by_rows.any() or below.any()):
        return stand, Cut(np.zeros_like(before), stand.grade)
    rest = _without_rows(stand, geometry, by_rows)
    keep = _keep_share(rest, calendar, below, marking)
    left = _from_below(rest, keep, marking)
    kept = class_trees(left)
    left, cut_grade = _graded(stand, left, 1.0 - keep, quality)
    by_mark = calendar.thin_marked[here, stand.age]
    if by_mark.any():
        chosen = _marked_to(rest, calendar, quality)
        left, kept = select(by_mark, chosen, left), np.where(by_mark[:, None, None], class_trees(chosen), kept)
        cut_grade = np.where(by_mark[:, None, None], _grade_of_cut(stand, chosen), cut_grade)
    left = replace(left, thinnings=stand.thinnings + (before.sum(axis=(1, 2)) > kept.sum(axis=(1, 2))))
    return left, Cut(_gone(before, kept), cut_grade)


def _gone(before: FloatArray, kept: FloatArray) -> FloatArray:
    """Trees cut; what rounding leaves of a class that stays whole would be sold as a product of its own."""
    gone = before - kept
    return np.where(gone > _ROUNDING * before, gone, 0.0)


def felled(stand: Stand, due: BoolArray) -> Cut:
    """Everything that stands, where a harvest is due [(candidates, rows, classes)]."""
    return Cut(np.where(due[:, None, None], class_trees(stand), 0.0), stand.grade)


def _without_rows(stand: Stand, geometry: Geometry, due: BoolArray) -> Stand:
    gone = geometry.removable & due[:, None]
    return replace(
        stand,
        alive=stand.alive & ~gone,
        trees=np.where(gone, 0.0, stand.trees),
        dbh_in=np.where(gone, 0.0, stand.dbh_in),
    )


def _keep_share(stand: Stand, calendar: Calendar, due: BoolArray, marking: Marking) -> FloatArray:
    """Share of each row's trees to keep so that the stand meets its residual.

    Parameters
    ----------
    stand
        Before the thinning from below, after any removal by rows.
    calendar
        Residual in trees or in basal area.
    due
        Where a thinning from below is due, (candidates,).
    marking
        How exactly the smallest are taken.

    Returns
    -------
    FloatArray
        Share kept [1], (candidates,); by basal area it is found by halving, within 1e-12.

    References
    ----------
    Definition.
    """
    here = np.arange(len(stand.age))
    trees, area = calendar.residual_trees[here, stand.age], calendar.residual_basal_area[here, stand.age]
    count = np.maximum(trees_per_ac(stand), 1e-9)
    keep = np.where(np.isnan(trees), 1.0, np.clip(trees / count, 0.0, 1.0))
    by_area = due & ~np.isnan(area)
    if by_area.any():
        keep = np.where(by_area, _keep_for_area(stand, area, marking), keep)
    return np.where(due, keep, 1.0)


def _keep_for_area(stand: Stand, area: FloatArray, marking: Marking) -> FloatArray:
    """Bisect for the share of trees that leaves the basal area asked for; more trees, more area."""
    low, high = np.zeros(len(area)), np.ones(len(area))
    for _ in range(40):
        middle = (low + high) / 2.0
        kept = _from_below(stand, middle, marking)
        above = basal_area_ft2_ac(kept) > area
        low, high = np.where(above, low, middle), np.where(above, middle, high)
    return np.where(basal_area_ft2_ac(stand) > area, (low + high) / 2.0, 1.0)


def _marked_to(stand: Stand, calendar: Calendar, quality: StemQuality) -> Stand:
    """Mark stem by stem down to the residual in trees or in basal area."""
    here = np.arange(len(stand.age))
    trees, area = calendar.residual_trees[here, stand.age], calendar.residual_basal_area[here, stand.age]
    count, low = trees_per_ac(stand), np.zeros(len(stand.age))
    high = np.where(np.isnan(trees), count, np.minimum(trees, count))
    by_area = ~np.isnan(area)
    for _ in range(40 if by_area.any() else 0):
        middle = (low + high) / 2.0
        above = basal_area_ft2_ac(marked(stand, middle, quality)) > area
        low, high = np.where(by_area & ~above, middle, low), np.where(by_area & above, middle, high)
    return marked(stand, high, quality)


def _grade_of_cut(before: Stand, after: Stand) -> FloatArray:
    """Share of the cut stems that pass as sawtimber: good stems before less good stems kept."""
    start, kept = class_trees(before), class_trees(after)
    good = _gone(start * before.grade, kept * after.grade)
    cut = np.maximum(start - kept, 1e-12)
    return np.where(start - kept > 1e-9, np.minimum(good / cut, 1.0), before.grade)


def _from_below(stand: Stand, keep: FloatArray, marking: Marking) -> Stand:
    """Take the left tail of every row's sizes, evenly along the rows as a marker spaces the leave trees.

    Parameters
    ----------
    stand
        Before.
    keep
        Share of the trees kept [1], (candidates,).
    marking
        How exactly the smallest are taken.

    Returns
    -------
    Stand
        What stays: fewer trees [1/ac], a larger mean dbh [in], sizes relative to it.

    References
    ----------
    The smallest first with a share taken without regard to size: practice; the share is assumed.
    """
    taken = (1.0 - keep)[:, None, None]
    above = np.cumsum(stand.share, axis=2)
    tail = np.clip(taken * (1.0 - marking.random_share) - (above - stand.share), 0.0, stand.share)
    rest = stand.share - tail
    remaining = np.maximum(rest.sum(axis=2, keepdims=True), 1e-12)
    kept = rest * (keep[:, None, None] / remaining)
    total = np.maximum(kept.sum(axis=2, keepdims=True), 1e-12)
    some_go = (taken > 0) & (keep[:, None, None] > 0)  # where all go, the sizes of nobody stay as they were
    share = np.where(some_go, kept / total, stand.share)
    mean_square = (share * stand.size**2).sum(axis=2)
    return replace(
        stand,
        trees=stand.trees * keep[:, None],
        share=share,
        dbh_in=stand.dbh_in * np.sqrt(mean_square),
        size=stand.size / np.sqrt(mean_square)[..., None],
    )


def _graded(before: Stand, after: Stand, taken_share: FloatArray, quality: StemQuality) -> tuple[Stand, FloatArray]:
    """Marking takes failing stems first: those that stay improve, those cut are worse by as much.

    Parameters
    ----------
    before, after
        The stand before and after the cut.
    taken_share
        Share of the trees taken [1], (candidates,).
    quality
        How far marking takes failing stems first.

    Returns
    -------
    tuple of Stand and FloatArray
        What stays with its better grade, and the grade of the stems cut [1], (candidates, rows, classes).

    References
    ----------
    No stem is gained or lost: definition. How much grade improves: assumed for this project.
    """
    gain = np.minimum(quality.selective_thinning_gain * taken_share, 1.0)[:, None, None]
    improved = np.where(after.trees[..., None] > 0, before.grade + (1.0 - before.grade) * gain, before.grade)
    start, kept = class_trees(before), class_trees(after)
    good_cut = start * before.grade - kept * improved
    cut = np.maximum(start - kept, 1e-12)
    improved = np.where(good_cut < 0, np.minimum(improved, start * before.grade / np.maximum(kept, 1e-12)), improved)
    good_cut = _gone(start * before.grade, kept * improved)
    return replace(after, grade=improved), np.where(start - kept > 1e-9, np.minimum(good_cut / cut, 1.0), before.grade)
