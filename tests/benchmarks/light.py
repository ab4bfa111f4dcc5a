"""The two light paths beside each other and beside tracing every crown, on double rows."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Final

import numpy as np

import simulator
from benchmarks.figures import Figure, Said, figure, projected
from benchmarks.stopwatch import Middle, in_turns, paired, rounds
from oracle.crown_lattice import lattice_profile
from simulator.events.light import Precision
from simulator.physics.light import Cell, LightCoefficients, OverRows, RowCrowns, light_profile
from simulator.physics.sun import season_rays
from simulator.sourced import coefficients, read_sourced

COEFFICIENTS: Final = coefficients(
    read_sourced(Path(simulator.__file__).parent / "parameters" / "sky.toml"), "light", LightCoefficients
)
SKY: Final = season_rays(31.0, range(3, 12), 0.52)
POINTS: Final = 16
LOOPS: Final = 20
"""Calls timed together where one is over in a millisecond."""
LATTICE: Final = "tracing every crown, ray by ray"
EXACT_TRACED: Final = Said("light-exact", "exact light of one double row", LATTICE, 1.0 / 5.0)
FAST_TRACED: Final = Said("light-tabulated", "tabulated light of the same row, alone", LATTICE, 1.0 / 5.0)
TRACED: "Final[tuple[tuple[Said, Precision], ...]]" = ((EXACT_TRACED, "exact"), (FAST_TRACED, "fast"))
FAST_BATCH: Final = Said(
    "light-batch", "tabulated light of 1,000 different double rows", "exact light of as many, from 50 of them", 0.1
)
FAST_ALONE: Final = Said("light-alone", "tabulated light of one double row", "its exact light", 1.0)


def double_row() -> tuple[RowCrowns, Cell]:
    """Two rows 8 ft apart with alleys of 42 ft, at mid-life."""
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
    return crowns, Cell(np.array(50.0), np.array(8.0))


def many_rows(states: int) -> tuple[RowCrowns, Cell]:
    """So many different double rows, the same on every call."""
    draw = np.random.default_rng(1)

    def uniform(low: float, high: float) -> np.ndarray:
        return np.repeat(draw.uniform(low, high, (states, 1)), 2, axis=1)

    height, across = uniform(10.0, 90.0), uniform(2.0, 14.0)
    half_length = height * uniform(0.2, 0.45)
    offset = np.broadcast_to([-4.0, 4.0], (states, 2))
    leaf, keep = uniform(20.0, 2500.0), uniform(0.25, 1.0)
    middle, base = height - half_length, height - 2 * half_length
    crowns = RowCrowns(offset, across, 0.7 * across, half_length, middle, leaf, keep, height / 6, base)
    return crowns, Cell(draw.uniform(20.0, 60.0, states), draw.uniform(5.0, 12.0, states))


def kernels(quick: bool) -> Iterator[Figure]:  # noqa: FBT001 - every benchmark is asked this one question
    """Exact and tabulated light beside the tracer and beside each other."""
    turns, row = 1 if quick else 3, double_row()
    points = (np.arange(POINTS) + 0.5) / POINTS * float(row[1].width_ft)

    def lattice() -> object:
        return lattice_profile(*row, points[: 1 if quick else POINTS], SKY, 0.0, COEFFICIENTS)

    # the tracer goes from point to point, so a share of the points takes that share of its time
    share = POINTS if quick else 1
    for _, path in TRACED:
        _profile(row, path)()  # tables are made once
    works = {"lattice": lattice}
    works |= {said.name: _looped(_profile(row, path), LOOPS) for said, path in TRACED}
    taken = rounds(works, turns)
    for said, _ in TRACED:
        pair = paired(taken[said.name], taken["lattice"])
        yield figure(said, projected(pair, 1.0 / LOOPS, share), turns)
    turns = 1 if quick else 7
    few = 10 if quick else 50
    pair = in_turns(_profile(many_rows(20 * few), "fast"), _profile(many_rows(few), "exact"), turns)
    yield figure(FAST_BATCH, projected(pair, 1.0, 20.0), turns, note=_each(pair.ours, 20 * few))
    pair = in_turns(_looped(_profile(row, "fast"), LOOPS), _looped(_profile(row, "exact"), LOOPS), turns)
    yield figure(FAST_ALONE, projected(pair, 1.0 / LOOPS, 1.0 / LOOPS), turns)


def _each(taken: Middle, states: int) -> str:
    return f"{1e6 * taken.median / states:.0f} microseconds a row and season"


def _profile(stand: tuple[RowCrowns, Cell], precision: Precision) -> Callable[[], object]:
    crowns, cell = stand
    points = (np.arange(POINTS) + 0.5) / POINTS * cell.width_ft[..., None]
    return lambda: light_profile(crowns, cell, points, OverRows(SKY, 0.0), COEFFICIENTS, precision=precision)


def _looped(work: Callable[[], object], times: int) -> Callable[[], object]:
    return lambda: [work() for _ in range(times)]
