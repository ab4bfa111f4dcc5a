"""East-west beside north-south rows: signs as published, sizes as in an independent trial; see row_direction.toml."""

import tomllib
from pathlib import Path

import numpy as np
import pytest

from plans import changed, example, laid_out
from simulator.orientation import RowDirection, row_direction
from simulator.parameters.growth import load_light
from simulator.physics.light import Cell, OverRows, RowCrowns, light_profile
from simulator.physics.sun import season_rays
from simulator.units import FEET_PER_METRE, FloatArray
from workbench.row_direction import row_direction_document, row_direction_sentence

CHECKS = tomllib.loads((Path(__file__).parent / "row_direction.toml").read_text(encoding="utf-8"))
WARM, COOL = (3, 4, 5, 6, 7, 8, 9, 10, 11), (12, 1, 2)


def light(
    stand: dict[str, float], azimuth_deg: float, months: tuple[int, ...], in_row_ft: float | None = None
) -> FloatArray:
    """Light at 16 points across the whole alley."""
    site = CHECKS["site"]
    along = in_row_ft or site["in_row_ft"]
    across = stand["width_ft"] / 2.0
    half_length = stand["height_ft"] * stand["crown_ratio"] / 2.0
    radius = min(across, along / 2.0)
    density = site["leaf_area_density_m2_m3"] / FEET_PER_METRE
    leaf = density * 4.0 / 3.0 * np.pi * across * min(across, site["in_row_ft"] / 2.0) * half_length
    fields = (0.0, across, radius, half_length, stand["height_ft"] - half_length, leaf, 1.0, 1e-6, 0.0)
    rows = RowCrowns(*(np.array([field]) for field in fields))
    cell = Cell(width_ft=np.array(site["alley_ft"]), in_row_ft=np.array(along))
    points = (np.arange(16) + 0.5) / 16 * site["alley_ft"]
    rays = season_rays(site["latitude_deg"], months, site["clearness"])
    return light_profile(rows, cell, points, OverRows(rays, azimuth_deg), load_light())


def spread(profile: FloatArray) -> float:
    return float(profile.std() / profile.mean())


@pytest.mark.parametrize("stand", CHECKS["stand"], ids=lambda stand: f"{stand['width_ft']:g} ft wide")
def test_turning_the_rows_moves_light_as_published(stand: dict[str, float]) -> None:
    """DUPRAZ18, MUTSAERS80, OLESEN07 for the signs, TRIAL for the sizes."""
    (north, north_winter), (east, east_winter) = ([light(stand, way, m) for m in (WARM, COOL)] for way in (0.0, 90.0))
    assert north.mean() == pytest.approx(stand["north_south"], abs=0.004)
    assert east.mean() == pytest.approx(stand["east_west"], abs=0.004)
    assert 0.001 <= east.mean() - north.mean() <= 0.036
    assert 0.02 <= north_winter.mean() - east_winter.mean() <= 0.09
    assert spread(east) > 2.5 * spread(north)


def test_the_bright_strip_between_east_west_rows_lies_to_the_north() -> None:
    """BURNER09. Points of east-west rows count to the right of a row that runs east: southward."""
    for stand in CHECKS["stand"]:
        profile = light(stand, 90.0, WARM)
        # so that the first points lie just south of a row: the north edge of the alley
        assert profile[:5].mean() > 1.1 * profile[-5:].mean()


def test_the_difference_is_gone_where_trees_stand_far_apart_in_the_row() -> None:
    """TRIAL: within .3 points at 36 ft in the row."""
    stand = CHECKS["stand"][2]
    north, east = (light(stand, way, WARM, in_row_ft=36.0).mean() for way in (0.0, 90.0))
    assert east - north == pytest.approx(0.0, abs=0.003)


# The whole plan -------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def found() -> RowDirection:
    single = laid_out(example(), in_row_ft=6.0, alley_ft=32.0)
    at_31 = row_direction(changed(single, "land", latitude_deg=31.0))
    assert at_31 is not None
    return at_31


def test_a_plan_says_the_same_of_its_rows(found: RowDirection) -> None:
    """The grass ground leaves out the strip under the trees, so that the gain reaches a point more than in TRIAL."""
    north, east = found.as_planned, found.turned
    assert (north.azimuth_deg, east.azimuth_deg) == (0.0, 90.0)
    assert found.by_compass == (north, east)
    assert 0.001 <= east.shaded.light_warm - north.shaded.light_warm <= 0.046
    assert 0.03 <= north.shaded.light_cool - east.shaded.light_cool <= 0.09
    assert east.shaded.unevenness > 2.5 * north.shaded.unevenness
    assert abs(east.cycle.light_warm - north.cycle.light_warm) < east.shaded.light_warm - north.shaded.light_warm
    assert abs(east.equal_annual_income - north.equal_annual_income) < 4.0


def test_turning_twice_comes_back(found: RowDirection) -> None:
    plan = changed(laid_out(example(), in_row_ft=6.0, alley_ft=32.0, row_azimuth_deg=90.0), "land", latitude_deg=31.0)
    back = row_direction(plan)
    assert back is not None
    assert back.turned.azimuth_deg == 0.0
    assert back.turned.cycle.light_warm == pytest.approx(found.as_planned.cycle.light_warm, abs=1e-6)
    assert back.by_compass == (back.turned, back.as_planned)
    assert "north-south against east-west (as planned)" in row_direction_sentence(back)


def test_the_sentence_and_the_document_hold_the_same_numbers(found: RowDirection) -> None:
    said, document = row_direction_sentence(found), row_direction_document(found)
    assert document is not None
    assert f"{document['turned']['shaded_years']['light_warm']:.0%} of open light" in said
    assert f"{document['as_planned']['shaded_years']['unevenness']:.0%}" in said
    assert "years {}-{}".format(*document["shaded_years"]) in said
    assert "north-south (as planned) against east-west" in said


def test_rows_aslant_are_named_by_their_degrees() -> None:
    slanted = row_direction(laid_out(example(), in_row_ft=6.0, alley_ft=32.0, row_azimuth_deg=45.0))
    assert slanted is not None
    said = row_direction_sentence(slanted)
    assert "at 45 degrees (as planned) against at 135 degrees" in said
    # mirror images of one another: the sun is the same morning and afternoon
    assert slanted.turned.cycle.light_warm == pytest.approx(slanted.as_planned.cycle.light_warm, abs=0.01)


def test_a_plan_without_rows_has_no_direction() -> None:
    bare = example().model_copy(update={"trees": None, "thinning": (), "harvest": None})
    assert row_direction(bare) is None
    assert row_direction_document(None) is None
