"""One cycle of a plan as it repeats: what is paid once is paid once, and the last row plants again."""

from typing import NamedTuple

import numpy as np

from simulator.engine import Simulation
from simulator.enterprises.extra import Ledger
from simulator.measures import END_VALUE
from simulator.schedule import NEVER
from simulator.units import FloatArray

PAID_ONCE = ("sward_establishment", "land_clearing")
"""Lines that no later cycle pays again."""


class Cycle(NamedTuple):
    """Quantities of one cycle by year and line, and how later plantings differ from that of year 0."""

    quantity: FloatArray
    replanting: FloatArray


def cycle_of(simulation: Simulation, i: int, book: Ledger) -> Cycle:
    """The cycle that a plan repeats for ever.

    Parameters
    ----------
    simulation
        What grew.
    i
        Place of the plan in the batch.
    book
        Its ledger with the owner's lines.

    Returns
    -------
    Cycle
        Of a stand that was found its own years, which come once.
    """
    plan, scenario = simulation.setting.plan, simulation.setting.plan.scenarios[i]
    end = np.array([line.account == END_VALUE for line in book.lines])
    cycle = int(plan.calendar.harvest_age[i] - plan.start_age[i])
    paid_once = np.array([line.key in PAID_ONCE for line in book.lines])
    if plan.standing[i]:
        return Cycle(np.where(end, 0.0, book.quantity[: cycle + 1]), np.zeros(len(book.lines)))
    if cycle < NEVER:
        # every later cycle begins with the replanting, not with what was planted and paid for in year 0
        whole = np.where(end, 0.0, book.quantity[: cycle + 1])
        bought = simulation.setting.book.herd.bought
        # the first sowing is paid once, wherever it falls; that of another grass later comes again in each cycle
        first = np.where(paid_once, whole[: scenario.pasture.sown_year + 1].sum(axis=0), whole[0])
        once = np.where([line.key == bought for line in book.lines], 0.0, first)
        # a herd boarded from year 0 is sold at each harvest, so it is bought anew in each cycle
        whole[cycle] += book.replanting * (cycle >= plan.horizon) - once
        return Cycle(whole, book.replanting - once)
    # pasture too is sown and cleared once, not in every horizon that is repeated
    rows = slice(0, plan.horizon + 1)
    once = np.where(paid_once, book.quantity[rows].sum(axis=0), 0.0)
    whole = book.quantity[rows].copy()
    whole[-1] -= once
    return Cycle(whole, -once)
