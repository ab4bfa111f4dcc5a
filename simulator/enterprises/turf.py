"""Which grass stands, since when, and how much of it is alive; when another takes its place and what sowing costs."""

from typing import Final, NamedTuple

import numpy as np

from simulator.enterprises.establishment import grass_wanted
from simulator.enterprises.other_income import grass_left_share
from simulator.enterprises.setting import Setting
from simulator.events.light import Lit, light_of_season
from simulator.events.use import Uses
from simulator.parameters.pasture import Grass
from simulator.physics.forage import establishment_share, next_stand_share
from simulator.plan import Plan
from simulator.units import BoolArray, FloatArray, IntArray

SEEDING_LINES: Final = {"ryegrass": "ryegrass_seeding", "crimson-clover": "clover_seeding"}
"""Line of the ledger that pays for the yearly sowing of each annual."""


class Turf(NamedTuple):
    """The sward between two years, (candidates,).

    Attributes
    ----------
    alive
        Share of a full sward alive between the rows [1].
    seasons
        Growing seasons since it was sown, below 0 before that; infinite where it was there before the plan.
    later
        Where the second grass has taken the place of the first.
    headland
        Share of a full sward alive on the headlands, which no tree shades [1].
    """

    alive: FloatArray
    seasons: FloatArray
    later: BoolArray
    headland: FloatArray


def turf_at_start(plan: Plan) -> Turf:
    """The sward of year 0: the first grass, full where it is said to be established, else sown when the plan says."""
    everywhere = np.ones(plan.candidates)
    # in a stand whose grass nobody wants none is ever sown
    sown = np.where(plan.standing & ~grass_wanted(plan), -np.inf, -plan.column("pasture", "sown_year"))
    seasons = np.where(plan.flags("pasture", "established"), np.inf, sown)
    return Turf(everywhere, seasons, np.zeros(plan.candidates, bool), everywhere)


def of_standing(setting: Setting, later: BoolArray, number: str, group: str) -> FloatArray:
    """One number of whichever grass stands, (candidates,), by its name and its group in the grass."""
    first, second = setting.tables.grass, setting.tables.later_grass or setting.tables.grass
    one, other = (getattr(getattr(grass, group), number) for grass in (first, second))
    return np.asarray(np.where(later, other, one), dtype=np.float64)


def grass_light(setting: Setting, later: BoolArray, lit: Lit) -> FloatArray:
    """Mean light of the standing grass's own season [1], (candidates,)."""
    first, second = setting.tables.grass, setting.tables.later_grass
    light = light_of_season(lit, first.season).mean(axis=1)
    if second is None:
        return np.asarray(light)
    return np.asarray(np.where(later, light_of_season(lit, second.season).mean(axis=1), light))


class Kept(NamedTuple):
    """What happened to the sward beside shade, (candidates,).

    Attributes
    ----------
    unturned
        Share that hogs left unturned [1].
    reseeded
        Where seed was sown into it after the last cut.
    """

    unturned: FloatArray
    reseeded: BoolArray


def next_turf(setting: Setting, turf: Turf, lit: Lit, kept: Kept) -> Turf:
    """The sward after a season: thinned where it stood too dark, recovering elsewhere.

    Parameters
    ----------
    setting
        The batch.
    turf
        The sward before.
    lit
        Light of the season.
    kept
        What hogs left, and where seed was sown.

    Returns
    -------
    Turf
    """
    both = _alive(setting.tables.grass, turf, lit, kept.reseeded)
    if setting.tables.later_grass is not None:
        others = _alive(setting.tables.later_grass, turf, lit, kept.reseeded)
        both = tuple(np.where(turf.later, later, first) for first, later in zip(both, others, strict=True))
    seasons = turf.seasons + 1.0
    alive, headland = (np.where(seasons <= 0.0, 1.0, share * kept.unturned) for share in both)
    return turf._replace(alive=alive, headland=headland, seasons=seasons)


def _alive(grass: Grass, turf: Turf, lit: Lit, reseeded: BoolArray) -> tuple[FloatArray, ...]:
    """Share alive after a season between the rows, in their light, and on the headlands in the open."""
    light = light_of_season(lit, grass.season).mean(axis=1)
    here = ((turf.alive, light), (turf.headland, np.ones_like(light)))
    return tuple(next_stand_share(alive, lit_by, grass.persistence, reseeded=reseeded) for alive, lit_by in here)


