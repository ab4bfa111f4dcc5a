"""How far numbers that a plan states may lie off."""

from functools import cache
from pathlib import Path
from typing import NamedTuple

from simulator.sourced import coefficients, read_sourced


class Doubts(NamedTuple):
    """Steps to either side of what a plan states.

    Attributes
    ----------
    discount_rate
        Of the real yearly rate [1].
    site_index_ft
        Of the site index [ft].
    grass_yield
        Of what the ground grows, as a share of it [1].
    thinning_yr
        Years by which the first thinning is tried sooner and later [yr].
    """

    discount_rate: float
    site_index_ft: float
    grass_yield: float
    thinning_yr: float


@cache
def load_doubts() -> Doubts:
    """The packaged steps."""
    return coefficients(read_sourced(Path(__file__).parent / "doubts.toml"), "stated", Doubts)
