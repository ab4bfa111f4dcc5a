"""What animals eat, how many the grass carries, and what a herd yields in a year."""

from typing import Final, NamedTuple

import numpy as np

from simulator.units import FloatArray, Floats

MONTHS: Final = 12
DAYS_PER_MONTH: Final = 365.0 / MONTHS


class AnimalUnits(NamedTuple):
    """Animal units of each kind of animal in a herd, and what one unit eats.

    Attributes
    ----------
    daily_dry_matter_lb
        What one animal unit eats [lb/day].
    head, dry_head
        A head suckling, and the same head dry [animal units].
    weaning_month, dry_months
        Month in which calves leave (1 = January) and months dry from then on.
    young_at_foot, months_with_young
        What a calf over four months adds, and for how many months before weaning.
    male, replacement
        A bull, and a heifer kept [animal units].
    """

    daily_dry_matter_lb: float
    head: float
    dry_head: float
    weaning_month: float
    dry_months: float
    young_at_foot: float
    months_with_young: float
    male: float
    replacement: float


class CowCalf(NamedTuple):
    """Yearly yield of a cow herd that raises its own replacements."""

    weaned_share: float
    weaning_weight_lb: float
    replacement_share: float
    death_share: float
    cows_per_bull: float
    cull_weight_lb: float


class CowCalfYear(NamedTuple):
    """One year of a cow herd: calves to sell and to keep, cows sold and lost, bulls at work [head, lb]."""

    calves_sold: FloatArray
    calves_kept: FloatArray
    calf_weight_sold_lb: FloatArray
    cows_culled: FloatArray
    cull_weight_sold_lb: FloatArray
    cows_lost: FloatArray
    bulls: FloatArray


class Stocker(NamedTuple):
    """Young cattle bought to gain weight on grass."""

    purchase_weight_lb: float
    death_share: float
    shrink_share: float


class StockerYear(NamedTuple):
    """One season of stockers: head and weight sold, weight gained by the survivors [head, lb]."""

    head_sold: FloatArray
    weight_sold_lb: FloatArray
    gain_lb: FloatArray


def monthly_unit_equivalents(units: AnimalUnits, males_per_head: float, replacement_share: float) -> FloatArray:
    """Animal units of one breeding female with her share of young, males and replacements, month by month.

    Parameters
    ----------
    units
        Animal units of each kind.
    males_per_head
        Males kept for each female [1].
    replacement_share
        Young females kept each year for each female [1].

    Returns
    -------
    Animal units a head [1], shape (12,), January first: least in winter when cows are dry, most before weaning.

    References
    ----------
    Table of animal-unit equivalents in the US range and pasture handbook, second-hand.
    """
    since_weaning = (np.arange(MONTHS) - (units.weaning_month - 1.0)) % MONTHS
    cow = np.where(since_weaning < units.dry_months, units.dry_head, units.head)
    young = np.where(since_weaning >= MONTHS - units.months_with_young, units.young_at_foot, 0.0)
    return np.asarray(cow + young + units.male * males_per_head + units.replacement * replacement_share)


def demand_lb_month(animal_units: Floats, units: AnimalUnits) -> FloatArray:
    """Dry matter that animals eat in a month.

    Parameters
    ----------
    animal_units
        Animal units [1], any shape.
    units
        Daily dry matter of one animal unit.

    Returns
    -------
    Demand [lb/month], same shape; for one unit, one animal-unit month.
    """
    demand = np.asarray(animal_units, dtype=np.float64) * units.daily_dry_matter_lb * DAYS_PER_MONTH
    return np.asarray(demand, dtype=np.float64)


def carrying_head(
    usable_lb_ac_year: Floats, acres: Floats, grazing_months: Floats, demand_lb_head_month: Floats
) -> FloatArray:
    """Head that a year's usable grass feeds over the grazing months.

    Parameters
    ----------
    usable_lb_ac_year
        Growth times utilisation [lb/ac/yr], any shape.
    acres
        Grass ground [ac].
    grazing_months
        Months on grass in the year [1], above 0.
    demand_lb_head_month
        Dry matter a head eats in a month [lb], above 0.

    Returns
    -------
    Head, broken numbers allowed, broadcast shape.
    """
    usable = np.asarray(usable_lb_ac_year, dtype=np.float64) * acres
    return np.asarray(usable / (np.asarray(grazing_months) * demand_lb_head_month), dtype=np.float64)


def whole_herd(
    target_head: Floats, previous_head: Floats, minimum: Floats, maximum: Floats, most_change_share: Floats
) -> FloatArray:
    """Size the herd in whole animals, changed no faster than a herd can be built or sold down.

    Parameters
    ----------
    target_head
        Head the grass carries [1], any shape; rounded down.
    previous_head
        Head of the year before [1]; 0 before the first stocking, which goes straight to the target.
    minimum
        Least herd worth keeping [1]; a smaller one is not kept at all.
    maximum
        Most head [1].
    most_change_share
        Most change in a year as a share of the herd [1]; one animal may always come or go.

    Returns
    -------
    Head, whole numbers, broadcast shape.
    """
    target = np.floor(np.asarray(target_head, dtype=np.float64))
    previous = np.asarray(previous_head, dtype=np.float64)
    step = np.maximum(1.0, np.floor(most_change_share * previous))
    steered = np.where(previous > 0.0, np.clip(target, previous - step, previous + step), target)
    herd = np.minimum(steered, np.floor(maximum))
    return np.where(herd < minimum, 0.0, np.maximum(0.0, herd))


def cow_calf_year(cows: Floats, herd: CowCalf) -> CowCalfYear:
    """Yield of a steady cow herd in one year.

    Parameters
    ----------
    cows
        Cows exposed to the bull [head], any shape.
    herd
        Coefficients of the herd; heifers kept take the place of cows culled and lost.

    Returns
    -------
    Head and weights of the year, each of the same shape; bulls in whole animals.

    References
    ----------
    Standardised accounts of 363 cow herds, 1991-2000 (second-hand): 409-456 lb weaned per exposed cow.
    """
    head = np.asarray(cows, dtype=np.float64)
    kept = np.asarray(herd.replacement_share * head)
    sold = np.asarray(herd.weaned_share * head - kept)
    lost = np.asarray(herd.death_share * head)
    culled = np.asarray(kept - lost)
    return CowCalfYear(
        calves_sold=sold,
        calves_kept=kept,
        calf_weight_sold_lb=np.asarray(sold * herd.weaning_weight_lb),
        cows_culled=culled,
        cull_weight_sold_lb=np.asarray(culled * herd.cull_weight_lb),
        cows_lost=lost,
        bulls=np.asarray(np.ceil(head / herd.cows_per_bull)),
    )


def stocker_year(head: Floats, gain_lb_day: Floats, days: Floats, stocker: Stocker) -> StockerYear:
    """Yield of one season of stockers.

    Parameters
    ----------
    head
        Head bought [1], any shape.
    gain_lb_day
        Gain on this grass, shade bonus included [lb/day].
    days
        Days on grass [day].
    stocker
        Coefficients of the animals.

    Returns
    -------
    Head and pay weight sold, and weight gained, broadcast shape.

    References
    ----------
    Death and shrink from memory.
    """
    survivors = np.asarray((1.0 - stocker.death_share) * np.asarray(head, dtype=np.float64))
    gained = np.asarray(gain_lb_day, dtype=np.float64) * days
    sold = survivors * (stocker.purchase_weight_lb + gained) * (1.0 - stocker.shrink_share)
    return StockerYear(survivors, np.asarray(sold), np.asarray(survivors * gained))
