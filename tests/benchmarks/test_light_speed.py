"""Time of the two light paths on double rows, printed; the bounds asserted are generous."""

from collections.abc import Callable
from pathlib import Path
from timeit import repeat

import numpy as np
import pytest

import simulator
from oracle.crown_lattice import lattice_profile
from simulator.physics.light import Cell, LightCoefficients, OverRows, RowCrowns, light_profile
from simulator.physics.sun import season_rays
from simulator.sourced import coefficients, read_sourced

COEFFICIENTS = coefficients(
    read_sourced(Path(simulator.__file__).parent / "parameters" / "sky.toml"), "light", LightCoefficients
)
SKY = season_rays(31.0, range(3, 12), 0.52)


def _call(states: int, points: int, precision: str) -> Callable[[], object]:
    draw = np.random.default_rng(1)

    def uniform(low: float, high: float) -> np.ndarray:
        return np.repeat(draw.uniform(low, high, (states, 1)), 2, axis=1)

    height, across = uniform(10.0, 90.0), uniform(2.0, 14.0)
    half_length = height * uniform(0.2, 0.45)
    offset = np.broadcast_to([-4.0, 4.0], (states, 2))
    leaf, keep = uniform(20.0, 2500.0), uniform(0.25, 1.0)
    crowns = RowCrowns(
        offset,
        across,
        0.7 * across,
        half_length,
        height - half_length,
        leaf,
        keep,
        height / 6,
        height - 2 * half_length,
    )
    cell = Cell(draw.uniform(20.0, 60.0, states), draw.uniform(5.0, 12.0, states))
    place = (np.arange(points) + 0.5) / points * cell.width_ft[:, None]
    return lambda: light_profile(crowns, cell, place, OverRows(SKY, 20.0), COEFFICIENTS, precision=precision)


@pytest.mark.benchmark
def test_row_strips_are_faster_than_tracing_every_crown() -> None:
    """Baseline: the tests' own crown-by-crown tracer, which the row-strip kernel is checked against."""
    same = np.ones(2)
    crowns = RowCrowns(
        np.array([-4.0, 4.0]),
        7.0 * same,
        4.5 * same,
        12.0 * same,
        36.0 * same,
        700.0 * same,
        same,
        9.0 * same,
        24.0 * same,
    )
    cell, points = Cell(np.array(50.0), np.array(8.0)), (np.arange(16) + 0.5) / 16 * 50.0

    def strips() -> object:
        return light_profile(crowns, cell, points, OverRows(SKY, 0.0), COEFFICIENTS, precision="exact")

    def lattice() -> object:
        return lattice_profile(crowns, cell, points, SKY, 0.0, COEFFICIENTS)

    strips()
    fast, slow = min(repeat(strips, number=1, repeat=7)), min(repeat(lattice, number=1, repeat=1))
    print(f"\nexact row strips {fast * 1e3:.2f} ms, lattice tracer {slow * 1e3:.0f} ms: ratio {slow / fast:.0f}")  # noqa: T201
    assert fast < slow / 5.0


@pytest.mark.benchmark
@pytest.mark.parametrize("points", [8, 16])
def test_fast_light_is_many_times_faster_than_exact(points: int) -> None:
    seconds = {}
    for precision, states in (("exact", 1), ("exact", 50), ("fast", 1), ("fast", 1000)):
        call = _call(states, points, precision)
        call()
        seconds[precision, states] = min(repeat(call, number=1, repeat=7)) / states
    for (precision, states), taken in seconds.items():
        print(f"{points} points, {precision}, {states} at once: {taken * 1e6:.1f} us a state")  # noqa: T201
    print(f"ratio exact / fast in a batch: {seconds['exact', 50] / seconds['fast', 1000]:.0f}")  # noqa: T201
    assert seconds["fast", 1000] < seconds["exact", 50] / 10.0
    assert seconds["fast", 1] < seconds["exact", 1]
