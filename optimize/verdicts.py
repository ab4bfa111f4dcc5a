"""Whether a plan of a search was carried out as it says, and if not, why."""

from collections.abc import Mapping
from typing import Final

import numpy as np

from simulator.scenario.model import Scenario
from simulator.simulation import Simulation
from simulator.units import FloatArray, IntArray

CAN_BE_DONE: Final = "can be done"
VERDICTS: Final = (
    CAN_BE_DONE,
    "no bid likely for a thinning",
    "a thinning finds no more trees than it should leave",
    "animals cannot graze in the first year planned: trees not yet safe, or too little grass",
    "not reached before the search was stopped",
)
"""Why a plan is dropped, in the order in which it is asked; the first of them is no reason."""
NOT_REACHED: Final = len(VERDICTS) - 1
COLUMNS_JUDGED: Final = ("no_bid", "thinning_waits", "trees_cut_per_ac", "animal_unit_months_ac")
"""Of the yearly record."""


def verdicts(simulation: Simulation) -> IntArray:
    """Whether each plan of a batch was carried out as it says, or why not: places in ``VERDICTS``, (plans,).

    Parameters
    ----------
    simulation
        What grew.
    """
    column, scenarios = simulation.history.column, simulation.setting.plan.scenarios
    return np.array(
        [
            _verdict(scenario, {name: column[name][i] for name in COLUMNS_JUDGED})
            for i, scenario in enumerate(scenarios)
        ],
        np.int64,
    )


def _verdict(plan: Scenario, year_by_year: Mapping[str, FloatArray]) -> int:
    cuts = [cut.year for cut in plan.thinning] if plan.trees is not None else []
    grazing, grazed = plan.use.first_grazing_year, year_by_year["animal_unit_months_ac"]
    if (year_by_year["no_bid"][cuts] + year_by_year["thinning_waits"][cuts]).any():
        return 1
    if (year_by_year["trees_cut_per_ac"][cuts] <= 0).any():
        return 2
    # animals that would come after the last year that is grown never come
    return 3 if grazing is not None and not grazed[grazing : grazing + 1].any() else 0
