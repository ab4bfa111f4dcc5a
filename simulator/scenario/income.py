"""What the land earns beside wood, grass and straw. Every year counts from planting and comes again in each cycle."""

from typing import Annotated, Literal

from pydantic import Field

from simulator.scenario.base import LatePlanYear, Name, Section, Share

Needs = Literal["any", "trees", "alley"]


class Income(Section):
    """Rents and payments for what grows anyway. All off by default."""

    hunting_lease: bool = Field(default=False, description="let the hunting at the price item hunting_lease?")
    carbon_payment_per_ac_yr: float = Field(
        default=0.0, ge=0.0, le=1000.0, description="paid each year that trees stand [$/ac/yr]"
    )
    carbon_years: Annotated[tuple[int, int], Field(strict=False)] = Field(
        default=(1, 120), description="first and last year of the carbon payment"
    )


class Other(Section):
    """A small enterprise on part of the grass ground: cut flowers, floral greens, a browse strip."""

    name: Name = Field(description="up to 40 letters, digits, spaces; names its line and its present value")
    area_share: Share = Field(description="share of the grass ground given over to it; no forage grows there [1]")
    margin_per_ac: float | None = Field(
        default=None,
        ge=-100_000.0,
        le=1_000_000.0,
        description="yearly income less its costs, without hours, of an acre of it in full light [$/ac]",
    )
    item: str | None = Field(default=None, description="price item by the acre, in place of margin_per_ac")
    first_year: LatePlanYear = Field(default=1, description="years since planting")
    last_year: LatePlanYear = Field(default=120, description="years since planting")
    hours_per_ac: float = Field(default=0.0, ge=0.0, le=5000.0, description="hours a year on an acre of it [h/ac]")
    least_light: Share = Field(default=0.0, description="season's light on the ground at which it earns nothing [1]")
    full_light: Share = Field(default=0.0, description="light from which it earns all; a straight line between [1]")
    needs: Needs = Field(default="any", description="alley: between tree rows; trees: where trees stand; or any ground")
    hunting_bonus: float = Field(
        default=0.0, ge=0.0, le=2.0, description="hunting rent rises by this share while it is there [1]"
    )


class Payment(Section):
    """A yearly payment by the acre of the tract, whoever makes it."""

    name: Name = Field(description="up to 40 letters, digits, spaces; names its line and its present value")
    per_ac: float = Field(ge=-10_000.0, le=10_000.0, description="a year; below 0 it is a cost [$/ac]")
    first_year: LatePlanYear = Field(default=1, description="years since planting")
    last_year: LatePlanYear = Field(default=120, description="years since planting")
    needs: Literal["any", "trees", "grass", "both"] = Field(
        default="any",
        description="paid in years with trees, with grass that is used, with both, or in every year",
    )


def slug(name: str) -> str:
    """A name as it stands in the keys of the ledger: small letters, ``_`` between words."""
    return "_".join(name.lower().replace("_", " ").split())
