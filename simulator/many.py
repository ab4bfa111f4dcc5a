"""Many scenarios from Python: run together, and their measures as one table."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from simulator.events.light import Precision
from simulator.measures import measures_frame, measures_html
from simulator.result import Outcome, run_batch
from simulator.scenario.model import Scenario

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True)
class Runs:
    """Outcomes of many scenarios, by name.

    Attributes
    ----------
    outcomes
        In the order given.
    """

    outcomes: Mapping[str, Outcome]

    def __len__(self) -> int:
        return len(self.outcomes)

    def __iter__(self) -> Iterator[str]:
        return iter(self.outcomes)

    def __getitem__(self, name: str) -> Outcome:
        return self.outcomes[name]

    def frame(self) -> "pd.DataFrame":
        """Measures of finance, one row a scenario, per acre with units in the names."""
        return measures_frame({name: outcome.measures for name, outcome in self.outcomes.items()}, "scenario")

    def _repr_html_(self) -> str:
        return measures_html({name: outcome.measures for name, outcome in self.outcomes.items()}, "scenario")


def run_many(
    scenarios: Mapping[str, Scenario] | Sequence[Scenario], beside: Path | None = None, precision: Precision = "fast"
) -> Runs:
    """Grow and price many scenarios; alike ones share one pass of the yearly loop.

    Parameters
    ----------
    scenarios
        By name, or a list, which is named by place from 0.
    beside
        Folder where a user's own price table is looked for.
    precision
        Light path; ``fast`` is within .01 of exact light.

    Returns
    -------
    Runs
        In the order given. For thousands, `optimize.sweep` keeps what it has done and does not hold all in memory.

    Examples
    --------
    >>> from simulator import change, load, run_many
    >>> field = load("examples/north-field.toml")
    >>> runs = run_many({f"{ft} ft": change(field, {"trees.layout.alley_ft": ft}) for ft in (40, 60)})
    >>> list(runs.frame().index)
    ['40 ft', '60 ft']
    """
    named = scenarios if isinstance(scenarios, Mapping) else {str(i): one for i, one in enumerate(scenarios)}
    return Runs(dict(zip(named, run_batch(list(named.values()), beside, precision), strict=True)))
