"""Every pathway of every tract side by side, whole tracts and not acres, and which of them can be left out."""

from collections.abc import Sequence
from functools import cached_property
from typing import NamedTuple

import numpy as np

from optimize.tracts import TractColumns
from simulator.units import BoolArray, FloatArray, IntArray


class Pool:
    """Pathways of all tracts in one row, tract by tract.

    Attributes
    ----------
    tracts
        The tracts.
    start
        First pathway of each tract and, last, how many there are, (tracts + 1,).
    tract
        Tract of each pathway, (pathways,).
    """

    def __init__(self, tracts: Sequence[TractColumns]) -> None:
        self.tracts = tuple(tracts)
        counts = [len(tract.labels) for tract in self.tracts]
        self.start: IntArray = np.concatenate(([0], np.cumsum(counts))).astype(np.int64)
        self.tract: IntArray = np.repeat(np.arange(len(self.tracts)), counts)

    def __len__(self) -> int:
        """How many pathways there are."""
        return int(self.start[-1])

    @cached_property
    def acres(self) -> FloatArray:
        """Acres of the tract of each pathway [ac], (pathways,)."""
        return np.array([tract.acres for tract in self.tracts])[self.tract]

    @cached_property
    def value(self) -> FloatArray:
        """Worth of each pathway [$], (pathways,)."""
        return np.concatenate([tract.value_per_ac for tract in self.tracts]) * self.acres

    @property
    def years(self) -> int:
        """Rows of a flow."""
        return int(next(iter(self.tracts[0].flows_per_ac.values())).shape[1])

    def flow(self, name: str) -> FloatArray:
        """A flow of each pathway by year, of the whole tract, (pathways, years)."""
        per_ac = np.concatenate([tract.flows_per_ac[name] for tract in self.tracts])
        return np.asarray(per_ac * self.acres[:, None])

    def best_each(self) -> IntArray:
        """The pathway worth most of each tract, (tracts,)."""
        return np.array(
            [first + np.argmax(self.value[first:end]) for first, end in zip(self.start, self.start[1:], strict=False)]
        )

    def kept(self, keep: BoolArray) -> "Pool":
        """Only some of the pathways."""
        parts = np.split(keep, self.start[1:-1])
        return Pool([_only(tract, part) for tract, part in zip(self.tracts, parts, strict=True)])


def _only(tract: TractColumns, keep: BoolArray) -> TractColumns:
    places = np.flatnonzero(keep)
    return tract._replace(
        labels=tuple(tract.labels[i] for i in places),
        value_per_ac=tract.value_per_ac[places],
        flows_per_ac={name: flow[places] for name, flow in tract.flows_per_ac.items()},
        scenarios=tuple(tract.scenarios[i] for i in places) if tract.scenarios else (),
    )


class Profile(NamedTuple):
    """What the couplings see of each pathway.

    Attributes
    ----------
    better
        Quantities of which more never hurts, (pathways, m).
    alike
        Quantities of which neither more nor less is better, (pathways, k).
    """

    better: FloatArray
    alike: FloatArray


def undominated(pool: Pool, profile: Profile) -> BoolArray:
    """Which pathways could be part of a best plan, (pathways,).

    A pathway is left out where another of the same tract is worth no less and has no less of whatever never hurts,
    and is the same in everything else that a coupling sees; of equals the first stays.

    Parameters
    ----------
    pool
        The pathways.
    profile
        What the couplings see of them.

    Returns
    -------
    BoolArray

    References
    ----------
    Dominance: whatever plan holds the pathway is no better than the same plan with the other; re-derived.
    """
    keep = np.ones(len(pool), bool)
    better = np.column_stack([pool.value, profile.better])
    for first, end in zip(pool.start, pool.start[1:], strict=False):
        keep[first:end] = _front(better[first:end], profile.alike[first:end])
    return keep


def _front(better: FloatArray, alike: FloatArray) -> BoolArray:
    """Undominated rows of one tract, (n,)."""
    sums = better.sum(axis=1)
    # whoever dominates has the greater sum, or is an equal that stands first
    order = np.lexsort((np.arange(len(sums)), -sums))
    same = np.unique(alike, axis=0, return_inverse=True)[1].reshape(-1) if alike.shape[1] else np.zeros(len(sums), int)
    keep = np.zeros(len(sums), bool)
    for i in order:
        rivals = np.flatnonzero(keep & (same == same[i]))
        rivals = rivals[better[rivals, 0] >= better[i, 0]]
        if not (len(rivals) and (better[rivals] >= better[i]).all(axis=1).any()):
            keep[i] = True
    return keep
