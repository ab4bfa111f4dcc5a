"""Light under crowns against closed forms that any correct program reproduces, and against measured stands.

The closed forms are limits of Beer's law in ellipsoids, hedges, walls and slabs, evaluated here with scipy or by
hand; figures and sources stand in light_closed_forms.toml.
"""

import tomllib
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pytest
from scipy import special
from scipy.integrate import trapezoid

import simulator
from recording import agree, between
from simulator.physics.light import Cell, LightCoefficients, OverRows, RowCrowns, canopy_cover, light_profile
from simulator.physics.light.kernel import keep_slice, optical_depth
from simulator.physics.sun import Quadrature, SkyRays, season_rays
from simulator.sourced import coefficients, read_sourced
from simulator.units import FEET_PER_METRE, FloatArray

CHECKS = tomllib.loads((Path(__file__).parent / "light_closed_forms.toml").read_text(encoding="utf-8"))
COEFFICIENTS = coefficients(
    read_sourced(Path(simulator.__file__).parent / "parameters" / "sky.toml"), "light", LightCoefficients
)
BEER = "Closed form of Beer's law, evaluated in the test by hand or with scipy"
UNCAPPED = COEFFICIENTS._replace(leaf_area_density_cap_per_ft=1e12)


class Ellipsoids(NamedTuple):
    """One row of leafy ellipsoids without stems; ``depth_per_ft`` is projection times leaf area density."""

    across: float
    along: float
    upright: float
    depth_per_ft: float
    center: float = 30.0
    keep: float = 1.0

    @property
    def volume(self) -> float:
        """Crown volume [ft3]."""
        return 4.0 / 3.0 * np.pi * self.across * self.along * self.upright

    def rows(self) -> RowCrowns:
        """As the model takes it."""
        leaf = self.depth_per_ft * self.volume / COEFFICIENTS.projection
        fields = (0.0, self.across, self.along, self.upright, self.center, leaf, self.keep, 0.0, 0.0)
        return RowCrowns(*(np.array([field]) for field in fields))


def _ray(across: float, along: float, up: float) -> SkyRays:
    vector = np.array([across, along, up]) / np.linalg.norm([across, along, up])
    return SkyRays(*vector[:, None], np.ones(1))


def _diffuse(quadrature: Quadrature) -> SkyRays:
    """The diffuse sky alone, which closes the list of a season's rays."""
    rays = season_rays(31.0, (6,), 0.5, quadrature)
    part = SkyRays(*(field[-quadrature.rings * quadrature.azimuths :] for field in rays))
    return part._replace(weight=part.weight / part.weight.sum())


def _light(crowns: Ellipsoids, width: float, in_row: float, sky: SkyRays, points: int = 2000) -> FloatArray:
    place = (np.arange(points) + 0.5) / points * width
    return light_profile(
        crowns.rows(), Cell(np.array(width), np.array(in_row)), place, OverRows(sky, 0.0), UNCAPPED, precision="exact"
    )


def _sphere_mean(depth: float) -> float:
    """Mean light behind an ellipsoid over its shadow, from the optical depth of its longest chord."""
    return 2.0 * (1.0 - (1.0 + depth) * np.exp(-depth)) / depth**2


def _hedge_mean(depth: float) -> float:
    """Mean light behind an elliptic hedge over its shadow (Struve and Bessel functions)."""
    return 1.0 + np.pi / 2.0 * (special.modstruve(1, depth) - special.iv(1, depth))


def _steepness(crowns: Ellipsoids, sky: SkyRays) -> FloatArray:
    return np.sqrt((sky.east / crowns.across) ** 2 + (sky.north / crowns.along) ** 2 + (sky.up / crowns.upright) ** 2)


