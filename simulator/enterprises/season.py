"""Which months animals are on the land, how many months a herd is sized to, and how hot those are: decided here."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from simulator.parameters.climate import Climate, afternoon_temperature_f
from simulator.parameters.pasture import Animals, Grass
from simulator.parameters.tables import Tables
from simulator.physics.animals import DAYS_PER_MONTH, MONTHS
from simulator.physics.heat import heat_load, thi_f
from simulator.scenario.model import Scenario
from simulator.units import BoolArray, FloatArray


class Keeping(NamedTuple):
    """What the plans of a batch say of the animals' year.

    Attributes
    ----------
    owned
        Own animals, (candidates,).
    breeds
        Whether they are a breeding herd.
    named, season
        Where the plan names a season, (candidates,), and the months it names, (candidates, 12); a breeding herd of
        the owner's has none.
    days
        Days that bought animals gain on the grass [day], (candidates,).
    heat_load
        Heat load of each month in the open [1], (candidates, 12); nothing where no animals are kept.
    """

    owned: BoolArray
    breeds: bool
    named: BoolArray
    season: FloatArray
    days: FloatArray
    heat_load: FloatArray


class Growth(NamedTuple):
    """What decides the months of a year.

    Attributes
    ----------
    monthly_lb_ac, winter_lb_ac
        Growth by month [lb/ac], (candidates, 12), and of it that of the winter annual [lb/ac], (candidates,).
    stocker_first_month
        Month in which stockers come, 1 for January, (candidates,).
    """

    monthly_lb_ac: FloatArray
    winter_lb_ac: FloatArray
    stocker_first_month: FloatArray


class Stay(NamedTuple):
    """Animals' months of one year.

    Attributes
    ----------
    months
        Share of each month that animals are on the land [1], (candidates, 12).
    months_sized_to
        Months of the year's growth that a herd is sized to [month], (candidates,); without end where none grows.
    growth_share
        Growth in a season that the plan names, against the usual one [1], (candidates,); 1 without one.
    heat_load
        Heat load of the months on the land in the open, mean [1], (candidates,).
    """

    months: FloatArray
    months_sized_to: FloatArray
    growth_share: FloatArray
    heat_load: FloatArray


def stated_months(scenario: Scenario) -> FloatArray | None:
    """Months that the plan itself names for its animals, (12,) of 0 and 1; None where it names none."""
    season = scenario.use.season_months
    if season is None:
        return None
    first, last = season
    since_first = (np.arange(1, MONTHS + 1) - first) % MONTHS
    # a winter season runs over the turn of the year
    return (since_first <= (last - first) % MONTHS).astype(float)


def keeping_of(scenarios: Sequence[Scenario], tables: Tables) -> Keeping:
    """Read the animals' year from the plans of a batch."""
    animals = tables.animals
    breeds = animals is not None and animals.herd is not None
    owned = np.array([scenario.use.tenure == "owned" for scenario in scenarios])
    stated = [stated_months(scenario) for scenario in scenarios]
    usual_days = animals.budget.days_on_land if animals is not None else 0.0
    loads = [np.zeros(MONTHS) if animals is None else _open_load(plan, animals, tables.climate) for plan in scenarios]
    return Keeping(
        owned=owned,
        breeds=breeds,
        named=np.array([months is not None for months in stated]) & ~(owned & breeds),
        season=np.array([np.ones(MONTHS) if months is None else months for months in stated]),
        days=np.array([usual_days if months is None else months.sum() * DAYS_PER_MONTH for months in stated]),
        heat_load=np.array(loads),
    )


