"""The forage of a year: the standing grass, and the winter annual sown into it."""

from typing import NamedTuple

import numpy as np

from simulator.enterprises.other_income import grass_left_share
from simulator.enterprises.season import Growth, Stay, stay_of_year
from simulator.enterprises.setting import Setting
from simulator.enterprises.sward import Sward, grass_growth, headland_growth
from simulator.enterprises.turf import Turf, grass_light, of_standing, overseeded, winter_nitrogen_lb_ac
from simulator.events.light import Lit, light_of_season
from simulator.events.use import Uses
from simulator.parameters.pasture import Grass
from simulator.physics.forage import establishment_share, monthly_growth_lb
from simulator.physics.overseeding import base_after_overseeding_lb, clover_nitrogen_lb_ac
from simulator.state import Stand
from simulator.units import BoolArray, FloatArray


class Around(NamedTuple):
    """What the grass of a year lives in.

    Attributes
    ----------
    stand, lit
        The trees and their light.
    litter
        Needles left lying [lb/ac], (candidates,).
    nitrogen
        Nitrogen bought [lb/ac], (candidates,).
    weather
        Growth of this year against an ordinary one [1], (candidates,): below 1 in a drought.
    """

    stand: Stand
    lit: Lit
    litter: FloatArray
    nitrogen: FloatArray
    weather: FloatArray


class Forage(NamedTuple):
    """Forage of a year, (candidates,) unless said otherwise.

    Attributes
    ----------
    forage_lb_ac
        Dry matter grown per acre of land, winter annual included [lb/ac].
    share_of_open
        Yield of an acre of grass ground as a share of open pasture with the same nitrogen [1]; the base grass alone.
    monthly_lb_ac
        The growth by month, January first [lb/ac], (candidates, 12).
    winter_lb_ac
        What of it the winter annual grew [lb/ac].
    hay_lb_ac
        What of it the cuts of a hay year reach [lb/ac]: the winter annual in another grass is grazed, never baled.
    rent_share
        Worth of the year's growth to a tenant, against an acre of open bahiagrass with the same nitrogen [1].
    grass_share
        Grass as a share of all that the animals find, browse with it [1].
    stay
        Months in which animals are there, and months of growth they are sized to.
    stocker_gain_lb_day
        Gain of growing cattle, each grass by its growth in the months they are there [lb/day].
    light
        Mean light of the standing grass's own season [1].
    later
        Where the second grass stands.
    """

    forage_lb_ac: FloatArray
    share_of_open: FloatArray
    monthly_lb_ac: FloatArray
    winter_lb_ac: FloatArray
    hay_lb_ac: FloatArray
    rent_share: FloatArray
    grass_share: FloatArray
    stay: Stay
    stocker_gain_lb_day: FloatArray
    light: FloatArray
    later: BoolArray

    @property
    def feed_lb_ac(self) -> FloatArray:
        """Grass and browse of the year per acre of land [lb/ac], (candidates,)."""
        return np.asarray(self.forage_lb_ac / self.grass_share)

    @property
    def monthly_feed_lb_ac(self) -> FloatArray:
        """Grass and browse by month [lb/ac], (candidates, 12)."""
        return np.asarray(self.monthly_lb_ac / self.grass_share[:, None])


class _Grown(NamedTuple):
    """One grass of the year: its sward, its growth by month, and the worth of it to a tenant."""

    sward: Sward
    monthly_lb_ac: FloatArray
    rent_share: FloatArray


def forage_of_year(setting: Setting, turf: Turf, around: Around, uses: Uses) -> Forage:
    """Grow the standing grass and what is sown into it.

    Parameters
    ----------
    setting
        The batch.
    turf
        Which grass stands and how much of it is alive.
    around
        What it lives in.
    uses
        Who has the grass: nobody sows a winter annual that nobody grazes.

    Returns
    -------
    Forage
    """
    sown = overseeded(setting, turf, around.stand.age, uses)
    winter = _winter(setting, around, sown)
    base = _base(setting, turf, around, winter)
    monthly, winter_lb = base.monthly_lb_ac, np.zeros(len(sown))
    total, rent = base.sward.forage_lb_ac, base.rent_share
    if winter is not None:
        monthly = _set_back(setting, monthly, sown)
        winter_lb = winter.sward.forage_lb_ac
        total = total - (base.monthly_lb_ac - monthly).sum(axis=1)
        rent = rent + winter.rent_share
    hay = total * of_standing(setting, turf.later, "hay_share", "quality")
    both = monthly if winter is None else monthly + winter.monthly_lb_ac
    first_month = of_standing(setting, turf.later, "stocker_first_month", "quality")
    stay = stay_of_year(setting.terms.keeping, setting.tables, Growth(both, winter_lb, first_month))
    return Forage(
        forage_lb_ac=total + winter_lb,
        share_of_open=base.sward.share_of_open,
        monthly_lb_ac=both,
        winter_lb_ac=winter_lb,
        hay_lb_ac=hay,
        rent_share=rent,
        grass_share=base.sward.grass_share,
        stay=stay,
        stocker_gain_lb_day=_gain(setting, turf, (monthly, winter), stay.months),
        light=grass_light(setting, turf.later, around.lit),
        later=turf.later,
    )


