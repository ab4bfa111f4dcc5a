"""Wood of trees that are no timber: every ton goes out as salvage or stays in the orchard."""

import numpy as np

from simulator.enterprises.setting import Setting
from simulator.parameters.growth import Tree
from simulator.units import FloatArray


def as_salvage(tons_ac: FloatArray, tree: Tree) -> FloatArray:
    """Green tons by product as they leave the land.

    Parameters
    ----------
    tons_ac
        Green tons per acre by product as if the trees were timber, (candidates, 4).
    tree
        Species.

    Returns
    -------
    FloatArray
        The same for timber; for other trees what finds a buyer, all in the first product's place (the yearly table
        has no column for salvage).

    References
    ----------
    Share sold: assumed for this project.
    """
    orchard = tree.species.orchard
    if orchard is None:
        return tons_ac
    gathered = np.zeros_like(tons_ac)
    gathered[:, 0] = tons_ac.sum(axis=1) * orchard.salvage_sold_share
    return gathered


def book_salvage(setting: Setting, year: int, key: str, tons_ac: FloatArray) -> None:
    """Book tons of salvage and the fee on their sale, (candidates, 4) [ton/ac]."""
    tons = tons_ac.sum(axis=1)
    setting.book.post(year, key, tons)
    setting.book.post(year, f"{key}_fee", tons)
