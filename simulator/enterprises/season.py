"""Which months animals are on the land, and how hot those are."""

import numpy as np

from simulator.parameters.climate import Climate, afternoon_temperature_f
from simulator.parameters.pasture import Animals
from simulator.parameters.tables import Tables
from simulator.physics.animals import DAYS_PER_MONTH, MONTHS
from simulator.physics.heat import heat_load, thi_f
from simulator.plan import Plan
from simulator.scenario.model import Scenario
from simulator.units import FloatArray


def stated_months(scenario: Scenario) -> FloatArray | None:
    """Months that the plan itself names for its animals, (12,) of 0 and 1; None where it names none."""
    season = scenario.use.season_months
    if season is None:
        return None
    first, last = season
    since_first = (np.arange(1, MONTHS + 1) - first) % MONTHS
    # a winter season runs over the turn of the year
    return (since_first <= (last - first) % MONTHS).astype(float)


def months_on_land(plan: Plan, tables: Tables) -> FloatArray:
    """Share of each month that animals are on the land [1], (candidates, 12).

    Breeding herds of the owner's stay all year, stockers their season, a tenant's animals while grass grows;
    a season that the plan names goes before.
    """
    return np.array([months_of(scenario, tables) for scenario in plan.scenarios])


def months_of(scenario: Scenario, tables: Tables) -> FloatArray:
    """Share of each month that the animals of one plan are on the land [1], (12,)."""
    stocking, months = tables.practice.stocking, np.arange(MONTHS)
    growing = (np.array(tables.grass.season.monthly_share) > 0).astype(float)
    stated = stated_months(scenario)
    if scenario.use.tenure == "leased":
        return growing if stated is None else growing * stated
    if tables.animals is not None and tables.animals.herd is not None:
        return np.ones(MONTHS)
    first = stocking.stocker_first_month - 1
    season = (months >= first) & (months < first + stocking.stocker_months)
    return season.astype(float) if stated is None else stated


def growth_share(plan: Plan, tables: Tables) -> FloatArray:
    """Growth that falls in the plan's own season against that of the usual one [1], (candidates,); 1 without one."""
    return np.array([_against_usual(scenario, tables)[1] for scenario in plan.scenarios])


def months_sized_to(plan: Plan, tables: Tables) -> FloatArray:
    """Months of the year's growth that a herd is sized to [month], (candidates,).

    A season that the plan names counts by its length and by the grass that grows in it; where none grows, the months
    are without end and no animal is carried.
    """
    stocking, animals = tables.practice.stocking, tables.animals
    own = stocking.cow_months if animals is not None and animals.herd is not None else stocking.stocker_months
    usual = np.where(plan.flags("use", "tenure", equals="owned"), own, stocking.tenant_months)
    length, growth = np.array([_against_usual(scenario, tables) for scenario in plan.scenarios]).T
    return np.asarray(np.divide(usual * length, growth, out=np.full_like(growth, np.inf), where=growth > 0.0))


def _against_usual(scenario: Scenario, tables: Tables) -> tuple[float, float]:
    """Months and growth of the plan's season, each against the usual season's [1]."""
    if scenario.use.season_months is None:
        return 1.0, 1.0
    use = scenario.use.model_copy(update={"season_months": None})
    here, usual = (months_of(plan, tables) for plan in (scenario, scenario.model_copy(update={"use": use})))
    share = np.array(tables.grass.season.monthly_share)
    growth, wanted = float((share * here).sum()), float((share * usual).sum())
    return float(here.sum() / usual.sum()), growth / wanted if wanted > 0.0 else 0.0


def days_on_land(plan: Plan, tables: Tables) -> FloatArray:
    """Days that bought animals gain on the grass [day], (candidates,)."""
    usual = tables.animals.budget.days_on_land if tables.animals is not None else 0.0
    stated = [stated_months(scenario) for scenario in plan.scenarios]
    return np.array([usual if months is None else months.sum() * DAYS_PER_MONTH for months in stated])


def afternoon_thi(scenario: Scenario, climate: Climate) -> FloatArray:
    """Temperature-humidity index of ordinary afternoons by month [degF], (12,): the plan's own, or the packaged one."""
    own = scenario.climate
    packaged = afternoon_temperature_f(scenario.land.latitude_deg, climate)
    warm = packaged if own is None or own.afternoon_temperature_f is None else np.array(own.afternoon_temperature_f)
    stated = None if own is None else own.relative_humidity
    return thi_f(warm, np.array(climate.relative_humidity if stated is None else stated))


def season_heat_load(plan: Plan, tables: Tables, months: FloatArray) -> FloatArray:
    """Heat load of the months on the land, mean [1], (candidates,); nothing where no animals are kept."""
    if tables.animals is None:
        return np.zeros(plan.candidates)
    return np.array(
        [
            mean_heat_load(scenario, tables.animals, tables.climate, here)
            for scenario, here in zip(plan.scenarios, months, strict=True)
        ]
    )


def mean_heat_load(scenario: Scenario, animals: Animals, climate: Climate, months: FloatArray) -> float:
    """Heat load in the open, mean over the months on the land [1]."""
    load = heat_load(afternoon_thi(scenario, climate), animals.shade_bonus)
    return float((load * months).sum() / max(1.0, float(months.sum())))
