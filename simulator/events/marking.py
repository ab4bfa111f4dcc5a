"""Marking stem by stem: the poorest trees first, then the smallest, evenly over the ground."""

from dataclasses import replace

import numpy as np

from simulator.physics.stem import StemQuality
from simulator.state import Stand, trees_per_ac
from simulator.units import FloatArray


def marked(stand: Stand, leave_trees: FloatArray, quality: StemQuality) -> Stand:
    """Keep so many trees: seen faults go first from the smallest up, then sound trees from the smallest up.

    Parameters
    ----------
    stand
        The stand.
    leave_trees
        Trees kept [1/ac], (candidates,); at most what stands. Every row keeps the same share.
    quality
        Stem quality; a marker sees ``selective_thinning_gain`` of the faulty stems and takes the others for sound.

    Returns
    -------
    Stand
        What stays, with its own sizes and grade [1]. No tree is taken at random: that is what marking is paid for.

    References
    ----------
    Order of practice (faults, then size), no source; the share seen is that of every thinning here, assumed.
    """
    keep = np.clip(leave_trees / np.maximum(trees_per_ac(stand), 1e-9), 0.0, 1.0)[:, None]
    poor = stand.share * (1.0 - stand.grade) * quality.selective_thinning_gain
    queue = np.concatenate([poor, stand.share - poor], axis=2)
    ahead = np.cumsum(queue, axis=2) - queue
    taken = np.clip((1.0 - keep)[..., None] - ahead, 0.0, queue)
    classes = stand.share.shape[2]
    faulty, other = taken[..., :classes], taken[..., classes:]
    rest = np.maximum(stand.share - faulty - other, 0.0)
    sound = stand.share - poor
    good = np.divide(stand.share * stand.grade, sound, out=np.zeros_like(sound), where=sound > 0) * (sound - other)
    some = (keep[..., None] > 0) & (stand.trees[..., None] > 0)
    share = np.where(some, rest / np.maximum(rest.sum(axis=2, keepdims=True), 1e-12), stand.share)
    grade = np.where(rest > 1e-12, np.minimum(good / np.maximum(rest, 1e-12), 1.0), stand.grade)
    mean_square = (share * stand.size**2).sum(axis=2)
    return replace(
        stand,
        trees=stand.trees * keep,
        share=share,
        dbh_in=stand.dbh_in * np.sqrt(mean_square),
        size=stand.size / np.sqrt(mean_square)[..., None],
        grade=grade,
    )
