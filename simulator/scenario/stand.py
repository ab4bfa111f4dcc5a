"""The stand that is there already, as a cruise found it: the other way into a plan, instead of planting."""

from typing import Annotated, Literal

from pydantic import Field

from simulator.scenario.base import Section, Share


class DbhClass(Section):
    """One line of the stand table."""

    dbh_in: float = Field(ge=0.5, le=40.0, description="middle of the diameter class [in]")
    trees_per_ac: float = Field(gt=0.0, le=3000.0, description="living trees of the class [1/ac]")
    height_ft: float | None = Field(
        default=None, ge=5.0, le=150.0, description="mean total height of the class [ft]; default from its diameter"
    )
    sawtimber_grade_share: Share | None = Field(
        default=None, description="share of its stems straight and sound enough for sawtimber; default of the species"
    )


class FoundStand(Section):
    """Trees that stand on the land today. Years of the plan then count from today: year 0 is now."""

    age: int = Field(ge=5, le=80, description="years since planting, or since the trees seeded in [yr]")
    origin: Literal["planted", "natural"] = Field(default="planted", description="decides stem volumes and rows")
    thinned_before: int = Field(default=0, ge=0, le=5, description="thinnings done already")
    after_harvest: Literal["plantation", "pasture"] = Field(
        default="plantation", description="what follows the final harvest, in every alternative alike"
    )
    open_later_years: int = Field(default=5, ge=1, le=30, description="years that opening it later waits [yr]")
    dbh_class: Annotated[tuple[DbhClass, ...], Field(strict=False, min_length=1, max_length=60)] = Field(
        alias="class", description="the stand table, one [[stand.class]] for each diameter class"
    )

    @property
    def trees_per_ac(self) -> float:
        """Living trees [1/ac]."""
        return sum(line.trees_per_ac for line in self.dbh_class)
