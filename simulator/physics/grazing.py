"""Animals on grass month by month, and among young trees."""

from typing import Final, NamedTuple

import numpy as np

from simulator.units import BoolArray, FloatArray, Floats

MONTHS: Final = 12


class MonthlyGrazing(NamedTuple):
    """What a herd ate and lacked by month, what stayed standing in December and what was lost."""

    eaten_lb: FloatArray
    short_lb: FloatArray
    standing_lb: FloatArray
    lost_lb: FloatArray


class Gate(NamedTuple):
    """Least size and age of trees among which animals may graze."""

    least_height_ft: float
    least_dbh_in: float
    least_years: float


class TreeDamage(NamedTuple):
    """Trees killed in a year by grazing, before the gate by year since planting and after it."""

    first_year_loss: float
    second_year_loss: float
    later_loss: float
    passed_gate_loss: float
    reference_utilisation: float


def monthly_grazing(
    growth_lb: FloatArray,
    demand_lb: FloatArray,
    utilisation: Floats,
    kept_share: Floats,
    standing_lb: Floats = 0.0,
) -> MonthlyGrazing:
    """Graze a year month by month: usable growth is eaten, or stands over and wastes.

    Parameters
    ----------
    growth_lb
        Growth of each month, less what was cut for hay [lb], shape (..., 12), January first.
    demand_lb
        What the animals would eat [lb], shape broadcastable to (..., 12).
    utilisation
        Share of growth that animals can harvest [1], broadcastable to (...).
    kept_share
        Share of usable grass left at a month's end that is still good in the next [1], broadcastable to (...).
    standing_lb
        Usable grass that stood over from the December before [lb], broadcastable to (...).

    Returns
    -------
    Eaten and short by month, shape (..., 12); standing in December and lost in the year, shape (...).
    Growth and grass standing over equal eaten, standing and lost together.

    References
    ----------
    Utilisation by grazing system after an extension article, second-hand; share kept assumed.
    """
    growth, demand = np.broadcast_arrays(growth_lb, demand_lb)
    stock = np.asarray(standing_lb, dtype=np.float64)
    eaten = []
    for month in range(MONTHS):
        available = stock + utilisation * growth[..., month]
        eaten.append(np.minimum(demand[..., month], available))
        stock = (available - eaten[-1]) * kept_share
    ate = np.stack(np.broadcast_arrays(*eaten), axis=-1)
    lost = standing_lb + growth.sum(axis=-1) - ate.sum(axis=-1) - stock
    return MonthlyGrazing(ate, demand - ate, np.asarray(stock), np.asarray(lost))


def tree_safe(mean_height_ft: Floats, mean_dbh_in: Floats, years_since_planting: Floats, gate: Gate) -> BoolArray:
    """Whether trees have outgrown the animals.

    Parameters
    ----------
    mean_height_ft, mean_dbh_in
        Mean height [ft] and diameter [in] of the trees, any shape.
    years_since_planting
        Growing seasons since planting, the current one counted [yr].
    gate
        Least height, diameter and years for the animal.

    Returns
    -------
    True where animals may enter, broadcast shape.

    References
    ----------
    Lewis et al. 1984, Agroforestry Systems 2 (grazed from year four, few trees lost); limits assumed.
    """
    tall = np.asarray(mean_height_ft) >= gate.least_height_ft
    stout = np.asarray(mean_dbh_in) >= gate.least_dbh_in
    return np.asarray(tall & stout & (np.asarray(years_since_planting) >= gate.least_years))


def grazing_tree_loss_share(
    years_since_planting: Floats, passed_gate: BoolArray, utilisation: Floats, damage: TreeDamage
) -> FloatArray:
    """Share of trees that a year of grazing kills.

    Parameters
    ----------
    years_since_planting
        1 in the first growing season [yr], any shape.
    passed_gate
        Whether the trees had outgrown the animals.
    utilisation
        Share of growth eaten [1]; before the gate harm rises with its square.
    damage
        Coefficients of the animal.

    Returns
    -------
    Share killed [1], broadcast shape.

    References
    ----------
    Assumed for this project, anchored on about 8 percent a year of trampling in young pines grazed by cows.
    """
    year = np.asarray(years_since_planting, dtype=np.float64)
    early = np.where(year < 2.0, damage.first_year_loss, damage.second_year_loss)
    early = np.where(year < 3.0, early, damage.later_loss)
    scaled = np.minimum(1.0, early * (utilisation / damage.reference_utilisation) ** 2)
    return np.asarray(np.where(passed_gate, damage.passed_gate_loss, scaled), dtype=np.float64)
