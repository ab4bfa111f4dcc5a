"""Dominant height of whatever species: the form that its file holds, and the grass stage before it."""

import numpy as np

from simulator.events.site import Site, weeded_of
from simulator.parameters.growth import Tree
from simulator.physics.height import (
    CarmeanHeight,
    dominant_height_carmean_ft,
    dominant_height_ft,
    dominant_height_pienaar_ft,
    emerged_share,
    start_shift_yr,
)
from simulator.plan import Plan
from simulator.units import BoolArray, FloatArray, IntArray


def dominant_height_of_species_ft(site: Site, age_yr: IntArray | FloatArray, tree: Tree) -> FloatArray:
    """Dominant height by the form that the species' file holds.

    Parameters
    ----------
    site
        Site index in the species' own base age, former use, weeds.
    age_yr
        Years since planting, (candidates,).
    tree
        Species.

    Returns
    -------
    FloatArray
        Height [ft], (candidates,). With a grass stage it is the height of those that have left it times their
        share, so that it nears the curve as the last seedlings rise (assumed for this project).
    """
    forms = tree.species.forms
    if forms.orchard is not None:
        return dominant_height_pienaar_ft(site.site_index_ft, age_yr, forms.orchard)
    if forms.natural is not None:
        return _natural(site, age_yr, tree, forms.natural)
    blend = dominant_height_ft(site.site_index_ft, age_yr, tree.height)
    if forms.on_cutover is None:
        return blend
    return np.where(site.cutover, dominant_height_pienaar_ft(site.site_index_ft, age_yr, forms.on_cutover), blend)


def _natural(site: Site, age_yr: IntArray | FloatArray, tree: Tree, curve: CarmeanHeight) -> FloatArray:
    """Height of a species that is begun by a grass stage, or by none.

    Parameters
    ----------
    site
        Site index, and whether weeds are controlled.
    age_yr
        Years since planting [yr], (candidates,).
    tree
        Species.
    curve
        Its curve.

    Returns
    -------
    FloatArray
        Height [ft], (candidates,): the curve's times the share of seedlings that have left the grass stage.
    """
    stage, weeded = tree.species.forms.grass_stage, np.asarray(site.weeded)
    if stage is None:
        return dominant_height_carmean_ft(site.site_index_ft, age_yr, 0.0, curve)
    height = dominant_height_carmean_ft(site.site_index_ft, age_yr, start_shift_yr(weeded, stage), curve)
    return height * emerged_share(age_yr, weeded, stage)


def out_of_grass_stage(plan: Plan, tree: Tree, age_yr: IntArray) -> BoolArray:
    """Where enough seedlings have left the grass stage for animals to come, (candidates,); true without one.

    Parameters
    ----------
    plan
        The batch.
    tree
        Species.
    age_yr
        Years since planting, (candidates,).
    """
    stage = tree.species.forms.grass_stage
    if stage is None:
        return np.ones(plan.candidates, bool)
    return np.asarray(emerged_share(age_yr, weeded_of(plan), stage) >= stage.safe_share)
