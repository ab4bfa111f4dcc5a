"""What is done or happens in a year, said in a few words beside the picture of that year."""

from typing import Final

import numpy as np

from simulator.result import Outcome
from workbench.words import uses_grass

ALL_OF_IT: Final = 0.999
"""A cut of so large a share of the trees is the harvest."""


def happenings(outcome: Outcome) -> dict[int, list[str]]:
    """Work and mishaps by year.

    Parameters
    ----------
    outcome
        A system.

    Returns
    -------
    dict
        Year to short phrases, in the order in which they come about; years without any are left out.
    """
    said: dict[int, list[str]] = {}
    for part in (_start, _grass, _mishaps, _cuts):
        for year, words in part(outcome):
            said.setdefault(year, []).append(words)
    return said


def _start(outcome: Outcome) -> list[tuple[int, str]]:
    scenario = outcome.scenario
    if scenario.trees is None or scenario.stand is not None:
        return []
    return [(0, f"planted, {outcome.states['trees_per_ac'][0]:.0f} trees/ac")]


def _grass(outcome: Outcome) -> list[tuple[int, str]]:
    scenario, horizon = outcome.scenario, len(outcome.cash_per_ac) - 1
    found = []
    if uses_grass(scenario) and not scenario.pasture.established and scenario.pasture.sown_year <= horizon:
        found.append((scenario.pasture.sown_year, "grass sown"))
    for column, words in (("hay_ton_ac", "first hay"), ("animal_unit_months_ac", "first grazing")):
        years = np.flatnonzero(outcome.states[column] > 0)
        found += [(int(years[0]), words)] if len(years) else []
    raked = np.flatnonzero(outcome.states["straw_bales_ac"] > 0)
    return found + [(int(year), "straw raked") for year in raked]


def _mishaps(outcome: Outcome) -> list[tuple[int, str]]:
    horizon = len(outcome.cash_per_ac) - 1
    return [
        (event.year, event.kind) for event in outcome.scenario.event if event.severity > 0 and event.year <= horizon
    ]


def _cuts(outcome: Outcome) -> list[tuple[int, str]]:
    cut, standing = outcome.states["trees_cut_per_ac"], outcome.states["trees_per_ac"]
    found = []
    for year in np.flatnonzero(cut > 0).tolist():
        left = standing[year] - cut[year]
        final = cut[year] >= ALL_OF_IT * standing[year]
        found.append((year, "all trees cut" if final else f"thinned to {left:.0f} trees/ac"))
    waits = np.flatnonzero(outcome.states["thinning_waits"] > 0).tolist()
    return found + [(year, "thinning waits for a buyer") for year in waits]
