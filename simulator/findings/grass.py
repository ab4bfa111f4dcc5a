"""Warnings about the grass: where it does not persist, and what the plan asks of it in vain."""

from collections.abc import Iterator

import numpy as np

from simulator.parameters.pasture import Grass, load_grass
from simulator.parameters.tables import NOTHING
from simulator.result import Outcome
from simulator.units import FloatArray


def name_of_grass(name: str) -> str:
    """A grass in plain words, without its Latin name."""
    return load_grass(name).title.partition(" (")[0]


def grass_is_used(outcome: Outcome) -> bool:
    """Whether the plan grazes or cuts its grass."""
    use = outcome.scenario.use
    return use.first_grazing_year is not None or use.hay_years is not None


def least_light(outcome: Outcome) -> FloatArray:
    """Light below which the grass of each year thins out [1], (years,)."""
    pasture = outcome.scenario.pasture
    first = load_grass(pasture.grass)
    second = first if pasture.switch is None else load_grass(pasture.switch.grass)
    least = [grass.persistence.threshold_light for grass in (first, second)]
    return np.where(outcome.states["later_grass"] > 0, least[1], least[0])


def grass_warnings(outcome: Outcome) -> Iterator[tuple[str, str]]:
    """Everything to warn about in the grass of one system, code and message.

    Parameters
    ----------
    outcome
        What came out.

    Yields
    ------
    tuple of str
        Nothing where nobody uses the grass.
    """
    if not grass_is_used(outcome):
        return
    pasture = outcome.scenario.pasture
    for name in dict.fromkeys((pasture.grass, pasture.overseeded, pasture.later_grass)):
        if name != NOTHING:
            yield from _out_of_range(load_grass(name), name_of_grass(name), outcome.scenario.land.latitude_deg)
    if pasture.switch is not None and not outcome.states["later_grass"].any():
        name = name_of_grass(pasture.switch.grass)
        yield "switch_not_due", f"{name} is never sown within the horizon: its year or light is not reached."
    if pasture.overseeded != NOTHING and not outcome.states["winter_forage_lb_ac"].any():
        yield (
            "overseeding_not_done",
            f"{name_of_grass(pasture.overseeded)} is never sown: it is sown only in years in which animals graze.",
        )


def _out_of_range(grass: Grass, name: str, latitude_deg: float) -> Iterator[tuple[str, str]]:
    south, north = grass.habit.southern_limit_deg, grass.habit.northern_limit_deg
    if latitude_deg < south:
        message = (
            f"{name} does not persist south of about {south:.0f} degrees (common practice): what is computed for it "
            "here flatters it. Choose a grass of the region, or ask the local extension office."
        )
        yield "grass_too_far_south", message
    if latitude_deg > north:
        message = (
            f"{name} is not reliably winter-hardy north of about {north:.0f} degrees (common practice): "
            "cold is not computed. Ask the local extension office."
        )
        yield "grass_too_far_north", message
