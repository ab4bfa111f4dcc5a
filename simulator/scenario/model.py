"""The scenario: the only input of the simulator, frozen and strict, every field with unit and range."""

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

Year = Annotated[int, Field(ge=0, le=120)]
LatePlanYear = Annotated[int, Field(ge=1, le=120)]
Share = Annotated[float, Field(ge=0.0, le=1.0)]

ThinningMethod = Literal["from below", "rows", "rows then below"]
GrazingSystem = Literal["continuous", "slow rotation", "strip"]


class Section(BaseModel):
    """A frozen table of the scenario file that refuses keys it does not know."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)


class Land(Section):
    """The piece of land. Growth equations are fitted between latitudes 24 and 40 north."""

    acres: float = Field(gt=0.0, le=100_000.0, description="tract area [ac]")
    latitude_deg: float = Field(ge=24.0, le=40.0, description="latitude [degrees north]")
    site_index_ft: float = Field(
        ge=40.0, le=110.0, description="dominant height of loblolly at age 25 [ft]; fits cover 50-85"
    )
    former_use: Literal["pasture", "cutover"] = Field(
        default="pasture", description="what grew here before; decides site culture and clearing"
    )
    soil: str = Field(default="", description="soil in words, for the report only")
    fenced: bool = Field(default=True, description="is the perimeter fence sound? true: no system pays for it")


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
    prices: dict[str, float] = Field(default_factory=dict, description="price overrides, item = value")


class Layout(Section):
    """Rows in sets, with alleys between the sets. Distances between stems [ft]."""

    rows_in_set: int = Field(default=1, ge=1, le=8, description="rows in a set")
    row_gap_ft: float = Field(default=8.0, ge=3.0, le=40.0, description="between rows of one set [ft]")
    in_row_ft: float = Field(ge=2.0, le=60.0, description="between trees along a row [ft]")
    alley_ft: float = Field(ge=5.0, le=200.0, description="between the outer rows of neighbouring sets [ft]")
    row_azimuth_deg: float = Field(default=0.0, ge=0.0, lt=180.0, description="0 = rows run north-south [degrees]")


class Trees(Section):
    """What is planted and how much of it lives."""

    species: str = Field(description="tree id, see the catalogue")
    stock: str = Field(default="bareroot seedlings", description="planting stock in words")
    survival: float = Field(
        default=0.90, gt=0.0, le=1.0, description="share of planted trees alive after establishment"
    )
    crown_width_multiplier: float = Field(default=1.0, ge=0.5, le=1.5, description="narrow- or wide-crowned stock [1]")
    layout: Layout


class Thinning(Section):
    """One thinning at the end of a year of the tree cycle."""

    year: LatePlanYear = Field(description="years since planting")
    method: ThinningMethod = Field(default="from below", description="which trees are taken")
    residual_trees_per_ac: float | None = Field(default=None, gt=0.0, le=2000.0, description="trees left [1/ac]")
    residual_basal_area_ft2_ac: float | None = Field(
        default=None, gt=0.0, le=300.0, description="basal area left [ft2/ac]"
    )
    remove_every_row: int | None = Field(
        default=None, ge=2, le=10, description="one row of so many is removed (default: 5, or one row of each set)"
    )


class Pruning(Section):
    """One pruning lift, in the dormant season before the year."""

    year: LatePlanYear = Field(description="years since planting")
    height_ft: float = Field(gt=0.0, le=30.0, description="stem cleared of branches up to [ft]")
    trees_per_ac: float | None = Field(default=None, gt=0.0, le=2000.0, description="trees pruned [1/ac]; default all")


class Harvest(Section):
    """Final harvest at the end of a year of the tree cycle; the cycle then starts again."""

    year: LatePlanYear = Field(description="years since planting")


class Treatment(Section):
    """A cost item of the price table booked in one year."""

    year: Year = Field(description="years since planting")
    item: str = Field(description="item of the price table with a per-acre unit")
    share: float = Field(default=1.0, gt=0.0, le=1.0, description="share of the tract treated [1]")


class Pasture(Section):
    """The grass under and between the trees."""

    grass: str = Field(default="bahiagrass", description="grass id, see the catalogue")
    nitrogen_lb_ac: float | dict[str, float] = Field(
        default=0.0, description="nitrogen a year on the grass ground [lb/ac], or a table of year = rate from then on"
    )
    established: bool = Field(default=True, description="false: the sward is sown in year 0 and paid for")


class Use(Section):
    """How the forage is used, year by year of the tree cycle."""

    hay_years: Annotated[tuple[int, int], Field(strict=False)] | None = Field(
        default=None, description="first and last year that hay is cut"
    )
    hay_use: Literal["sold", "fed"] = Field(default="sold", description="sell hay, or keep it for the herd")
    first_grazing_year: LatePlanYear | None = Field(
        default=None, description="earliest year of grazing; animals still wait until trees are safe"
    )
    hay_storage: Literal["inside", "outside"] = Field(default="inside", description="where hay for the herd is kept")
    hay_feeding: Literal["rack", "ground"] = Field(default="rack", description="how hay is fed")
    tree_safe_height_ft: float | None = Field(
        default=None, ge=3.0, le=40.0, description="mean tree height at which animals may enter [ft]; default by animal"
    )
    animals: str = Field(default="none", description="animal id, see the catalogue; none = no grazing")
    system: GrazingSystem = Field(default="slow rotation", description="grazing system")
    tenure: Literal["owned", "leased"] = Field(default="owned", description="own herd, or grazing leased out")
    lease_basis: Literal["acre", "animal-unit month"] = Field(
        default="acre", description="leased by the acre (tenant fertilises) or by what is grazed (owner fertilises)"
    )
    least_head: int = Field(default=0, ge=0, le=100_000, description="fewest animals kept on the tract [head]")
    most_head: int = Field(default=100_000, ge=0, le=100_000, description="most animals kept on the tract [head]")
    herd_change_share: float = Field(
        default=0.25, gt=0.0, le=1.0, description="most the herd changes in a year, as a share of it"
    )
    displaced_herd: Literal["sold", "rented pasture", "none"] = Field(
        default="sold", description="what happens to the present herd while the trees are too small"
    )


class Straw(Section):
    """Pine straw. Off unless a market is stated; a raked year closes the pasture unit to animals."""

    market: bool = Field(default=False, description="is there a buyer?")
    first_rake_year: LatePlanYear = Field(default=8, description="years since planting")
    interval_years: int = Field(default=2, ge=1, le=20, description="years between rakes")
    most_rakes: int = Field(default=5, ge=0, le=40, description="rakes in a tree cycle")
    temporary_fence: bool = Field(
        default=False, description="pay for a fence so that alleys are grazed in a raked year"
    )


class Baseline(Section):
    """Overrides of the two derived single uses, written with the keys of the scenario itself."""

    plantation: dict[str, Any] = Field(default_factory=dict, description="tables that replace the derived plantation's")
    pasture: dict[str, Any] = Field(default_factory=dict, description="tables that replace the derived pasture's")


class Scenario(Section):
    """One piece of land under one plan."""

    format: Literal[1] = Field(description="version of this file's layout")
    title: str = Field(default="", description="name of the field")
    land: Land
    money: Money
    trees: Trees | None = Field(default=None, description="absent: open pasture")
    thinning: Annotated[tuple[Thinning, ...], Field(strict=False)] = ()
    pruning: Annotated[tuple[Pruning, ...], Field(strict=False)] = ()
    harvest: Harvest | None = Field(default=None, description="needed when there are trees")
    treatment: Annotated[tuple[Treatment, ...], Field(strict=False)] = ()
    pasture: Pasture = Pasture()
    use: Use = Use()
    straw: Straw = Straw()
    baseline: Baseline = Baseline()
