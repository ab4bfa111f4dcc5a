"""What may strike a batch by chance: a number drawn for each kind and year, and what it takes for it to strike."""

from dataclasses import dataclass, field

import numpy as np

from simulator.physics.hazards import ByStocking, Rough
from simulator.units import FloatArray

NO_CHANCE = ByStocking(0.0, 0.0, 0.0, 0.0, 0.0)
NO_ROUGH = Rough(0.0, 0.0)


@dataclass(frozen=True)
class Chances:
    """Chances that hang on the stand, so that only the yearly loop can say whether they strike.

    Storms and droughts do not ask what stands; they are drawn before and entered as events.

    Attributes
    ----------
    lot
        Number drawn evenly from 0 to 1 by kind and calendar row [1], (candidates,); it strikes below the probability.
    severity
        How hard it strikes then [1], (candidates,), with the same keys.
    outbreak_times
        By row: probability of beetles against that of a quiet year [1], (candidates,).
    beetles, wildfire
        Yearly probabilities by what stands.
    ruin_share
        Where events of one year kill more than this share of the trees the rest is felled and planted again [1];
        infinite where the plan goes on with what is left.
    expected
        Every year brings its probability times the loss, instead of all of it or none.
    """

    lot: dict[tuple[str, int], FloatArray] = field(default_factory=dict)
    severity: dict[tuple[str, int], FloatArray] = field(default_factory=dict)
    outbreak_times: dict[int, FloatArray] = field(default_factory=dict)
    beetles: ByStocking = NO_CHANCE
    wildfire: Rough = NO_ROUGH
    ruin_share: float = float("inf")
    expected: bool = False

    def strikes(self, kind: str, year: int, probability: FloatArray) -> FloatArray | None:
        """Severity with which a kind strikes in a row at these probabilities.

        Parameters
        ----------
        kind
            Hazard.
        year
            Row.
        probability
            Chance that it strikes [1], (candidates,).

        Returns
        -------
        FloatArray or None
            Severity [1], (candidates,); None where it cannot strike.

        References
        ----------
        Definition of a chance.
        """
        lot = self.lot.get((kind, year))
        if lot is None:
            return None
        severity = self.severity[kind, year]
        likely = np.clip(probability, 0.0, 1.0)
        return np.asarray(likely * severity if self.expected else np.where(lot < likely, severity, 0.0))
