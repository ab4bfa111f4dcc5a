"""What is given to the trees or kept from them: fertiliser, ripped ground, room from volunteers, new seedlings."""

from dataclasses import replace

import numpy as np

from simulator.events.site import Site, of_trees
from simulator.geometry import Geometry
from simulator.parameters.tables import Tables
from simulator.physics.diameter import stand_density_index
from simulator.physics.fertiliser import (
    basal_area_response_ft2_ac,
    height_response_ft,
    pasture_nitrogen_gain,
    stocking_share,
)
from simulator.physics.young import crowded_growth, unripped_growth
from simulator.plan import Plan
from simulator.state import Stand, basal_area_ft2_ac, quadratic_mean_dbh_in, trees_per_ac
from simulator.units import BoolArray, FloatArray, IntArray


def ripped_of(plan: Plan) -> BoolArray:
    """Where rows of old pasture are ripped before planting, (candidates,); true without trees."""
    return plan.tree_column("rip", without=1.0) > 0


def volunteers_of(plan: Plan) -> FloatArray:
    """Self-sown trees [1/ac], (candidates,)."""
    return plan.tree_column("volunteers_per_ac", without=0.0)


def volunteers_cut_of(plan: Plan) -> BoolArray:
    """Where they are meant to be cut, (candidates,)."""
    return plan.tree_column("control_volunteers", without=1.0) > 0


def site_of_year(site: Site, plan: Plan, tables: Tables, stand: Stand, grass_nitrogen_lb_ac: FloatArray) -> Site:
    """The site as the trees find it this year.

    Parameters
    ----------
    site
        What never changes.
    plan, tables
        The batch and its numbers.
    stand
        At the start of the year.
    grass_nitrogen_lb_ac
        Nitrogen spread on the grass ground last season [lb/ac], (candidates,).

    Returns
    -------
    Site
        With this year's growth multiplier [1] and the height that fertiliser has added [ft].

    References
    ----------
    That the multipliers act one upon the other: assumed for this project; each has its own equation.
    """
    events, age = tables.events, stand.age + 1
    rough = ~ripped_of(plan) & plan.flags("land", "former_use", equals="pasture")
    factor = np.where(rough, unripped_growth(age, events.unripped), 1.0)
    crowd = np.where(crowded(plan, tables, stand), volunteers_of(plan), 0.0)
    factor = factor * crowded_growth(crowd, events.volunteers)
    factor = factor * pasture_nitrogen_gain(grass_nitrogen_lb_ac, events.pasture_nitrogen)
    lift = _responses(plan, tables, age)[0]
    survival = np.where(rough, site.survival * events.unripped.survival_factor, site.survival)
    return site._replace(culture=site.culture * factor, height_lift_ft=lift, survival=survival)


def crowded(plan: Plan, tables: Tables, stand: Stand) -> BoolArray:
    """Where volunteers stand among the planted trees: left alone, and no logger has been through yet."""
    control = tables.events.volunteers.control_age
    left_alone = ~volunteers_cut_of(plan) | (plan.agenda.let_go_from <= control)
    return np.asarray(left_alone & (stand.age + 1 > control) & (stand.thinnings == 0))


def _responses(plan: Plan, tables: Tables, age: IntArray) -> tuple[FloatArray, FloatArray]:
    """Dominant height [ft] and basal area [ft2/ac] that all doses so far have added at the end of a year."""
    nitrogen, phosphorus = plan.agenda.nitrogen_lb_ac, plan.agenda.phosphorus_lb_ac
    if not (nitrogen.any() or phosphorus.any()):
        return np.zeros(plan.candidates), np.zeros(plan.candidates)
    years = age[:, None] - np.arange(nitrogen.shape[1]) + 1
    given = np.maximum(years, 0)
    dose = nitrogen, (phosphorus > 0).astype(float), given, tables.events.mid_rotation
    return height_response_ft(*dose).sum(axis=1), basal_area_response_ft2_ac(*dose).sum(axis=1)


def fertilised(before: Stand, after: Stand, plan: Plan, tables: Tables) -> Stand:
    """Add the year's basal-area answer to fertiliser, beside what its height answer brought.

    Parameters
    ----------
    before, after
        The stand at the start and at the end of the season.
    plan, tables
        The batch and its numbers.

    Returns
    -------
    Stand
        With larger diameters [in]; where the answer fades, growth slows but no tree shrinks.

    References
    ----------
    As for :func:`simulator.physics.fertiliser.basal_area_response_ft2_ac`; that the answer is spread over all trees
    alike: assumed for this project.
    """
    gain = _responses(plan, tables, after.age)[1] - _responses(plan, tables, before.age)[1]
    if not gain.any():
        return after
    tree = tables.tree
    density = stand_density_index(trees_per_ac(before), quadratic_mean_dbh_in(before), tree.diameter)
    used = gain * stocking_share(density / tree.diameter.sdi_maximum, tables.events.mid_rotation)
    area = basal_area_ft2_ac(after)
    factor = np.sqrt(np.maximum(1.0 + np.divide(used, area, out=np.zeros_like(area), where=area > 0), 0.0))
    grown = np.maximum(after.dbh_in * factor[:, None], np.minimum(before.dbh_in, after.dbh_in))
    return replace(after, dbh_in=grown)


def replanted(stand: Stand, plan: Plan, geometry: Geometry) -> tuple[Stand, FloatArray, FloatArray]:
    """Fill the gaps of the first year where too few seedlings are alive.

    Parameters
    ----------
    stand
        At the start of the year; only stands one year old are replanted.
    plan, geometry
        The batch and its rows.

    Returns
    -------
    tuple
        The stand, filled back to the planned survival; seedlings planted; and those that live [1/ac]. They
        take the size of their row: one year's difference is left out.

    References
    ----------
    Assumed for this project.
    """
    below = of_trees(plan, lambda trees: trees.replant_below or 0.0, 0.0)
    survival = plan.tree_column("survival", without=1.0)
    spots = np.where(geometry.planted, geometry.spots_per_ac[:, None], 0.0)
    alive = stand.trees.sum(axis=1) / np.maximum(spots.sum(axis=1), 1e-12)
    due = (stand.age == 1) & (alive < below) & (plan.agenda.let_go_from > 2)
    filled = np.where(due[:, None], np.maximum(stand.trees, spots * survival[:, None]), stand.trees)
    living = (filled - stand.trees).sum(axis=1)
    return replace(stand, trees=filled), living / survival, living
