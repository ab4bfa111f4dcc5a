"""The universal kernel: light through a line of equal, equally spaced, randomly thinned ellipsoids.

A ray plane that meets crowns of longest optical path a, half length b (in spacings) and keep-share p lets through

    F(a, b, p) = < prod_j [1 - p + p exp(-a sqrt(1 - ((y - j)/b)^2))] >_y

averaged over the position y along the row. -ln F / (a b p) is smooth from the thinnest foliage to opaque crowns and
from lone to endlessly overlapping ones, so it is tabulated once and interpolated linearly.
"""

from functools import cache
from typing import Final

import numpy as np

from simulator.physics.light.rays import Reals
from simulator.units import FloatArray, IntArray

_DEPTH_NODES: Final = 81
_OVERLAP_NODES: Final = 73
_KEEP_NODES: Final = 17
_PLACES: Final = 64
_DEEPEST: Final = 198.0
"""Optical depth at the end of its axis: opaque."""
_LEAST_KEEP: Final = 1e-6
_LOGGED_AT_ONCE: Final = 3
"""Crowns whose openings are multiplied before the logarithm is taken: as many opaque ones are still above 0."""
_CONTINUOUS_OVERLAP: Final = 4.0
"""Overlap from which a line of crowns is as even as a continuous hedge (F differs by less than 2e-4)."""


def to_axis(value: Reals) -> Reals:
    """Bring a number from 0 up onto an axis from 0 to 1; one half, where crowns begin to overlap, comes to one third.

    Parameters
    ----------
    value
        Half the optical depth or the overlap [1], any shape.

    Returns
    -------
    Reals
        Place on the axis [1], same shape.

    References
    ----------
    A device of this project, so that a table interpolates well.
    """
    return value / (value + 1.0)


def from_axis(place: FloatArray) -> FloatArray:
    """Undo :func:`to_axis`.

    Parameters
    ----------
    place
        Place on the axis [1], any shape.

    Returns
    -------
    FloatArray
        Half the optical depth or the overlap [1], same shape.

    References
    ----------
    As for :func:`to_axis`.
    """
    rest = 1.0 - place
    return np.where(rest > 0.0, place / np.where(rest > 0.0, rest, 1.0), np.inf)


def keep_to_axis(keep: Reals) -> Reals:
    """Map keep-share to an axis that is finest where no tree is missing.

    Parameters
    ----------
    keep
        Keep-share [1], 0 to 1, any shape.

    Returns
    -------
    Reals
        Place on the axis [1], 0 to 1, same shape.

    References
    ----------
    As for :func:`to_axis`.
    """
    return np.asarray(1.0 - np.sqrt(1.0 - keep))


def keep_from_axis(place: FloatArray) -> FloatArray:
    """Undo :func:`keep_to_axis`.

    Parameters
    ----------
    place
        Place on the axis [1], 0 to 1, any shape.

    Returns
    -------
    FloatArray
        Keep-share [1], same shape.

    References
    ----------
    As for :func:`to_axis`.
    """
    return 1.0 - (1.0 - place) ** 2


@cache
def kernel() -> FloatArray:
    """Return -ln F / (a b p) at the nodes of depth, overlap and keep-share, made once.

    Returns
    -------
    FloatArray
        Table [1], (depth nodes, overlap nodes, keep nodes).

    References
    ----------
    Derived for this project; the limits of few, many and opaque crowns are in the tests.
    """
    depth = 2.0 * from_axis(np.linspace(0.0, _deepest_place(), _DEPTH_NODES))
    overlap = from_axis(np.linspace(0.0, 1.0, _OVERLAP_NODES))
    keep = np.maximum(keep_from_axis(np.linspace(0.0, 1.0, _KEEP_NODES)), _LEAST_KEEP)
    some, kept = depth[1:, None], keep[None, :]
    table = np.full((_DEPTH_NODES, _OVERLAP_NODES, _KEEP_NODES), np.pi / 2.0)
    continuous = _continuous(some, kept)
    single = 2.0 * _mean_absorbed(some)
    table[1:, 0] = single / some
    for node, spots in enumerate(overlap[1:], start=1):
        if spots <= 0.5:
            table[1:, node] = -np.log1p(-spots * kept * single) / (some * spots * kept)
        elif spots < _CONTINUOUS_OVERLAP:
            table[1:, node] = _overlapping(some, spots, kept) / (some * spots * kept)
        else:
            table[1:, node] = continuous
    return table


