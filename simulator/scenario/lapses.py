"""The plan as it is really carried out: what neglect leaves undone or makes late."""

from typing import Any

from simulator.scenario.events import Neglect
from simulator.scenario.grass import Pasture, Straw, Use
from simulator.scenario.income import Other
from simulator.scenario.model import Scenario
from simulator.scenario.trees import Thinning


def is_let_go(scenario: Scenario) -> bool:
    """Whether the file states any neglect."""
    return scenario.trees is not None and scenario.neglect != Neglect()


def as_done(scenario: Scenario) -> Scenario:
    """The plan that is carried out where its owner neglects it.

    Parameters
    ----------
    scenario
        As written.

    Returns
    -------
    Scenario
        Without the work that is not done and with late thinnings in their real years; the same object where
        nothing is neglected. Applied once more it changes nothing.
    """
    if not is_let_go(scenario):
        return scenario
    neglect, end = scenario.neglect, _end_of_care(scenario)
    fed_until = min(end, neglect.no_fertiliser_from_year or end)
    changes: dict[str, Any] = {
        "thinning": _thinnings(scenario, end),
        "pruning": () if neglect.no_pruning else tuple(cut for cut in scenario.pruning if cut.year < end),
        "treatment": tuple(work for work in scenario.treatment if work.year < end),
        "herbicide": tuple(spray for spray in scenario.herbicide if spray.year < end),
        "other": _others_until(scenario.other, end),
        "fertiliser": tuple(dose for dose in scenario.fertiliser if dose.year < fed_until),
        "fire": scenario.fire if scenario.fire and scenario.fire.first_year < end else None,
        "pasture": _fed_until(scenario.pasture, fed_until),
        "use": _use_until(scenario, end),
        "straw": _raked_until(scenario.straw, end),
        "neglect": neglect.model_copy(update={"missed_thinnings": (), "thinnings_late_years": 0}),
    }
    return scenario.model_copy(update=changes)


def _end_of_care(scenario: Scenario) -> int:
    """First year of the cycle in which nothing is done any more; beyond every year where there is none."""
    return scenario.neglect.from_year or 1_000


def _thinnings(scenario: Scenario, end: int) -> tuple[Thinning, ...]:
    """Thinnings done, late ones in their real year, none in the harvest year or while another is done."""
    late, missed = scenario.neglect.thinnings_late_years, scenario.neglect.missed_thinnings
    last = scenario.harvest.year if scenario.harvest else 1_000
    kept = [cut for number, cut in enumerate(scenario.thinning, start=1) if number not in missed]
    moved = [cut.model_copy(update={"year": cut.year + late}) for cut in kept]
    return tuple(cut for cut in moved if cut.year < min(end, last))


def _fed_until(pasture: Pasture, end: int) -> Pasture:
    rate = pasture.nitrogen_lb_ac
    if end >= 1_000 or not rate:
        return pasture
    by_year = rate if isinstance(rate, dict) else {"1": rate}
    kept = {year: pounds for year, pounds in by_year.items() if int(year) < end}
    return pasture.model_copy(update={"nitrogen_lb_ac": kept | {str(end): 0.0} if kept else 0.0})


def _use_until(scenario: Scenario, end: int) -> Use:
    """No hay once nobody cares, and no use at all of grass that would still have to be sown."""
    pasture = scenario.pasture
    if not pasture.established and pasture.sown_year >= end:
        return scenario.use.model_copy(update={"hay_years": None, "first_grazing_year": None})
    return _hay_until(scenario.use, end)


def _hay_until(use: Use, end: int) -> Use:
    if use.hay_years is None or use.hay_years[1] < end:
        return use
    first = use.hay_years[0]
    return use.model_copy(update={"hay_years": (first, end - 1) if first < end else None})


def _others_until(others: tuple[Other, ...], end: int) -> tuple[Other, ...]:
    """Small enterprises until nobody works at them any more."""
    return tuple(
        other.model_copy(update={"last_year": min(other.last_year, end - 1)})
        for other in others
        if other.first_year < end
    )


def _raked_until(straw: Straw, end: int) -> Straw:
    """No rake once nobody cares: so many rakes are left as fall due before."""
    if not straw.market or end >= 1_000:
        return straw
    rakes = len(range(straw.first_rake_year, end, straw.interval_years))
    if rakes == 0:
        return straw.model_copy(update={"market": False})
    return straw.model_copy(update={"most_rakes": min(straw.most_rakes, rakes)})
