"""What storms, fires, beetles and animals leave of the stand and of the sod, at the end of a season."""

from dataclasses import replace
from typing import NamedTuple

import numpy as np

from simulator.parameters.hazards import FELLING_KINDS, of_species
from simulator.parameters.tables import Tables
from simulator.physics.hazards import MOST_LOST, beetle_probability, lost_share, scorched_share
from simulator.plan import Plan
from simulator.state import Stand, basal_area_ft2_ac, class_trees
from simulator.units import BoolArray, FloatArray, IntArray

REGIONAL = ("ice", "wind")
"""Storms that fell wood over a whole region at once, so that its price falls."""
SEEDLING_KINDS = ("hogs", "deer and rodents", "seedling loss")


class Ground(NamedTuple):
    """What an event meets, (candidates,).

    Attributes
    ----------
    grazed
        Animals grazed this year.
    since_cut
        Years since the last cut.
    height_ft
        Dominant height at the start of the season [ft].
    """

    grazed: BoolArray
    since_cut: FloatArray
    height_ft: FloatArray


class Damage(NamedTuple):
    """What was lost.

    Attributes
    ----------
    stand
        The trees left.
    salvaged
        Killed trees that are sold, by region's and by local events [1/ac], two of (candidates, rows, classes).
    lost_share
        Share of the trees that events killed [1], (candidates,); burns that were meant are not counted.
    ruined
        Where so many are gone that the rest is felled and the land planted again, (candidates,).
    """

    stand: Stand
    salvaged: tuple[FloatArray, FloatArray]
    lost_share: FloatArray
    ruined: BoolArray


def damage_of_year(plan: Plan, tables: Tables, year: int, stand: Stand, ground: Ground) -> Damage:
    """Let the events of a row act on the trees, one kind after another.

    Parameters
    ----------
    plan, tables
        The batch and its numbers.
    year
        Row.
    stand
        At the end of the season.
    ground
        What the events meet.

    Returns
    -------
    Damage
        Trees left and salvaged [1/ac], and the share lost [1].

    References
    ----------
    Form and numbers assumed for this project; they illustrate and forecast nothing.
    """
    salvaged = [np.zeros_like(stand.share), np.zeros_like(stand.share)]
    start = np.maximum(stand.trees.sum(axis=1), 1e-12)
    stand = _burned(plan, tables, stand, ground)
    after_burn = stand.trees.sum(axis=1)
    plan = _met_by_chance(plan, tables, year, stand, ground)
    for kind in FELLING_KINDS:
        if plan.agenda.strikes(kind, year) is None:
            continue
        usual = _usual_loss(plan, tables, kind, stand, ground)
        numbers = getattr(tables.events, kind)
        lost = np.minimum(plan.agenda.share(kind, year, "trees_lost_share", usual), MOST_LOST)
        sold = plan.agenda.share(kind, year, "salvaged_share", numbers.salvaged_share, scaled=False)
        salvaged[kind not in REGIONAL] += class_trees(stand) * (lost * sold)[:, None, None]
        stand = _struck(stand, lost, plan.agenda.share(kind, year, "stems_damaged_share", numbers.damaged_share))
    stand = _seedlings_lost(plan, tables, year, stand)
    lost = (after_burn - stand.trees.sum(axis=1)) / start
    return Damage(stand, (salvaged[0], salvaged[1]), lost, lost > plan.agenda.chances.ruin_share)


def _met_by_chance(plan: Plan, tables: Tables, year: int, stand: Stand, ground: Ground) -> Plan:
    """The batch with the beetles and wildfires in its agenda that find their chance in what stands this year."""
    agenda, chances = plan.agenda, plan.agenda.chances
    if not chances.lot:
        return plan
    quiet = beetle_probability(basal_area_ft2_ac(stand), chances.beetles)
    tame = ground.grazed | _burned_lately(plan, tables, stand)
    likely = {
        "beetles": quiet * chances.outbreak_times.get(year, 1.0),
        "wildfire": np.where(tame, chances.wildfire.tamed, chances.wildfire.rough),
    }
    for kind, probability in likely.items():
        severity = chances.strikes(kind, year, probability)
        if severity is not None and severity.any():
            agenda = agenda.with_severity(kind, year, severity)
    return replace(plan, agenda=agenda)