@pytest.mark.parametrize("precision", ["exact", "fast"])
def test_without_leaves_or_trees_the_ground_is_in_the_open(precision: str) -> None:
    rows = Ellipsoids(5.0, 5.0, 10.0, 0.1).rows()._replace(dbh_in=np.array([9.0]), crown_base_ft=np.array([20.0]))
    cell, points = Cell(np.array(20.0), np.array(8.0)), np.linspace(0.0, 20.0, 7)
    sky = season_rays(31.0, (4, 7), 0.52)
    for bare in (rows._replace(leaf_area_ft2=np.zeros(1)), rows._replace(keep_share=np.zeros(1))):
        assert (light_profile(bare, cell, points, OverRows(sky, 0.0), COEFFICIENTS, precision=precision) == 1.0).all()
    flat = rows._replace(half_width_across_ft=np.zeros(1), half_width_along_ft=np.zeros(1), dbh_in=np.zeros(1))
    light = light_profile(flat, cell, points, OverRows(sky, 0.0), COEFFICIENTS, precision=precision)
    assert light == pytest.approx(1.0, abs=1e-4)


@pytest.mark.parametrize("depth", [0.1, 1.0, 4.0, 15.0])
def test_sphere_in_a_parallel_beam(depth: float) -> None:
    sphere = Ellipsoids(10.0, 10.0, 10.0, depth / 20.0)
    light = _light(sphere, 40.0, 40.0, _ray(0.0, 0.0, 1.0))
    shadow = np.pi * 10.0**2 / 40.0**2
    agree("light that a sphere takes", 1.0 - light.mean(), shadow * (1.0 - _sphere_mean(depth)), BEER, share=2e-3)


@pytest.mark.parametrize("ray", [(0.5, 0.3, 1.0), (-1.0, 0.2, 0.6), (0.0, 1.0, 1.0), (0.9, 0.0, 0.3)])
def test_oblique_ellipsoid_intercepts_its_shadow(ray: tuple[float, float, float]) -> None:
    crowns, sky = Ellipsoids(6.0, 9.0, 14.0, 0.12), _ray(*ray)
    steepness = _steepness(crowns, sky)[0]
    shadow = np.pi * 6.0 * 9.0 * 14.0 * steepness / sky.up[0]
    light = _light(crowns, 120.0, 120.0, sky)
    expected = shadow * (1.0 - _sphere_mean(2.0 * 0.12 / steepness))
    agree("light that an oblique ellipsoid takes [ft2]", (1.0 - light.mean()) * 120.0**2, expected, BEER, share=2e-3)


def test_every_direction_finds_the_whole_crown_volume() -> None:
    """In thin foliage the light lost is extinction times volume, however low the sun: no row is forgotten."""
    thin = Ellipsoids(6.0, 4.0, 12.0, 1e-7)
    sky = season_rays(31.0, (3, 12), 0.52)
    for ray in np.stack([sky.east, sky.north, sky.up], axis=1)[sky.up > 0.02]:
        lost = 1.0 - _light(thin, 24.0, 8.0, _ray(*ray), points=500).mean()
        assert lost * 24.0 * 8.0 * ray[2] / 1e-7 == pytest.approx(thin.volume, rel=4e-3)


@pytest.mark.parametrize("ray", [(0.0, 0.0, 1.0), (0.4, 0.5, 1.0), (0.3, -2.0, 1.0)])
def test_endlessly_overlapping_crowns_are_a_hedge(ray: tuple[float, float, float]) -> None:
    """Elliptic in section; the overlap makes it denser inwards, so the depth follows the square of the chord."""
    hedge, sky = Ellipsoids(4.0, 300.0, 8.0, 0.0016), _ray(*ray)
    section = np.sqrt((sky.east / 4.0) ** 2 + (sky.up / 8.0) ** 2)[0]
    shadow = 2.0 * 4.0 * 8.0 * section / sky.up[0]
    deepest = np.pi / 2.0 * hedge.depth_per_ft * 2.0 / section * 300.0 / 5.0
    chord = np.sqrt(1.0 - np.linspace(-1.0, 1.0, 4001) ** 2)
    through = np.exp(-deepest * chord**2).mean()
    expected = 1.0 - shadow / 60.0 * (1.0 - through)
    agree("light beside a hedge", _light(hedge, 60.0, 5.0, sky).mean(), expected, BEER, within=1e-3)


