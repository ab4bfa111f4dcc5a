"""What the direction of the rows does: a plan as it lies, and turned by a quarter."""

from collections.abc import Sequence
from pathlib import Path
from typing import Final, NamedTuple

import numpy as np

from simulator.result import Outcome, run_batch
from simulator.scenario.model import Scenario
from simulator.scenario.trees import Trees
from simulator.units import FloatArray

QUARTER_TURN_DEG: Final = 90.0
HALF_TURN_DEG: Final = 180.0
SHADED_LIGHT: Final = 0.90
"""Warm-season light on the grass below which the rows' shade is worth a word (assumed for this project)."""


class Lie(NamedTuple):
    """What the grass gets under rows of one direction, as a mean of some years.

    Attributes
    ----------
    light_warm, light_cool
        Share of open light on the grass ground, March to November and December to February [1].
    unevenness
        Standard deviation of warm-season light across the grass ground over its mean [1].
    forage_lb_ac
        Dry matter grown [lb per acre of the tract and year].
    """

    light_warm: float
    light_cool: float
    unevenness: float
    forage_lb_ac: float


class Direction(NamedTuple):
    """A plan with its rows in one direction.

    Attributes
    ----------
    azimuth_deg
        Direction of the rows, clockwise from north [degrees], 0 to below 180.
    shaded
        Means of the years from the first shade on the grass to the first cut.
    cycle
        Means of all years simulated of the first tree cycle.
    equal_annual_income
        Equal annual income [$/ac/yr].
    """

    azimuth_deg: float
    shaded: Lie
    cycle: Lie
    equal_annual_income: float


class RowDirection(NamedTuple):
    """A plan as its file lays the rows, and with the rows turned by a quarter; nothing else differs.

    Attributes
    ----------
    shaded_years
        First and last year of the ``shaded`` means.
    as_planned, turned
        The two directions.
    """

    shaded_years: tuple[int, int]
    as_planned: Direction
    turned: Direction

    @property
    def by_compass(self) -> tuple[Direction, Direction]:
        """The direction nearer north-south, then the one nearer east-west."""
        planned_off_north = abs((self.as_planned.azimuth_deg + QUARTER_TURN_DEG) % HALF_TURN_DEG - QUARTER_TURN_DEG)
        if planned_off_north <= QUARTER_TURN_DEG / 2.0:
            return self.as_planned, self.turned
        return self.turned, self.as_planned


def row_direction(scenario: Scenario, beside: Path | None = None) -> RowDirection | None:
    """Grow a plan with its rows as they lie and turned by a quarter, both on the fast light path.

    Parameters
    ----------
    scenario
        The plan.
    beside
        Folder of the scenario file, where a user's own price table is looked for.

    Returns
    -------
    RowDirection or None
        None where there are no trees, or where they stand already. The two are run alike, so that the fast path's
        error, below .01 of light, is the same kind in both; it is no smaller than the difference in dense stands.

    References
    ----------
    Signs to expect: Dupraz et al. 2018, Agroforestry Systems (more light between east-west rows at low latitudes, more
    even light between north-south rows); Mutsaers 1980, Journal of Agricultural Science (north-south rows take more
    in summer, east-west rows in winter); Olesen, Morris & McFadyen 2007, Australian Journal of Agricultural Research
    58:215 (the same over the year). Abstracts only.
    """
    plans = both_directions(scenario)
    return row_direction_of(run_batch(plans, beside, precision="fast")) if plans else None


def both_directions(scenario: Scenario) -> list[Scenario]:
    """A plan with its rows as they lie and turned by a quarter; nothing where there are no rows to lay."""
    if scenario.trees is None or scenario.stand is not None:
        return []
    across = (scenario.trees.layout.row_azimuth_deg + QUARTER_TURN_DEG) % HALF_TURN_DEG
    return [scenario, _laid(scenario, scenario.trees, across)]


def row_direction_of(outcomes: Sequence[Outcome]) -> RowDirection:
    """What turning the rows does, from both directions grown alike.

    Parameters
    ----------
    outcomes
        Of `both_directions`, in that order.
    """
    planned, turned = outcomes
    azimuth, across = (_azimuth_deg(outcome.scenario) for outcome in outcomes)
    first, last = _shaded_years(planned)
    years, cycle = slice(first, last + 1), slice(1, _last_of_cycle(planned) + 1)
    found = (
        Direction(degrees, _lie(outcome, years), _lie(outcome, cycle), outcome.measures.equal_annual_income)
        for degrees, outcome in ((azimuth, planned), (across, turned))
    )
    return RowDirection((first, last), *found)


def _laid(scenario: Scenario, trees: Trees, azimuth_deg: float) -> Scenario:
    layout = trees.layout.model_copy(update={"row_azimuth_deg": azimuth_deg})
    return scenario.model_copy(update={"trees": trees.model_copy(update={"layout": layout})})


def _azimuth_deg(scenario: Scenario) -> float:
    if scenario.trees is None:
        raise ValueError("a plan without trees has no rows")
    return scenario.trees.layout.row_azimuth_deg


def _last_of_cycle(outcome: Outcome) -> int:
    last = len(outcome.cash_per_ac) - 1
    return min(outcome.scenario.harvest.year, last) if outcome.scenario.harvest else last


def _shaded_years(outcome: Outcome) -> tuple[int, int]:
    """First shade on the grass to the first cut; the whole cycle's last year where nothing is cut or shaded before."""
    end = _last_of_cycle(outcome)
    cuts = np.flatnonzero(outcome.states["trees_cut_per_ac"][: end + 1] > 0)
    last = int(cuts[0]) if len(cuts) else end
    shaded = np.flatnonzero(outcome.states["light_warm"][: last + 1] < SHADED_LIGHT)
    return (int(shaded[0]) if len(shaded) else last), last


def _lie(outcome: Outcome, years: slice) -> Lie:
    """How light lies in some years of a plan.

    Parameters
    ----------
    outcome
        The plan on any light path.
    years
        Rows meant.

    Returns
    -------
    Lie
        Mean light [1], its unevenness across the grass ground [1] and forage [lb/ac].

    References
    ----------
    Coefficient of variation: definition.
    """

    def mean(name: str) -> float:
        return float(outcome.states[name][years].mean())

    profile: FloatArray = outcome.profile_warm[years]
    unevenness = float((profile.std(axis=1) / profile.mean(axis=1)).mean())
    return Lie(mean("light_warm"), mean("light_cool"), unevenness, mean("forage_lb_ac"))
