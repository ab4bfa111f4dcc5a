"""A batch of scenarios turned into arrays: what the yearly loop reads and nothing else does."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

import numpy as np

from simulator.agenda import Agenda, agenda_of
from simulator.candidates import taken
from simulator.geometry import Geometry, geometry_of
from simulator.scenario.lapses import as_done
from simulator.scenario.model import Scenario
from simulator.schedule import NEVER, Calendar, calendar_of
from simulator.units import BoolArray, FloatArray, IntArray


@dataclass(frozen=True)
class Plan:
    """A batch of scenarios of one species, grass, animal and horizon, ready to grow."""

    scenarios: tuple[Scenario, ...]
    geometry: Geometry
    calendar: Calendar
    horizon: int
    agenda: Agenda
    mill_prices: FloatArray | None = None
    """Signed price of each quantity of a sale at the mill, (candidates, lines): only to tell whether it finds a bid."""

    @cached_property
    def last_year(self) -> int:
        """Last row simulated: the horizon, or the longest first tree cycle if that ends later."""
        cycles = (self.calendar.harvest_age - self.start_age)[self.calendar.harvest_age < NEVER]
        return max(self.horizon, int(cycles.max(initial=0)))

    @property
    def candidates(self) -> int:
        """Number of scenarios in the batch."""
        return len(self.scenarios)

    @cached_property
    def acres_of_rows(self) -> FloatArray:
        """Acres that the rows take with their alleys, or open pasture [ac], (candidates,): what is called land."""
        return _kept(self.column("land", "acres") * self.geometry.rows_share)

    @cached_property
    def start_age(self) -> IntArray:
        """Age of the trees in year 0 [yr], (candidates,); 0 where they are planted then."""
        return _kept(np.array([scenario.stand.age if scenario.stand else 0 for scenario in self.scenarios]))

    @cached_property
    def standing(self) -> BoolArray:
        """Where trees stand already in year 0, (candidates,)."""
        return _kept(np.asarray(self.start_age > 0))

    def column(self, *path: str) -> FloatArray:
        """One numeric field of every scenario, such as ``column("land", "acres")``; NaN for None [(candidates,)]."""
        if path not in self._columns:
            self._columns[path] = _kept(np.array([_field(scenario, path) for scenario in self.scenarios], float))
        return self._columns[path]

    def flags(self, *path: str, equals: object = True) -> BoolArray:
        """Where a field of the scenario equals a value [(candidates,)]."""
        asked = (*path, equals)
        if asked not in self._flags:
            self._flags[asked] = _kept(np.array([_field(scenario, path) == equals for scenario in self.scenarios]))
        return self._flags[asked]

    def tree_column(self, name: str, without: float) -> FloatArray:
        """One numeric field of the trees of every scenario, and another number without trees [(candidates,)]."""
        asked = ("trees", name, str(without))
        if asked not in self._columns:
            planted = [getattr(scenario.trees, name) if scenario.trees else without for scenario in self.scenarios]
            self._columns[asked] = _kept(np.array(planted, float))
        return self._columns[asked]

    @cached_property
    def alley_ft(self) -> FloatArray:
        """Width between sets of rows [ft], (candidates,); infinite on open pasture."""
        trees = [scenario.trees for scenario in self.scenarios]
        return _kept(np.array([planted.layout.alley_ft if planted else np.inf for planted in trees]))

    def of(self, index: IntArray) -> "Plan":
        """The plan of some candidates, in this order."""
        fewer = Plan(
            tuple(self.scenarios[i] for i in index),
            taken(self.geometry, index),
            taken(self.calendar, index),
            self.horizon,
            taken(self.agenda, index),
            mill_prices=None if self.mill_prices is None else self.mill_prices[index],
        )
        fewer._columns.update({path: _kept(column[index]) for path, column in self._columns.items()})
        fewer._flags.update({asked: _kept(flag[index]) for asked, flag in self._flags.items()})
        return fewer

    @cached_property
    def _columns(self) -> dict[tuple[str, ...], FloatArray]:
        return {}

    @cached_property
    def _flags(self) -> dict[tuple[object, ...], BoolArray]:
        return {}


Kept = TypeVar("Kept", FloatArray, BoolArray, IntArray)


def _kept(array: Kept) -> Kept:
    """An array that is handed out again and again, so nobody may write into it."""
    array.flags.writeable = False
    return array


def _field(scenario: Scenario, path: tuple[str, ...]) -> float | str | bool | None:
    value: object = scenario
    for name in path:
        value = None if value is None else getattr(value, name)
    return value  # type: ignore[return-value]


def compile_plan(
    scenarios: Sequence[Scenario], *, strip_width_ft: float, points: int, stumps_share: float = 0.0
) -> Plan:
    """Turn scenarios that share a horizon into the arrays of the yearly loop.

    Parameters
    ----------
    scenarios
        One or many; all with the same horizon.
    strip_width_ft
        Width of the vegetation-free strip along each row [ft].
    points
        Ground points across the grass ground at which light is measured.
    stumps_share
        Share of the land under stumps, stems and landings of a stand that stands already [1].

    Returns
    -------
    Plan

    Raises
    ------
    ValueError
        If horizons differ.
    """
    horizons = {scenario.money.horizon_years for scenario in scenarios}
    if len(horizons) != 1:
        raise ValueError(f"scenarios of one batch share a horizon, got {sorted(horizons)}")
    horizon = horizons.pop()
    done = tuple(as_done(scenario) for scenario in scenarios)
    geometry = geometry_of(done, strip_width_ft, points, stumps_share)
    return Plan(done, geometry, calendar_of(done, horizon), horizon, agenda_of(done))
