"""Animals on the grass: how many, what they eat, what they sell, and what they must be fed."""

from typing import NamedTuple

import numpy as np

from simulator.enterprises.hay import hay_needed_ton
from simulator.enterprises.meadow import Forage
from simulator.enterprises.setting import Setting, planted
from simulator.enterprises.year_terms import months_open
from simulator.parameters.pasture import Animals
from simulator.physics.animals import (
    breeding_year,
    carrying_head,
    demand_lb_month,
    monthly_unit_equivalents,
    stocker_year,
    whole_herd,
)
from simulator.physics.forage import open_yield_lb_ac
from simulator.physics.grazing import monthly_grazing
from simulator.physics.heat import shade_bonus_lb_day
from simulator.schedule import NEVER
from simulator.units import BoolArray, FloatArray


class Grazed(NamedTuple):
    """What the animals did in a year.

    Attributes
    ----------
    head
        Animals on the tract, (candidates,); 0 where leased.
    animal_unit_months
        Grazed per acre of land, (candidates,).
    eaten_lb_ac
        Dry matter eaten [lb/ac], (candidates,).
    hay_short_ton_ac
        Hay needed to fill the months when grass falls short [ton/ac], (candidates,).
    browse_lb_ac
        Browse eaten beside the grass [lb/ac], (candidates,).
    """

    head: FloatArray
    animal_unit_months: FloatArray
    eaten_lb_ac: FloatArray
    hay_short_ton_ac: FloatArray
    browse_lb_ac: FloatArray

    def on_grass(self, share: FloatArray) -> "Grazed":
        """The same year where only so much of what was eaten is grass [1], (candidates,), and the rest browse."""
        return self._replace(
            animal_unit_months=self.animal_unit_months * share,
            eaten_lb_ac=self.eaten_lb_ac * share,
            browse_lb_ac=self.eaten_lb_ac * (1.0 - share),
        )


class Comfort(NamedTuple):
    """What makes a year good or poor for growing animals, (candidates,).

    Attributes
    ----------
    cover
        Share of the land under crowns [1].
    grass_share
        Share of what was eaten that is grass [1]; browse keeps a herd alive and adds no weight.
    """

    cover: FloatArray
    grass_share: FloatArray


def units_per_head(animals: Animals) -> FloatArray:
    """Animal units of one head with her share of calf, bull and heifer, by month, (12,)."""
    if animals.herd is None:
        return monthly_unit_equivalents(animals.units, 0.0, 0.0)
    return monthly_unit_equivalents(animals.units, 1.0 / animals.herd.females_per_male, animals.herd.replacement_share)


def carried(setting: Setting, grass: Forage) -> FloatArray:
    """Head that a year's growth carries over the months it is meant for, broken numbers allowed."""
    return _head_for(setting, grass.feed_lb_ac, grass.stay.months_sized_to)


def _head_for(setting: Setting, feed_lb_ac: FloatArray, months: FloatArray | float) -> FloatArray:
    """Head that eat the usable share of a year's feed in so many months.

    Parameters
    ----------
    setting
        The batch.
    feed_lb_ac
        Grass and browse of the year [lb/ac], (candidates,).
    months
        Months that a herd is sized to [month], (candidates,) or one number.

    Returns
    -------
    FloatArray
        Head on the land, broken numbers allowed [head], (candidates,).

    References
    ----------
    As for :func:`simulator.physics.animals.carrying_head`.
    """
    terms, animals = setting.terms, setting.tables.animals
    if animals is None:
        return np.zeros_like(feed_lb_ac)
    need = float(demand_lb_month(units_per_head(animals), animals.units).mean())
    return carrying_head(feed_lb_ac * terms.utilisation, terms.acres, months, need)


def hay_reserve_ton_ac(setting: Setting, grass: Forage) -> FloatArray:
    """Own hay worth storing for the herd that the grass carries [ton/ac], (candidates,); more is sold."""
    animals = setting.tables.animals
    if animals is None:
        return np.zeros_like(grass.forage_lb_ac)
    # the browse of a goat is no reason to store hay
    head = _head_for(setting, grass.forage_lb_ac, grass.stay.months_sized_to)
    return head / setting.terms.acres * animals.budget.hay_reserve_ton_head


def _own_head(setting: Setting, grass: Forage, head_before: FloatArray) -> FloatArray:
    """Whole animals that the owner keeps on a year's growth, (candidates,)."""
    terms, target = setting.terms, carried(setting, grass)
    return whole_herd(target, head_before, terms.least_head, terms.most_head, terms.change_share)


def stocked(setting: Setting, grass: Forage, grazing: BoolArray, head_before: FloatArray) -> BoolArray:
    """Where anybody grazes: a tenant, or at least one whole animal of the owner's, (candidates,)."""
    return grazing & (~setting.terms.owned | (_own_head(setting, grass, head_before) > 0))


