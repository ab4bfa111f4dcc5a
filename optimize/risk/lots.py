"""Numbers drawn evenly for what may strike: the same bytes from the same seed, in portions of fixed borders."""

from typing import Final, NamedTuple

import numpy as np

from simulator.parameters.odds import HAZARDS
from simulator.units import FloatArray

CHUNK: Final = 250
"""Draws that share a seed of their own; never a matter of memory or workers, or results would change with them."""
STREAM: Final = 1
"""Keeps these numbers apart from those of the price draws of the same seed."""


class Lots(NamedTuple):
    """Numbers drawn evenly from 0 to 1 for the rows of one chunk; row 0 is year 1.

    Attributes
    ----------
    strikes, severity
        By year and hazard [1], (years, hazards, draws).
    outbreak
        By year [1], (years, draws).
    """

    strikes: FloatArray
    severity: FloatArray
    outbreak: FloatArray


def lots_between(seed: int, first: int, draws: int, years: int) -> Lots:
    """Draw the numbers of so many draws from the beginning of a chunk on, over the borders of further chunks.

    Parameters
    ----------
    seed
        Any whole number from 0 on.
    first
        Place of the first chunk.
    draws
        Draws wanted.
    years
        Years after year 0 [yr].

    Returns
    -------
    Lots
    """
    chunks = [lots_of(seed, number, years) for number in range(first, first - (-draws // CHUNK))]
    return Lots(*(np.concatenate(parts, axis=-1)[..., :draws] for parts in zip(*chunks, strict=True)))


def lots_of(seed: int, number: int, years: int) -> Lots:
    """Draw the numbers of one chunk.

    Parameters
    ----------
    seed
        Any whole number from 0 on.
    number
        Place of the chunk: draws number * CHUNK to (number + 1) * CHUNK - 1.
    years
        Years after year 0 [yr]; more years begin with the same numbers.

    Returns
    -------
    Lots
    """
    generator = np.random.default_rng(np.random.SeedSequence(seed, spawn_key=(STREAM, number)))
    kinds = len(HAZARDS)
    drawn = generator.random((years, 2 * kinds + 1, CHUNK))
    return Lots(drawn[:, :kinds], drawn[:, kinds : 2 * kinds], drawn[:, -1])
