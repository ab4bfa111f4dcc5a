"""A plan carried out earlier or later: its cuts, and all that follows from them, moved along the calendar."""

from typing import Any, Final, TypeVar

from simulator.scenario.base import Section
from simulator.scenario.events import Fire, Neglect
from simulator.scenario.grass import Pasture, Straw, Use
from simulator.scenario.model import Scenario

LATEST_HAY_YEAR: Final = 120
Entry = TypeVar("Entry", bound=Section)


def put_off(scenario: Scenario, by: int, since: int = 0) -> Scenario:
    """Move what a plan does from a year on, its harvest with it.

    Parameters
    ----------
    scenario
        The plan.
    by
        Years by which it is moved; below 0 it comes earlier, at most by ``since`` [yr].
    since
        What begins before this year of the plan stays where it is [yr].

    Returns
    -------
    Scenario
        Work, sprays, doses, burns, sowing, use, straw, income, help, loans, neglect and harvest alike. Storms and
        droughts belong to the calendar and stay.
    """

    def moved(entries: tuple[Any, ...], key: str = "year") -> tuple[Any, ...]:
        return tuple(_moved(entry, by, since, key) for entry in entries)

    def window(entries: tuple[Any, ...]) -> tuple[Any, ...]:
        return tuple(
            entry.model_copy(update={"first_year": entry.first_year + by, "last_year": entry.last_year + by})
            if entry.first_year >= since
            else entry
            for entry in entries
        )

    return scenario.model_copy(
        update={
            "thinning": moved(scenario.thinning),
            "pruning": moved(scenario.pruning),
            "treatment": moved(scenario.treatment),
            "harvest": _moved(scenario.harvest, by, since) if scenario.harvest else None,
            "herbicide": moved(scenario.herbicide),
            "fertiliser": moved(scenario.fertiliser),
            "fire": _fire(scenario.fire, by, since),
            "neglect": _neglect(scenario.neglect, by, since),
            "straw": _straw(scenario.straw, by, since),
            "other": window(scenario.other),
            "payment": window(scenario.payment),
            "cost_share": window(scenario.cost_share),
            "loan": moved(scenario.loan, "first_year"),
            "pasture": _pasture(scenario.pasture, by, since),
            "use": _use(scenario.use, by, since),
        }
    )


def use_begins(use: Use) -> int | None:
    """First year in which the grass is cut or grazed; None where it never is."""
    years = [year for year in (use.first_grazing_year, use.hay_years and use.hay_years[0]) if year is not None]
    return min(years, default=None)


def _moved(entry: Entry, by: int, since: int, key: str = "year") -> Entry:
    """An entry with its year moved, unless it begins before ``since``."""
    year = getattr(entry, key)
    return entry.model_copy(update={key: year + by}) if year >= since else entry


def _fire(fire: Fire | None, by: int, since: int) -> Fire | None:
    return None if fire is None else _moved(fire, by, since, "first_year")


def _neglect(neglect: Neglect, by: int, since: int) -> Neglect:
    begins = {name: getattr(neglect, name) for name in ("from_year", "no_fertiliser_from_year")}
    later = {name: year + by if year and year >= since else year for name, year in begins.items()}
    return neglect.model_copy(update=later)


def _straw(straw: Straw, by: int, since: int) -> Straw:
    return _moved(straw, by, since, "first_rake_year")


def _pasture(pasture: Pasture, by: int, since: int) -> Pasture:
    switch, rate = pasture.switch, pasture.nitrogen_lb_ac
    if switch is not None and switch.year is not None:
        switch = _moved(switch, by, since)
    if isinstance(rate, dict):
        rate = {str(int(year) + by if int(year) >= since else int(year)): pounds for year, pounds in rate.items()}
    if not pasture.established:
        pasture = _moved(pasture, by, since, "sown_year")
    later = _moved(pasture, by, since, "overseeded_from_year")
    return later.model_copy(update={"switch": switch, "nitrogen_lb_ac": rate})


def _use(use: Use, by: int, since: int) -> Use:
    begins = use_begins(use)
    if begins is None or begins < since:
        return use
    first, hay = use.first_grazing_year, use.hay_years
    return use.model_copy(
        update={
            "first_grazing_year": None if first is None else first + by,
            "hay_years": None if hay is None else (hay[0] + by, min(hay[1] + by, LATEST_HAY_YEAR)),
        }
    )