@pytest.mark.parametrize("depth", [0.05, 0.5, 2.0, 6.0, 20.0])
def test_kernel_of_few_many_and_no_crowns(depth: float) -> None:
    table = keep_slice(1.0)
    for overlap in (0.02, 0.2, 0.5):
        apart = np.exp(-optical_depth(table, np.array(depth), np.array(overlap)))
        expected = 1.0 - 2.0 * overlap * (1.0 - _hedge_mean(depth))
        agree(f"light through crowns apart, overlap {overlap}", apart, expected, BEER, within=1.3e-3)
    assert np.exp(-optical_depth(table, np.array(depth), np.array(0.0))) == 1.0
    for overlap in (30.0, 1e6):
        endless = optical_depth(table, np.array(depth), np.array(overlap))
        agree(f"depth of endless crowns, overlap {overlap:g}", endless, np.pi / 2.0 * depth * overlap, BEER, share=1e-3)


def test_opaque_crowns_cast_whole_shadows() -> None:
    opaque = Ellipsoids(6.0, 5.0, 12.0, 1e6)
    for ray in ((0.0, 0.0, 1.0), (0.3, 0.2, 1.0), (-0.6, 0.1, 1.0)):
        sky = _ray(*ray)
        shadow = np.pi * 6.0 * 5.0 * 12.0 * _steepness(opaque, sky)[0] / sky.up[0]
        agree(
            "light past opaque crowns", _light(opaque, 50.0, 30.0, sky).mean(), 1.0 - shadow / 1500.0, BEER, within=1e-3
        )
    cover = canopy_cover(opaque.rows(), Cell(np.array(50.0), np.array(8.0)))
    assert _light(opaque, 50.0, 8.0, _ray(0.0, 0.0, 1.0)).mean() == pytest.approx(1.0 - cover, abs=5e-3)


@pytest.mark.parametrize("number", range(3))
@pytest.mark.parametrize("sky", ["uniform", "overcast"])
def test_crowns_wide_beyond_their_spacing_are_a_slab(number: int, sky: str) -> None:
    check = CHECKS["slab"]
    area = check["leaf_area_index"][number]
    crowns = Ellipsoids(400.0, 400.0, 5.0, 1.0)
    crowns = crowns._replace(depth_per_ft=check["projection"] * area * 4.0 * 4.0 / crowns.volume)
    light = _light(crowns, 4.0, 4.0, _diffuse(Quadrature(rings=64, azimuths=4, sky=sky)), points=4)
    depth = check["projection"] * area
    exact = {
        "uniform": 2.0 * special.expn(3, depth),
        "overcast": 6.0 / 7.0 * (special.expn(3, depth) + 2.0 * special.expn(4, depth)),
    }[sky]
    agree("crowns wide beyond their spacing are a slab", exact, check[sky][number], check, within=5e-5)
    agree("crowns wide beyond their spacing are a slab", light.mean(), exact, check, within=check["tolerance"])
    for up in (0.3, 0.7, 1.0):
        beam = _light(crowns, 4.0, 4.0, _ray(np.sqrt(1.0 - up**2), 0.0, up), points=4)
        agree(f"beam through a slab, height of the sun {up}", beam.mean(), np.exp(-depth / up), BEER, within=2e-3)


@pytest.mark.parametrize("sky", ["uniform", "overcast"])
def test_thin_opaque_wall(sky: str) -> None:
    check = CHECKS["wall"]
    spacing, height = 100.0, 100.0 * check["height_over_spacing"]
    wall = Ellipsoids(0.002, 500.0, height / 2.0, 1e7, center=height / 2.0)
    light = _light(wall, spacing, 5.0, _diffuse(Quadrature(rings=48, azimuths=96, sky=sky)), points=200)
    place = (np.arange(200) + 0.5) / 200.0 * spacing
    sides = [np.arctan(distance / height) for distance in (place, spacing - place)]
    if sky == "uniform":
        exact = sum(0.5 * np.sin(angle) for angle in sides)
        mean = np.sqrt(1.0 + check["height_over_spacing"] ** 2) - check["height_over_spacing"]
        agree("thin opaque wall: mean", mean, check["mean"], check, within=5e-5)
        agree("thin opaque wall", light.mean(), mean, check, within=check["tolerance"])
    else:
        exact = sum(
            (np.pi / 2.0 * np.sin(a) + 8.0 / 3.0 * (a / 2.0 + np.sin(2.0 * a) / 4.0)) / (7.0 * np.pi / 3.0)
            for a in sides
        )
    agree("thin opaque wall", light.mean(), exact.mean(), check, within=check["tolerance"])
    assert np.abs(light - exact).max() < 0.02


