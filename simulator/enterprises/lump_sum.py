"""Timber sold for a lump sum: paid at signing, a year before the loggers come."""

import numpy as np

from simulator.enterprises.dry_access import is_timber
from simulator.enterprises.extra import Ledger
from simulator.units import FloatArray

MARK = "_lump_sum"
AFTER_EVENTS = "_salvage_"
"""In the keys of wood sold after storms, fires and beetles."""


def with_lump_sums(ledger: Ledger) -> Ledger:
    """Move each line of wood sold, its costs on the way to the mill with it, to one at the lump-sum price, in its row.

    Parameters
    ----------
    ledger
        As grown.

    Returns
    -------
    Ledger
        Its lines end in ``_lump_sum`` and are paid when :func:`paid_at_signing` has moved them.
    """
    quantity = ledger.quantity.copy()
    sold = [
        place
        for place, line in enumerate(ledger.lines)
        if is_timber(line)
        and line.account != "end value"
        # nobody signs for storm-killed wood a year before the storm
        and AFTER_EVENTS not in line.key
    ]
    quantity[:, sold] = 0.0
    moved = ledger._replace(quantity=quantity)
    for place in sold:
        line = ledger.lines[place]
        whole = line._replace(key=f"{line.key}{MARK}", prices=(*line.prices, "lump_sum_factor"))
        moved = moved.joined(whole, ledger.quantity[:, place])
    return moved


def paid_at_signing(ledger: Ledger, quantity: FloatArray) -> FloatArray:
    """Quantities with lump sums a row earlier, (rows, lines).

    Parameters
    ----------
    ledger
        Whose lines.
    quantity
        Rows of the horizon or of one cycle. A cut after the last row is not in it, so a sale that would be
        signed in the horizon and cut beyond it counts as standing trees there, not twice.

    Returns
    -------
    FloatArray
    """
    early = np.array([line.key.endswith(MARK) for line in ledger.lines])
    if not early.any():
        return quantity
    moved = quantity.copy()
    moved[:, early] = 0.0
    moved[:-1, early] += quantity[1:, early]
    moved[0, early] += quantity[0, early]
    return moved