def graze(setting: Setting, grass: Forage, grazing: BoolArray, head_before: FloatArray) -> Grazed:
    """Stock the land and graze the year month by month.

    Parameters
    ----------
    setting
        The batch.
    grass
        Forage of the year.
    grazing
        Where animals are let in, (candidates,).
    head_before
        Herd of the year before, (candidates,).

    Returns
    -------
    Grazed
        Animal-unit months and pounds an acre [lb/ac]. A tenant's herd follows the grass exactly; an own herd is whole
        animals and changes slowly.

    References
    ----------
    Definition; as for :func:`simulator.physics.grazing.monthly_grazing`.
    """
    nothing = np.zeros_like(grass.forage_lb_ac)
    tables, terms, animals = setting.tables, setting.terms, setting.tables.animals
    if animals is None or not grazing.any():
        return Grazed(nothing, nothing, nothing, nothing, nothing)
    own, tenants = _own_head(setting, grass, head_before), carried(setting, grass)
    head = np.where(grazing, np.where(terms.owned, own, tenants), 0.0)
    each = demand_lb_month(units_per_head(animals), animals.units)
    present = (head / terms.acres)[:, None] * each * grass.stay.months
    demand = present * months_open(terms, grass.monthly_lb_ac)
    growth = np.where(grazing[:, None], grass.monthly_feed_lb_ac, 0.0)
    year = monthly_grazing(growth, demand, terms.utilisation, tables.grazing.carryover.monthly_kept_share)
    eaten = year.eaten_lb.sum(axis=1)
    unit_month = float(demand_lb_month(1.0, animals.units))
    # an owner's animals eat hay elsewhere while the ground is closed
    short = np.where(terms.owned, (year.short_lb + present - demand).sum(axis=1), 0.0)
    hay = hay_needed_ton(short, setting)
    whole = Grazed(np.where(terms.owned, head, 0.0), eaten / unit_month, eaten, hay, nothing)
    return whole.on_grass(grass.grass_share)


def book_herd(
    setting: Setting, year: int, head: tuple[FloatArray, FloatArray], comfort: Comfort, grass: Forage
) -> None:
    """Book a year of an own herd: animals bought and sold, young or feeders, care and labour.

    Parameters
    ----------
    setting
        The batch.
    year
        Row.
    head
        Herd of the year before and of this year [head on the tract], (candidates,) each.
    comfort
        Shade, which adds a little to growing animals, and how much of their feed puts on weight.
    grass
        Forage of the year: the gain it gives growing cattle, and the months they are there.
    """
    book, terms, animals = setting.book, setting.terms, setting.tables.animals
    before, after = head
    if animals is None:
        return
    each = after / terms.acres
    book.post(year, "herd_labour", each * animals.budget.labour_hours_head)
    if animals.herd is not None:
        book.post(year, book.herd.bought, np.maximum(after - before, 0.0) / terms.acres)
        sell_females(setting, year, np.maximum(before - after, 0.0) / terms.acres)
        made = breeding_year(each, animals.herd)
        weight = made.young_weight_sold_lb * comfort.grass_share
        book.post(year, book.herd.young, weight)
        book.post(year, book.herd.young_selling, weight)
        book.post(year, book.herd.culls, made.cull_weight_sold_lb)
        book.post(year, book.herd.cull_selling, made.cull_weight_sold_lb)
        book.post(year, book.herd.cash_cost, each)
    if animals.stocker is not None:
        plain = grass.stocker_gain_lb_day
        gain = plain + shade_bonus_lb_day(plain, comfort.cover, grass.stay.heat_load, animals.shade_bonus)
        season = stocker_year(each, gain, terms.keeping.days, animals.stocker)
        book.post(year, "feeders_bought", each * animals.stocker.purchase_weight_lb)
        book.post(year, "feeders_sold", season.weight_sold_lb)
        book.post(year, "feeder_selling", season.weight_sold_lb)
        book.post(year, "stocker_cash_cost", each)


def sell_breeding_herd(setting: Setting, year: int, head_ac: FloatArray) -> None:
    """Book the whole breeding herd sold [head/ac], (candidates,); stockers are sold every season anyway."""
    if setting.tables.animals is not None and setting.tables.animals.herd is not None:
        sell_females(setting, year, head_ac)


def sell_females(setting: Setting, year: int, head_ac: FloatArray) -> None:
    """Book breeding females sold, with hauling and commission [head/ac], (candidates,)."""
    setting.book.post(year, setting.book.herd.sold, head_ac)
    setting.book.post(year, setting.book.herd.selling, head_ac)


def displaced_herd(setting: Setting) -> FloatArray:
    """Book what becomes of the present herd where young trees shut it out.

    Parameters
    ----------
    setting
        The batch; the row is year 0.

    Returns
    -------
    FloatArray
        Head kept on rented pasture until they may graze [head], (candidates,); a herd sold is 0. Its worth
        is neither gained nor lost by selling: every system buys the animals it grazes.
    """
    plan, terms, tables = setting.plan, setting.terms, setting.tables
    if tables.animals is None or tables.animals.herd is None:
        return np.zeros(plan.candidates)
    nitrogen = plan.calendar.nitrogen_lb_ac[:, 1:].max(axis=1)
    opened = open_yield_lb_ac(nitrogen, tables.grass.open_yield) * plan.column("pasture", "yield_multiplier")
    present = np.floor(_head_for(setting, opened * plan.geometry.usable, tables.practice.stocking.cow_months))
    standing = plan.flags("pasture", "established") & plan.flags("land", "former_use", equals="pasture")
    owned = planted(plan) & terms.owned & standing & ~plan.standing
    rented = owned & plan.flags("use", "displaced_herd", equals="rented pasture") & (plan.calendar.graze_from < NEVER)
    sold = owned & ~rented & ~plan.flags("use", "displaced_herd", equals="none")
    setting.book.post(0, setting.book.herd.displaced, present / terms.acres, sold)
    setting.book.post(0, setting.book.herd.bought, present / terms.acres, rented)
    return np.where(rented, present, 0.0)
