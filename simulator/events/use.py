"""Who has the grass this year: hay, animals, the straw rake, or nobody."""

from typing import NamedTuple

import numpy as np

from simulator.events.height import out_of_grass_stage
from simulator.parameters.tables import Tables
from simulator.physics.grazing import grazing_tree_loss_share, tree_safe
from simulator.physics.straw import rake_due
from simulator.plan import Plan
from simulator.state import Stand, mean_height_ft, quadratic_mean_dbh_in
from simulator.units import BoolArray, FloatArray, IntArray


class Uses(NamedTuple):
    """How the ground is used in one year, (candidates,) each.

    Attributes
    ----------
    grazing
        Animals graze.
    cutting
        Hay is cut; it stops when animals have the grass.
    raking
        Straw is raked; without a temporary fence that closes the whole unit to animals.
    out_of_reach
        Trees have passed the animals' own gate; earlier entry, where the owner states a lower height, costs trees.
    shut_out
        The ground is closed to animals: not yet their year, trees too small, or straw being raked.
    """

    grazing: BoolArray
    cutting: BoolArray
    raking: BoolArray
    out_of_reach: BoolArray
    shut_out: BoolArray


def nobody_uses(plan: Plan) -> Uses:
    """The ground of a batch in nobody's use."""
    nobody = np.zeros(plan.candidates, bool)
    return Uses(nobody, nobody, nobody, nobody, ~nobody)


class Floor(NamedTuple):
    """The forest floor before the year, (candidates,).

    Attributes
    ----------
    rakes
        Straw rakes done in this cycle.
    since_cut
        Years since the last cut left its slash.
    """

    rakes: FloatArray
    since_cut: FloatArray


def uses_of_year(plan: Plan, tables: Tables, before: Stand, after: Stand, floor: Floor) -> Uses:
    """Settle the year's use by plan, by the size of the trees and by the straw schedule.

    Parameters
    ----------
    plan, tables
        The batch and its numbers.
    before, after
        The stand at the start and at the end of the season.
    floor
        What lies under the trees.

    Returns
    -------
    Uses
    """
    here = np.arange(plan.candidates)
    treeless = ~plan.geometry.planted.any(axis=1)
    passed, let_in = _tree_safe(plan, before, after, tables)
    safe = treeless | let_in
    theirs = (after.age >= plan.calendar.graze_from) & safe & (tables.animals is not None)
    clean = floor.since_cut >= tables.practice.ground.straw_after_cut_yr
    raking = _rake_due(plan, tables, after.age, floor.rakes) & clean & ~plan.agenda.burn[here, after.age]
    closed = raking & ~plan.flags("straw", "temporary_fence")
    grazing = theirs & ~closed
    return Uses(grazing, plan.calendar.hay[here, after.age] & ~theirs, raking, treeless | passed, ~grazing)


def _tree_safe(plan: Plan, before: Stand, after: Stand, tables: Tables) -> tuple[BoolArray, BoolArray]:
    """Whether trees outgrow the animals by mid-season, the shortest row deciding: by their gate, and as stated."""
    if tables.animals is None:
        everywhere = np.ones(len(after.age), bool)
        return everywhere, everywhere
    middle = (mean_height_ft(before) + mean_height_ft(after)) / 2.0
    shortest = np.where(after.alive, middle, np.inf).min(axis=1)
    dbh = (quadratic_mean_dbh_in(before) + quadratic_mean_dbh_in(after)) / 2.0
    gate = tables.animals.gate
    stated = plan.column("use", "tree_safe_height_ft")
    height = np.where(np.isnan(stated), gate.least_height_ft, stated)
    passed = tree_safe(shortest, dbh, after.age, gate)
    lower = gate._replace(least_height_ft=height, least_dbh_in=np.where(np.isnan(stated), gate.least_dbh_in, 0.0))  # type: ignore[arg-type]
    risen = out_of_grass_stage(plan, tables.tree, after.age)
    return passed & risen, tree_safe(shortest, dbh, after.age, lower) & risen


def _rake_due(plan: Plan, tables: Tables, age: IntArray, rakes: FloatArray) -> BoolArray:
    rules = tables.straw.raking._replace(
        first_age=plan.column("straw", "first_rake_year") + plan.start_age,  # type: ignore[arg-type]
        interval_years=plan.column("straw", "interval_years"),  # type: ignore[arg-type]
        most_rakes=plan.column("straw", "most_rakes"),  # type: ignore[arg-type]
    )
    market = plan.flags("straw", "market") & plan.geometry.planted.any(axis=1)
    return rake_due(age, rakes, rules) & market


def tree_loss_share(plan: Plan, tables: Tables, uses: Uses, age: IntArray, utilisation: FloatArray) -> FloatArray:
    """Trees lost to animals and mowers this year [1], (candidates,)."""
    trees = plan.geometry.planted.any(axis=1)
    mowed = np.where(uses.cutting & trees, tables.practice.ground.mowing_tree_loss_per_yr, 0.0)
    if tables.animals is None:
        return mowed
    rubbed = grazing_tree_loss_share(age, uses.out_of_reach, utilisation, tables.animals.tree_damage)
    return mowed + np.where(uses.grazing & trees, rubbed, 0.0)


def without_care(plan: Plan, tables: Tables, uses: Uses, age: IntArray, fence_age: FloatArray) -> Uses:
    """End grazing where nobody renews a fence that is worn out.

    Parameters
    ----------
    plan, tables
        The batch and its numbers.
    uses
        How the ground would be used.
    age
        Years since planting at the end of the season, (candidates,).
    fence_age
        Years since fence and water were built, infinite where there are none, (candidates,).

    Returns
    -------
    Uses
        Such ground is not shut to an own herd for a while: the herd is sold.
    """
    stated = plan.column("land", "fence_life_years")
    life = np.where(np.isnan(stated), tables.practice.ground.fence_life_yr, stated)
    open_ground = (age >= plan.agenda.let_go_from) & (fence_age >= life)
    return uses._replace(grazing=uses.grazing & ~open_ground, shut_out=uses.shut_out & ~open_ground)
