"""What a landowner faces: help and its contracts, loans, hours, machines, sprays."""

from typing import Literal

from pydantic import Field

from simulator.scenario.base import Name, Section, Year

Practice = Literal["trees", "fence", "grass"]


class CostShare(Section):
    """Help with a cost, paid the same year, with a contract to keep what was helped. Taxable or not is left out."""

    line: str = Field(description='"planting", "fence", "grass", or one cost item of the price table')
    share: float = Field(gt=0.0, le=1.0, description="share of the cost that is paid back to the owner [1]")
    cap_per_ac: float | None = Field(
        default=None, gt=0.0, le=100_000.0, description="most in one tree cycle, by the acre of the tract [$/ac]"
    )
    first_year: Year = Field(default=0, description="costs count from this year since planting on")
    last_year: Year = Field(default=120, description="last year whose costs count")
    practice: Practice = Field(default="trees", description="what the contract asks to keep")
    life_years: int = Field(default=10, ge=1, le=100, description="years it must be kept from the first payment [yr]")


class Loan(Section):
    """Money borrowed once, at the end of a year; paid back at the end of each year after it."""

    name: Name = Field(default="loan", description="up to 40 letters, digits, spaces")
    amount: float | None = Field(default=None, gt=0.0, le=1e9, description="on the whole tract [$]")
    amount_per_ac: float | None = Field(default=None, gt=0.0, le=1e6, description="in place of amount [$/ac]")
    rate: float = Field(ge=0.0, le=0.5, description="yearly interest as a share; inflation as stated in [money]")
    years: int = Field(ge=1, le=60, description="years until it is paid back [yr]")
    first_year: Year = Field(default=0, description="year in which it is paid out")
    kind: Literal["level payments", "interest only then principal"] = Field(
        default="level payments", description="how it is paid back"
    )


class Labour(Section):
    """Whose hours."""

    own_hours_month: float | None = Field(
        default=None, ge=0.0, le=744.0, description="hours you have in a month for the tract; more is hired [h]"
    )


class Equipment(Section):
    """Working widths of your machines, for a warning where alleys are not whole passes."""

    mower_ft: float | None = Field(default=None, ge=2.0, le=60.0, description="cutting width [ft]")
    baler_ft: float | None = Field(default=None, ge=2.0, le=60.0, description="width of a windrow that is baled [ft]")
    sprayer_ft: float | None = Field(default=None, ge=2.0, le=120.0, description="width of the boom [ft]")


class Herbicide(Section):
    """A spray beside those of planting, named by its active ingredient. The product's label governs."""

    year: Year = Field(description="years since planting")
    product_class: str = Field(description="active ingredient, see the catalogue")
    share: float = Field(
        default=1.0, gt=0.0, le=1.0, description="share of the tract sprayed, ponds and rock left out [1]"
    )
    ground: Literal["grass", "strips"] = Field(default="grass", description="what is sprayed")
