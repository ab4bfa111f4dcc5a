"""Laws of light under rows: symmetry, scale, order, orientation, and the fast path's bound on its error."""

from pathlib import Path
from typing import NamedTuple

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import simulator
from simulator.physics.light import Cell, LightCoefficients, OverRows, RowCrowns, canopy_cover, light_profile
from simulator.physics.sun import Quadrature, SkyRays, season_rays
from simulator.sourced import coefficients, read_sourced
from simulator.units import FloatArray

COEFFICIENTS = coefficients(
    read_sourced(Path(simulator.__file__).parent / "parameters" / "sky.toml"), "light", LightCoefficients
)
WARM, COOL = tuple(range(3, 12)), (12, 1, 2)
SKY = season_rays(31.0, WARM, 0.52)


class Stand(NamedTuple):
    """What is lit, and where."""

    rows: RowCrowns
    cell: Cell
    points_ft: FloatArray


def _stand(draw: np.random.Generator, rows: int, points: int = 16) -> Stand:
    """Any stand: crowns, stems and leaf areas vary from row to row."""
    height, crown_ratio = draw.uniform(5.0, 90.0), draw.uniform(0.3, 0.95)
    gap = draw.uniform(6.0, 12.0)
    width = draw.uniform(8.0, 60.0) + gap * (rows - 1)

    def vary(value: float) -> FloatArray:
        return value * draw.uniform(0.8, 1.2, rows)

    across, half_length = draw.uniform(1.0, 15.0), 0.5 * crown_ratio * height
    crowns = RowCrowns(
        offset_ft=gap * np.arange(rows),
        half_width_across_ft=vary(across),
        half_width_along_ft=vary(across * draw.uniform(0.5, 1.0)),
        half_length_ft=np.full(rows, half_length),
        center_height_ft=np.full(rows, height - half_length),
        leaf_area_ft2=vary(np.exp(draw.uniform(np.log(5.0), np.log(3000.0)))),
        keep_share=np.minimum(vary(draw.choice([1.2, draw.uniform(0.25, 1.0)])), 1.0),
        dbh_in=vary(height / 6.0),
        crown_base_ft=np.full(rows, height - 2.0 * half_length),
    )
    cell = Cell(np.array(width), np.array(draw.uniform(4.0, 16.0)))
    return Stand(crowns, cell, (np.arange(points) + 0.5) / points * width)


def _light(stand: Stand, sky: SkyRays = SKY, azimuth: float = 0.0, precision: str = "exact") -> FloatArray:
    return light_profile(*stand, OverRows(sky, azimuth), COEFFICIENTS, precision=precision)


def _single(width: float = 16.0, in_row: float = 6.0, alley: float = 32.0, leaf: float = 260.0) -> Stand:
    along = min(0.5 * width, 0.5 * in_row)
    fields = (0.0, 0.5 * width, along, 11.8, 28.2, leaf, 1.0, 8.0, 16.4)
    cell = Cell(np.array(alley), np.array(in_row))
    return Stand(RowCrowns(*(np.array([field]) for field in fields)), cell, (np.arange(32) + 0.5) / 32.0 * alley)


SEEDS = st.integers(0, 2**32 - 1)
ROWS = st.integers(1, 3)
FEW = settings(max_examples=25)


@FEW
@given(seed=SEEDS, rows=ROWS, precision=st.sampled_from(["exact", "fast"]))
def test_light_is_a_share_and_repeats_with_the_cell(seed: int, rows: int, precision: str) -> None:
    stand = _stand(np.random.default_rng(seed), rows)
    light = _light(stand, precision=precision)
    assert ((light >= 0.0) & (light <= 1.0)).all()
    beside = stand._replace(points_ft=stand.points_ft + stand.cell.width_ft)
    assert _light(beside, precision=precision) == pytest.approx(light, abs=2e-3)


@FEW
@given(seed=SEEDS, rows=ROWS)
def test_north_south_rows_mirror_morning_and_evening(seed: int, rows: int) -> None:
    stand = _stand(np.random.default_rng(seed), rows)
    mirrored = stand._replace(rows=stand.rows._replace(offset_ft=-stand.rows.offset_ft), points_ft=-stand.points_ft)
    assert _light(mirrored) == pytest.approx(_light(stand), abs=1e-9)


