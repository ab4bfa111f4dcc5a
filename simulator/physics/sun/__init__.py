"""Where the sun stands, how a month's radiation splits into beam and diffuse, and the rays of a season."""

from simulator.physics.sun.position import day_length_h, declination, sun_vector, sunset_hour_angle
from simulator.physics.sun.radiation import (
    extraterrestrial_mj_m2_day,
    hourly_diffuse_share,
    monthly_diffuse_share,
)
from simulator.physics.sun.rays import MEAN_DAYS, Quadrature, SkyRays, season_rays

__all__ = [
    "MEAN_DAYS",
    "Quadrature",
    "SkyRays",
    "day_length_h",
    "declination",
    "extraterrestrial_mj_m2_day",
    "hourly_diffuse_share",
    "monthly_diffuse_share",
    "season_rays",
    "sun_vector",
    "sunset_hour_angle",
]
