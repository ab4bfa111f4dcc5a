"""Wood that storms, fires and beetles killed: what of it is sold, and what it costs to clear the ground."""

import numpy as np

from simulator.accounts import WOOD_PRODUCTS
from simulator.enterprises.bids import with_bids
from simulator.enterprises.salvage import as_salvage, book_salvage
from simulator.enterprises.setting import Setting
from simulator.enterprises.wood import cut_tons_ac, sold
from simulator.events.damage import Damage
from simulator.events.planting import open_side_share
from simulator.events.thinning import Cut
from simulator.state import Stand
from simulator.units import BoolArray, FloatArray

REACHES = ("regional", "local")
CLEARED_FROM_FT = 15.0
"""Shorter dead trees rot where they stand; judgement of practice, no source."""


def book_killed_wood(setting: Setting, year: int, stand: Stand, damage: Damage, used: BoolArray) -> FloatArray:
    """Sell what can be sold of the wood that events killed, and clear the ground where grass is used.

    Parameters
    ----------
    setting, year
        The batch and the row.
    stand
        Before the events, whose class sizes the killed trees have.
    damage
        What was lost.
    used
        Where the grass is grazed or cut, (candidates,).

    Returns
    -------
    FloatArray
        Green tons sold by product [ton/ac], (candidates, 4); fewer than four truckloads find no buyer. Wood of
        orchard trees is salvage however they die.
    """
    plan, tables, total = setting.plan, setting.tables, np.zeros((setting.plan.candidates, len(WOOD_PRODUCTS)))
    if not damage.lost_share.any():
        return total
    setting.book.post(year, "logging_cleanup", damage.lost_share, used & (stand.height_ft > CLEARED_FROM_FT))
    opened = open_side_share(plan.geometry)
    for reach, trees in zip(REACHES, damage.salvaged, strict=True):
        cut = Cut(trees, stand.grade)
        tons = as_salvage(cut_tons_ac(stand, cut, opened, tables.wood, tables.quality), tables.tree)
        tons, _, _ = sold(with_bids(plan, tables, tons), setting.terms.acres, tables.practice.loads)
        _book_sale(setting, year, reach, tons)
        total = total + tons
    return total


def _book_sale(setting: Setting, year: int, reach: str, tons: FloatArray) -> None:
    if setting.tables.tree.species.orchard is not None:
        book_salvage(setting, year, "salvage_wood", tons)
        return
    for place, product in enumerate(WOOD_PRODUCTS):
        setting.book.post(year, f"{product}_salvage_{reach}", tons[:, place])
        setting.book.post(year, f"{product}_salvage_{reach}_fee", tons[:, place])
