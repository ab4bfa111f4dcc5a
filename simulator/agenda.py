"""What happens beside the ordinary years, as arrays of a batch: events by calendar row, inputs by age."""

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from simulator.chances import Chances
from simulator.scenario.model import Scenario
from simulator.schedule import MOST_SHIFT_YR, NEVER
from simulator.units import BoolArray, FloatArray, IntArray

LAST_AGE = 121


@dataclass(frozen=True)
class Agenda:
    """Events and inputs of a batch.

    Attributes
    ----------
    severity
        How hard an event strikes, by kind and calendar row [1], (candidates,); rows without an event are absent.
    stated
        What the scenario states instead, by kind, row and field [1], (candidates,); NaN where it does not.
    destock
        By row: own herds are sold down to the grass of a drought, (candidates,).
    nitrogen_lb_ac, phosphorus_lb_ac
        Fertiliser for the trees by age of the trees [lb/ac], (candidates, ages).
    burn
        A burn is due in the winter before the season of that age, (candidates, ages).
    let_go_from
        Age from which nobody cares, ``NEVER`` if none, (candidates,).
    chances
        What may strike beside the events entered; nothing where a scenario is run as it is written.
    """

    severity: dict[tuple[str, int], FloatArray]
    stated: dict[tuple[str, int, str], FloatArray]
    destock: dict[int, BoolArray]
    nitrogen_lb_ac: FloatArray
    phosphorus_lb_ac: FloatArray
    burn: BoolArray
    let_go_from: IntArray
    chances: Chances = dataclasses.field(default_factory=Chances)

    def strikes(self, kind: str, year: int) -> FloatArray | None:
        """Severity of a kind of event in a row, (candidates,); None where it strikes nobody."""
        return self.severity.get((kind, year))

    def with_severity(self, kind: str, year: int, severity: FloatArray) -> "Agenda":
        """The agenda with a kind striking in a row at least so hard, (candidates,)."""
        key = kind, year
        harder = np.maximum(self.severity.get(key, 0.0), severity)
        return replace(self, severity=self.severity | {key: harder})

    def share(self, kind: str, year: int, field: str, usual: FloatArray | float, *, scaled: bool = True) -> FloatArray:
        """Share stated for an event, else the ordinary one, times severity where it scales with it.

        Parameters
        ----------
        kind
            Kind of event.
        year
            Row.
        field
            Which of its shares.
        usual
            Ordinary share [1], (candidates,).
        scaled
            Whether it grows with severity.

        Returns
        -------
        FloatArray
            Share, 0 to 1 [1], (candidates,).

        References
        ----------
        Assumed for this project.
        """
        severity = self.severity[kind, year]
        stated = self.stated.get((kind, year, field), np.full_like(severity, np.nan))
        ordinary = np.clip((severity if scaled else 1.0) * usual, 0.0, 1.0)
        # where nothing strikes, a statement of another candidate's event does not count
        return np.where(severity > 0, np.where(np.isnan(stated), ordinary, stated), 0.0)


def agenda_of(scenarios: Sequence[Scenario]) -> Agenda:
    """Enter what every scenario says into one agenda.

    Parameters
    ----------
    scenarios
        One or many, as they are carried out.

    Returns
    -------
    Agenda
    """
    count = len(scenarios)
    starts = [scenario.stand.age if scenario.stand else 0 for scenario in scenarios]
    shape = (count, LAST_AGE + 1 + (max(starts) + MOST_SHIFT_YR if any(starts) else 0))
    agenda = Agenda(
        severity={},
        stated={},
        destock={},
        nitrogen_lb_ac=np.zeros(shape),
        phosphorus_lb_ac=np.zeros(shape),
        burn=np.zeros(shape, bool),
        let_go_from=np.array(
            [start + (scenario.neglect.from_year or NEVER) for start, scenario in zip(starts, scenarios, strict=True)]
        ),
    )
    for i, scenario in enumerate(scenarios):
        _enter_events(agenda, i, scenario, count)
        for dose in scenario.fertiliser:
            agenda.nitrogen_lb_ac[i, starts[i] + dose.year] += dose.nitrogen_lb_ac
            agenda.phosphorus_lb_ac[i, starts[i] + dose.year] += dose.phosphorus_lb_ac
        if scenario.fire is not None and scenario.trees is not None:
            first = starts[i] + scenario.fire.first_year
            agenda.burn[i, first : agenda.let_go_from[i] : scenario.fire.interval_years] = True
    return agenda


def _enter_events(agenda: Agenda, i: int, scenario: Scenario, count: int) -> None:
    for event in scenario.event:
        key = event.kind, event.year
        agenda.severity.setdefault(key, np.zeros(count))[i] = event.severity
        for field in ("trees_lost_share", "stems_damaged_share", "salvaged_share", "grass_lost_share"):
            value = getattr(event, field)
            if value is not None:
                agenda.stated.setdefault((*key, field), np.full(count, np.nan))[i] = value
        if event.kind == "drought" and event.drought_response == "destock":
            agenda.destock.setdefault(event.year, np.zeros(count, bool))[i] = True
