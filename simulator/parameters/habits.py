"""What kind of plant a grass is, and what it is worth to an animal, a tenant and a mower."""

from typing import NamedTuple


class Quality(NamedTuple):
    """What a grass gives an animal, a tenant and a mower.

    Attributes
    ----------
    stocker_gain_lb_day
        Gain of growing cattle on it [lb/day].
    rent_share
        Rent of an acre of it, fully grown, against bahiagrass [1].
    stocker_first_month
        Month in which stockers come (1 = January).
    hay_share
        Share of the year's growth that the cuts of a hay year reach [1].
    """

    stocker_gain_lb_day: float
    rent_share: float
    stocker_first_month: float
    hay_share: float


class Habit(NamedTuple):
    """What kind of grass it is.

    Attributes
    ----------
    warm_season
        1 for a grass of the summer, 0 for one of spring, autumn and winter.
    sown_every_year
        1 for an annual, 0 for a perennial.
    southern_limit_deg, northern_limit_deg
        Latitudes between which it persists [degrees north].
    usual_nitrogen_lb_ac
        Yearly rates that practice would think of [lb/ac].
    """

    warm_season: float
    sown_every_year: float
    southern_limit_deg: float
    northern_limit_deg: float
    usual_nitrogen_lb_ac: tuple[float, ...]
