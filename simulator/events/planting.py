"""Planting and pruning."""

from dataclasses import replace

import numpy as np

from simulator.events.site import Site
from simulator.geometry import Geometry
from simulator.parameters.growth import Tree
from simulator.physics.height import relative_height
from simulator.physics.rust import sound_share
from simulator.physics.sizes import relative_size_classes, variation_of_dbh
from simulator.physics.stem import StemQuality
from simulator.state import CLASSES, Stand, bare, row_gaps_ft
from simulator.units import FloatArray

OPEN_ALLEY_FT = 20.0
"""A gap this wide leaves the stems beside it open on that side (judgement of practice, no source)."""


def on_planting_day(geometry: Geometry, survival: FloatArray, tree: Tree, quality: StemQuality) -> Stand:
    """A stand on its planting day.

    Parameters
    ----------
    geometry
        Rows of the plan.
    survival
        Share of the trees that will live [1], (candidates,); sets how unequal the stems become.
    tree
        Species.
    quality
        Stem quality of the species.

    Returns
    -------
    Stand
        Age 0, every planting spot filled.
    """
    empty = bare(geometry)
    trees = np.where(geometry.planted, geometry.spots_per_ac[:, None], 0.0)
    living = trees.sum(axis=1) * survival
    size = relative_size_classes(variation_of_dbh(living, tree.sizes), tree.sizes.smallest_sds, CLASSES)
    by_row = np.broadcast_to(size[:, None, :], empty.size.shape)
    grade = usual_grade_share(open_side_share(geometry), quality)
    return replace(
        empty,
        alive=geometry.planted,
        trees=trees,
        size=by_row,
        tallness=relative_height(by_row, tree.height_by_diameter),
        grade=np.broadcast_to(grade[..., None], empty.grade.shape),
    )


def seeded(stand: Stand, site: Site, tree: Tree) -> Stand:
    """The same young stand with the stems that its seed and its rust let it have.

    Parameters
    ----------
    stand
        On its planting day.
    site
        Genetic grade and share infected with rust.
    tree
        Species.

    Returns
    -------
    Stand
        Its share of sawtimber stems is that of the trees that will have lived through the rust.
    """
    return replace(stand, grade=stand.grade * straight_and_sound_share(site, tree).reshape(-1, 1, 1))


def straight_and_sound_share(site: Site, tree: Tree) -> FloatArray:
    """Factor on the share of good stems by their seed and by the rust they live with.

    Parameters
    ----------
    site
        Genetic grade and share infected with rust.
    tree
        Species.

    Returns
    -------
    FloatArray
        Factor [1], (candidates,) or 0-d.

    References
    ----------
    As for :func:`simulator.physics.rust.sound_share`; the factor of the seed stands in genetics.toml with its source.
    """
    return np.asarray(site.grade_multiplier * sound_share(site.rust_infected_share, tree.species.rust))


def usual_grade_share(open_sides: FloatArray, quality: StemQuality) -> FloatArray:
    """Share of stems that pass as sawtimber by spacing alone: neither seed, rust, pruning nor events.

    Parameters
    ----------
    open_sides
        Share of a row's sides that face an alley [1], any shape.
    quality
        Stem quality of the species.

    Returns
    -------
    FloatArray
        Share [1], same shape.

    References
    ----------
    Assumed for this project: branches stay alive on open sides and spoil stems.
    """
    return np.asarray(quality.sawtimber_grade_share - quality.knot_discount_open * open_sides)


def open_side_share(geometry: Geometry) -> FloatArray:
    """Share of each row's two sides that face an alley wide enough to keep branches alive.

    Parameters
    ----------
    geometry
        Rows of the plan.

    Returns
    -------
    FloatArray
        0, a half or 1 [1], (candidates, rows).

    References
    ----------
    Width of an open alley: judgement of practice, no source.
    """
    left, right = row_gaps_ft(geometry.planted, geometry)
    return np.asarray(((left >= OPEN_ALLEY_FT).astype(float) + (right >= OPEN_ALLEY_FT)) / 2.0)


def pruned(
    stand: Stand, geometry: Geometry, height_ft: FloatArray, trees_per_ac: FloatArray, quality: StemQuality
) -> Stand:
    """Prune to a height: the crown base rises and stems gain grade.

    Parameters
    ----------
    stand
        The stand.
    geometry
        Its rows; stems beside alleys gain most, since theirs are the branches.
    height_ft
        Height cleared [ft], (candidates,); 0 where nothing is pruned.
    trees_per_ac
        Trees pruned [1/ac], (candidates,); NaN for all.
    quality
        Stem quality of the species; the full gain needs a butt log cleared to
        ``quality.full_pruning_ft``.

    Returns
    -------
    Stand
        With higher crowns [ft] and more good stems [1]; never cleared above half the height of the trees.

    References
    ----------
    Gain in proportion to the height cleared: assumed for this project.
    """
    due = height_ft > 0
    if not due.any():
        return stand
    living = stand.trees.sum(axis=1)
    asked = np.where(np.isnan(trees_per_ac), living, trees_per_ac)
    share = np.where(due & (living > 0), np.minimum(asked / np.maximum(living, 1e-9), 1.0), 0.0)
    cleared = np.minimum(height_ft, stand.height_ft / 2.0)
    reached = np.clip((cleared - stand.pruned_ft) / quality.full_pruning_ft, 0.0, 1.0)
    gain = quality.pruned_gain * (share * reached)[:, None] * open_side_share(geometry)
    base = stand.crown_base_ft + share[:, None] * np.maximum(cleared[:, None] - stand.crown_base_ft, 0.0)
    return replace(
        stand,
        crown_base_ft=np.where(due[:, None], base, stand.crown_base_ft),
        grade=np.minimum(stand.grade + gain[..., None], 1.0),
        pruned_ft=np.where(due, np.maximum(stand.pruned_ft, cleared), stand.pruned_ft),
    )