def test_leaves_facing_all_ways_project_one_half() -> None:
    """The projection read from the parameters lies where leaves of a sphere's orientation put it, at any sun."""
    facing = np.linspace(0.0, np.pi / 2.0, 2001)
    mean = trapezoid(np.cos(facing) * np.sin(facing), facing)
    agree(
        "projection of leaves facing all ways",
        mean,
        CHECKS["spherical_leaves"]["projection"],
        CHECKS["spherical_leaves"],
        within=1e-6,
    )
    assert COEFFICIENTS.projection == pytest.approx(mean, abs=1e-6)


def test_light_intercepted_and_transmitted_is_all_the_light() -> None:
    """What the crowns' shadows take (closed form, ray by ray) and what reaches the ground add up to one."""
    crowns, sky = Ellipsoids(6.0, 5.0, 10.0, 0.1), season_rays(31.0, (6, 9), 0.52)
    high = SkyRays(*(field[sky.up > 0.35] for field in sky))
    high = high._replace(weight=high.weight / high.weight.sum())
    steepness = _steepness(crowns, high)
    shadow = np.pi * 6.0 * 5.0 * 10.0 * steepness / high.up
    depth = 2.0 * 0.1 / steepness
    taken = (high.weight * shadow * [1.0 - _sphere_mean(d) for d in depth]).sum() / 100.0**2
    assert taken + _light(crowns, 100.0, 100.0, high).mean() == pytest.approx(1.0, abs=1e-4)


def test_cover_of_ten_year_loblolly() -> None:
    check = CHECKS["loblolly_cover"]
    radius = 0.5 * check["crown_width_m"] * FEET_PER_METRE
    cell = Cell(np.array(check["alley_m"] * FEET_PER_METRE), np.array(check["in_row_m"] * FEET_PER_METRE))
    cover = canopy_cover(Ellipsoids(radius, radius, 10.0, 0.1).rows(), cell)
    agree("cover of ten year loblolly", cover, check["cover"], check, within=check["tolerance"])


def test_alley_of_east_west_rows_is_brighter_on_its_north_side() -> None:
    check = CHECKS["east_west_alley"]
    half = 0.3 * check["height_ft"]
    crowns = Ellipsoids(0.5 * check["crown_width_ft"], 4.0, half, 0.1, center=check["height_ft"] - half)
    rows = crowns.rows()._replace(leaf_area_ft2=np.array([check["leaf_area_ft2"]]))
    points = (np.arange(30) + 0.5) / 30.0 * check["alley_ft"]
    sky = season_rays(check["latitude_deg"], range(3, 12), 0.52)
    cell = Cell(np.array(check["alley_ft"]), np.array(8.0))
    light = light_profile(rows, cell, points, OverRows(sky, 90.0), COEFFICIENTS, precision="exact")
    north, middle, south = light.reshape(3, 10).mean(axis=1)
    between("light at the north side less that at the south side", north - south, 0.1, None, check)
    assert middle > south + 0.1


def test_grouped_trees_let_more_light_through_than_even_ones() -> None:
    """Equal trees on equal ground, a woodland: rows 24 ft apart, and sets of three rows 8 ft apart every 72 ft."""
    check = CHECKS["grouped_trees"]
    one = Ellipsoids(8.0, 8.0, 15.0, 0.06, center=45.0).rows()
    three = RowCrowns(*(np.repeat(field, 3) for field in one))._replace(offset_ft=np.array([0.0, 8.0, 16.0]))
    sky = season_rays(31.0, range(3, 12), 0.52)
    points, in_row = (np.arange(48) + 0.5) / 48.0, np.array(30.0)
    even = light_profile(one, Cell(np.array(24.0), in_row), points * 24.0, OverRows(sky, 0.0), COEFFICIENTS)
    grouped = light_profile(three, Cell(np.array(72.0), in_row), points * 72.0, OverRows(sky, 0.0), COEFFICIENTS)
    gain = grouped.mean() / even.mean() - 1.0
    between(
        "light that grouping gains",
        gain,
        check["least_gain"],
        check["most_gain"],
        check,
    )
    assert grouped.std() > even.std()
