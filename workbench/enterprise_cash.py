"""What each enterprise of a system brings and costs, year by year."""

from typing import Final

import numpy as np

from simulator.measures import END_VALUE
from simulator.result import Outcome
from simulator.units import FloatArray
from workbench.look import ENTERPRISE_COLOR

OTHERS: Final = "other income"


def net_by_enterprise(outcome: Outcome) -> dict[str, FloatArray]:
    """Sales less costs of each enterprise by year [$/ac], end values left out.

    Parameters
    ----------
    outcome
        A system.

    Returns
    -------
    dict
        Enterprises that have any money, in the order of the ledger, then those a person named, together; they
        add up to the system's cash.
    """
    lines, amount = outcome.flows.lines, outcome.amount
    found = {}
    for name in ENTERPRISE_COLOR:
        mine = np.array([line.enterprise == name and line.account != END_VALUE for line in lines])
        if amount[:, mine].any():
            found[name] = np.asarray(amount[:, mine].sum(axis=1))
    others = np.array([line.enterprise not in ENTERPRISE_COLOR and line.account != END_VALUE for line in lines])
    if amount[:, others].any():
        found[OTHERS] = np.asarray(amount[:, others].sum(axis=1))
    return found
