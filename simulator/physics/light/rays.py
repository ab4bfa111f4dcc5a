"""Rays towards the sky as rows meet them, and their merging into few for the fast path."""

from functools import lru_cache
from typing import Any, Final, NamedTuple, Protocol, TypeAlias

import numpy as np
import numpy.typing as npt

from simulator.units import FloatArray, IntArray

Reals: TypeAlias = npt.NDArray[np.floating[Any]]
"""Array of either precision: the exact path works in double, the fast one in single."""

_FANS: Final = 14
_STEPS: Final = 4
"""Merged rays: this many fans across the rows, each with so many steps along them."""
_ALONG_SCALE: Final = 0.35
"""Weight of the angle along the rows against that across in merging: along, light changes more smoothly."""
_ROUNDS: Final = 12


class Sky(Protocol):
    """Rays towards the sky: unit vectors and their share of the open-ground radiation, all (rays,)."""

    @property
    def east(self) -> FloatArray:
        """East component [1]."""

    @property
    def north(self) -> FloatArray:
        """North component [1]."""

    @property
    def up(self) -> FloatArray:
        """Upward component [1]."""

    @property
    def weight(self) -> FloatArray:
        """Share of the radiation [1]."""


class Slopes(NamedTuple):
    """Rays per foot of height: run across and along the rows [1], length [1], share of the light [1]."""

    across: Reals
    along: Reals
    length: Reals
    weight: Reals


def slopes(sky: Sky, row_azimuth_deg: float) -> Slopes:
    """Turn sky rays into runs across and along rows.

    Parameters
    ----------
    sky
        Rays towards the sky, all above the horizon.
    row_azimuth_deg
        Direction of the rows, clockwise from north [deg]; across counts to their right (east for 0).

    Returns
    -------
    Slopes
        Fields (rays,).

    References
    ----------
    Geometry: derived.
    """
    turn = np.radians(row_azimuth_deg)
    across = sky.east * np.cos(turn) - sky.north * np.sin(turn)
    along = sky.east * np.sin(turn) + sky.north * np.cos(turn)
    return Slopes(across / sky.up, along / sky.up, 1.0 / sky.up, sky.weight)


def few_slopes(sky: Sky, row_azimuth_deg: float) -> Slopes:
    """Turn sky rays into some fifty runs that light rows nearly alike; remembered for the last skies met.

    Parameters
    ----------
    sky
        Rays towards the sky, all above the horizon.
    row_azimuth_deg
        Direction of the rows, clockwise from north [deg].

    Returns
    -------
    Slopes
        Fields (rays,), single precision.
    """
    content = tuple(np.asarray(part, dtype=np.float64).tobytes() for part in (sky.east, sky.north, sky.up, sky.weight))
    return _few_slopes(content, float(row_azimuth_deg))


class _Vectors(NamedTuple):
    east: FloatArray
    north: FloatArray
    up: FloatArray
    weight: FloatArray


@lru_cache(maxsize=256)
def _few_slopes(content: tuple[bytes, bytes, bytes, bytes], row_azimuth_deg: float) -> Slopes:
    sky = _Vectors(*(np.frombuffer(part) for part in content))
    return Slopes(*(field.astype(np.float32) for field in _merge(slopes(sky, row_azimuth_deg))))


def _merge(rays: Slopes) -> Slopes:
    """Join rays of like direction; light does not tell one end of a row from the other, so neither do rays.

    Runs are averaged by their square roots: between the run, whose mean is too dark, and its logarithm.
    """
    along = np.abs(rays.along)
    group = _groups(np.arctan(np.stack([rays.across, along], axis=1)) * [1.0, _ALONG_SCALE], rays.weight)
    weight = np.asarray(np.bincount(group, rays.weight), dtype=np.float64)
    used = weight > 0.0
    root = np.bincount(group, rays.weight * np.copysign(np.sqrt(np.abs(rays.across)), rays.across))
    across = np.copysign((root[used] / weight[used]) ** 2, root[used])
    along = (np.bincount(group, rays.weight * np.sqrt(along))[used] / weight[used]) ** 2
    return Slopes(across, along, np.sqrt(1.0 + across**2 + along**2), weight[used])


def _groups(place: FloatArray, weight: Reals) -> IntArray:
    """Group (rays,) of each place (rays, 2): quantiles, then rounds of nearest weighted means (Lloyd's)."""
    fan = _quantile(place[:, 0], weight, _FANS)
    group = np.zeros(len(place), dtype=np.int64)
    for number in range(_FANS):
        inside = fan == number
        group[inside] = number * _STEPS + _quantile(place[inside, 1], weight[inside], _STEPS)
    for _ in range(_ROUNDS):
        total = np.maximum(np.bincount(group, weight, _FANS * _STEPS), 1e-12)
        mean = np.stack([np.bincount(group, weight * axis, _FANS * _STEPS) / total for axis in place.T], axis=1)
        group = ((place[:, None] - mean) ** 2).sum(axis=-1).argmin(axis=1)
    return group


def _quantile(value: FloatArray, weight: Reals, count: int) -> IntArray:
    order = np.argsort(value, kind="stable")
    number = np.empty(value.size, dtype=np.int64)
    below = np.cumsum(weight[order]) - 0.5 * weight[order]
    number[order] = np.minimum(below / max(weight.sum(), 1e-12) * count, count - 1)
    return number
