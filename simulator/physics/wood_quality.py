"""What pruning and early growth leave inside a stem: clear wood round a knotty core, and juvenile wood."""

from typing import NamedTuple

import numpy as np

from simulator.units import BASAL_AREA_FT2_PER_IN2, FloatArray, Floats


class Occlusion(NamedTuple):
    """How far knots reach past the stem that was pruned.

    Attributes
    ----------
    growth_in
        Diameter that a stem adds before its stubs are grown over [in].
    """

    growth_in: float


class ClearWood(NamedTuple):
    """Wood without knots in a pruned length: thickness on the radius [in], volume [ft3], share of its wood 0-1."""

    shell_in: FloatArray
    volume_ft3: FloatArray
    share: FloatArray


def clear_wood(mean_wood_in: Floats, length_ft: Floats, pruned_dbh_in: Floats, occlusion: Occlusion) -> ClearWood:
    """Clear wood in a pruned length of stem: what lies outside the knotty core.

    Parameters
    ----------
    mean_wood_in
        Mean diameter inside bark of the pruned length today [in], any shape.
    length_ft
        The length [ft], broadcastable.
    pruned_dbh_in
        Dbh when it was pruned [in], broadcastable; its bark is counted as core, so a little too much is.
    occlusion
        How far knots reach past the stem that was pruned.

    Returns
    -------
    ClearWood
        Shell [in], volume [ft3] and share [1] of the broadcast shape; 0 where the core fills the stem.

    References
    ----------
    Geometry: the core is a cylinder. How far knots reach past it is assumed for this project.
    """
    core = np.asarray(pruned_dbh_in, np.float64) + occlusion.growth_in
    wide = np.asarray(mean_wood_in, np.float64)
    shell = np.maximum(wide - core, 0.0) / 2.0
    squares = np.where(shell > 0.0, wide**2 - core**2, 0.0)
    volume = BASAL_AREA_FT2_PER_IN2 * np.asarray(length_ft) * squares
    share = np.divide(squares, wide**2, out=np.zeros_like(squares), where=wide > 0.0)
    return ClearWood(shell, np.asarray(volume), share)


def juvenile_core_share(core_in: Floats, wood_in: Floats) -> FloatArray:
    """Share of a cross-section that is juvenile wood: the stem as it was at age 10, within today's.

    Parameters
    ----------
    core_in
        Diameter inside bark at age 10 [in], any shape.
    wood_in
        Diameter inside bark today at the same height [in], broadcastable.

    Returns
    -------
    FloatArray
        Share of the cross-section, 0-1 [1], of the broadcast shape; 0 where there is no wood.

    References
    ----------
    Clark, Daniels & Jordan 2006, Wood and Fiber Science (abstract): the change to mature wood comes at 5.5 to 13.6
    years by specific gravity and up to 20 by the angle of the fibrils; 10 rings stand for it here.
    """
    core, wood = np.broadcast_arrays(np.asarray(core_in, np.float64), np.asarray(wood_in, np.float64))
    ratio = np.divide(core, wood, out=np.zeros(wood.shape), where=wood > 0.0)
    return np.asarray(np.minimum(ratio, 1.0) ** 2)
