"""The years of a plan that a person can move, each with how far the others let it go."""

from collections.abc import Iterator
from typing import Any, Final, NamedTuple

from simulator.scenario.model import Scenario

LAST_YEAR: Final = 120
ORDINALS: Final = ("First", "Second", "Third", "Fourth", "Fifth", "Sixth")


class Handle(NamedTuple):
    """One year that can be moved.

    Attributes
    ----------
    path
        Field of the plan, such as ``thinning.0.year``.
    label
        What happens in it.
    year
        As the plan has it.
    min, max
        Between what years the rules between fields allow it, the other years staying.
    """

    path: str
    label: str
    year: int
    min: int
    max: int


def timeline_document(plan: Scenario) -> list[dict[str, Any]]:
    """Every year that can be moved, in the order of the years.

    Parameters
    ----------
    plan
        A checked plan.

    Returns
    -------
    list of dict
        See `Handle`.
    """
    handles = [*_thinnings(plan), *_harvest(plan), *_hay(plan), *_grazing(plan), *_straw(plan)]
    return [handle._asdict() for handle in sorted(handles, key=lambda handle: handle.year)]


def _end(plan: Scenario) -> int:
    return plan.harvest.year if plan.harvest is not None else LAST_YEAR


def _after_sowing(plan: Scenario) -> int:
    """First year in which the grass may be used."""
    return max(1, plan.pasture.sown_year + 1)


def _thinnings(plan: Scenario) -> Iterator[Handle]:
    years = [cut.year for cut in plan.thinning]
    first = 0 if plan.stand is not None else 1
    for number, year in enumerate(years):
        low = years[number - 1] + 1 if number else first
        high = years[number + 1] - 1 if number + 1 < len(years) else _end(plan) - 1
        yield Handle(f"thinning.{number}.year", _ordinal(number, len(years)), year, low, high)


def _ordinal(number: int, count: int) -> str:
    if count == 1:
        return "Thinning"
    return f"{ORDINALS[number]} thinning" if number < len(ORDINALS) else f"Thinning {number + 1}"


def _harvest(plan: Scenario) -> Iterator[Handle]:
    """The harvest comes after all other work in the trees, and not before the grass is first used."""
    if plan.harvest is None or plan.trees is None:
        return
    before = [cut.year for cut in plan.thinning] + [lift.year for lift in plan.pruning]
    not_after = [work.year for work in plan.treatment] + [spray.year for spray in plan.herbicide]
    not_after += [plan.use.hay_years[0]] if plan.use.hay_years else []
    not_after += [plan.use.first_grazing_year] if plan.use.first_grazing_year else []
    before += [plan.straw.first_rake_year] if plan.straw.market else []
    before += [plan.pasture.sown_year] if plan.pasture.sown_year else []
    low = max([0 if plan.stand is not None else 1, *(year + 1 for year in before), *not_after])
    yield Handle("harvest.year", "Final harvest", plan.harvest.year, low, LAST_YEAR)


def _hay(plan: Scenario) -> Iterator[Handle]:
    if plan.use.hay_years is None:
        return
    first, last = plan.use.hay_years
    yield Handle("use.hay_years.0", "First hay", first, _after_sowing(plan), min(last, _end(plan)))
    yield Handle("use.hay_years.1", "Last hay", last, first, LAST_YEAR)


def _grazing(plan: Scenario) -> Iterator[Handle]:
    if plan.use.first_grazing_year is not None:
        yield Handle(
            "use.first_grazing_year", "First grazing", plan.use.first_grazing_year, _after_sowing(plan), _end(plan)
        )


def _straw(plan: Scenario) -> Iterator[Handle]:
    if plan.straw.market:
        yield Handle("straw.first_rake_year", "First straw", plan.straw.first_rake_year, 1, _end(plan) - 1)
