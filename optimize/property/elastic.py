"""Limits that may be missed at a price: by how much, and which of them have to be."""

from collections.abc import Iterable
from typing import NamedTuple

import numpy as np
from scipy import sparse

from optimize.property.system import Extras, System
from simulator.units import FloatArray, IntArray


class Soft(NamedTuple):
    """A problem in which some limits may be missed, and nothing counts but by how much.

    Attributes
    ----------
    system
        Its worth is minus what is missed, each limit as a share of its size.
    limits
        Rows that may be missed.
    places
        The quantity, among the extras, by which each is missed.
    """

    system: System
    limits: IntArray
    places: IntArray

    def missed(self, extras: FloatArray) -> FloatArray:
        """By how much each limit is missed, in its own unit."""
        return extras[self.places]


def softened(system: System, families: Iterable[str]) -> Soft:
    """Let the limits of some couplings be missed, all others held.

    Parameters
    ----------
    system
        The problem.
    families
        Couplings whose limits may be missed.

    Returns
    -------
    Soft
        A problem whose worth is minus what is missed, each limit as a share of its size [1].

    References
    ----------
    Elastic rows: common practice of linear programming.
    """
    limits = np.concatenate([np.zeros(0, np.int64), *(system.of_family(family) for family in families)])
    count, before = len(limits), len(system.extras.low)
    up = np.where(np.isfinite(system.low[limits]), 1.0, -1.0)
    size = np.maximum(1.0, np.abs(np.where(up > 0, system.low[limits], system.high[limits])))
    slack = sparse.csr_array((up, (limits, np.arange(count))), (len(system.rows), count))
    none = np.zeros(count)
    old = system.extras
    extras = Extras(
        low=np.append(old.low, none),
        high=np.append(old.high, np.full(count, np.inf)),
        value=np.append(np.zeros(before), -1.0 / size),
        binary=np.append(old.binary, none.astype(bool)),
    )
    on_extras = sparse.csr_array(sparse.hstack([system.on_extras, slack]))
    relaxed = system._replace(value=np.zeros(len(system.value)), extras=extras, on_extras=on_extras)
    return Soft(relaxed, limits, np.arange(before, before + count))
