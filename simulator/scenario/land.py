"""The piece of land, and the money it is reckoned in."""

from typing import Annotated, Literal

from pydantic import Field

from simulator.scenario.base import Section, Share
from simulator.scenario.ground import Ground


class Land(Section):
    """The piece of land. Growth equations are fitted between latitudes 24 and 40 north."""

    acres: float = Field(ge=0.01, le=100_000.0, description="tract area [ac]")
    latitude_deg: float = Field(ge=24.0, le=40.0, description="latitude [degrees north]")
    site_index_ft: float = Field(
        ge=40.0,
        le=110.0,
        description="dominant height of loblolly at age 25 [ft], whatever is planted; fits cover 50-85",
    )
    former_use: Literal["pasture", "cutover"] = Field(
        default="pasture", description="what grew here before; decides site culture and clearing"
    )
    site_culture: float | None = Field(
        default=None, ge=0.5, le=1.5, description="diameter-growth multiplier [1]; default by former use"
    )
    soil: str = Field(default="", description="soil in words, for the report only")
    fenced: bool = Field(default=True, description="is the perimeter fence sound? true: no system pays for it")
    fence_life_years: float | None = Field(
        default=None, ge=3.0, le=60.0, description="years until fence and water are renewed [yr]; default of practice"
    )
    tax_trees_per_ac: float | None = Field(
        default=None, ge=0.0, le=1000.0, description="yearly property tax on land in trees, beside the overhead [$/ac]"
    )
    tax_grass_per_ac: float | None = Field(
        default=None, ge=0.0, le=1000.0, description="yearly property tax on land in grass, beside the overhead [$/ac]"
    )
    rent_paid_per_ac: float = Field(
        default=0.0, ge=0.0, le=10_000.0, description="yearly rent for land leased in, by every system [$/ac]"
    )
    bare_land_price_per_ac: float | None = Field(
        default=None, ge=0.0, le=1e6, description="what the bare land fetches, only for run --sell-in [$/ac]"
    )
    ground: Ground | None = Field(default=None, description="absent: the rows fill the field and have no edge")

    def of_acres(self, acres: float) -> "Land":
        """The same land with more or fewer acres, its rows and headlands in proportion."""
        ground = None if self.ground is None else self.ground.scaled(acres / self.acres)
        return self.model_copy(update={"acres": acres, "ground": ground})


AfternoonF = Annotated[float, Field(ge=-20.0, le=130.0)]
YearOfF = Annotated[tuple[AfternoonF, ...], Field(strict=False, min_length=12, max_length=12)]
YearOfShares = Annotated[tuple[Share, ...], Field(strict=False, min_length=12, max_length=12)]


class Climate(Section):
    """Ordinary afternoons at the site by month, January first; without this table the packaged ones at its latitude."""

    afternoon_temperature_f: YearOfF | None = Field(
        default=None, description="monthly mean of the day's highest temperature [degF], twelve numbers"
    )
    relative_humidity: YearOfShares | None = Field(
        default=None, description="monthly mean of afternoon relative humidity as a share [1], twelve numbers"
    )


class Money(Section):
    """Discounting and prices. All amounts are real unless ``rate_basis`` says nominal."""

    discount_rate: float = Field(ge=0.0, le=0.5, description="yearly rate as a share: 0.05 is 5 %")
    rate_basis: Literal["real", "nominal"] = Field(
        default="real", description="nominal: inflation is taken out of the rate, prices stay real"
    )
    inflation: float = Field(default=0.0, ge=-0.05, le=0.5, description="yearly inflation as a share")
    price_table: str = Field(default="demo-2025", description="packaged price table, or a file beside this one")
    horizon_years: int = Field(default=40, ge=1, le=100, description="years simulated [yr]")
    value_at_end: bool = Field(default=True, description="value standing trees, herd and reconversion at the horizon")
    pay_labour: bool = Field(default=True, description="charge the owner's hours at the wage of the price table")
    timber_sale: Literal["by the ton", "lump sum"] = Field(
        default="by the ton", description="lump sum: paid at signing, a year before the cut, at lump_sum_factor"
    )
    prices: dict[str, float] = Field(default_factory=dict, description="price overrides, item = value")
