"""The problem as arrays: pathways chosen or not, extra quantities such as a herd, and rows that tie them together."""

from collections.abc import Sequence
from typing import Any, Final, NamedTuple

import numpy as np
from scipy import sparse

from simulator.units import BoolArray, FloatArray, IntArray

NO_LIMIT: Final = np.inf
THOUSAND: Final = 1000.0
"""Money is reckoned in thousands of dollars, so that the solver's tolerances are cents of them."""


class Row(NamedTuple):
    """What one row says.

    Attributes
    ----------
    family
        The coupling it belongs to.
    words
        What is limited and when, such as ``money on hand in year 3``.
    unit
        Of what falls short or goes over.
    soft
        Whether the row is a limit, which can be relaxed to see what it costs; a definition cannot.
    gain
        The step that its shadow price is told for, such as ``another $1,000 in year 3``; empty where it is not told.
    step
        That step in the row's own unit.
    """

    family: str
    words: str
    unit: str = ""
    soft: bool = False
    gain: str = ""
    step: float = 1.0


class Extras(NamedTuple):
    """Quantities beside the pathways, (k,) each.

    Attributes
    ----------
    low, high
        Bounds.
    value
        Worth of a unit [1,000 $].
    binary
        Whether it is 0 or 1.
    """

    low: FloatArray
    high: FloatArray
    value: FloatArray
    binary: BoolArray


class System(NamedTuple):
    """Choose one pathway for each tract so that the sum of values is greatest and every row holds.

    Attributes
    ----------
    value
        Worth of each pathway [1,000 $], (n,).
    tract
        Its tract, (n,).
    tracts
        How many tracts there are.
    extras
        The other quantities, (k,).
    names
        Places of the other quantities by name.
    rows
        What each row says, (m,).
    on_pathways, on_extras
        Coefficients, sparse (m, n) and (m, k).
    low, high
        Limits of each row, (m,).
    """

    value: FloatArray
    tract: IntArray
    tracts: int
    extras: Extras
    names: dict[str, IntArray]
    rows: tuple[Row, ...]
    on_pathways: "sparse.csc_array"
    on_extras: "sparse.csr_array"
    low: FloatArray
    high: FloatArray

    @property
    def families(self) -> tuple[str, ...]:
        """Couplings that have limits, in the order of their rows."""
        return tuple(dict.fromkeys(row.family for row in self.rows if row.soft))

    def of_family(self, family: str) -> IntArray:
        """Places of the limits of one coupling."""
        return np.array([i for i, row in enumerate(self.rows) if row.family == family and row.soft], dtype=np.int64)


class OnExtras(NamedTuple):
    """Coefficients on extra quantities: row counted within its block, place of the quantity, coefficient."""

    row: IntArray
    place: IntArray
    coefficient: FloatArray


def on(row: Sequence[int] | IntArray, place: IntArray, coefficient: float | FloatArray) -> OnExtras:
    """Coefficients on extra quantities, a single number spread over all."""
    spread = np.broadcast_to(np.asarray(coefficient, dtype=np.float64), np.shape(place))
    return OnExtras(np.asarray(row, dtype=np.int64), place, spread)


class Builder:
    """Collects quantities and rows block by block.

    Attributes
    ----------
    money, hours
        What extra quantities bring [1,000 $] and take [h] by year, for whichever coupling counts it.
    names
        Places of the extra quantities by name.
    """

    def __init__(self, pathways: int) -> None:
        self._pathways = pathways
        self._extras: list[tuple[FloatArray, FloatArray, FloatArray, BoolArray]] = []
        self._rows: list[Row] = []
        self._on_pathways: list[sparse.csr_array] = []
        self._on_extras: list[OnExtras] = []
        self._limits: list[tuple[FloatArray, FloatArray]] = []
        self.names: dict[str, IntArray] = {}
        self.money: list[OnExtras] = []
        self.hours: list[OnExtras] = []

    def quantity(
        self,
        name: str,
        count: int,
        *,
        low: float | FloatArray = 0.0,
        high: float | FloatArray = NO_LIMIT,
        value: float | FloatArray = 0.0,
        binary: bool = False,
    ) -> IntArray:
        """Add so many extra quantities; return their places."""
        first = sum(len(block[0]) for block in self._extras)
        spread = [np.broadcast_to(np.asarray(part, dtype=np.float64), (count,)) for part in (low, high, value)]
        self._extras.append((spread[0], spread[1], spread[2], np.full(count, binary)))
        self.names[name] = np.arange(first, first + count)
        return self.names[name]

    def add(
        self,
        rows: Sequence[Row],
        on_pathways: "FloatArray | sparse.sparray | None" = None,
        on_extras: Sequence[OnExtras] = (),
        *,
        low: float | FloatArray = -NO_LIMIT,
        high: float | FloatArray = NO_LIMIT,
    ) -> None:
        """Add a block of rows; coefficients on pathways are (rows, pathways)."""
        block: Any = sparse.csr_array((len(rows), self._pathways)) if on_pathways is None else on_pathways
        first = len(self._rows)
        self._rows += rows
        self._on_pathways.append(sparse.csr_array(block))
        self._on_extras += [part._replace(row=part.row + first) for part in on_extras]
        limits = [np.broadcast_to(np.asarray(part, dtype=np.float64), (len(rows),)) for part in (low, high)]
        self._limits.append((limits[0], limits[1]))

    def system(self, value: FloatArray, tract: IntArray) -> System:
        """The finished problem; values of the pathways in 1,000 $."""
        none = np.zeros(0)
        low, high, worth = (np.concatenate([none, *(block[i] for block in self._extras)]) for i in range(3))
        extras = Extras(low, high, worth, np.concatenate([none.astype(bool), *(block[3] for block in self._extras)]))
        shape = (len(self._rows), len(extras.low))
        parts = [np.concatenate(part) for part in zip(*self._on_extras, strict=True)] if self._on_extras else None
        on_extras = (
            sparse.csr_array(shape) if parts is None else sparse.csr_array((parts[2], (parts[0], parts[1])), shape)
        )
        empty = sparse.csr_array((0, self._pathways))
        on_pathways = sparse.csc_array(sparse.vstack([empty, *self._on_pathways]))
        on_pathways.eliminate_zeros()
        limits = [np.concatenate([np.zeros(0), *(block[i] for block in self._limits)]) for i in (0, 1)]
        count = int(tract.max()) + 1
        return System(
            value, tract, count, extras, self.names, tuple(self._rows), on_pathways, on_extras, limits[0], limits[1]
        )
