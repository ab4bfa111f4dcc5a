"""The quantities of one plan as they are priced: over the horizon, and over one cycle as it repeats."""

import numpy as np

from simulator.enterprises.extra import Ledger
from simulator.enterprises.lump_sum import paid_at_signing
from simulator.measures import END_VALUE, Flows
from simulator.schedule import NEVER
from simulator.simulation import Simulation

PAID_ONCE = ("sward_establishment", "land_clearing")
"""Lines that no later cycle pays again."""


def flows_of(simulation: Simulation, i: int, book: Ledger) -> Flows:
    """Lay the ledger of one plan out as its horizon and its cycle.

    Parameters
    ----------
    simulation
        What grew.
    i
        Place of the plan in the batch.
    book
        Its ledger with the owner's lines, rows 0 to the last year simulated.

    Returns
    -------
    Flows
        Quantities by year and line [unit of the line/ac]; the last row of a cycle replants and takes off what was paid
        once.

    References
    ----------
    Faustmann 1849 (from memory), for costs that differ between the first cycle and all later ones; derived.
    """
    plan, grown = simulation.setting.plan, simulation.setting.book
    rows, scenario = slice(0, plan.horizon + 1), plan.scenarios[i]
    end = np.array([line.account == END_VALUE for line in book.lines])
    cycle = int(plan.calendar.harvest_age[i] - plan.start_age[i])
    paid_once = np.array([line.key in PAID_ONCE for line in book.lines])
    if plan.standing[i]:
        whole, repeated = np.where(end, 0.0, book.quantity[: cycle + 1]), np.zeros(len(book.lines))
    elif cycle < NEVER:
        # every later cycle begins with the replanting, not with what was planted and paid for in year 0
        whole = np.where(end, 0.0, book.quantity[: cycle + 1])
        bought = grown.herd.bought
        # the first sowing is paid once, wherever it falls; that of another grass later comes again in each cycle
        first = np.where(paid_once, whole[: scenario.pasture.sown_year + 1].sum(axis=0), whole[0])
        once = np.where([line.key == bought for line in book.lines], 0.0, first)
        # a herd boarded from year 0 is sold at each harvest, so it is bought anew in each cycle
        whole[cycle] += book.replanting * (cycle >= plan.horizon) - once
        repeated = book.replanting - once
    else:
        # pasture too is sown and cleared once, not in every horizon that is repeated
        once = np.where(paid_once, book.quantity[rows].sum(axis=0), 0.0)
        whole, repeated = book.quantity[rows].copy(), -once
        whole[-1] -= once
    horizon, repeats = paid_at_signing(book, book.quantity[rows]), paid_at_signing(book, whole)
    return Flows(book.lines, horizon, repeats, repeated)
