"""A stand as it is found: the cruise's table as ten classes of equal number, with crowns settled."""

from dataclasses import replace

import numpy as np

from simulator.events.growth import with_settled_crowns
from simulator.events.height import dominant_height_of_species_ft
from simulator.events.planting import open_side_share, straight_and_sound_share, usual_grade_share
from simulator.events.site import Site
from simulator.parameters.tables import Tables
from simulator.physics.height import relative_height
from simulator.plan import Plan
from simulator.scenario.stand import FoundStand
from simulator.state import CLASSES, Stand, bare
from simulator.units import FloatArray


def tenths(trees: FloatArray, values: FloatArray, classes: int = CLASSES) -> FloatArray:
    """Mean of a value over tenths of equal number of a table, smallest trees first.

    Parameters
    ----------
    trees
        Trees of each line of the table [1/ac], (lines,), smallest diameter first.
    values
        Value of each line, any unit, (lines,).
    classes
        Number of parts [1].

    Returns
    -------
    FloatArray
        Means in the unit of the values, (classes,); their mean is the table's mean exactly.

    References
    ----------
    Definition.
    """
    ends = np.cumsum(trees) / trees.sum()
    ends[-1] = 1.0
    starts = np.concatenate([[0.0], ends[:-1]])
    cuts = np.arange(classes + 1) / classes
    overlap = np.minimum(ends[None, :], cuts[1:, None]) - np.maximum(starts[None, :], cuts[:-1, None])
    return np.asarray((np.maximum(overlap, 0.0) * values[None, :]).sum(axis=1) * classes)


def as_found(plan: Plan, site: Site, tables: Tables) -> Stand:
    """Trees that stand in year 0 of a batch.

    Parameters
    ----------
    plan
        The batch; every scenario has a stand.
    site
        Site index, which gives the dominant height at the stand's age.
    tables
        Numbers of the species.

    Returns
    -------
    Stand
        Trees and basal area are those of the table. All rows are alike; crowns are as wide and as long as trees
        of that size and age have at that density.
    """
    age = plan.start_age
    height = dominant_height_of_species_ft(site, age, tables.tree)
    empty, spots = bare(plan.geometry), plan.geometry.planted * plan.geometry.spots_per_ac[:, None]
    trees, dbh = empty.trees.copy(), empty.dbh_in.copy()
    size, tallness, grade = (np.ones_like(empty.size) for _ in range(3))
    usual = usual_grade_share(open_side_share(plan.geometry), tables.quality)
    usual = usual * straight_and_sound_share(site, tables.tree).reshape(-1, 1)
    for i, scenario in enumerate(plan.scenarios):
        found = scenario.stand
        if found is None:
            continue
        trees[i] = found.trees_per_ac * spots[i] / spots[i].sum()
        mean_dbh, relative = _sizes(found)
        dbh[i] = np.where(plan.geometry.planted[i], mean_dbh, 0.0)
        size[i] = relative
        modelled = relative_height(relative, tables.tree.height_by_diameter)
        tallness[i] = _tallness(found, float(height[i]), modelled)
        grade[i] = _grades(found, usual[i])
    stand = replace(
        empty, age=age, height_ft=height, alive=plan.geometry.planted, trees=trees, dbh_in=dbh, size=size,
        tallness=tallness, grade=grade,
        thinnings=np.array([found.thinned_before if (found := s.stand) else 0 for s in plan.scenarios]),
    )  # fmt: skip
    return with_settled_crowns(stand, plan.geometry, site, tables.tree)


def _lines(found: FoundStand) -> tuple[FloatArray, FloatArray]:
    trees = np.array([line.trees_per_ac for line in found.dbh_class])
    return trees, np.array([line.dbh_in for line in found.dbh_class])


def _sizes(found: FoundStand) -> tuple[float, FloatArray]:
    """Quadratic mean dbh of a stand table, and the dbh of its tenths relative to it.

    Parameters
    ----------
    found
        The stand table.

    Returns
    -------
    tuple of float and FloatArray
        Quadratic mean dbh [in], and relative sizes [1], (classes,), whose mean square is 1: basal area is kept.

    References
    ----------
    Definition.
    """
    trees, dbh = _lines(found)
    mean_square = float((trees * dbh**2).sum() / trees.sum())
    return mean_square**0.5, np.sqrt(tenths(trees, dbh**2) / mean_square)


def _tallness(found: FoundStand, dominant_ft: float, modelled: FloatArray) -> FloatArray:
    """Heights as shares of dominant height: measured where the table has them for every class."""
    measured = [line.height_ft for line in found.dbh_class]
    if any(height is None for height in measured):
        return modelled
    trees, _ = _lines(found)
    return tenths(trees, np.array(measured, float)) / dominant_ft


def _grades(found: FoundStand, usual: FloatArray) -> FloatArray:
    """Sawtimber grade by row and tenth: as cruised, elsewhere the species' own.

    Parameters
    ----------
    found
        The stand table.
    usual
        Grade of the species beside such alleys [1], (rows,).

    Returns
    -------
    FloatArray
        Share of stems good enough for sawtimber, 0 to 1 [1], (rows, classes).

    References
    ----------
    Bookkeeping of this project, no source.
    """
    trees, _ = _lines(found)
    cruised = [line.sawtimber_grade_share for line in found.dbh_class]
    stated = np.array([0.0 if share is None else share for share in cruised])
    unknown = tenths(trees, np.array([share is None for share in cruised], float))
    return np.clip(tenths(trees, stated)[None, :] + unknown[None, :] * usual[:, None], 0.0, 1.0)
