"""What is planted, and what is done to it until it is cut."""

from typing import Literal

from pydantic import Field

from simulator.scenario.base import LatePlanYear, Section, Share, Year

Genetics = Literal["unimproved", "poor", "first generation", "second generation", "elite family"]
ThinningMethod = Literal["from below", "rows", "rows then below", "strips", "strips then below", "marked"]


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
    replant_below: Share | None = Field(
        default=None, description="share of spots alive after year 1 below which gaps are replanted [1]; default never"
    )
    volunteers_per_ac: float = Field(default=0.0, ge=0.0, le=5000.0, description="self-sown trees [1/ac]")
    control_volunteers: bool = Field(default=True, description="cut them in year 3; false: they crowd the planted")
    rip: bool = Field(default=True, description="rip the rows of old pasture before planting")
    site_index_ft: float | None = Field(
        default=None,
        ge=20.0,
        le=140.0,
        description="site index of the species itself at its own base age [ft]; default: converted from loblolly's",
    )
    genetics: Genetics = Field(default="unimproved", description="seed: raises or lowers site index and its price")
    weed_control: bool = Field(
        default=True, description="herbicide along the rows; false: unpaid, fewer trees live and they grow slower"
    )
    rust_infected_share: Share | None = Field(
        default=None, description="share of stems with fusiform rust by age 5 [1]; default by species"
    )
    layout: Layout


class Thinning(Section):
    """One thinning at the end of a year of the tree cycle."""

    year: Year = Field(description="years since planting; with [stand] years from now, 0 = now")
    method: ThinningMethod = Field(default="from below", description="which trees are taken")
    residual_trees_per_ac: float | None = Field(default=None, gt=0.0, le=2000.0, description="trees left [1/ac]")
    residual_basal_area_ft2_ac: float | None = Field(
        default=None, gt=0.0, le=300.0, description="basal area left [ft2/ac]"
    )
    remove_every_row: int | None = Field(
        default=None, ge=2, le=10, description="one row of so many is removed (default: 5, or one row of each set)"
    )
    strip_rows_removed: int | None = Field(default=None, ge=1, le=12, description="adjacent rows removed in a strip")
    strip_rows_left: int | None = Field(default=None, ge=1, le=12, description="adjacent rows left between strips")


class Pruning(Section):
    """One pruning lift, in the dormant season before the year."""

    year: LatePlanYear = Field(description="years since planting")
    height_ft: float = Field(gt=0.0, le=30.0, description="stem cleared of branches up to [ft]")
    trees_per_ac: float | None = Field(default=None, gt=0.0, le=2000.0, description="trees pruned [1/ac]; default all")


class Harvest(Section):
    """Final harvest at the end of a year of the tree cycle; the cycle then starts again."""

    year: Year = Field(description="years since planting; with [stand] years from now, 0 = now")


class Treatment(Section):
    """A cost item of the price table booked in one year."""

    year: Year = Field(description="years since planting")
    item: str = Field(description="item of the price table with a per-acre unit")
    share: float = Field(
        default=1.0, gt=0.0, le=1.0, description="share of the tract treated, ponds and rock left out [1]"
    )
