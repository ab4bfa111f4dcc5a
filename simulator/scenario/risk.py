"""Where the land lies among the hazards, and how the owner judges them; `halfshade odds` and `wait` read it."""

from typing import Annotated, Literal

from pydantic import Field

from simulator.scenario.base import Section, Share

Zone = Literal["coast", "coastal plain", "piedmont", "northern edge"]
HazardKind = Literal["ice", "wind", "wildfire", "beetles", "drought", "hogs", "seedling loss"]
Times = Annotated[float, Field(ge=0.0, le=50.0)]


class Risk(Section):
    """Hazards as chances: illustrative probabilities that an owner may move; no forecast."""

    zone: Zone = Field(
        default="coastal plain", description="sets how often ice and wind strike; coastal plain: 50 to 100 miles inland"
    )
    off: Annotated[tuple[HazardKind, ...], Field(strict=False)] = Field(
        default=(), description="hazards that are left out"
    )
    times: dict[HazardKind, Times] = Field(
        default_factory=dict, description="multiplies the yearly probability of a hazard [1]"
    )
    severity_spread: Share | None = Field(
        default=None, description="how far the severity of an event may lie from 1 either way [1]; 0: all ordinary"
    )
    ruin_share: Share | None = Field(
        default=None,
        description="trees lost in a year above which the rest is felled and replanted [1]; 1: never",
    )
