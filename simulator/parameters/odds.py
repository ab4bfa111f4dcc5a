"""How often hazards strike, by zone and by what stands; illustrative, no forecast."""

from functools import cache
from pathlib import Path
from typing import Final, NamedTuple

from simulator.physics.hazards import ByStocking, Rough
from simulator.sourced import coefficients, read_sourced

HAZARDS: Final = ("ice", "wind", "wildfire", "beetles", "drought", "hogs", "seedling loss")
"""Kinds of events that are drawn, in the order of their numbers: a new kind goes to the end."""


class ByZone(NamedTuple):
    """Yearly probability of a storm that damages a stand [1/yr], by zone."""

    coast: float
    coastal_plain: float
    piedmont: float
    northern_edge: float

    def of(self, zone: str) -> float:
        """The probability in a zone as the scenario names it [1/yr]."""
        return float(getattr(self, zone.replace(" ", "_")))


class Outbreak(NamedTuple):
    """Years in which beetles are many.

    Attributes
    ----------
    times
        Probability of a strike against that of a quiet year [1].
    starts, stays
        Probability that an outbreak begins after a quiet year, and that it goes on [1/yr].
    """

    times: float
    starts: float
    stays: float

    @property
    def usual_share(self) -> float:
        """Share of years with an outbreak in the long run.

        Returns
        -------
        float
            Share [1].

        References
        ----------
        Stationary share of a chain of two states; derived.
        """
        return self.starts / (self.starts + 1.0 - self.stays)


class Anywhere(NamedTuple):
    """Yearly probabilities that no zone tells apart [1/yr]."""

    drought: float
    hogs: float
    seedling_loss: float


class Severity(NamedTuple):
    """How far the severity of what strikes lies from the ordinary at most [1]."""

    spread: float


class Ruin(NamedTuple):
    """Share of the trees lost in a year above which the rest is felled and the land planted again [1]."""

    lost_share: float


class Frequencies(NamedTuple):
    """Everything that says how often hazards strike and how hard."""

    ice: ByZone
    wind: ByZone
    wildfire: Rough
    beetles: ByStocking
    outbreak: Outbreak
    anywhere: Anywhere
    severity: Severity
    ruin: Ruin


@cache
def load_frequencies() -> Frequencies:
    """Read how often hazards strike.

    Returns
    -------
    Frequencies

    Raises
    ------
    ParameterError
        If the file breaks its schema.
    """
    file = read_sourced(Path(__file__).parent / "odds.toml")
    return Frequencies(**{name: coefficients(file, name, kind) for name, kind in Frequencies.__annotations__.items()})