def _species(plan: Plan) -> str:
    """Scenarios of one batch share their species; open pasture has no trees to lose."""
    return next((scenario.trees.species for scenario in plan.scenarios if scenario.trees), "loblolly")


def _burning(plan: Plan, age: IntArray) -> BoolArray:
    return np.asarray(plan.agenda.burn[np.arange(plan.candidates), age])


def _burned(plan: Plan, tables: Tables, stand: Stand, ground: Ground) -> Stand:
    """Trees that a prescribed burn of this year killed."""
    due = _burning(plan, stand.age)
    if not due.any():
        return stand
    events = tables.events
    most = events.burn.most_lost * of_species(events.scorch_by_species, _species(plan))
    share = np.where(due, scorched_share(ground.height_ft, events.burn.safe_height_ft, most), 0.0)
    return replace(stand, trees=stand.trees * (1.0 - share)[:, None])


def _usual_loss(plan: Plan, tables: Tables, kind: str, stand: Stand, ground: Ground) -> FloatArray:
    """Ordinary loss of the trees to one kind of event [1], (candidates,)."""
    events = tables.events
    factor = of_species(getattr(events, f"{kind}_by_species"), _species(plan))
    since = np.where(stand.thinnings > 0, ground.since_cut, np.inf)
    usual = lost_share(stand.age, since, factor, getattr(events, kind))
    if kind != "wildfire":
        return usual
    tame = (ground.grazed | _burned_lately(plan, tables, stand)) & (stand.age >= events.wildfire.young_from)
    return np.where(tame, events.fuel.tamed_factor, 1.0) * usual


def _burned_lately(plan: Plan, tables: Tables, stand: Stand) -> BoolArray:
    lately = int(tables.events.fuel.burned_lately_yr)
    return np.asarray(np.any([_burning(plan, np.maximum(stand.age - ago, 0)) for ago in range(lately + 1)], axis=0))


def _struck(stand: Stand, lost: FloatArray, damaged: FloatArray) -> Stand:
    """The trees and their grade once an event took its share of both."""
    return replace(
        stand,
        trees=stand.trees * (1.0 - lost)[:, None],
        grade=stand.grade * (1.0 - damaged)[:, None, None],
    )


def _seedlings_lost(plan: Plan, tables: Tables, year: int, stand: Stand) -> Stand:
    """Seedlings eaten, rooted up or dead; older trees are out of reach."""
    young = tables.events.young
    usual = {
        "hogs": young.hogs_seedlings_lost_share,
        "deer and rodents": young.browsed_share,
        "seedling loss": young.seedling_loss_share,
    }
    small = stand.age <= young.seedling_years
    for kind in SEEDLING_KINDS:
        if plan.agenda.strikes(kind, year) is not None:
            share = np.minimum(plan.agenda.share(kind, year, "trees_lost_share", usual[kind]), MOST_LOST)
            stand = replace(stand, trees=stand.trees * np.where(small, 1.0 - share, 1.0)[:, None])
    return stand


def sod_kept_share(plan: Plan, tables: Tables, year: int) -> FloatArray:
    """Share of the sward that hogs leave unturned this year [1], (candidates,)."""
    if plan.agenda.strikes("hogs", year) is None:
        return np.ones(plan.candidates)
    return 1.0 - plan.agenda.share("hogs", year, "grass_lost_share", tables.events.young.hogs_sod_lost_share)


def drought_forage_share(plan: Plan, tables: Tables, year: int) -> FloatArray:
    """Forage of this year against an ordinary one [1], (candidates,)."""
    if plan.agenda.strikes("drought", year) is None:
        return np.ones(plan.candidates)
    return 1.0 - plan.agenda.share("drought", year, "grass_lost_share", tables.events.young.drought_forage_lost_share)
