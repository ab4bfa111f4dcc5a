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
        Month in which the young leave (1 = January) and months dry from then on.
    young_at_foot, months_with_young
        What the young add when they eat much grass themselves, and for how many months before weaning.
    male, replacement
        A male, and a young female kept [animal units].
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


class BreedingHerd(NamedTuple):
    """Yearly yield of cows, ewes or does that raise their own replacements.

    Attributes
    ----------
    weaned_share
        Young weaned for each female exposed to a male [1]; above 1 where twins are usual.
    weaning_weight_lb
        Weight of one of them [lb].
    replacement_share, death_share
        Young females kept, and females lost to disease, accident and predators [1/yr].
    females_per_male
        Females that one male serves [1].
    cull_weight_lb
        Weight of a female sold for slaughter [lb].
    """

    weaned_share: float
    weaning_weight_lb: float
    replacement_share: float
    death_share: float
    females_per_male: float
    cull_weight_lb: float


class BreedingYear(NamedTuple):
    """One year of a breeding herd: young to sell and to keep, females sold and lost, males at work [head, lb]."""

    young_sold: FloatArray
    young_kept: FloatArray
    young_weight_sold_lb: FloatArray
    females_culled: FloatArray
    cull_weight_sold_lb: FloatArray
    females_lost: FloatArray
    males: FloatArray


class Stocker(NamedTuple):
    """Young cattle bought to gain weight on grass."""

    purchase_weight_lb: float
    death_share: float
    shrink_share: float


class StockerYear(NamedTuple):
    """One season of stockers: weight sold, and weight gained by the survivors [lb]."""

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

    References
    ----------
    Definition of an animal-unit month.
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
    Animals that the grass carries [head], broken numbers allowed, broadcast shape.

    References
    ----------
    Definition.
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


def breeding_year(females: Floats, herd: BreedingHerd) -> BreedingYear:
    """Yield of a steady breeding herd in one year.

    Parameters
    ----------
    females
        Cows, ewes or does exposed to a male [head], any shape.
    herd
        Coefficients of the herd; young females kept take the place of those culled and lost.

    Returns
    -------
    Head and weights of the year, each of the same shape; males in whole animals, at least one with any female.

    References
    ----------
    Standardised accounts of 363 cow herds, 1991-2000 (second-hand): 409-456 lb weaned per exposed cow.
    Sheep and goats from memory.
    """
    head = np.asarray(females, dtype=np.float64)
    kept = np.asarray(herd.replacement_share * head)
    sold = np.asarray(herd.weaned_share * head - kept)
    lost = np.asarray(herd.death_share * head)
    culled = np.asarray(kept - lost)
    return BreedingYear(
        young_sold=sold,
        young_kept=kept,
        young_weight_sold_lb=np.asarray(sold * herd.weaning_weight_lb),
        females_culled=culled,
        cull_weight_sold_lb=np.asarray(culled * herd.cull_weight_lb),
        females_lost=lost,
        males=np.asarray(np.ceil(head / herd.females_per_male)),
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
    return StockerYear(np.asarray(sold), np.asarray(survivors * gained))
