"""What becomes of the year's grass: bales, animals, hay fed, rent."""

from typing import NamedTuple

import numpy as np

from simulator.enterprises.hay import make_hay
from simulator.enterprises.herd import Comfort, Grazed, book_herd, graze, hay_reserve_ton_ac, units_per_head
from simulator.enterprises.meadow import Forage
from simulator.enterprises.setting import Setting
from simulator.enterprises.sprays import hay_kept_share
from simulator.enterprises.year_terms import book_drought, tenants_open_share
from simulator.events.use import Uses
from simulator.ledger import Book
from simulator.schedule import NEVER
from simulator.units import BoolArray, FloatArray


class Stores(NamedTuple):
    """What the herd carries from year to year, (candidates,).

    Attributes
    ----------
    head
        Own animals on the tract [head].
    hay_ton_ac
        Own hay kept for them [ton/ac].
    """

    head: FloatArray
    hay_ton_ac: FloatArray


class Used(NamedTuple):
    """The year's use of the grass."""

    grazed: Grazed
    hay_ton_ac: FloatArray
    stores: Stores


def use_grass(setting: Setting, year: int, uses: Uses, grass: Forage, stores: Stores, cover: FloatArray) -> Used:
    """Cut, graze and feed, and book it.

    Parameters
    ----------
    setting, year
        The batch and the row.
    uses
        Who has the grass.
    grass
        What grew.
    stores
        Herd and hay from the year before.
    cover
        Share of the land under crowns [1], (candidates,): shade for the animals.

    Returns
    -------
    Used
    """
    plan = setting.plan
    cut_lb_ac = grass.hay_lb_ac * hay_kept_share(setting, grass.monthly_lb_ac)
    tons = make_hay(setting, year, cut_lb_ac, uses.cutting)
    kept_home = plan.flags("use", "hay_use", equals="fed") & setting.terms.owned & (plan.calendar.graze_from < NEVER)
    room = np.maximum(hay_reserve_ton_ac(setting, grass) - stores.hay_ton_ac, 0.0)
    stored = np.where(kept_home, np.minimum(tons, room), 0.0)
    setting.book.post(year, "hay", tons - stored)
    grazed = graze(setting, grass, uses.grazing, stores.head)
    kept = _feed(setting.book, year, grazed.hay_short_ton_ac, stores.hay_ton_ac + stored)
    away = _rented(setting, year, stores.head, uses.shut_out)
    head = np.where(away, stores.head, grazed.head)
    book_herd(setting, year, (stores.head, head), Comfort(cover, np.where(away, 1.0, grass.grass_share)), grass)
    book_drought(setting, year, stores.head, head)
    _lease(setting, year, uses.grazing, grass, grazed)
    return Used(grazed._replace(head=head), tons, Stores(head, kept))


def _feed(book: Book, year: int, needed: FloatArray, stored: FloatArray) -> FloatArray:
    """Feed stored hay first and buy the rest; return what stays in store [ton/ac]."""
    own = np.minimum(needed, stored)
    book.post(year, "bought_hay", needed - own)
    return stored - own


def _rented(setting: Setting, year: int, head: FloatArray, shut_out: BoolArray) -> BoolArray:
    """Keep a herd that the ground is closed to on rented pasture, and book the rent."""
    animals = setting.tables.animals
    if animals is None or animals.herd is None:
        return np.zeros(len(head), bool)
    away = shut_out & (head > 0)
    months = head / setting.terms.acres * units_per_head(animals).sum()
    setting.book.post(year, "displaced_herd_rent", months, away)
    return away


def _lease(setting: Setting, year: int, grazing: BoolArray, grass: Forage, grazed: Grazed) -> None:
    """Book a tenant's rent: by the acre as it grazes against open pasture in slow rotation, or by month.

    Parameters
    ----------
    setting, year
        The batch and the row.
    grazing
        Where animals are let in, (candidates,).
    grass
        Forage of the year.
    grazed
        What they did.

    Returns
    -------
    None
        Acres of open pasture that are paid for [ac/ac] are booked, or months.

    References
    ----------
    Rent in proportion to what is grazed: assumed for this project.
    """
    book, terms = setting.book, setting.terms
    leased = grazing & ~terms.owned
    usual = setting.tables.grazing.utilisation.slow_rotation
    worth = grass.rent_share * terms.utilisation / usual * grass.stay.growth_share * tenants_open_share(setting, grass)
    book.post(year, "grazing_lease", worth, leased & ~terms.by_month)
    book.post(year, "grazing_lease_month", grazed.animal_unit_months, leased & terms.by_month)
