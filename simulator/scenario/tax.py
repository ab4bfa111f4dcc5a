"""Income tax at the owner's own rates. Off unless the table stands; no rate is built in."""

from pydantic import Field

from simulator.scenario.base import Section


class Tax(Section):
    """The owner's rates and bases, for an estimate after income tax; never tax advice."""

    ordinary_rate: float = Field(
        ge=0.0, lt=1.0, description="tax on hay, grazing, straw, rents and interest, as a share [1]"
    )
    gains_rate: float = Field(
        ge=0.0, lt=1.0, description="tax on timber sold and animals kept for breeding, as a share [1]"
    )
    state_rate: float = Field(default=0.0, ge=0.0, lt=1.0, description="added to both rates, as a share [1]")
    timber_basis: float | None = Field(
        default=None, ge=0.0, le=1e9, description="what was paid for the timber that stands today, on the tract [$]"
    )
    timber_basis_ton: float | None = Field(
        default=None, ge=0.01, le=1e9, description="timber that it was paid for, on the tract [ton]"
    )
    planting_deducted_at_once: float = Field(
        default=0.0, ge=0.0, le=1e9, description="most of a year's planting deducted at once, on the tract [$]"
    )
    planting_years: int = Field(
        default=7, ge=1, le=40, description="years over which the rest is deducted; 7 for 84 months [yr]"
    )
    help_taxable: bool = Field(
        default=False, description="is cost-share taxed? false: it lowers the cost that is deducted"
    )

    def without_timber(self) -> "Tax":
        """The same rates for land on which no timber stands that was paid for."""
        return self.model_copy(update={"timber_basis": None, "timber_basis_ton": None})

    @property
    def on_ordinary(self) -> float:
        """Share of ordinary income that goes in tax [1]."""
        return self.ordinary_rate + self.state_rate

    @property
    def on_gains(self) -> float:
        """Share of gains that goes in tax [1]."""
        return self.gains_rate + self.state_rate
