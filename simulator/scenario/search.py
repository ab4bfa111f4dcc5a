"""What a search for the best plan may vary; the simulator itself never reads it."""

from typing import Annotated

from pydantic import Field

from simulator.scenario.base import LatePlanYear, Section, Year
from simulator.scenario.trees import ThinningMethod

MOST_LEVELS = 12
Years = Annotated[tuple[Year, ...], Field(strict=False, max_length=MOST_LEVELS)]
LateYears = Annotated[tuple[LatePlanYear, ...], Field(strict=False, max_length=MOST_LEVELS)]
Residual = Annotated[float, Field(gt=0.0, le=2000.0)]
KeptShare = Annotated[float, Field(ge=0.1, le=0.95)]
Nitrogen = Annotated[float, Field(ge=0.0, le=300.0)]


class Search(Section):
    """The grid of plans for this land; what is left out is derived from the species and the plan of the file."""

    most_thinnings: int = Field(default=3, ge=0, le=3, description="thinnings in a plan at most")
    first_thinning_years: Years | None = Field(default=None, description="years of the first thinning")
    years_between: LateYears | None = Field(default=None, description="years from one thinning to the next")
    first_residuals_trees_per_ac: (
        Annotated[tuple[Residual, ...], Field(strict=False, max_length=MOST_LEVELS)] | None
    ) = Field(default=None, description="trees the first thinning leaves [1/ac]")
    later_residual_shares: Annotated[tuple[KeptShare, ...], Field(strict=False, max_length=MOST_LEVELS)] | None = Field(
        default=None, description="share of the trees that each later thinning leaves [1]"
    )
    thinning_methods: (
        Annotated[tuple[ThinningMethod, ...], Field(strict=False, min_length=1, max_length=MOST_LEVELS)] | None
    ) = Field(default=None, description="methods of the first thinning; later ones as the file's last")
    harvest_years: Annotated[tuple[Year, ...], Field(strict=False, min_length=1, max_length=MOST_LEVELS)] | None = (
        Field(default=None, description="years of the final harvest")
    )
    hay_until_years: LateYears | None = Field(
        default=None, description="last years of hay; no hay at all is always tried"
    )
    first_grazing_years: LateYears | None = Field(
        default=None, description="first years of grazing; never grazing is always tried"
    )
    pasture_nitrogen_lb_ac: (
        Annotated[tuple[Nitrogen, ...], Field(strict=False, min_length=1, max_length=MOST_LEVELS)] | None
    ) = Field(default=None, description="nitrogen rates of grass alone [lb/ac]")
