"""The grass, who uses it, and the straw on it."""

from typing import Annotated, Literal

from pydantic import Field

from simulator.scenario.base import LatePlanYear, Section, Year

NO_GRASS = "none"
Month = Annotated[int, Field(ge=1, le=12)]
GrazingSystem = Literal["continuous", "slow rotation", "strip"]


class Switch(Section):
    """Another grass in place of the first, once in a tree cycle: by year or by light."""

    grass: str = Field(description="grass id, see the catalogue")
    year: LatePlanYear | None = Field(
        default=None, description="year of the tree cycle at whose end the old sward is killed and the new one sown"
    )
    below_light: Annotated[float, Field(gt=0.0, lt=1.0)] | None = Field(
        default=None, description="or: after the first year of use in which the first grass has less light than this"
    )


class Pasture(Section):
    """The grass under and between the trees."""

    grass: str = Field(default="bahiagrass", description="grass id, see the catalogue")
    nitrogen_lb_ac: float | dict[str, float] = Field(
        default=0.0, description="nitrogen a year on the grass ground [lb/ac], or a table of year = rate from then on"
    )
    yield_multiplier: float = Field(
        default=1.0, ge=0.3, le=2.0, description="what this ground grows against the usual [1]; clippings tell"
    )
    established: bool = Field(default=True, description="false: the sward is sown and paid for")
    sown_year: Year = Field(
        default=0,
        description="year at whose end the sward is sown, where it is not established; it grows from the next",
    )
    overseeded: Literal["none", "ryegrass", "crimson-clover"] = Field(
        default="none", description="winter annual sown into the grass every autumn of a year in which it is grazed"
    )
    overseeded_from_year: LatePlanYear = Field(default=1, description="first year of the tree cycle that is so sown")
    overseeded_nitrogen_lb_ac: Annotated[float, Field(ge=0.0, le=300.0)] | None = Field(
        default=None, description="nitrogen a year for the winter annual [lb/ac]; as a rule its usual rate"
    )
    switch: Switch | None = Field(default=None, description="another grass later in the tree cycle")

    @property
    def later_grass(self) -> str:
        """Id of the grass that takes the first one's place, or ``none``."""
        return self.switch.grass if self.switch else NO_GRASS


class Use(Section):
    """How the forage is used, year by year of the tree cycle."""

    hay_years: Annotated[tuple[int, int], Field(strict=False)] | None = Field(
        default=None, description="first and last year that hay is cut"
    )
    hay_use: Literal["sold", "fed"] = Field(default="sold", description="sell hay, or keep it for the herd")
    first_grazing_year: LatePlanYear | None = Field(
        default=None, description="earliest year of grazing; animals still wait until trees are safe"
    )
    never_grazed: bool = Field(
        default=False, description="true: animals are named only for the herd that the trees displace; none graze"
    )
    hay_storage: Literal["inside", "outside"] = Field(default="inside", description="where hay for the herd is kept")
    hay_feeding: Literal["rack", "ground"] = Field(default="rack", description="how hay is fed")
    tree_safe_height_ft: float | None = Field(
        default=None, ge=3.0, le=40.0, description="mean tree height at which animals may enter [ft]; default by animal"
    )
    animals: str = Field(default="none", description="animal id, see the catalogue; none = no grazing")
    season_months: Annotated[tuple[Month, Month], Field(strict=False)] | None = Field(
        default=None,
        description="first and last month on grass of stockers or a tenant's animals; [11, 5] is November to May",
    )
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
