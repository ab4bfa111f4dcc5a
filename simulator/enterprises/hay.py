"""Hay: tons made, what they carry off the land, and what becomes of them."""

import numpy as np

from simulator.enterprises.setting import Setting
from simulator.physics.hay import hay_eaten_share, hay_ton_ac
from simulator.units import POUNDS_PER_TON, BoolArray, FloatArray


def make_hay(setting: Setting, year: int, forage_lb_ac: FloatArray, cutting: BoolArray) -> FloatArray:
    """Cut and bale the year's growth where hay is due, and book the work and the minerals it carries off.

    Parameters
    ----------
    setting
        The batch.
    year
        Row.
    forage_lb_ac
        Dry matter grown per acre of land [lb/ac], (candidates,).
    cutting
        Where hay is cut this year, (candidates,).

    Returns
    -------
    FloatArray
        Hay baled, as fed [ton/ac of land], (candidates,). Nitrogen is booked with the year's fertiliser;
        phosphate, potash and lime are replaced as removed.
    """
    book, hay, hours = setting.book, setting.tables.hay, setting.tables.practice.hours
    tons = np.where(cutting, hay_ton_ac(forage_lb_ac, hay.chain), 0.0)
    book.post(year, "bale_work", tons * POUNDS_PER_TON / 1000.0)
    book.post(year, "phosphate", tons * hay.removal.phosphate_lb_ton)
    book.post(year, "potash", tons * hay.removal.potash_lb_ton)
    book.post(year, "lime", tons * hay.removal.lime_lb_ton / POUNDS_PER_TON)
    book.post(year, "hay_labour", np.where(cutting, hours.haying_h_ac_yr * setting.plan.geometry.usable, 0.0))
    return tons


def eaten_share(setting: Setting) -> FloatArray:
    """Share of baled hay that the herd eats after haul, storage and feeding as the scenario keeps it, (candidates,)."""
    keep, plan = setting.tables.hay.keeping, setting.plan
    inside, rack = plan.flags("use", "hay_storage", equals="inside"), plan.flags("use", "hay_feeding", equals="rack")
    storage = np.where(inside, keep.storage_inside_loss, keep.storage_outside_loss)
    feeding = np.where(rack, keep.feeding_rack_loss, keep.feeding_ground_loss)
    return hay_eaten_share(storage, keep.transport_loss, feeding)


def hay_needed_ton(short_lb: FloatArray, setting: Setting) -> FloatArray:
    """Hay to buy or bring so that animals eat so much more dry matter.

    Parameters
    ----------
    short_lb
        Dry matter that is short [lb], (candidates,).
    setting
        The batch, which says how hay is stored and fed.

    Returns
    -------
    FloatArray
        Hay as fed [ton], (candidates,).

    References
    ----------
    Definition; losses as for :func:`simulator.physics.hay.hay_eaten_share`.
    """
    dry_matter = setting.tables.hay.chain.dry_matter_share
    return np.asarray(short_lb / (POUNDS_PER_TON * dry_matter * eaten_share(setting)))
