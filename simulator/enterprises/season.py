"""The terms of one year: months closed to animals after a cut or for a burn, and what a drought does to the herd."""

import numpy as np

from simulator.enterprises.setting import Setting, has_alley, planted
from simulator.events.inputs import crowded, of_trees
from simulator.state import Stand
from simulator.units import BoolArray, FloatArray

POUNDS_P2O5_PER_POUND_P = 2.29
"""Fertiliser phosphorus is sold as phosphate: molar masses 141.94 / (2 x 30.97)."""


def burning(setting: Setting, stand: Stand) -> BoolArray:
    """Where a prescribed burn is due before the season of the stand's next year, (candidates,)."""
    return np.asarray(setting.plan.agenda.burn[np.arange(setting.plan.candidates), stand.age + 1])


def setting_of_year(setting: Setting, year: int, stand: Stand, since_cut: FloatArray) -> Setting:
    """The batch with this year's terms of grazing.

    Parameters
    ----------
    setting
        The batch.
    year
        Row.
    stand
        At the start of the year.
    since_cut
        Years since the last cut; 0 in the year after it.

    Returns
    -------
    Setting
        A drought leaves an own herd as it is, fed on bought hay, or sells it down to the grass at once.
    """
    plan, terms, tables = setting.plan, setting.terms, setting.tables
    after_cut = np.where(since_cut == 0.0, tables.practice.ground.months_without_grazing_after_cut, 0.0)
    rest = np.where(burning(setting, stand), tables.events.burn.rest_months, 0.0)
    change, severity = terms.change_share, plan.agenda.strikes("drought", year)
    if severity is not None:
        sold = plan.agenda.destock.get(year, np.zeros(plan.candidates, bool))
        change = np.where(severity > 0, np.where(sold, 1.0, 0.0), change)
    return setting._replace(terms=terms._replace(change_share=change, closed_months=np.maximum(after_cut, rest)))


def book_drought(setting: Setting, year: int, before: FloatArray, after: FloatArray) -> None:
    """Book what breeding cows sold in a drought bring less than at other times [head], (candidates,)."""
    severity, animals = setting.plan.agenda.strikes("drought", year), setting.tables.animals
    if severity is not None and animals is not None and animals.herd is not None:
        sold = np.maximum(before - after, 0.0) / setting.terms.acres
        setting.book.post(year, "drought_discount", sold, severity > 0)


def book_inputs(setting: Setting, year: int, stand: Stand) -> None:
    """Book fertiliser for the trees, the control of volunteers and the prescribed burn of a year.

    Parameters
    ----------
    setting
        The batch.
    year
        Row.
    stand
        At the start of the year.
    """
    book, plan, events = setting.book, setting.plan, setting.tables.events
    here, age = np.arange(plan.candidates), stand.age + 1
    nitrogen, phosphorus = plan.agenda.nitrogen_lb_ac[here, age], plan.agenda.phosphorus_lb_ac[here, age]
    book.post(year, "tree_nitrogen", nitrogen)
    book.post(year, "tree_phosphate", phosphorus * POUNDS_P2O5_PER_POUND_P)
    book.post(year, "tree_fertiliser_spreading", 1.0, (nitrogen > 0) | (phosphorus > 0))
    meant = (of_trees(plan, "control_volunteers", 1.0) == 1) & (of_trees(plan, "volunteers_per_ac", 0.0) > 0)
    at_age = (age == events.volunteers.control_age) & planted(plan) & ~crowded(plan, setting.tables, stand)
    book.post(year, "volunteer_control", 1.0, meant & at_age & (plan.agenda.let_go_from > age))
    acres = setting.terms.acres
    book.post(year, "burn", np.maximum(acres, events.burn.least_charged_ac) / acres, burning(setting, stand))


def book_replanting(setting: Setting, year: int, seedlings: FloatArray) -> None:
    """Book seedlings and their planting in gaps [1/ac], (candidates,)."""
    book, alley = setting.book, has_alley(setting)
    book.post(year, "seedlings", seedlings / 1000.0)
    book.post(year, "planting_alley", seedlings, alley)
    book.post(year, "planting_plantation", seedlings, ~alley)
    book.post(year, "tree_labour", setting.tables.practice.hours.planting_h_ac, seedlings > 0)
