"""How prices move over the years, for draws of prices and for waiting; plans are compared at steady prices."""

from typing import Annotated, Literal

from pydantic import Field

from simulator.scenario.base import Section

Moves = Literal["fixed", "trend", "mean-reverting", "random walk"]
Correlation = Annotated[float, Field(gt=-1.0, lt=1.0)]


class PriceProcess(Section):
    """One price over the years, in real dollars; what is left out comes from the price table and invented defaults."""

    item: str = Field(description="an amount of money in the price table, such as sawtimber, calf or hay")
    moves: Moves = Field(
        default="mean-reverting",
        description="whether it returns to a usual level, wanders, rises or falls steadily, or stands still",
    )
    today: float | None = Field(
        default=None, gt=0.0, le=1e6, description="price today, in the item's unit; default: the price in force"
    )
    mean: float | None = Field(
        default=None, gt=0.0, le=1e6, description="long-run mean of a mean-reverting price; default: the price in force"
    )
    keep: float | None = Field(
        default=None, ge=0.0, lt=1.0, description="share of a distance from the usual price left a year later [1]"
    )
    spread: float | None = Field(
        default=None, ge=0.0, le=1.0, description="standard deviation of a year's change of the log price [1]"
    )
    trend: float | None = Field(
        default=None,
        ge=-0.2,
        le=0.2,
        description="yearly change of a trend or a random walk, as a share; default 0 [1]",
    )


class PriceLink(Section):
    """How far the yearly changes of two prices go together."""

    items: Annotated[tuple[str, str], Field(strict=False)] = Field(description="two items that have a [[price_path]]")
    correlation: Correlation = Field(description="of the changes of their log prices, above -1 and below 1 [1]")
