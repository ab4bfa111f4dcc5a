"""Sun and sky against almanac-grade values and correlations computed outside the project; sources in sun.toml."""

import tomllib
from pathlib import Path

import numpy as np
import pytest

from recording import agree
from simulator.physics.sun import (
    MEAN_DAYS,
    Quadrature,
    day_length_h,
    declination,
    extraterrestrial_mj_m2_day,
    hourly_diffuse_share,
    monthly_diffuse_share,
    season_rays,
    sun_vector,
    sunset_hour_angle,
)

CHECKS = tomllib.loads((Path(__file__).parent / "sun.toml").read_text(encoding="utf-8"))
SKY = "Astronomy: obliquity 23.44 degrees; equinoxes about 20 March and 22 September"


@pytest.mark.parametrize("day", CHECKS["almanac"]["days"], ids=lambda day: day["date"])
def test_day_length_and_noon_elevation_follow_the_almanac(day: dict[str, float]) -> None:
    check = CHECKS["almanac"]
    length = day_length_h(check["latitude_deg"], day["day_of_year"])
    agree("length of the day without refraction [h]", length, day["geometric_day_h"], check, within=5e-4)
    agree(
        "day that refraction adds [h]",
        day["almanac_day_h"] - length,
        check["refraction_h"],
        check,
        within=check["refraction_tolerance_h"],
    )
    noon = np.degrees(np.arcsin(sun_vector(check["latitude_deg"], day["day_of_year"], 0.0)[2]))
    agree(
        "height of the sun at noon [degree]",
        noon,
        day["almanac_noon_deg"],
        check,
        within=check["noon_tolerance_deg"],
    )


def test_extraterrestrial_radiation_of_the_months() -> None:
    check = CHECKS["extraterrestrial"]
    months = extraterrestrial_mj_m2_day(check["latitude_deg"], np.array(MEAN_DAYS, dtype=float))
    agree(
        "radiation above the air, by month [MJ/m2/day]",
        months,
        check["mj_m2_day"],
        check,
        within=check["tolerance"],
    )


def test_hourly_diffuse_share() -> None:
    check = CHECKS["hourly_diffuse"]
    agree(
        "hourly diffuse share",
        hourly_diffuse_share(np.array(check["clearness"])),
        check["share"],
        check,
        within=check["tolerance"],
    )


def test_monthly_diffuse_share_of_a_middling_month() -> None:
    check = CHECKS["monthly_diffuse"]
    share = monthly_diffuse_share(check["clearness"], sunset_hour_angle(31.0, 100.0))
    agree("monthly diffuse share of a middling month", share, check["share"], check, within=check["tolerance"])


def test_sun_crosses_the_equator_at_the_equinoxes_and_the_tropics_at_the_solstices() -> None:
    """Astronomy: obliquity 23.44 degrees; equinoxes about 20 March and 22 September, solstices 21 June and December."""
    degrees = np.degrees(declination(np.arange(1.0, 366.0)))
    agree("declination at the solstices [degree]", [degrees.max(), degrees.min()], [23.44, -23.44], SKY, within=0.03)
    crossings = np.flatnonzero(np.diff(np.sign(degrees))) + 1
    agree("day of the equinoxes", crossings, [80, 266], SKY, within=1.5)


@pytest.mark.parametrize("latitude", [-50.0, -31.0, 0.0, 31.0, 60.0])
@pytest.mark.parametrize("sky", ["uniform", "overcast"])
def test_rays_are_unit_vectors_above_the_horizon_with_weights_of_one(latitude: float, sky: str) -> None:
    rays = season_rays(latitude, (3, 4, 12), 0.52, Quadrature(sky=sky))
    assert rays.weight.sum() == pytest.approx(1.0, abs=1e-12)
    assert (rays.weight >= 0.0).all()
    assert (rays.up > 0.0).all()
    assert rays.east**2 + rays.north**2 + rays.up**2 == pytest.approx(1.0, abs=1e-12)


def test_beam_carries_what_the_diffuse_correlation_leaves() -> None:
    quadrature = Quadrature()
    rays = season_rays(31.0, (6,), 0.52, quadrature)
    beam = rays.weight[: quadrature.hours].sum()
    assert beam == pytest.approx(1.0 - monthly_diffuse_share(0.52, sunset_hour_angle(31.0, 162.0)), abs=1e-12)


@pytest.mark.parametrize(("latitude", "months", "clearness"), [(80.0, (6,), 0.5), (31.0, (), 0.5), (31.0, (13,), 0.5)])
def test_a_season_out_of_range_is_refused(latitude: float, months: tuple[int, ...], clearness: float) -> None:
    with pytest.raises(ValueError, match="expected"):
        season_rays(latitude, months, clearness)


def test_a_clearness_out_of_range_is_refused() -> None:
    with pytest.raises(ValueError, match=r"clearness.*received 0\.9"):
        season_rays(31.0, (6,), 0.9)