@FEW
@given(seed=SEEDS, rows=ROWS, azimuth=st.floats(0.0, 180.0))
def test_a_row_has_no_head_or_tail(seed: int, rows: int, azimuth: float) -> None:
    """Turned by half a circle the same ground lies on the other side of the row."""
    stand = _stand(np.random.default_rng(seed), rows)
    turned = stand._replace(rows=stand.rows._replace(offset_ft=-stand.rows.offset_ft), points_ft=-stand.points_ft)
    assert _light(turned, azimuth=azimuth + 180.0) == pytest.approx(_light(stand, azimuth=azimuth), abs=1e-9)


@FEW
@given(seed=SEEDS, rows=ROWS, azimuth=st.floats(0.0, 180.0), latitude=st.floats(0.0, 60.0))
def test_hemispheres_mirror_each_other(seed: int, rows: int, azimuth: float, latitude: float) -> None:
    """The same sky seen from the other side of the equator: north and south change places."""
    stand = _stand(np.random.default_rng(seed), rows)
    north = season_rays(latitude, WARM, 0.52)
    south = north._replace(north=-north.north)
    assert _light(stand, south, 180.0 - azimuth) == pytest.approx(
        _light(
            stand._replace(rows=stand.rows._replace(offset_ft=-stand.rows.offset_ft), points_ft=-stand.points_ft),
            north,
            azimuth,
        ),
        abs=1e-7,
    )


@pytest.mark.parametrize("azimuth", [0.0, 90.0])
def test_six_months_later_the_other_hemisphere_has_the_same_light(azimuth: float) -> None:
    """Sun distance and calendar make the halves of the year differ a little."""
    north = _light(_single(), season_rays(31.0, (5, 6, 7, 8), 0.52), azimuth).mean()
    south = _light(_single(), season_rays(-31.0, (11, 12, 1, 2), 0.52), azimuth).mean()
    assert south == pytest.approx(north, abs=4e-3)


def test_at_the_equator_an_equinox_shades_both_sides_of_a_row_alike() -> None:
    quadrature = Quadrature()
    sky = season_rays(0.0, (3,), 0.52, quadrature)
    level = np.where(np.arange(sky.north.size) < quadrature.hours, 0.0, sky.north)
    up = np.sqrt(1.0 - sky.east**2 - level**2)
    light = _light(_single(), sky._replace(north=level, up=up), 90.0)
    assert light == pytest.approx(light[::-1], abs=1e-9)


@FEW
@given(seed=SEEDS, rows=ROWS, factor=st.floats(0.2, 5.0), azimuth=st.floats(0.0, 90.0))
def test_size_does_not_matter(seed: int, rows: int, factor: float, azimuth: float) -> None:
    """All lengths times a factor and all leaf areas times its square: the same light."""
    stand = _stand(np.random.default_rng(seed), rows)
    free = COEFFICIENTS._replace(leaf_area_density_cap_per_ft=1e9)
    crowns = RowCrowns(*(field * factor for field in stand.rows))._replace(
        leaf_area_ft2=stand.rows.leaf_area_ft2 * factor**2, keep_share=stand.rows.keep_share
    )
    cell = Cell(*(np.asarray(length * factor) for length in stand.cell))
    scaled = light_profile(crowns, cell, stand.points_ft * factor, OverRows(SKY, azimuth), free)
    assert scaled == pytest.approx(light_profile(*stand, OverRows(SKY, azimuth), free), abs=1e-6)


@FEW
@given(seed=SEEDS, rows=ROWS, more=st.floats(1.05, 2.0), azimuth=st.floats(0.0, 90.0))
def test_more_trees_or_leaves_never_give_more_light(seed: int, rows: int, more: float, azimuth: float) -> None:
    stand = _stand(np.random.default_rng(seed), rows)
    light = _light(stand, azimuth=azimuth)
    leafy = stand._replace(rows=stand.rows._replace(leaf_area_ft2=stand.rows.leaf_area_ft2 * more))
    assert (_light(leafy, azimuth=azimuth) <= light + 1e-9).all()
    thinned = stand._replace(rows=stand.rows._replace(keep_share=stand.rows.keep_share / more))
    assert (_light(thinned, azimuth=azimuth) >= light - 2e-4).all()
    assert canopy_cover(thinned.rows, stand.cell) <= canopy_cover(stand.rows, stand.cell) + 1e-12