def stay_of_year(keeping: Keeping, tables: Tables, growth: Growth) -> Stay:
    """Months of a year, from the grass that grows in it unless the plan names a season.

    Parameters
    ----------
    keeping
        What the plans say.
    tables
        Months of practice.
    growth
        What grows when.

    Returns
    -------
    Stay
        Months that a herd is sized to [month]. Breeding herds of the owner's stay all year, stockers from the month
        that
        suits the grass, a tenant's animals while it grows. A season that the plan names goes before; it counts by its
        length and by what grows in it. Stockers count by what grows in their months, named or not.

    References
    ----------
    Assumed for this project; months of practice, no source.
    """
    usual = _usual_months(keeping, tables, growth)
    # a tenant's animals never come while nothing grows, whatever the plan says
    stated = np.where(keeping.owned[:, None], keeping.season, usual * keeping.season)
    here = np.where(keeping.named[:, None], stated, usual)
    grown, wanted = ((growth.monthly_lb_ac * months).sum(axis=1) for months in (here, usual))
    share = np.where(keeping.named, _ratio(grown, wanted), 1.0)
    length = np.where(keeping.named, _ratio(here.sum(axis=1), usual.sum(axis=1)), 1.0)
    of_year = _ratio(grown, growth.monthly_lb_ac.sum(axis=1)) / tables.practice.stocking.stocker_growth_share
    # what grows while stockers are away does not carry them
    found = share if keeping.breeds else np.where(keeping.owned, of_year, share)
    sized = _usual_size(keeping, tables, growth) * length
    return Stay(
        months=here,
        months_sized_to=np.divide(sized, found, out=np.full_like(found, np.inf), where=found > 0.0),
        growth_share=share,
        heat_load=(keeping.heat_load * here).sum(axis=1) / np.maximum(1.0, here.sum(axis=1)),
    )


def _usual_months(keeping: Keeping, tables: Tables, growth: Growth) -> FloatArray:
    growing = (growth.monthly_lb_ac > 0).astype(float)
    own = np.ones_like(growing)
    if not keeping.breeds:
        own = _months_from(growth.stocker_first_month, tables.practice.stocking.stocker_months)
    return np.where(keeping.owned[:, None], own, growing)


def _months_from(first_month: FloatArray, months: float) -> FloatArray:
    """Months of animals that come in one month and stay so many, (candidates, 12)."""
    since = (np.arange(MONTHS) - (first_month[:, None] - 1.0)) % MONTHS
    return np.asarray(since < months, dtype=np.float64)


def _usual_size(keeping: Keeping, tables: Tables, growth: Growth) -> FloatArray:
    """Months that a herd without a season of its own is sized to, (candidates,)."""
    stocking = tables.practice.stocking
    growing = np.maximum((growth.monthly_lb_ac > 0).sum(axis=1), 1)
    cows = np.where(growth.winter_lb_ac > 0, stocking.cow_months_with_winter_grass, stocking.cow_months)
    own = cows if keeping.breeds else np.full_like(cows, stocking.stocker_months)
    return np.where(keeping.owned, own, stocking.tenant_months_a_growing_month * growing)


def _ratio(part: FloatArray, whole: FloatArray) -> FloatArray:
    return np.divide(part, whole, out=np.zeros_like(part), where=whole > 0.0)


def months_of(scenario: Scenario, tables: Tables) -> FloatArray:
    """Months in which animals of one plan may be on the land with any of its grasses, (12,) of 0 and 1."""
    keeping = keeping_of([scenario], tables)
    standing = [grass for grass in (tables.grass, tables.later_grass) if grass is not None]
    stays = [stay_of_year(keeping, tables, _full_growth(grass, tables.winter_grass)).months[0] for grass in standing]
    return np.asarray(np.max(stays, axis=0))


def _full_growth(grass: Grass, winter: Grass | None) -> Growth:
    """Growth of a year in the open, as shares, of one grass and of an annual that is sown into a summer perennial."""
    sown = winter is not None and bool(grass.habit.warm_season) and not grass.habit.sown_every_year
    added = np.array(winter.season.monthly_share) if winter is not None and sown else np.zeros(MONTHS)
    monthly = np.array([grass.season.monthly_share]) + added
    return Growth(monthly, np.array([added.sum()]), np.array([grass.quality.stocker_first_month]))


def afternoon_thi(scenario: Scenario, climate: Climate) -> FloatArray:
    """Temperature-humidity index of ordinary afternoons by month [degF], (12,): the plan's own, or the packaged one."""
    own = scenario.climate
    packaged = afternoon_temperature_f(scenario.land.latitude_deg, climate)
    warm = packaged if own is None or own.afternoon_temperature_f is None else np.array(own.afternoon_temperature_f)
    stated = None if own is None else own.relative_humidity
    return thi_f(warm, np.array(climate.relative_humidity if stated is None else stated))


def mean_heat_load(scenario: Scenario, animals: Animals, climate: Climate, months: FloatArray) -> float:
    """Heat load in the open, mean over the months on the land [1]."""
    load = _open_load(scenario, animals, climate)
    return float((load * months).sum() / max(1.0, float(months.sum())))


def _open_load(scenario: Scenario, animals: Animals, climate: Climate) -> FloatArray:
    return heat_load(afternoon_thi(scenario, climate), animals.shade_bonus)