def _deepest_place() -> float:
    return float(to_axis(np.asarray(0.5 * _DEEPEST)))


def _half_circle() -> tuple[FloatArray, FloatArray]:
    """Gauss nodes: chords of the unit half circle [1] and the share of the radius each stands for."""
    node, weight = np.polynomial.legendre.leggauss(_PLACES)
    angle = np.pi / 4.0 * (node + 1.0)
    return np.cos(angle), np.pi / 4.0 * weight * np.cos(angle)


def _mean_absorbed(depth: FloatArray) -> FloatArray:
    chord, share = _half_circle()
    absorbed = -np.expm1(-depth[..., None] * chord)
    return np.asarray(absorbed @ share)


def _continuous(depth: FloatArray, keep: FloatArray) -> FloatArray:
    chord, share = _half_circle()
    open_share = (1.0 - keep)[..., None] + keep[..., None] * np.exp(-depth[..., None] * chord)
    return np.asarray(-2.0 * np.log(open_share) @ share / (depth * keep))


def _chords(overlap: float) -> FloatArray:
    """Chords (places, crowns) [1] of the crowns that reach over any place between two planting spots."""
    place = (np.arange(_PLACES) + 0.5) / (2.0 * _PLACES)
    reach = int(np.ceil(overlap)) + 1
    distance = (place[:, None] - np.arange(-reach, reach + 1)) / overlap
    chord = np.sqrt(np.maximum(1.0 - distance**2, 0.0))
    return np.asarray(chord[:, chord.any(axis=0)])


def _overlapping(depth: FloatArray, overlap: float, keep: FloatArray) -> FloatArray:
    total = np.zeros((*np.broadcast_shapes(depth.shape, keep.shape), _PLACES))
    gone, kept, chords = (1.0 - keep)[..., None], keep[..., None], _chords(overlap).T
    for first in range(0, len(chords), _LOGGED_AT_ONCE):
        open_share = np.ones_like(total)
        for chord in chords[first : first + _LOGGED_AT_ONCE]:
            open_share *= gone + kept * np.exp(-depth[..., None] * chord)
        total -= np.log(open_share)
    least = total.min(axis=-1)
    return np.asarray(least - np.log(np.exp(least[..., None] - total).mean(axis=-1)))


def keep_slice(keep: float) -> FloatArray:
    """Return the table of one keep-share.

    Parameters
    ----------
    keep
        Keep-share [1], 0 to 1.

    Returns
    -------
    FloatArray
        -ln F / (a b) [1], (depth nodes, overlap nodes).
    """
    place = float(keep_to_axis(np.asarray(keep))) * (_KEEP_NODES - 1)
    below = min(int(place), _KEEP_NODES - 2)
    table = kernel()
    return keep * (table[..., below] + (place - below) * (table[..., below + 1] - table[..., below]))


def optical_depth(table: FloatArray, depth: FloatArray, overlap: FloatArray) -> FloatArray:
    """Return -ln F from one keep-share's table.

    Parameters
    ----------
    table
        Table of `keep_slice`.
    depth, overlap
        Longest optical path through a crown and its half length in spacings [1], any equal shape.

    Returns
    -------
    FloatArray
        Optical depth of the line of crowns [1], same shape.
    """
    depth = np.minimum(depth, _DEEPEST)
    row, row_part = _split(to_axis(0.5 * depth) / _deepest_place(), _DEPTH_NODES)
    column, column_part = _split(to_axis(overlap), _OVERLAP_NODES)
    flat, corner = table.ravel(), row * _OVERLAP_NODES + column
    low = flat[corner] + column_part * (flat[corner + 1] - flat[corner])
    corner += _OVERLAP_NODES
    high = flat[corner] + column_part * (flat[corner + 1] - flat[corner])
    return np.asarray(depth * overlap * (low + row_part * (high - low)))


def _split(axis: Reals, nodes: int) -> tuple[IntArray, FloatArray]:
    place = np.asarray(axis * (nodes - 1), dtype=np.float64)
    below: IntArray = np.minimum(place.astype(np.int64), nodes - 2)
    return below, place - below
