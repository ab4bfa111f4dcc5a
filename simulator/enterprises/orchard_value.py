"""What an orchard is worth before its harvest: the nuts of the years left to it, discounted."""

from typing import Final, NamedTuple

import numpy as np

from simulator.accounts import Line
from simulator.units import FloatArray

REST_OF_THE_PLAN: Final = {
    "end_nuts": "nuts",
    "end_nut_harvest": "nut_harvest",
    "end_orchard_care": "orchard_care",
    "end_nut_labour": "nut_labour",
    "end_salvage_wood": "salvage_wood",
    "end_salvage_wood_fee": "salvage_wood_fee",
}
"""End-value lines of an orchard, and the line whose later years each holds."""
WAY_BACK: Final = "end_reconversion"


class Orchard(NamedTuple):
    """The record of one orchard, rows from year 0 to the end of its first cycle or the horizon.

    Attributes
    ----------
    lines, quantity
        Lines of its ledger; their quantities by year [unit of the line/ac], (rows, lines).
    row_in_cycle
        Years since planting, or since a stand was found, at the end of each row, before the row's cut, (rows,).
    trees_per_ac
        Living trees then [1/ac], (rows,).
    cycle_yr
        Row of the first harvest [yr].
    """

    lines: tuple[Line, ...]
    quantity: FloatArray
    row_in_cycle: FloatArray
    trees_per_ac: FloatArray
    cycle_yr: int


def quantities_left(orchard: Orchard, rate: float) -> dict[str, FloatArray]:
    """Quantities that the years left to the harvest bring, discounted to the end of each row.

    Parameters
    ----------
    orchard
        The record.
    rate
        Real yearly discount rate [1/yr].

    Returns
    -------
    dict
        By key of ``REST_OF_THE_PLAN``, per acre, (rows,): pounds, hours and tons, each worth as much today as those of
        all later years of the cycle. A price that multiplies them gives the present value of the plan carried on. A
        later cycle is taken to go as the first did. Nothing where no tree lives.

    References
    ----------
    Present value of the plan carried on; derived, as for :func:`simulator.finance.net_present_value`.
    """
    place = {line.key: i for i, line in enumerate(orchard.lines)}
    due = orchard.quantity[:, [place[key] for key in REST_OF_THE_PLAN.values()]]
    left = np.zeros((orchard.cycle_yr + 1, due.shape[1]))
    for year in range(orchard.cycle_yr - 1, -1, -1):
        left[year] = (left[year + 1] + due[year + 1]) / (1.0 + rate)
    # the ground of a stand that was felled ages on without trees, outside any cycle of this record
    row = orchard.row_in_cycle.astype(int)
    stands = (orchard.trees_per_ac > 0) & (row >= 0) & (row <= orchard.cycle_yr)
    rows = left[np.clip(row, 0, orchard.cycle_yr)] * stands[:, None]
    return dict(zip(REST_OF_THE_PLAN, rows.T, strict=True))


def with_orchard_left(orchard: Orchard, rate: float, horizon: int) -> FloatArray:
    """The ledger's quantities with the worth of the years left to an orchard booked at the horizon.

    Parameters
    ----------
    orchard
        The record.
    rate
        Real yearly discount rate.
    horizon
        Row in which end values are booked.

    Returns
    -------
    FloatArray
        (rows, lines). Its wood and the way back to pasture wait for the harvest, and are discounted like the nuts.
    """
    quantity, place = orchard.quantity.copy(), {line.key: i for i, line in enumerate(orchard.lines)}
    wait = orchard.cycle_yr - int(orchard.row_in_cycle[horizon])
    for key, worth in quantities_left(orchard, rate).items():
        quantity[horizon, place[key]] = worth[horizon]
    if orchard.trees_per_ac[horizon] > 0:
        quantity[horizon, place[WAY_BACK]] /= (1.0 + rate) ** wait
    return quantity