@FEW
@given(seed=SEEDS, rows=ROWS, more=st.floats(1.05, 2.0), azimuth=st.floats(0.0, 90.0))
def test_wider_planting_gives_more_light_and_wider_crowns_less(
    seed: int, rows: int, more: float, azimuth: float
) -> None:
    """Means over the ground; wider crowns of the same foliage density, as leaf area spread thinner is another thing."""
    stand = _stand(np.random.default_rng(seed), rows, points=64)
    crowns = stand.rows
    light = _light(stand, azimuth=azimuth).mean()
    apart = stand._replace(cell=stand.cell._replace(in_row_ft=stand.cell.in_row_ft * more))
    assert _light(apart, azimuth=azimuth).mean() >= light - 1e-3
    alley = Stand(crowns, stand.cell._replace(width_ft=stand.cell.width_ft * more), stand.points_ft * more)
    assert _light(alley, azimuth=azimuth).mean() >= light - 4e-3
    wide = stand._replace(
        rows=crowns._replace(
            half_width_across_ft=crowns.half_width_across_ft * more, leaf_area_ft2=crowns.leaf_area_ft2 * more
        )
    )
    assert _light(wide, azimuth=azimuth).mean() <= light + 1e-3


def test_warm_season_orientation() -> None:
    """Dupraz et al. 2018, Agroforestry Systems: east-west gives more light at low latitudes, north-south evener."""
    north_south, east_west = _light(_single(), azimuth=0.0), _light(_single(), azimuth=90.0)
    assert east_west.mean() >= north_south.mean()
    assert east_west.std() / east_west.mean() > 2.0 * north_south.std() / north_south.mean()


def test_winter_turns_the_order_of_the_orientations() -> None:
    """As in Olesen, Morris & McFadyen 2007, Australian Journal of Agricultural Research 58:215."""
    december = season_rays(31.0, (12,), 0.52)
    assert _light(_single(), december, 0.0).mean() > _light(_single(), december, 90.0).mean() + 0.03


def test_orientation_matters_less_far_north_and_where_trees_stand_apart() -> None:
    def gain(stand: Stand, latitude: float) -> float:
        sky = season_rays(latitude, WARM, 0.52)
        return float(_light(stand, sky, 90.0).mean() - _light(stand, sky, 0.0).mean())

    gains = [gain(_single(), latitude) for latitude in (31.0, 45.0, 60.0)]
    assert gains == sorted(gains, reverse=True)
    assert gains[-1] < 0.4 * gains[0]
    assert abs(gain(_single(in_row=36.0), 31.0)) < 0.004


@pytest.mark.parametrize("months", [WARM, COOL])
@pytest.mark.parametrize("azimuth", [0.0, 30.0, 90.0])
def test_half_steps_move_the_mean_by_less_than_three_thousandths(months: tuple[int, ...], azimuth: float) -> None:
    fine = Quadrature(hours=48, rings=16, azimuths=32)
    for alley, width in ((12.0, 8.0), (32.0, 16.0), (60.0, 24.0)):
        stand = _single(width=width, alley=alley)
        usual = _light(stand, season_rays(31.0, months, 0.52), azimuth).mean()
        assert usual == pytest.approx(_light(stand, season_rays(31.0, months, 0.52, fine), azimuth).mean(), abs=3e-3)


def test_a_batch_is_its_stands_one_by_one() -> None:
    draw = np.random.default_rng(4)
    stands = [_stand(draw, 2) for _ in range(7)]
    rows = RowCrowns(*(np.stack(fields) for fields in zip(*(stand.rows for stand in stands), strict=True)))
    cell = Cell(*(np.stack(lengths) for lengths in zip(*(stand.cell for stand in stands), strict=True)))
    points = np.stack([stand.points_ft for stand in stands])
    for precision in ("exact", "fast"):
        batch = light_profile(rows, cell, points, OverRows(SKY, 20.0), COEFFICIENTS, precision=precision)
        single = np.stack([_light(stand, azimuth=20.0, precision=precision) for stand in stands])
        assert batch == pytest.approx(single, abs=1e-5)


def test_fast_light_stays_within_a_hundredth_of_exact_light() -> None:
    """Mean over the points, on five hundred random stands, latitudes, row directions and seasons."""
    draw = np.random.default_rng(11)
    errors = []
    for number in range(500):
        stand = _stand(draw, 1 + number % 3)
        sky = season_rays(draw.uniform(25.0, 38.0), (WARM, COOL)[int(draw.integers(2))], 0.52)
        azimuth = draw.uniform(0.0, 90.0)
        errors.append(_light(stand, sky, azimuth, "fast") - _light(stand, sky, azimuth))
    means = np.mean(errors, axis=1)
    assert np.abs(means).max() < 0.01
    assert abs(means.mean()) < 0.002
    assert np.quantile(np.abs(errors).mean(axis=1), 0.95) < 0.01
