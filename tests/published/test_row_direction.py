"""East-west beside north-south rows: signs as published, sizes as in an independent trial; see row_direction.toml."""

import tomllib
from pathlib import Path

import numpy as np
import pytest

from plans import changed, example, laid_out
from recording import agree, between
from simulator.orientation import RowDirection, row_direction
from simulator.parameters.growth import load_light
from simulator.physics.light import Cell, OverRows, RowCrowns, light_profile
from simulator.physics.sun import season_rays
from simulator.units import FEET_PER_METRE, FloatArray
from workbench.row_direction import row_direction_document, row_direction_sentence

CHECKS = tomllib.loads((Path(__file__).parent / "row_direction.toml").read_text(encoding="utf-8"))
SOURCES = CHECKS["sources"]
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
    agree("warm-season light, rows north-south", north.mean(), stand["north_south"], SOURCES["TRIAL"], within=0.004)
    agree("warm-season light, rows east-west", east.mean(), stand["east_west"], SOURCES["TRIAL"], within=0.004)
    signs = " / ".join(SOURCES[key] for key in ("DUPRAZ18", "MUTSAERS80", "OLESEN07"))
    between("light that east-west rows gain, warm season", east.mean() - north.mean(), 0.001, 0.036, signs)
    between("light that they lose, cool season", north_winter.mean() - east_winter.mean(), 0.02, 0.09, signs)
    assert spread(east) > 2.5 * spread(north)


def test_the_bright_strip_between_east_west_rows_lies_to_the_north() -> None:
    """BURNER09. Points of east-west rows count to the right of a row that runs east: southward."""
    for stand in CHECKS["stand"]:
        profile = light(stand, 90.0, WARM)
        # so that the first points lie just south of a row: the north edge of the alley
        between("north edge over south edge", profile[:5].mean() / profile[-5:].mean(), 1.1, None, SOURCES["BURNER09"])


def test_the_difference_is_gone_where_trees_stand_far_apart_in_the_row() -> None:
    """TRIAL: within .3 points at 36 ft in the row."""
    stand = CHECKS["stand"][2]
    north, east = (light(stand, way, WARM, in_row_ft=36.0).mean() for way in (0.0, 90.0))
    agree("light gained with trees 36 ft apart", east - north, 0.0, SOURCES["TRIAL"], within=0.003)


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
    said = row_direction_sentence(back)
    assert said is not None
    assert "from east-west to north-south" in said


def test_the_sentence_and_the_document_hold_the_same_numbers(found: RowDirection) -> None:
    said, document = row_direction_sentence(found), row_direction_document(found)
    assert document is not None
    assert said is not None
    planned, turned = (document[way]["shaded_years"] for way in ("as_planned", "turned"))
    summer = round(100.0 * (turned["light_warm"] - planned["light_warm"]))
    winter = round(100.0 * (planned["light_cool"] - turned["light_cool"]))
    assert (
        f"{summer} point{'' if summer == 1 else 's'} more light in summer, spread less evenly, {winter} less in winter"
        in said
    )
    assert "years {}-{}".format(*document["shaded_years"]) in said
    assert "from north-south to east-west" in said


def test_the_sentence_is_short_and_left_out_where_nothing_changes(found: RowDirection) -> None:
    said = row_direction_sentence(found)
    assert said is not None
    assert len(said.split()) <= 35
    here = found.as_planned
    dearer = found._replace(turned=here._replace(equal_annual_income=here.equal_annual_income - 1.6))
    assert "as much light in summer" in str(row_direction_sentence(dearer))
    assert "takes $2 an acre a year" in str(row_direction_sentence(dearer))
    assert row_direction_sentence(found._replace(turned=found.as_planned)) is None


def test_rows_aslant_are_named_by_their_degrees() -> None:
    slanted = row_direction(laid_out(example(), in_row_ft=6.0, alley_ft=32.0, row_azimuth_deg=45.0))
    assert slanted is not None
    costlier = slanted.turned._replace(equal_annual_income=slanted.as_planned.equal_annual_income + 2.0)
    assert "Turning rows from 45 degrees to 135 degrees" in str(
        row_direction_sentence(slanted._replace(turned=costlier))
    )
    # mirror images of one another: the sun is the same morning and afternoon
    assert slanted.turned.cycle.light_warm == pytest.approx(slanted.as_planned.cycle.light_warm, abs=0.01)


def test_a_plan_without_rows_has_no_direction() -> None:
    bare = example().model_copy(update={"trees": None, "thinning": (), "harvest": None})
    assert row_direction(bare) is None
    assert row_direction_document(None) is None
