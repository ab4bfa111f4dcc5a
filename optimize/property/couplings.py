"""What ties the tracts of one owner together: each a table of the property file, each left out where not wanted."""

from typing import Annotated

from pydantic import Field

from simulator.scenario.base import LatePlanYear, Section

Money = Annotated[float, Field(ge=0.0, le=1e9)]
Count = Annotated[float, Field(ge=0.0, le=1e7)]


class Budget(Section):
    """Money on hand never falls below what the bank lends; what is left in one year is there in the next."""

    start: Money = Field(default=0.0, description="money on hand before year 0 [$]")
    added_per_year: Money = Field(default=0.0, description="put in from elsewhere each year from year 1 [$]")
    credit: Money = Field(default=0.0, description="most that may be owed at the end of a year [$]")
    interest: float = Field(
        default=0.0, ge=0.0, le=0.5, description="yearly interest on the balance, earned and owed alike, as a share"
    )


class Labour(Section):
    """Hours of work of one year on all tracts together."""

    hours_per_year: Count = Field(description="hours there are in a year [h]")


class Herd(Section):
    """One breeding herd on the grass of all tracts and on open pasture beside them; needs maximise = "npv"."""

    start_head: Count = Field(description="breeding females today [head]")
    need_aum_per_head: float = Field(
        gt=0.0, le=100.0, description="forage a female and her young need in a year [animal-unit month]"
    )
    margin_per_head: float = Field(
        ge=-1e5, le=1e5, description="young and culls sold less cash costs, a female and year, without feed [$]"
    )
    raised_share: float = Field(
        default=0.0, ge=0.0, le=0.5, description="most females raised beyond replacing culls, as a share of the herd"
    )
    raised_price: Money = Field(default=0.0, description="what a female that is raised would have sold for young [$]")
    bought_price: Money = Field(description="a bred female bought [$]")
    sold_price: Money = Field(description="a female sold, and each one left at the end [$]")
    feed_price_per_aum: Money = Field(description="feed bought in place of grass [$/animal-unit month]")
    most_feed_aum: Count | None = Field(
        default=None, description="most feed bought in a year [animal-unit month]; default no limit"
    )
    open_pasture_aum: Count = Field(
        default=0.0, description="what pasture beside the tracts feeds in a year [animal-unit month]"
    )
    least_head: Count = Field(default=0.0, description="fewest females from year 1 on [head]")
    most_head: Count | None = Field(default=None, description="most females [head]; default no limit")
    hours_per_head: float = Field(default=0.0, ge=0.0, le=1000.0, description="work with a female in a year [h]")


class Even(Section):
    """Each period within so much of the one before."""

    period_years: int = Field(ge=1, le=50, description="years of a period [yr]")
    within: float = Field(ge=0.0, lt=1.0, description="most change from one period to the next, as a share")
    from_year: LatePlanYear = Field(default=1, description="first year of the first period")


class Load(Section):
    """Wood of a tract, or of neighbours cut together, is sold in a year in no less than a saleable load."""

    least_ton: float = Field(gt=0.0, le=1e6, description="smallest load that finds a buyer [green ton]")


class Renewal(Section):
    """So much land at most lies freshly cut."""

    most_acres: float = Field(ge=0.0, le=1e7, description="most land harvested within the last years [ac]")
    within_years: int = Field(ge=1, le=50, description="years for which a harvested tract counts [yr]")


class Grazing(Section):
    """So much land at least is grazed in each year."""

    least_acres: float = Field(ge=0.0, le=1e7, description="least land grazed in a year [ac]")
    from_year: LatePlanYear = Field(default=1, description="first year for which it counts")


class Couplings(Section):
    """Everything that ties the tracts together."""

    budget: Budget | None = Field(default=None, description="money on hand by year")
    labour: Labour | None = Field(default=None, description="hours by year")
    herd: Herd | None = Field(default=None, description="one herd on all grass")
    even_income: Even | None = Field(default=None, description="income of a period near that of the one before")
    even_wood: Even | None = Field(default=None, description="wood sold in a period near that of the one before")
    load: Load | None = Field(default=None, description="smallest saleable load")
    renewal: Renewal | None = Field(default=None, description="most land freshly cut")
    grazing: Grazing | None = Field(default=None, description="least land grazed")

    @property
    def wanted(self) -> tuple[str, ...]:
        """Names of the couplings that are there."""
        return tuple(name for name in type(self).model_fields if getattr(self, name) is not None)
