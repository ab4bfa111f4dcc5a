"""Animals on the grass: how many, what they eat, what they sell, and what they must be fed."""

from typing import NamedTuple

import numpy as np

from simulator.enterprises.hay import hay_needed_ton
from simulator.enterprises.meadow import Forage, months_of_stay
from simulator.enterprises.setting import Setting, planted
from simulator.parameters.pasture import Animals
from simulator.physics.animals import (
    MONTHS,
    carrying_head,
    cow_calf_year,
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
    """

    head: FloatArray
    animal_unit_months: FloatArray
    eaten_lb_ac: FloatArray
    hay_short_ton_ac: FloatArray


def units_per_head(animals: Animals) -> FloatArray:
    """Animal units of one head with her share of calf, bull and heifer, by month, (12,)."""
    if animals.herd is None:
        return monthly_unit_equivalents(animals.units, 0.0, 0.0)
    return monthly_unit_equivalents(animals.units, 1.0 / animals.herd.cows_per_bull, animals.herd.replacement_share)


def carried(setting: Setting, grass: Forage) -> FloatArray:
    """Head that a year's growth carries over the months it is meant for, broken numbers allowed."""
    if setting.tables.animals is None:
        return np.zeros_like(grass.forage_lb_ac)
    stocking = setting.tables.practice.stocking
    growing = np.maximum((grass.monthly_lb_ac > 0).sum(axis=1), 1)
    tenants = stocking.tenant_months_a_growing_month * growing
    fed = np.where(grass.winter_lb_ac > 0, stocking.cow_months_with_winter_grass, stocking.cow_months)
    own = fed if setting.tables.animals.herd is not None else stocking.stocker_months
    return _head_for(setting, grass.forage_lb_ac, np.where(setting.terms.owned, own, tenants))


def _head_for(setting: Setting, forage_lb_ac: FloatArray, months: FloatArray | float) -> FloatArray:
    """Head that eat the usable share of a year's growth in so many months, (candidates,)."""
    terms, animals = setting.terms, setting.tables.animals
    if animals is None:
        return np.zeros_like(forage_lb_ac)
    need = float(demand_lb_month(units_per_head(animals), animals.units).mean())
    return carrying_head(forage_lb_ac * terms.utilisation, terms.acres, months, need)


def hay_reserve_ton_ac(setting: Setting, grass: Forage) -> FloatArray:
    """Own hay worth storing for the herd that the grass carries [ton/ac], (candidates,); more is sold."""
    animals = setting.tables.animals
    if animals is None:
        return np.zeros_like(grass.forage_lb_ac)
    return carried(setting, grass) / setting.terms.acres * animals.budget.hay_reserve_ton_head


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
        A tenant's herd follows the grass exactly; an own herd is whole animals and changes slowly.
    """
    nothing = np.zeros_like(grass.forage_lb_ac)
    tables, terms, animals = setting.tables, setting.terms, setting.tables.animals
    if animals is None or not grazing.any():
        return Grazed(nothing, nothing, nothing, nothing)
    own, tenants = _own_head(setting, grass, head_before), carried(setting, grass)
    head = np.where(grazing, np.where(terms.owned, own, tenants), 0.0)
    each = demand_lb_month(units_per_head(animals), animals.units)
    demand = (head / terms.acres)[:, None] * each * _months_present(setting, animals, grass)
    growth = np.where(grazing[:, None], grass.monthly_lb_ac, 0.0)
    year = monthly_grazing(growth, demand, terms.utilisation, tables.grazing.carryover.monthly_kept_share)
    eaten = year.eaten_lb.sum(axis=1)
    unit_month = float(demand_lb_month(1.0, animals.units))
    short = np.where(terms.owned, year.short_lb.sum(axis=1), 0.0)
    return Grazed(np.where(terms.owned, head, 0.0), eaten / unit_month, eaten, hay_needed_ton(short, setting))


def _months_present(setting: Setting, animals: Animals, grass: Forage) -> FloatArray:
    """Share of each month that animals are on the land, (candidates, 12): cows all year, others in season."""
    stay = setting.tables.practice.stocking.stocker_months
    whole_year = np.ones(MONTHS) if animals.herd is not None else months_of_stay(grass.stocker_first_month, stay)
    growing = (grass.monthly_lb_ac > 0).astype(float)
    return np.where(setting.terms.owned[:, None], whole_year, growing)


def book_herd(
    setting: Setting, year: int, head: tuple[FloatArray, FloatArray], cover: FloatArray, gain_lb_day: FloatArray
) -> None:
    """Book a year of an own herd: animals bought and sold, calves or feeders, care and labour.

    Parameters
    ----------
    setting
        The batch.
    year
        Row.
    head
        Herd of the year before and of this year [head on the tract], (candidates,) each.
    cover
        Share of the land under crowns [1], (candidates,): shade adds a little to growing animals.
    gain_lb_day
        What the grass gives growing cattle [lb/day], (candidates,).
    """
    book, terms, animals = setting.book, setting.terms, setting.tables.animals
    before, after = head
    if animals is None:
        return
    each = after / terms.acres
    book.post(year, "herd_labour", each * animals.budget.labour_hours_head)
    if animals.herd is not None:
        book.post(year, "cows_bought", np.maximum(after - before, 0.0) / terms.acres)
        sell_cows(setting, year, np.maximum(before - after, 0.0) / terms.acres)
        made = cow_calf_year(each, animals.herd)
        book.post(year, "calves", made.calf_weight_sold_lb)
        book.post(year, "calf_selling", made.calf_weight_sold_lb)
        book.post(year, "cull_cows", made.cull_weight_sold_lb)
        book.post(year, "cull_selling", made.cull_weight_sold_lb)
        book.post(year, "cow_cash_cost", each)
    if animals.stocker is not None:
        gain = gain_lb_day + shade_bonus_lb_day(gain_lb_day, cover, animals.shade_bonus)
        season = stocker_year(each, gain, animals.budget.days_on_land, animals.stocker)
        book.post(year, "feeders_bought", each * animals.stocker.purchase_weight_lb)
        book.post(year, "feeders_sold", season.weight_sold_lb)
        book.post(year, "feeder_selling", season.weight_sold_lb)
        book.post(year, "stocker_cash_cost", each)


def sell_breeding_herd(setting: Setting, year: int, head_ac: FloatArray) -> None:
    """Book the whole breeding herd sold [head/ac], (candidates,); stockers are sold every season anyway."""
    if setting.tables.animals is not None and setting.tables.animals.herd is not None:
        sell_cows(setting, year, head_ac)


def sell_cows(setting: Setting, year: int, head_ac: FloatArray) -> None:
    """Book breeding cows sold, with hauling and commission [head/ac], (candidates,)."""
    setting.book.post(year, "cows_sold", head_ac)
    setting.book.post(year, "cows_selling", head_ac)


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
    opened = open_yield_lb_ac(nitrogen, tables.grass.open_yield)
    present = np.floor(_head_for(setting, opened, tables.practice.stocking.cow_months))
    standing = plan.flags("pasture", "established") & plan.flags("land", "former_use", equals="pasture")
    owned = planted(plan) & terms.owned & standing
    rented = owned & plan.flags("use", "displaced_herd", equals="rented pasture") & (plan.calendar.graze_from < NEVER)
    sold = owned & ~rented & ~plan.flags("use", "displaced_herd", equals="none")
    setting.book.post(0, "displaced_herd", present / terms.acres, sold)
    setting.book.post(0, "cows_bought", present / terms.acres, rented)
    return np.where(rented, present, 0.0)
