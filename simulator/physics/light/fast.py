"""The fast path: few rays, and all images of a row summed in closed form.

Across a crown's shadow the optical depth of a line of crowns is close to s1 c2 + s2 c2^2, where c2 = 1 - xi^2 and
xi runs from -1 to 1 over the shadow. The images of a row at a point lie at equal steps of xi, so their sum needs
only the number of images that cover the point and the mean place of these: power sums of whole numbers.
"""

from functools import cache
from typing import Final

import numpy as np
import numpy.typing as npt

from simulator.physics.light.crowns import Rows, Shadows, shadows
from simulator.physics.light.kernel import (
    from_axis,
    keep_from_axis,
    keep_slice,
    keep_to_axis,
    optical_depth,
    to_axis,
)
from simulator.physics.light.rays import Reals, Slopes
from simulator.units import FloatArray

_DEPTH_NODES: Final = 33
_OVERLAP_NODES: Final = 33
_KEEP_NODES: Final = 25
_DEEPEST_PLACE: Final = 0.97
_WIDEST_PLACE: Final = 0.97
"""Ends of the tables on the kernel's axes, optical depth 65 and overlap 32; beyond, the last node serves."""
_DEEPEST: Final = np.float32(2.0 * from_axis(np.asarray(_DEEPEST_PLACE)))
_FIT_PLACES: Final = 32
_LEAST_WEIGHT: Final = 1e-6
_CHUNK: Final = 32768
"""Ray points worked on at a time: keeps the arrays in a processor's cache."""


@cache
def shapes() -> tuple[Reals, Reals]:
    """Return the shadow's shape over depth and overlap, made once.

    Least squares over the shadow's width, each place weighted by the light that is left there.

    Returns
    -------
    tuple[Reals, Reals]
        s1 and s2 over depth * overlap * keep [1], each (keep nodes * depth nodes * overlap nodes,).
    """
    share = np.maximum(np.linspace(0.0, 1.0, _DEPTH_NODES), _LEAST_WEIGHT)
    depth = 2.0 * from_axis(_DEEPEST_PLACE * share)
    share = np.maximum(np.linspace(0.0, 1.0, _OVERLAP_NODES), _LEAST_WEIGHT)
    overlap = from_axis(_WIDEST_PLACE * share)
    keep = np.maximum(keep_from_axis(np.linspace(0.0, 1.0, _KEEP_NODES)), _LEAST_WEIGHT)
    square = 1.0 - ((np.arange(_FIT_PLACES) + 0.5) / _FIT_PLACES) ** 2
    a, b, chord = np.broadcast_arrays(depth[:, None, None], overlap[None, :, None], np.sqrt(square))
    fitted = [_fit(optical_depth(keep_slice(float(p)), a * chord, b * chord), a * b * p, square) for p in keep]
    first, second = np.asarray(fitted, dtype=np.float32).transpose(1, 0, 2, 3)
    return first.ravel(), second.ravel()


def _fit(depth: FloatArray, scale: FloatArray, square: FloatArray) -> tuple[FloatArray, FloatArray]:
    weight, value = np.exp(-depth) + _LEAST_WEIGHT, depth / scale
    one, two, three = ((weight * square**power).sum(axis=-1) for power in (2, 3, 4))
    left, right = ((weight * value * square**power).sum(axis=-1) for power in (1, 2))
    divisor = one * three - two**2
    return (left * three - right * two) / divisor, (right * one - left * two) / divisor