def switched(setting: Setting, year: int, turf: Turf, around: tuple[IntArray, FloatArray, Uses]) -> Turf:
    """Kill the first grass and sow the second at the end of the year where that is due, and book it.

    Parameters
    ----------
    setting, year
        The batch and the row.
    turf
        The sward at the end of the season.
    around
        Age of the cycle, mean light of the standing grass's season and use of the ground, (candidates,) each.

    Returns
    -------
    Turf
        Due by light only where the ground is used this year: nobody sows what nobody uses.
    """
    plan, later_grass = setting.plan, setting.tables.later_grass
    if later_grass is None:
        return turf
    age, light, uses = around
    by_year = age - plan.start_age == plan.column("pasture", "switch", "year")
    by_light = (light < plan.column("pasture", "switch", "below_light")) & (uses.grazing | uses.cutting)
    # nobody sows under trees that are cut the same winter: the next cycle begins with the first grass
    due = (by_year | by_light) & ~turf.later & grass_wanted(plan) & (age < plan.calendar.harvest_age)
    due = due & _tended(setting, age)
    perennial = not later_grass.habit.sown_every_year
    setting.book.post(year, "sward_establishment", plan.geometry.grass_ground, due & perennial)
    return _sown(turf, due, later=turf.later | due)


def _sown(turf: Turf, due: BoolArray, later: BoolArray) -> Turf:
    """The sward where another grass is sown everywhere, which is full where it comes up."""
    alive, headland = (np.where(due, 1.0, share) for share in (turf.alive, turf.headland))
    return Turf(alive, np.where(due, 0.0, turf.seasons), later, headland)


def untended(setting: Setting, turf: Turf, age: IntArray) -> Turf:
    """The sward once nobody cares: an annual that nobody sows again is gone."""
    annual = of_standing(setting, turf.later, "sown_every_year", "habit") > 0
    gone = annual & ~_tended(setting, age)
    return turf._replace(alive=np.where(gone, 0.0, turf.alive), headland=np.where(gone, 0.0, turf.headland))


def _tended(setting: Setting, age: IntArray) -> BoolArray:
    """Where somebody still sows and cares in the season of that age, (candidates,)."""
    return np.asarray(age < setting.plan.agenda.let_go_from)


def rested(setting: Setting, turf: Turf, uses: Uses) -> Uses:
    """Close the ground in a season in which a grass sown lately does not yet bear use; an own herd is then boarded."""
    young = _sown_share(setting.tables.grass, turf)
    if setting.tables.later_grass is not None:
        young = np.where(turf.later, _sown_share(setting.tables.later_grass, turf), young)
    bare = young <= 0
    return uses._replace(
        grazing=uses.grazing & ~bare, cutting=uses.cutting & ~bare, shut_out=uses.shut_out | (uses.grazing & bare)
    )


def _sown_share(grass: Grass, turf: Turf) -> FloatArray:
    return establishment_share(turf.seasons + 1.0, grass.establishment)


def first_grass_again(setting: Setting, year: int, turf: Turf, harvested: BoolArray) -> Turf:
    """Sow the first grass anew after a harvest where the second had taken its place, and book it."""
    due = harvested & turf.later
    perennial = not setting.tables.grass.habit.sown_every_year
    setting.book.post(year, "sward_establishment", setting.plan.geometry.grass_ground, due & perennial)
    return _sown(turf, due, later=turf.later & ~due)


def overseeded(setting: Setting, turf: Turf, age: IntArray, uses: Uses) -> BoolArray:
    """Where a winter annual stands in the grass this year: a perennial of the summer, grazed, from the year stated."""
    if setting.tables.winter_grass is None:
        return np.zeros(setting.plan.candidates, bool)
    base = of_standing(setting, turf.later, "warm_season", "habit") > 0
    perennial = of_standing(setting, turf.later, "sown_every_year", "habit") == 0
    begun = age - setting.plan.start_age >= setting.plan.column("pasture", "overseeded_from_year")
    return np.asarray(base & perennial & begun & uses.grazing & _tended(setting, age))


def winter_nitrogen_lb_ac(setting: Setting) -> FloatArray:
    """Nitrogen meant for the winter annual [lb/ac], (candidates,): as stated, or its usual rate."""
    winter = setting.tables.winter_grass
    usual = winter.overseeding.usual_nitrogen_lb_ac if winter and winter.overseeding else 0.0
    stated = setting.plan.column("pasture", "overseeded_nitrogen_lb_ac")
    return np.where(np.isnan(stated), usual, stated)


def book_sowing(setting: Setting, year: int, turf: Turf, age: IntArray, uses: Uses) -> None:
    """Book the year's sowing of annuals on the grass ground, and the nitrogen bought for the winter annual."""
    book, plan, used = setting.book, setting.plan, uses.grazing | uses.cutting
    ground = plan.geometry.grass_ground * grass_left_share(setting, age)
    pasture = plan.scenarios[0].pasture  # a batch shares its grasses
    annual = of_standing(setting, turf.later, "sown_every_year", "habit") > 0
    for name, stands in ((pasture.grass, ~turf.later), (pasture.later_grass, turf.later)):
        if name in SEEDING_LINES:
            book.post(year, SEEDING_LINES[name], ground, used & annual & stands & _tended(setting, age))
    if pasture.overseeded in SEEDING_LINES:
        sown = overseeded(setting, turf, age, uses)
        book.post(year, SEEDING_LINES[pasture.overseeded], ground, sown)
        pays = setting.terms.owned | setting.terms.by_month
        book.post(year, "nitrogen_grazing", ground * winter_nitrogen_lb_ac(setting), sown & pays)
