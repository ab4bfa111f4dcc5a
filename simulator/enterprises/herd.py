"""Animals on the grass: how many, what they eat, what they sell, and what they must be fed."""

from typing import NamedTuple

import numpy as np

from simulator.enterprises.hay import hay_needed_ton
from simulator.enterprises.setting import Setting, Terms, planted
from simulator.parameters.pasture import Animals
from simulator.parameters.tables import Tables
from simulator.physics.animals import (
    MONTHS,
    carrying_head,
    cow_calf_year,
    demand_lb_month,
    monthly_unit_equivalents,
    stocker_year,
    whole_herd,
)
from simulator.physics.forage import monthly_growth_lb, open_yield_lb_ac
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


def carried(forage_lb_ac: FloatArray, setting: Setting) -> FloatArray:
    """Head that a year's growth carries over the months it is meant for, broken numbers allowed."""
    tables, terms, animals = setting.tables, setting.terms, setting.tables.animals
    if animals is None:
        return np.zeros_like(forage_lb_ac)
    stocking = tables.practice.stocking
    own = stocking.cow_months if animals.herd is not None else stocking.stocker_months
    months = np.where(terms.owned, own, stocking.tenant_months)
    need = float(demand_lb_month(units_per_head(animals), animals.units).mean())
    return carrying_head(forage_lb_ac * terms.utilisation, terms.acres, months, need)


def hay_reserve_ton_ac(setting: Setting, forage_lb_ac: FloatArray) -> FloatArray:
    """Own hay worth storing for the herd that the grass carries [ton/ac], (candidates,); more is sold."""
    animals = setting.tables.animals
    if animals is None:
        return np.zeros_like(forage_lb_ac)
    return carried(forage_lb_ac, setting) / setting.terms.acres * animals.budget.hay_reserve_ton_head


def _own_head(setting: Setting, forage_lb_ac: FloatArray, head_before: FloatArray) -> FloatArray:
    """Whole animals that the owner keeps on a year's growth, (candidates,)."""
    terms, target = setting.terms, carried(forage_lb_ac, setting)
    return whole_herd(target, head_before, terms.least_head, terms.most_head, terms.change_share)


def stocked(setting: Setting, forage_lb_ac: FloatArray, grazing: BoolArray, head_before: FloatArray) -> BoolArray:
    """Where anybody grazes: a tenant, or at least one whole animal of the owner's, (candidates,)."""
    return grazing & (~setting.terms.owned | (_own_head(setting, forage_lb_ac, head_before) > 0))


def graze(setting: Setting, forage_lb_ac: FloatArray, grazing: BoolArray, head_before: FloatArray) -> Grazed:
    """Stock the land and graze the year month by month.

    Parameters
    ----------
    setting
        The batch.
    forage_lb_ac
        Dry matter grown per acre of land [lb/ac], (candidates,).
    grazing
        Where animals are let in, (candidates,).
    head_before
        Herd of the year before, (candidates,).

    Returns
    -------
    Grazed
        A tenant's herd follows the grass exactly; an own herd is whole animals and changes slowly.
    """
    nothing = np.zeros_like(forage_lb_ac)
    tables, terms, animals = setting.tables, setting.terms, setting.tables.animals
    if animals is None or not grazing.any():
        return Grazed(nothing, nothing, nothing, nothing)
    own, tenants = _own_head(setting, forage_lb_ac, head_before), carried(forage_lb_ac, setting)
    head = np.where(grazing, np.where(terms.owned, own, tenants), 0.0)
    each = demand_lb_month(units_per_head(animals), animals.units)
    present = (head / terms.acres)[:, None] * each * _months_present(terms, animals, tables)
    demand = present * _months_open(terms, tables)
    growth = monthly_growth_lb(np.where(grazing, forage_lb_ac, 0.0), tables.grass.season)
    year = monthly_grazing(growth, demand, terms.utilisation, tables.grazing.carryover.monthly_kept_share)
    eaten = year.eaten_lb.sum(axis=1)
    unit_month = float(demand_lb_month(1.0, animals.units))
    # an owner's animals eat hay elsewhere while the ground is closed
    short = np.where(terms.owned, (year.short_lb + present - demand).sum(axis=1), 0.0)
    return Grazed(np.where(terms.owned, head, 0.0), eaten / unit_month, eaten, hay_needed_ton(short, setting))


def _months_present(terms: Terms, animals: Animals, tables: Tables) -> FloatArray:
    """Share of each month that animals are on the land, (candidates, 12): cows all year, others in season."""
    stocking = tables.practice.stocking
    months = np.arange(MONTHS)
    first = stocking.stocker_first_month - 1
    season = (months >= first) & (months < first + stocking.stocker_months)
    whole_year = np.ones(MONTHS) if animals.herd is not None else season.astype(float)
    growing = (np.array(tables.grass.season.monthly_share) > 0).astype(float)
    return np.where(terms.owned[:, None], whole_year, growing)


def _months_open(terms: Terms, tables: Tables) -> FloatArray:
    """Share of each month in which the ground is open, (candidates, 12): closed from the start of the growth on."""
    grows = np.array(tables.grass.season.monthly_share) > 0
    shut = np.clip(terms.closed_months[:, None] - (np.cumsum(grows) - 1), 0.0, 1.0)
    return np.where(grows, 1.0 - shut, 1.0)


def book_herd(setting: Setting, year: int, before: FloatArray, after: FloatArray, cover: FloatArray) -> None:
    """Book a year of an own herd: animals bought and sold, calves or feeders, care and labour.

    Parameters
    ----------
    setting
        The batch.
    year
        Row.
    before, after
        Herd of the year before and of this year [head on the tract], (candidates,).
    cover
        Share of the land under crowns [1], (candidates,): shade adds a little to growing animals
    """
    book, tables, terms, animals = setting.book, setting.tables, setting.terms, setting.tables.animals
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
        plain = tables.grass.quality.stocker_gain_lb_day
        gain = plain + shade_bonus_lb_day(plain, cover, animals.shade_bonus)
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
    present = np.floor(carried(open_yield_lb_ac(nitrogen, tables.grass.open_yield), setting))
    standing = plan.flags("pasture", "established") & plan.flags("land", "former_use", equals="pasture")
    owned = planted(plan) & terms.owned & standing
    rented = owned & plan.flags("use", "displaced_herd", equals="rented pasture") & (plan.calendar.graze_from < NEVER)
    sold = owned & ~rented & ~plan.flags("use", "displaced_herd", equals="none")
    setting.book.post(0, "displaced_herd", present / terms.acres, sold)
    setting.book.post(0, "cows_bought", present / terms.acres, rented)
    return np.where(rented, present, 0.0)