def fast_profile(rows: Rows, points: FloatArray, rays: Slopes, trunk_floor: float) -> FloatArray:
    """Return the light at ground points of many stands.

    Parameters
    ----------
    rows
        The stands, fields (states, rows).
    points
        Across-row positions [cell widths], (states, points).
    rays
        Rays, fields (rays,); the fewer the faster.
    trunk_floor
        Least light that one row's stems let through [1].

    Returns
    -------
    FloatArray
        Transmitted share [1], (states, points).
    """
    small = Rows(*(np.ascontiguousarray(field.T, dtype=np.float32) for field in rows))
    places = np.ascontiguousarray(points.T, dtype=np.float32)
    few = Slopes(*(field.astype(np.float32)[:, None] for field in rays))
    states = max(1, _CHUNK // (rays.weight.size * points.shape[1]))
    light = np.empty(points.shape)
    for start in range(0, len(points), states):
        part = slice(start, start + states)
        chunk = Rows(*(field[:, part] for field in small))
        light[part] = _chunk(chunk, places[:, None, part], few, trunk_floor).T
    return light


def _chunk(rows: Rows, points: Reals, rays: Slopes, trunk_floor: float) -> Reals:
    """Light (points, states) of some stands; rows (rows, states), points (points, 1, states), rays (rays, 1)."""
    line = Rows(*(field[:, None] for field in rows))
    shadow = shadows(line, rays, trunk_floor)
    first, second = _shape(shadow, line.keep)
    depth: Reals = np.zeros(1, dtype=np.float32)
    for row, offset in enumerate(rows.offset):
        one = Shadows(*(field[row] for field in shadow))
        distance = points - offset
        distance -= np.floor(distance)
        depth = depth + _crowns(one, distance, first[row], second[row])
        depth += _trunks(one, distance)
    np.negative(depth, out=depth)
    np.exp(depth, out=depth)
    depth -= 1.0
    return np.asarray(1.0 + _summed(depth, rays.weight))


def _summed(depth: Reals, weight: Reals) -> Reals:
    """Sum over rays (points, states): ray after ray, so that no state hangs on how many there are beside it.

    A product of matrices is blocked by their sizes, and one state alone would be added in pairs.
    """
    depth *= weight
    if depth.shape[-1] == 1:
        depth = np.repeat(depth, 2, axis=-1)
        return np.asarray(depth.sum(axis=1)[:, :1])
    return np.asarray(depth.sum(axis=1))


def _crowns(shadow: Shadows, distance: Reals, first: Reals, second: Reals) -> Reals:
    """Optical depth (points, rays, states) of a row and all its images.

    The images' mean xi^2 is m + v and their mean xi^4 is m^2 + 6 m v + 1.8 v^2 - 0.2 v step^2, where m is the square
    of their mean xi and v = step^2 (n^2 - 1) / 12 the variance of n equal steps.
    """
    images, mean, spread = _images(shadow, distance)
    linear = -first - 2.0 * second
    value = 6.0 * spread
    value += mean
    value *= second
    value += linear
    value *= mean
    tail = np.multiply(spread, 1.8 * second, out=mean)
    tail += linear - 0.2 * second / shadow.half_width**2
    tail *= spread
    value += tail
    value += first + second
    np.maximum(value, 0.0, out=value)
    value *= images
    return value


def _images(shadow: Shadows, distance: Reals) -> tuple[Reals, Reals, Reals]:
    """Images of a row that cover each point: their number, square of their mean xi, variance of xi."""
    mean = distance + shadow.shift
    images = np.floor(mean + shadow.half_width)
    start = np.ceil(mean - shadow.half_width)
    middle = images + start
    middle *= 0.5
    mean -= middle
    mean /= shadow.half_width
    mean *= mean
    images -= start
    images += 1.0
    spread = np.multiply(images, images, out=start)
    spread -= 1.0
    spread *= 1.0 / (12.0 * shadow.half_width**2)
    return images, mean, spread


def _shape(shadow: Shadows, keep: Reals) -> list[Reals]:
    """Look up s1 and s2 (rows, rays, states): linear in depth and overlap, nearest in keep-share."""
    depth = np.minimum(shadow.depth, _DEEPEST)
    row = to_axis(0.5 * depth) * ((_DEPTH_NODES - 1) / _DEEPEST_PLACE)
    column = np.minimum(to_axis(shadow.overlap) / _WIDEST_PLACE, 1.0) * (_OVERLAP_NODES - 1)
    layer = np.rint(keep_to_axis(keep) * (_KEEP_NODES - 1)).astype(np.int32)
    row_below = np.minimum(row.astype(np.int32), _DEPTH_NODES - 2)
    column_below = np.minimum(column.astype(np.int32), _OVERLAP_NODES - 2)
    row -= row_below
    column -= column_below
    corner = (layer * _DEPTH_NODES + row_below) * _OVERLAP_NODES + column_below
    scale = depth * shadow.overlap * keep
    return [scale * _between(table, corner, row, column) for table in shapes()]


def _between(table: Reals, corner: npt.NDArray[np.int32], row: Reals, column: Reals) -> Reals:
    low, high = table[corner], table[corner + _OVERLAP_NODES]
    low += column * (table[corner + 1] - low)
    high += column * (table[corner + (_OVERLAP_NODES + 1)] - high)
    return low + row * (high - low)


def _trunks(shadow: Shadows, distance: Reals) -> Reals:
    """Optical depth (points, rays, states) of the stems of a row and its images below the crowns."""
    crossed = distance + shadow.trunk_run
    np.floor(crossed, out=crossed)
    crossed *= np.copysign(shadow.trunk_depth, shadow.trunk_run)
    return crossed
