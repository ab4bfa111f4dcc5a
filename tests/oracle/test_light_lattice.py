"""Rows of crowns in one kernel against the same stands traced crown by crown."""

from pathlib import Path
from typing import NamedTuple

import numpy as np
import pytest

import simulator
from oracle.crown_lattice import lattice_profile
from simulator.physics.light import Cell, LightCoefficients, OverRows, RowCrowns, canopy_cover, light_profile
from simulator.physics.light.kernel import keep_slice, optical_depth
from simulator.physics.sun import Quadrature, SkyRays, season_rays
from simulator.sourced import coefficients, read_sourced
from simulator.units import FloatArray

SKY_FILE = read_sourced(Path(simulator.__file__).parent / "parameters" / "sky.toml")
COEFFICIENTS = coefficients(SKY_FILE, "light", LightCoefficients)
COARSE = Quadrature(hours=8, rings=6, azimuths=8)


class Case(NamedTuple):
    """A stand, where to look, and its sky."""

    rows: RowCrowns
    cell: Cell
    points_ft: FloatArray
    sky: SkyRays
    row_azimuth_deg: float


def _random_case(seed: int) -> Case:
    draw = np.random.default_rng(seed)
    count = int(draw.integers(1, 4))
    height = draw.uniform(8.0, 60.0)
    half_length = 0.5 * height * draw.uniform(0.35, 0.9)
    across = min(draw.uniform(0.08, 0.25) * height, 12.0) * draw.uniform(0.8, 1.2, count)
    in_row = draw.uniform(5.0, 16.0)
    along = np.minimum(across, 0.6 * in_row)
    leaf = draw.uniform(0.1, 0.35) * 4.0 / 3.0 * np.pi * across * along * half_length
    same = np.ones(count)
    keep = draw.choice([1.0, draw.uniform(0.3, 1.0)])
    dbh = draw.choice([0.0, height / 6.0])
    rows = RowCrowns(
        offset_ft=8.0 * np.arange(count),
        half_width_across_ft=across,
        half_width_along_ft=along,
        half_length_ft=half_length * same,
        center_height_ft=(height - half_length) * same,
        leaf_area_ft2=leaf,
        keep_share=keep * same,
        dbh_in=dbh * same,
        crown_base_ft=(height - 2.0 * half_length) * same,
    )
    width = draw.uniform(12.0, 50.0) + 8.0 * (count - 1)
    months = [(3, 4, 5, 6, 7, 8, 9, 10, 11), (12, 1, 2)][int(draw.integers(2))]
    sky = season_rays(draw.uniform(25.0, 38.0), months, 0.52, COARSE)
    points = (np.arange(24) + 0.5) / 24.0 * width
    return Case(rows, Cell(np.array(width), np.array(in_row)), points, sky, draw.uniform(0.0, 90.0))


def test_row_strips_agree_with_the_lattice_on_random_stands() -> None:
    """Band 0.02 from the trial of the method; the lattice's rows stand in step, the strips' do not."""
    errors, shades = [], []
    for seed in range(24):
        case = _random_case(seed)
        traced = lattice_profile(*case, COEFFICIENTS)
        strips = light_profile(*case[:3], OverRows(*case[3:]), COEFFICIENTS, precision="exact")
        errors.append((strips - traced).mean())
        shades.append(1.0 - traced.mean())
        assert abs(errors[-1]) < 0.02, seed
        assert np.abs(strips - traced).max() < 0.04, seed
    assert abs(np.mean(errors)) < 0.002
    assert max(shades) > 0.5
    assert min(shades) < 0.1


@pytest.mark.parametrize("seed", range(40))
def test_kernel_is_the_mean_over_the_line_of_crowns(seed: int) -> None:
    """Brute force: two thousand places between two planting spots, each crown's factor multiplied in."""
    draw = np.random.default_rng(seed)
    depth, overlap = draw.uniform(0.02, 8.0), draw.uniform(0.05, 5.0)
    keep = draw.choice([1.0, draw.uniform(0.05, 1.0)])
    place = (np.arange(2000) + 0.5) / 2000.0
    through = np.ones_like(place)
    for spot in range(-8, 9):
        chord = np.sqrt(np.maximum(1.0 - ((place - spot) / overlap) ** 2, 0.0))
        through *= 1.0 - keep + keep * np.exp(-depth * chord)
    kernel = np.exp(-optical_depth(keep_slice(keep), np.array(depth), np.array(overlap)))
    assert kernel == pytest.approx(through.mean(), abs=1.5e-3)


def test_cover_is_what_a_plumb_line_meets() -> None:
    """Plumb lines at 300 x 300 places of one double-row cell, no tree missing; crowns of a row overlap."""
    cell = Cell(np.array(30.0), np.array(8.0))
    two = np.ones(2)
    rows = RowCrowns(np.array([2.0, 14.0]), 5.0 * two, 5.0 * two, two, two, two, two, two, two)
    place = (np.arange(300) + 0.5) / 300.0
    x, y = np.meshgrid(30.0 * place, 8.0 * place, indexing="ij")
    met = np.zeros(x.shape, dtype=bool)
    for offset in (2.0, 14.0, 32.0, 44.0, -28.0, -16.0):
        for spot in (-8.0, 0.0, 8.0, 16.0):
            met |= (x - offset) ** 2 + (y - spot) ** 2 < 25.0
    assert canopy_cover(rows, cell) == pytest.approx(met.mean(), abs=0.005)
    half = rows._replace(keep_share=0.5 * two)
    apart = rows._replace(half_width_along_ft=4.0 * two)
    assert canopy_cover(half, cell) < canopy_cover(rows, cell)
    # With half width 4 no two crowns overlap, so half the trees cover half as much.
    assert canopy_cover(apart._replace(keep_share=0.5 * two), cell) == pytest.approx(0.5 * canopy_cover(apart, cell))
