"""What a planned spray takes from the grass of its year: weeks without animals, cuts of hay, the sward it kills."""

import math
from typing import NamedTuple

import numpy as np

from simulator.enterprises.setting import Setting
from simulator.enterprises.turf import Turf
from simulator.parameters.upkeep import Spray, load_sprays
from simulator.scenario.owner import Herbicide
from simulator.units import FloatArray, IntArray

MONTH_D = 30.0


class Waits(NamedTuple):
    """What the sprays of one season close, (candidates,).

    Attributes
    ----------
    grazing_months
        Months without animals from the start of the growth on, a part sprayed behind a fence by its share [month].
    hay_months
        Months whose growth is not cut for hay [month].
    hay_share
        Share of the grass ground on which hay waits [1].
    """

    grazing_months: FloatArray
    hay_months: FloatArray
    hay_share: FloatArray


def sprayed_grass_share(setting: Setting, i: int, spray: Herbicide) -> float:
    """Share of the grass ground of one candidate that a spray falls on: it is stated as a share of what bears.

    Parameters
    ----------
    setting
        The batch.
    i
        Place of the candidate.
    spray
        The spray.

    Returns
    -------
    float
        Share [1]; 0 of one on the tree strips.

    References
    ----------
    Definition.
    """
    if spray.ground != "grass":
        return 0.0
    ground = setting.plan.geometry
    return float(min(1.0, spray.share * float(ground.usable[i]) / max(float(ground.grass_ground[i]), 1e-9)))


def waits_of_year(setting: Setting, age: IntArray) -> Waits:
    """Months that the sprays of a season close, from the start of the growth on.

    Parameters
    ----------
    setting
        The batch.
    age
        Age of the trees at the end of the season [yr], (candidates,).

    Returns
    -------
    Waits
        Several sprays of one year wait at the same time: the longest counts. A spray on the planting day (year 0)
        is over when the grass grows.

    References
    ----------
    Days from memory (herbicides.toml); that they fall at the start of the growth is assumed for this project.
    """
    waits = Waits(*(np.zeros(setting.plan.candidates) for _ in Waits._fields))
    for i, spray, known in _due(setting, age, first=1):
        on_grass = sprayed_grass_share(setting, i, spray)
        waits.grazing_months[i] = max(waits.grazing_months[i], _kept_out_months(setting, i, spray, known))
        if on_grass and known.hay_days:
            waits.hay_months[i] = max(waits.hay_months[i], math.ceil(known.hay_days / MONTH_D))
            waits.hay_share[i] = max(waits.hay_share[i], on_grass)
    return waits


def _due(setting: Setting, age: IntArray, first: int) -> list[tuple[int, Herbicide, Spray]]:
    """Sprays of a season from the first year that counts; one of the planting day falls before season 1."""
    known, years = load_sprays(), age - setting.plan.start_age
    return [
        (i, spray, known[spray.product_class])
        for i, scenario in enumerate(setting.plan.scenarios)
        for spray in scenario.herbicide
        if spray.year >= first and max(spray.year, 1) == years[i]
    ]


def _kept_out_months(setting: Setting, i: int, spray: Herbicide, known: Spray) -> float:
    """Months that a spray keeps animals off: of the part sprayed behind a cross-fence, else of the whole."""
    divided = setting.plan.scenarios[i].use.system != "continuous" and spray.ground == "grass"
    return known.graze_days / MONTH_D * (sprayed_grass_share(setting, i, spray) if divided else 1.0)


def hay_kept_share(setting: Setting, monthly_lb_ac: FloatArray) -> FloatArray:
    """Share of a year's hay that sprays leave.

    Parameters
    ----------
    setting
        The batch with the terms of the year.
    monthly_lb_ac
        Growth by month [lb/ac], (candidates, 12).

    Returns
    -------
    FloatArray
        Share [1], (candidates,): the growth of the closed months is lost on the share sprayed, and never less than one
        cut.

    References
    ----------
    Assumed for this project; the label of the product in hand governs when hay may be cut.
    """
    terms = setting.terms
    grows = monthly_lb_ac > 0
    shut = np.clip(terms.hay_wait_months[:, None] - (np.cumsum(grows, axis=1) - 1), 0.0, 1.0) * grows
    total = monthly_lb_ac.sum(axis=1)
    lost = np.divide((shut * monthly_lb_ac).sum(axis=1), total, out=np.zeros_like(total), where=total > 0)
    one_cut = 1.0 / setting.tables.practice.ground.hay_cuts_yr
    lost = np.where(terms.hay_wait_months > 0, np.maximum(lost, one_cut), 0.0)
    return np.asarray(1.0 - terms.hay_wait_share * np.minimum(lost, 1.0))


def after_sprays(setting: Setting, turf: Turf, age: IntArray) -> Turf:
    """The sward once the sprays of the coming season have killed what they fall on; it comes back as after shade.

    Parameters
    ----------
    setting
        The batch.
    turf
        The sward before.
    age
        Age of the trees at the end of the season [yr], (candidates,).

    Returns
    -------
    Turf
        An ingredient that is known to injure grass takes the whole sward of the share sprayed: some grasses bear
        some ingredients, which is not told apart. A spray on the planting day takes it from the first season,
        and spares what is sown that day.
    """
    alive, headland = turf.alive.copy(), turf.headland.copy()
    for i, spray, known in _due(setting, age, first=0):
        if spray.year == 0 and turf.seasons[i] <= 0.0:
            continue  # it cleared the ground for the grass that was sown the same day
        spared = 1.0 - known.injures_grass * sprayed_grass_share(setting, i, spray)
        alive[i] *= spared
        headland[i] *= spared
    return turf._replace(alive=alive, headland=headland)
