"""How timber is sold: at what prices, with how much other timber, and over what ground."""

from typing import Final, Literal

from pydantic import Field

from simulator.scenario.base import Section

DELIVERED: Final = "delivered"
DRY: Final = "dry weather"
MILL_ITEMS: Final = ("delivered_pulpwood", "delivered_chip_and_saw", "delivered_sawtimber", "delivered_pole")
"""Price items of what mills pay at their gate, in the order of the products."""
COST_ITEMS: Final = ("cut_and_load", "haul", "move_in")
"""Price items of what it takes to bring wood there."""
DRY_ITEM: Final = "dry_weather_factor"
"""Price item by which the price falls where trucks come only in dry weather."""


class Sale(Section):
    """How timber is sold. Absent: at the stumpage prices of a large sale, by itself, with access all the year."""

    pricing: Literal["stumpage", "delivered"] = Field(
        default="stumpage", description="delivered: what mills pay, less cutting, loading, haul and moving in"
    )
    haul_miles: float = Field(default=50.0, ge=0.0, le=500.0, description="one way to the mill, for delivered [miles]")
    acres_sold_with: float = Field(
        default=0.0,
        ge=0.0,
        le=100_000.0,
        description="other acres like these cut in the same year and sold together [ac]",
    )
    access: Literal["all weather", "dry weather"] = Field(
        default="all weather", description="dry weather: trucks get in only then, and buyers pay less"
    )