def _base(setting: Setting, turf: Turf, around: Around, winter: _Grown | None) -> _Grown:
    """The standing grass, whichever it is; a clover's nitrogen feeds it."""
    first, second = setting.tables.grass, setting.tables.later_grass
    one = _grown(setting, first, turf, around, winter)
    if second is None or not turf.later.any():
        return one
    other = _grown(setting, second, turf, around, winter)
    sward = Sward(*(np.where(turf.later, b, a) for a, b in zip(one.sward, other.sward, strict=True)))
    monthly = np.where(turf.later[:, None], other.monthly_lb_ac, one.monthly_lb_ac)
    return _Grown(sward, monthly, np.where(turf.later, other.rent_share, one.rent_share))


def _grown(setting: Setting, grass: Grass, turf: Turf, around: Around, winter: _Grown | None) -> _Grown:
    """One grass of the year: its sward, its growth by month and its worth to a tenant.

    Parameters
    ----------
    setting
        The batch.
    grass
        The grass.
    turf
        How much of it is alive, and its seasons since it was sown.
    around
        Light, litter, nitrogen and weather of the year.
    winter
        What is sown into it, whose nitrogen feeds it; None for nothing.

    Returns
    -------
    _Grown
        Forage [lb/ac of land], its months, and worth against an acre of open bahiagrass [1].

    References
    ----------
    Order of the factors: this project's own. Worth of a grass to a tenant: assumed.
    """
    fed = around.nitrogen if winter is None else around.nitrogen + _credit(setting, around.nitrogen, winter)
    full = _full(setting, grass, around, fed)
    there = establishment_share(turf.seasons + 1.0, grass.establishment)
    sward = full.thinned_to(around.weather * turf.alive * there)
    sward = _with_headland(setting, grass, sward, fed, around.weather * turf.headland * there)
    sward = sward.on_less_ground(grass_left_share(setting, around.stand.age))
    bought = full.open_lb_ac if winter is None else _full(setting, grass, around, around.nitrogen).open_lb_ac
    worth = sward.forage_lb_ac / bought * grass.quality.rent_share
    return _Grown(sward, monthly_growth_lb(sward.forage_lb_ac, grass.season), worth)


def _full(setting: Setting, grass: Grass, around: Around, nitrogen: FloatArray) -> Sward:
    light = light_of_season(around.lit, grass.season)
    tables = setting.tables._replace(grass=grass)
    full = grass_growth(light, around.stand, setting.plan.geometry, around.litter, nitrogen, tables)
    return full.richer_by(setting.plan.column("pasture", "yield_multiplier"))


def _with_headland(setting: Setting, grass: Grass, between: Sward, nitrogen: FloatArray, alive: FloatArray) -> Sward:
    """What grows between the rows, and with it what grows on the headlands in the open."""
    geometry = setting.plan.geometry
    if not geometry.headland.any():
        return between
    headland = headland_growth(geometry, nitrogen, setting.tables._replace(grass=grass))
    headland = headland.richer_by(setting.plan.column("pasture", "yield_multiplier")).thinned_to(alive)
    return between.beside(headland, (geometry.grass_share, geometry.headland))


def _winter(setting: Setting, around: Around, sown: BoolArray) -> _Grown | None:
    """The winter annual of the year where one is sown, None elsewhere; as for :func:`_grown`."""
    grass = setting.tables.winter_grass
    if grass is None or not sown.any():
        return None
    fed, there = winter_nitrogen_lb_ac(setting), sown * around.weather
    sward = _with_headland(setting, grass, _full(setting, grass, around, fed).thinned_to(there), fed, there)
    sward = sward.on_less_ground(grass_left_share(setting, around.stand.age))
    worth = sward.forage_lb_ac / sward.open_lb_ac * grass.quality.rent_share
    return _Grown(sward, monthly_growth_lb(sward.forage_lb_ac, grass.season), worth)


def _credit(setting: Setting, nitrogen: FloatArray, winter: _Grown) -> FloatArray:
    grass = setting.tables.winter_grass
    if grass is None or grass.overseeding is None:
        return np.zeros_like(nitrogen)
    return clover_nitrogen_lb_ac(winter.sward.share_of_open, nitrogen, grass.overseeding)


def _set_back(setting: Setting, monthly: FloatArray, sown: BoolArray) -> FloatArray:
    grass = setting.tables.winter_grass
    if grass is None or grass.overseeding is None:
        return monthly
    return base_after_overseeding_lb(monthly, sown.astype(float), grass.overseeding)


def _gain(setting: Setting, turf: Turf, growth: tuple[FloatArray, _Grown | None], there: FloatArray) -> FloatArray:
    """Gain of growing cattle, each grass by its growth in the months they are there.

    Parameters
    ----------
    setting
        The batch.
    turf
        Which grass stands.
    growth
        Growth of the base grass by month [lb/ac], (candidates, 12), and the winter annual.
    there
        Share of each month that animals are on the land [1], (candidates, 12).

    Returns
    -------
    FloatArray
        Gain [lb/day], (candidates,).

    References
    ----------
    In proportion to what grows: assumed for this project.
    """
    base, winter = growth
    plain = of_standing(setting, turf.later, "stocker_gain_lb_day", "quality")
    if winter is None or setting.tables.winter_grass is None:
        return plain
    of_base, of_winter = ((months * there).sum(axis=1) for months in (base, winter.monthly_lb_ac))
    eaten = of_base + of_winter
    share = np.divide(of_winter, eaten, out=np.zeros_like(eaten), where=eaten > 0)
    return np.asarray(plain + share * (setting.tables.winter_grass.quality.stocker_gain_lb_day - plain))
