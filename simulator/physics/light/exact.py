"""The exact path: every ray, every image of every row, straight from the kernel."""

from typing import Final

import numpy as np

from simulator.physics.light.crowns import Rows, Shadows, shadows
from simulator.physics.light.kernel import keep_slice, optical_depth
from simulator.physics.light.rays import Slopes
from simulator.units import FloatArray

_MOST_IMAGES: Final = 64
"""Images of a row summed one by one; along rays so low that they cross more, every second or third stands for all."""


def exact_profile(rows: Rows, points: FloatArray, rays: Slopes, trunk_floor: float) -> FloatArray:
    """Return the light at ground points of one stand.

    Parameters
    ----------
    rows
        The stand, fields (rows,).
    points
        Across-row positions [cell widths], (points,).
    rays
        Rays, fields (rays,).
    trunk_floor
        Least light that one row's stems let through [1].

    Returns
    -------
    FloatArray
        Transmitted share [1], (points,).

    References
    ----------
    Beer's law along each ray, without scattering: Norman & Welles 1983, Agronomy Journal 75:481 (from memory); rows
    that
    repeat for ever with trees missing at random: derived for this project.
    """
    total = np.zeros((rays.across.size, points.size))
    for fields in zip(*rows, strict=True):
        row = Rows(*fields)
        if row.keep > 0.0:
            shadow = shadows(row, rays, trunk_floor)
            total += _crowns(shadow, points - row.offset, float(row.keep))
            total += _trunks(shadow, points - row.offset)
    return np.asarray(1.0 + rays.weight @ np.expm1(-total))


def _crowns(shadow: Shadows, distance: FloatArray, keep: float) -> FloatArray:
    """Optical depth (rays, points) of a row and its images."""
    shift = distance + shadow.shift[:, None]
    first = np.ceil(shift - shadow.half_width[:, None])
    images = np.floor(2.0 * shadow.half_width) + 1.0
    step = np.ceil(images / _MOST_IMAGES)
    counts = np.ceil(images / step).astype(np.int64)
    start = np.cumsum(counts) - counts
    ray = np.repeat(np.arange(counts.size), counts)
    image = step[ray] * (np.arange(ray.size) - start[ray] + 0.5) - 0.5
    across = ((shift - first)[ray] - image[:, None]) / shadow.half_width[ray, None]
    chord = np.sqrt(np.maximum(1.0 - across**2, 0.0))
    depth = optical_depth(keep_slice(keep), shadow.depth[ray, None] * chord, shadow.overlap[ray, None] * chord)
    return np.asarray(step[:, None] * np.add.reduceat(depth, start, axis=0))


def _trunks(shadow: Shadows, distance: FloatArray) -> FloatArray:
    """Optical depth (rays, points) of the stems of a row and its images below the crowns."""
    side = np.where(shadow.trunk_run < 0.0, -1.0, 1.0)[:, None]
    crossed = np.floor(side * (distance + shadow.trunk_run[:, None])) - np.floor(side * distance)
    return np.asarray(shadow.trunk_depth[:, None] * crossed)
