"""What is spent on the trees beside ordinary care: fertiliser, volunteers cut, fire, gaps planted again."""

import numpy as np

from simulator.enterprises.setting import Setting, has_alley, planted
from simulator.enterprises.stock import book_stock
from simulator.enterprises.year_terms import burning
from simulator.events.inputs import crowded, volunteers_cut_of, volunteers_of
from simulator.state import Stand
from simulator.units import FloatArray

POUNDS_P2O5_PER_POUND_P = 2.29
"""Fertiliser phosphorus is sold as phosphate: molar masses 141.94 / (2 x 30.97)."""


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
    meant = volunteers_cut_of(plan) & (volunteers_of(plan) > 0)
    at_age = (age == events.volunteers.control_age) & planted(plan) & ~crowded(plan, setting.tables, stand)
    book.post(year, "volunteer_control", 1.0, meant & at_age & (plan.agenda.let_go_from > age))
    acres = setting.terms.acres
    book.post(year, "burn", np.maximum(acres, events.burn.least_charged_ac) / acres, burning(setting, stand))


def book_replanting(setting: Setting, year: int, trees: FloatArray) -> None:
    """Book the same planting stock as at first, and its planting in gaps [1/ac], (candidates,)."""
    if not trees.any():
        return
    book, alley = setting.book, has_alley(setting)
    seedlings = book_stock(setting, year, trees)
    book.post(year, "planting_alley", seedlings, alley)
    book.post(year, "planting_plantation", seedlings, ~alley)
    book.post(year, "tree_labour", setting.tables.practice.hours.planting_h_ac, trees > 0)
