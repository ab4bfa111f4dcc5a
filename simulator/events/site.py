"""The site as one species of tree meets it: its own site index, culture, survival, rust."""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from simulator.parameters.growth import Tree
from simulator.parameters.species import load_genetics
from simulator.plan import Plan
from simulator.scenario.trees import Trees
from simulator.units import BoolArray, FloatArray


class Site(NamedTuple):
    """What does not change on a piece of land, (candidates,) each.

    Attributes
    ----------
    site_index_ft
        Dominant height at the base age of the species [ft].
    culture
        Diameter-growth multiplier of the land's former use [1].
    survival
        Share of the planted trees alive after establishment [1].
    crown_multiplier
        Crown-width multiplier of the planting stock [1].
    cutover
        Whether forest stood here before.
    weeded
        Whether herbaceous weeds are controlled along the rows.
    rust_infected_share
        Share of stems infected with rust by age 5 [1].
    grade_multiplier
        Factor on the share of stems of sawtimber grade by the seed they come from [1].
    height_lift_ft
        Dominant height that fertiliser has added at the end of the year [ft].
    """

    site_index_ft: FloatArray
    culture: FloatArray
    survival: FloatArray
    crown_multiplier: FloatArray
    cutover: BoolArray | bool = False
    weeded: BoolArray | bool = True
    rust_infected_share: FloatArray | float = 0.0
    grade_multiplier: FloatArray | float = 1.0
    height_lift_ft: FloatArray | float = 0.0


def site_of(plan: Plan, tree: Tree) -> Site:
    """Read the site of every candidate of a batch.

    Parameters
    ----------
    plan
        The batch.
    tree
        Its species.

    Returns
    -------
    Site
        With a site index [ft] stated for the species, or converted from that of loblolly, and raised or lowered by the
        seed; the same for every system on the same land.

    References
    ----------
    Conversion between species: assumed or set by calibration, see the numbers of each species.
    """
    cutover = ~plan.flags("land", "former_use", equals="pasture")
    weeded = weeded_of(plan)
    usual = np.where(cutover, tree.site_culture.cutover, tree.site_culture.pasture)
    stated_culture = plan.column("land", "site_culture")
    bare_culture = np.where(np.isnan(stated_culture), usual, stated_culture)
    lost = tree.species.unweeded
    kept = np.where(cutover, lost.cutover_culture_share, lost.pasture_culture_share)
    stated = of_trees(plan, lambda trees: _or_nan(trees.site_index_ft), np.nan)
    converted = plan.column("land", "site_index_ft") * tree.species.site_index.per_loblolly_ft
    seed = of_trees(plan, lambda trees: load_genetics(trees.genetics).site_index_multiplier, 1.0)
    infected = of_trees(plan, lambda trees: _or_nan(trees.rust_infected_share), np.nan)
    return Site(
        site_index_ft=np.where(np.isnan(stated), converted, stated) * seed,
        culture=np.where(weeded, bare_culture, bare_culture * kept),
        survival=plan.tree_column("survival", without=1.0) * np.where(weeded, 1.0, lost.survival_share),
        crown_multiplier=plan.tree_column("crown_width_multiplier", without=1.0),
        cutover=cutover,
        weeded=weeded,
        rust_infected_share=np.where(np.isnan(infected), tree.species.rust.infected_share, infected),
        grade_multiplier=of_trees(plan, lambda trees: load_genetics(trees.genetics).sawtimber_grade_multiplier, 1.0),
    )


def weeded_of(plan: Plan) -> BoolArray:
    """Where weeds are controlled along the rows, (candidates,); true without trees."""
    return plan.tree_column("weed_control", without=1.0) > 0


def of_trees(plan: Plan, value: Callable[[Trees], float], without: float) -> FloatArray:
    """One number of the trees of every candidate, and another where there are none, (candidates,)."""
    return np.array([without if plant.trees is None else value(plant.trees) for plant in plan.scenarios], float)


def _or_nan(value: float | None) -> float:
    return np.nan if value is None else value
