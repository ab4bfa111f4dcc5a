"""What a comparison sets side by side: trees to be planted, or a stand that is there already."""

from pathlib import Path
from typing import Final

from simulator import baselines
from simulator.baselines import (
    LOBLOLLY,
    UNASKED,
    kept_up,
    overridden,
    pasture_of,
    plantation_of,
    usual_cuts,
)
from simulator.put_off import put_off
from simulator.scenario.events import Event
from simulator.scenario.model import Scenario
from simulator.scenario.stand import FoundStand
from simulator.scenario.trees import Harvest, Thinning

AFTER_LAST_THINNING_YR: Final = 8
"""A kept stand grows so long after its last thinning before it is cut; common practice, no source."""
LEAST_KEPT_YR: Final = 5
"""A stand past its usual harvest is kept so long when it is kept at all; assumed for this project."""


def systems_of(scenario: Scenario, beside: Path | None = None) -> dict[str, Scenario]:
    """Every plan of a comparison.

    Parameters
    ----------
    scenario
        The plan of the file.
    beside
        Folder of the scenario file, for its own price table.

    Returns
    -------
    dict
        The plan and the two single uses; with a stand: the plan (``silvopasture``), the stand kept
        (``plantation``), cleared for pasture (``pasture``), and the plan carried out later (``open_later``); where
        the file neglects its plan the same plan kept up (``kept_up``).

    Raises
    ------
    InputError
        If an override does not make a valid plan.
    """
    if scenario.stand is None:
        return baselines.systems_of(scenario, beside)
    systems = {"silvopasture": scenario, "plantation": kept(scenario), "pasture": cleared(scenario)}
    systems["plantation"] = overridden(
        systems["plantation"], "plantation", scenario.baseline.plantation, beside
    ).model_copy(update={"baseline": scenario.baseline})
    if opens(scenario):
        later = overridden(opened_later(scenario), "open_later", scenario.baseline.open_later, beside)
        systems["open_later"] = later.model_copy(update={"baseline": scenario.baseline})
    return systems | kept_up(scenario)


def check_overrides(scenario: Scenario, file: Path) -> None:
    """Raise where an override of a file does not make a valid plan, with every problem at its line of the file."""
    if scenario.stand is None:
        baselines.check_overrides(scenario, file)
        return
    derived = {"plantation": kept(scenario), "pasture": _pasture_after(scenario)}
    if opens(scenario):
        derived["open_later"] = opened_later(scenario)
    baselines.check_overrides(scenario, file, derived)


def opens(scenario: Scenario) -> bool:
    """Whether a plan uses grass under its trees, so that there is something to open."""
    return scenario.use.first_grazing_year is not None or scenario.use.hay_years is not None


def kept(scenario: Scenario) -> Scenario:
    """The stand kept for wood: thinned as a plantation of its age usually is, its grass unsold.

    The usual thinnings that were not done yet keep their distance from one another; where the next one is overdue
    it is done now and the others move by as much. The final harvest comes at the usual age, but not before the last
    thinning has had its years to pay, nor at once.
    """
    stand, thinnings = _stand(scenario), usual_thinnings(scenario)
    _, harvest = usual_cuts(scenario.trees.species if scenario.trees else LOBLOLLY)
    last = thinnings[-1].year + AFTER_LAST_THINNING_YR if thinnings else LEAST_KEPT_YR
    return _with_idle_grass(scenario, "keep").model_copy(
        update={
            "thinning": thinnings,
            "harvest": Harvest(year=max(harvest.year - stand.age, last)),
        }
    )


def usual_thinnings(scenario: Scenario) -> tuple[Thinning, ...]:
    """Usual thinnings of a species that a stand has not had yet, an overdue one at once, in years from now."""
    stand = _stand(scenario)
    usual, _ = usual_cuts(scenario.trees.species if scenario.trees else LOBLOLLY)
    due = usual[stand.thinned_before :]
    overdue = max(0, stand.age - due[0].year) if due else 0
    return tuple(
        _as_the_stand_allows(thinning, thinning.year + overdue - stand.age, stand)
        for thinning in due
        if _leaves_fewer(thinning, stand)
    )


