"""Wood sold and wood standing, in green tons by product; loads too small to bid on are not sold."""

import numpy as np

from simulator.accounts import WOOD_PRODUCTS
from simulator.enterprises.products import merchantable_ton, product_tons
from simulator.events.planting import usual_grade_share
from simulator.events.thinning import Cut
from simulator.parameters.tables import Loads
from simulator.parameters.wood import Wood
from simulator.physics.stem import StemQuality
from simulator.state import Stand, class_dbh_in, class_height_ft, class_trees
from simulator.units import BoolArray, FloatArray


def cut_tons_ac(stand: Stand, cut: Cut, open_sides: FloatArray, wood: Wood, quality: StemQuality) -> FloatArray:
    """Green tons of a cut by product.

    Parameters
    ----------
    stand
        The stand before the cut, whose class sizes the cut trees have.
    cut
        Trees cut.
    open_sides
        Share of each row's sides that face an alley, where branches make few poles [1], (candidates, rows).
    wood
        Stem, weight and product specifications.
    quality
        Shares of stems that make poles.

    Returns
    -------
    FloatArray
        Green weight by product [ton/ac], (candidates, 4): pulpwood, chip-and-saw, sawtimber, pole.

    References
    ----------
    Definition; as for :func:`simulator.enterprises.products.product_tons`.
    """
    if not cut.trees.any():  # open pasture is asked every year what stands on it
        return np.zeros((len(cut.trees), len(WOOD_PRODUCTS)))
    poles = pole_share(cut.grade, open_sides, quality)
    each = product_tons(class_dbh_in(stand), class_height_ft(stand), cut.grade, poles, wood)
    return np.asarray((cut.trees[..., None] * each).sum(axis=(1, 2)))


def pole_share(grade: FloatArray, open_sides: FloatArray, quality: StemQuality) -> FloatArray:
    """Share of the stems that make poles: a stem that fails sawtimber grade makes none.

    Parameters
    ----------
    grade
        Share of stems that pass as sawtimber [1], (..., rows, classes).
    open_sides
        Share of each row's sides that face an alley [1], (..., rows).
    quality
        Shares of the species, which hold from the grade up that such rows have on their planting day.

    Returns
    -------
    FloatArray
        Share [1], shape of ``grade``: it falls with the grade where storms, rust, poor seed or scars bring that below
        the usual; better marking wins no more poles, for the shares are those of stands that were thinned.

    References
    ----------
    In proportion to the good stems: assumed for this project.
    """
    share = np.where(open_sides > 0, quality.pole_share_open, quality.pole_share_closed)
    usual = usual_grade_share(open_sides, quality)
    good = np.divide(grade, usual[..., None], out=np.zeros_like(grade), where=usual[..., None] > 0)
    return np.asarray(share[..., None] * np.minimum(good, 1.0))


def standing_merchantable_ton_ac(stand: Stand, wood: Wood) -> FloatArray:
    """Green tons standing from stump to pulpwood top [ton/ac], (candidates,)."""
    each = merchantable_ton(class_dbh_in(stand), class_height_ft(stand), wood)
    return np.asarray((class_trees(stand) * each).sum(axis=(1, 2)))


def sold(tons_ac: FloatArray, acres: FloatArray, loads: Loads) -> tuple[FloatArray, BoolArray, BoolArray]:
    """What of a cut finds a buyer.

    Parameters
    ----------
    tons_ac
        Green tons by product [ton/ac], (candidates, 4).
    acres
        Acres cut together [ac], (candidates,).
    loads
        What a logger will come for.

    Returns
    -------
    tuple
        Tons sold [ton/ac], (candidates, 4); where no bid is likely; where the sale is small but sells.

    References
    ----------
    Loads that a crew comes for: practice, no source.
    """
    trucks = tons_ac.sum(axis=1) * acres / loads.load_ton
    cutting = tons_ac.sum(axis=1) > 0
    unsold = cutting & (trucks < loads.least_loads)
    small = cutting & ~unsold & (trucks < loads.few_loads)
    return np.where(unsold[:, None], 0.0, tons_ac), unsold, small
