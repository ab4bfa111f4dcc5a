"""Clear wood of a pruned tree and its share of juvenile wood, from the tree's own stem."""

from typing import NamedTuple

import numpy as np

from simulator.enterprises.stems import diameter_inside_bark_in, measured_stems
from simulator.parameters.wood import Wood
from simulator.physics.stem import volume_share_below
from simulator.physics.taper import BREAST_HEIGHT_FT
from simulator.physics.wood_quality import Occlusion, clear_wood, juvenile_core_share
from simulator.units import BASAL_AREA_FT2_PER_IN2, FloatArray, Floats


class PrunedWood(NamedTuple):
    """Clear wood from the stump to the height pruned: shell on the radius [in], volume [ft3], share of the wood."""

    shell_in: float
    volume_ft3: float
    share: float


def pruned_wood(
    size: tuple[float, float], pruned_ft: float, pruned_dbh_in: float, wood: Wood, occlusion: Occlusion
) -> PrunedWood:
    """Clear wood that pruning has left in a tree.

    Parameters
    ----------
    size
        Dbh [in] and height [ft] today.
    pruned_ft
        Height to which it was pruned [ft], no more than its height.
    pruned_dbh_in
        Dbh when it was pruned [in].
    wood
        Stem of its species.
    occlusion
        How far knots reach past the stem that was pruned.

    Returns
    -------
    PrunedWood
        From the mean diameter of the wood of the pruned length [in].

    References
    ----------
    As for :func:`simulator.physics.wood_quality.clear_wood`.
    """
    stems = measured_stems(*size, wood.stem)
    ends = np.array([wood.specs.stump_ft, max(pruned_ft, wood.specs.stump_ft)])
    length = float(ends[1] - ends[0])
    side = stems.inside
    low, high = side.volume_ft3 * volume_share_below(ends, side.height_ft, side.alpha, side.beta)
    mean = np.sqrt((high - low) / (BASAL_AREA_FT2_PER_IN2 * length)) if length > 0.0 else 0.0
    return PrunedWood(*(float(each) for each in clear_wood(mean, length, pruned_dbh_in, occlusion)))


def juvenile_share(dbh_in: Floats, height_ft: Floats, dbh_at_10_in: Floats, wood: Wood) -> FloatArray:
    """Share of juvenile wood in the cross-section at breast height.

    Parameters
    ----------
    dbh_in
        Dbh outside bark today [in], any shape.
    height_ft
        Height today [ft], broadcastable.
    dbh_at_10_in
        Dbh outside bark at age 10 [in]; its wood is taken to be the same share of it as today.
    wood
        Stem of the species.

    Returns
    -------
    FloatArray
        Share, 0 to 1 [1], broadcast shape.

    References
    ----------
    As for :func:`simulator.physics.wood_quality.juvenile_core_share`.
    """
    stems = measured_stems(dbh_in, height_ft, wood.stem)
    inside = diameter_inside_bark_in(BREAST_HEIGHT_FT, stems)
    return juvenile_core_share(np.asarray(dbh_at_10_in) * inside / stems.dbh_in, inside)