def _as_the_stand_allows(thinning: Thinning, year: int, stand: FoundStand) -> Thinning:
    """Rows are taken once, and a natural stand has none."""
    rows = "rows" in thinning.method and stand.origin == "planted" and stand.thinned_before == 0
    return thinning.model_copy(update={"year": year, "method": thinning.method if rows else "from below"})


def _leaves_fewer(thinning: Thinning, stand: FoundStand) -> bool:
    return thinning.residual_trees_per_ac is not None and thinning.residual_trees_per_ac < stand.trees_per_ac


def cleared(scenario: Scenario) -> Scenario:
    """The stand cut now, stumps cleared, and the land sown to grass."""
    stand = _stand(scenario).model_copy(update={"after_harvest": "pasture"})
    return _with_idle_grass(scenario, "clear").model_copy(
        update={"thinning": (), "harvest": Harvest(year=0), "stand": stand}
    )


def _with_idle_grass(scenario: Scenario, what: str) -> Scenario:
    """The same land with nothing done for grass: where there is no sward, none is sown."""
    use = scenario.use.model_copy(update={"hay_years": None, "first_grazing_year": None})
    return scenario.model_copy(
        update={
            "title": f"{scenario.title}: {what}",
            "pruning": (),
            "treatment": (),
            "use": use,
            "pasture": scenario.pasture.model_copy(update={"sown_year": 0}),
            **UNASKED,
        }
    )


def opened_later(scenario: Scenario) -> Scenario:
    """The plan of the file carried out some years later, work, sowing, use and harvest alike; nothing before."""
    later = put_off(scenario, _stand(scenario).open_later_years)
    return later.model_copy(update={"title": f"{scenario.title}: later"})


def successor_of(scenario: Scenario, beside: Path | None = None) -> Scenario:
    """What follows the final harvest of a stand, counted from there: trees alone or grass alone on its stumps.

    Parameters
    ----------
    scenario
        A plan with a stand.
    beside
        Folder of the scenario file, for its own price table.

    Returns
    -------
    Scenario
        The single use that a comparison would derive for the same land once it is cutover. The file's
        ``[baseline.pasture]`` holds for it; nobody's herd is displaced.
    """
    if _stand(scenario).after_harvest == "pasture":
        return overridden(_pasture_after(scenario), "pasture", scenario.baseline.pasture, beside)
    trees = plantation_of(_cutover(scenario))
    return trees.model_copy(update={"title": f"{scenario.title}: planted again"})


def _pasture_after(scenario: Scenario) -> Scenario:
    grass = pasture_of(_cutover(scenario))
    return grass.model_copy(update={"title": f"{scenario.title}: pasture after it"})


def _cutover(scenario: Scenario) -> Scenario:
    use = scenario.use.model_copy(update={"displaced_herd": "none"})
    pasture = scenario.pasture.model_copy(update={"established": False, "sown_year": 0})
    land = scenario.land.model_copy(update={"former_use": "cutover"})
    # a loan stands once and belongs to the stand's own years; so does what was paid for its timber
    own = {"loan": (), "tax": scenario.tax and scenario.tax.without_timber()}
    return scenario.model_copy(
        update={"land": land, "use": use, "pasture": pasture, "event": _events_after_harvest(scenario), **own}
    )


def _events_after_harvest(scenario: Scenario) -> tuple[Event, ...]:
    """Storms and droughts of the calendar that come after the stand is cut, in the years of what follows it."""
    cut = scenario.harvest.year if scenario.harvest else 0
    return tuple(event.model_copy(update={"year": event.year - cut}) for event in scenario.event if event.year > cut)


def _stand(scenario: Scenario) -> FoundStand:
    if scenario.stand is None:
        raise ValueError("a plan without a stand has nothing to keep, clear or open")
    return scenario.stand
