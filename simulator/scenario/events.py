"""What happens to a plan beside its ordinary years: storms and droughts, fertiliser, fire, no bid, neglect."""

from typing import Annotated, Literal

from pydantic import Field

from simulator.scenario.base import LatePlanYear, Section, Share

EventKind = Literal[
    "ice", "wind", "wildfire", "beetles", "drought", "hogs", "deer and rodents", "seedling loss"
]  # fmt: skip


class Event(Section):
    """One thing that happens in one year of the calendar, at the end of its season; illustrative, no forecast."""

    year: LatePlanYear = Field(description="row of the calendar, counted from the start")
    kind: EventKind = Field(description="what strikes")
    severity: float = Field(default=1.0, ge=0.0, le=3.0, description="multiplies the ordinary losses; 0 = nothing")
    trees_lost_share: Share | None = Field(
        default=None, description="trees killed, at most .99 [1]; default by kind and age"
    )
    stems_damaged_share: Share | None = Field(
        default=None, description="stems of the trees left that make no sawtimber any more [1]"
    )
    salvaged_share: Share | None = Field(default=None, description="share of the killed wood that is sold [1]")
    grass_lost_share: Share | None = Field(
        default=None, description="drought: forage lost that year; hogs: sward torn up [1]"
    )
    drought_response: Literal["feed", "destock"] = Field(
        default="feed", description="own herd in a drought: keep it and buy hay, or sell down to the grass"
    )


class Fertiliser(Section):
    """Fertiliser for the trees, spread over the whole field before the season of a year."""

    year: LatePlanYear = Field(description="years since planting")
    nitrogen_lb_ac: float = Field(default=0.0, ge=0.0, le=400.0, description="elemental nitrogen [lb/ac]")
    phosphorus_lb_ac: float = Field(default=0.0, ge=0.0, le=100.0, description="elemental phosphorus [lb/ac]")


class Fire(Section):
    """Prescribed fire in the winter before the season of a year; a licensed burner and local rules decide."""

    first_year: LatePlanYear = Field(description="years since planting")
    interval_years: int = Field(default=3, ge=1, le=20, description="years between burns")


class Neglect(Section):
    """What is not done, or done late; each tree cycle is let go alike."""

    from_year: LatePlanYear | None = Field(
        default=None, description="years since planting; from then on nothing is done but the final harvest"
    )
    missed_thinnings: Annotated[tuple[Annotated[int, Field(ge=1, le=20)], ...], Field(strict=False)] = Field(
        default=(), description="thinnings that are never done, by their number in the file"
    )
    thinnings_late_years: int = Field(default=0, ge=0, le=30, description="years that every thinning is late")
    no_fertiliser_from_year: LatePlanYear | None = Field(
        default=None, description="years since planting; from then on neither grass nor trees are fertilised"
    )
    no_pruning: bool = Field(default=False, description="true: no pruning is done")


class Market(Section):
    """Whether anybody buys the small wood."""

    pulpwood_bid: bool = Field(default=True, description="false: pulpwood brings nothing")
    unsold_thinning: Literal["wait", "pay"] = Field(
        default="wait", description="a thinning that is mostly unsold pulpwood waits, or is paid for and left lying"
    )
    give_up_years: int = Field(default=8, ge=0, le=60, description="years that such a thinning is tried again")
