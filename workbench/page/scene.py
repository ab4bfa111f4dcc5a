"""What the pictures of the page are drawn from: rows, crowns, light, grass and its users, year by year.

A stand that is there already lives twice: to its harvest, and as what follows it, whose rows may lie otherwise. Each
life has its own cell, rows and ground points; a year says to which life it belongs.
"""

from collections.abc import Callable
from typing import Any, Final

import numpy as np

from simulator.comparison import Comparison
from simulator.parameters.catalogue import NO_ANIMALS
from simulator.parameters.pasture import load_animals
from simulator.result import Outcome
from simulator.units import POUNDS_PER_TON, FloatArray
from workbench.enterprise_cash import net_by_enterprise
from workbench.look import TALLEST_GRASS_FT
from workbench.page.happenings import happenings
from workbench.page.sun_path import sun_document
from workbench.page.timeline import timeline_document
from workbench.words import names_of, uses_grass

BALE_LB: Final = 1000.0
"""Round bales are counted as the price item for baling counts them."""
INCHES_PER_FOOT: Final = 12.0


def scene_document(
    comparison: Comparison, picture: Callable[[Outcome], dict[str, Any]] | None = None
) -> dict[str, Any]:
    """Everything a page draws of a comparison, without asking again for another year.

    Parameters
    ----------
    comparison
        The plan beside the single uses of its land.
    picture
        Gives the picture of one system, where somebody remembers them; else `system_picture`.

    Returns
    -------
    dict
        Systems by name, the sun's path by month, and the years that can be moved.
    """
    plan, names = comparison.systems["silvopasture"].scenario, names_of(comparison.systems)
    return {
        "systems": {
            name: {"name": names[name], **(picture or system_picture)(outcome)}
            for name, outcome in comparison.systems.items()
        },
        "sun": {"latitude_deg": plan.land.latitude_deg, "month": sun_document(plan.land.latitude_deg)},
        "timeline": timeline_document(plan),
    }


def system_picture(outcome: Outcome) -> dict[str, Any]:
    """Rows, years and lives of one system."""
    lives = [_life(life, first) for life, first in _lives(outcome)]
    said, horizon = happenings(outcome), len(outcome.cash_per_ac) - 1
    years = []
    for year in range(horizon + 1):
        number = int(len(lives) > 1 and year > outcome.flows.leading_yr)
        years.append({"life": number, **_year(outcome, year, number), "events": said.get(year, [])})
    cash = {enterprise: _short(amount, 2) for enterprise, amount in net_by_enterprise(outcome).items()}
    return {**lives[0], "lives": lives, "years": years, "cash_by_enterprise": cash}


def _lives(outcome: Outcome) -> list[tuple[Outcome, int]]:
    """Each life and the year after which it begins."""
    if not outcome.lives:
        return [(outcome, 0)]
    return [(outcome.lives[0], 0), (outcome.lives[1], outcome.flows.leading_yr)]


def _life(outcome: Outcome, first: int) -> dict[str, Any]:
    drawing, trees = outcome.drawing, outcome.scenario.trees
    return {
        "from_year": first,
        "cell_ft": round(float(drawing["cell_ft"]), 2),
        "azimuth_deg": trees.layout.row_azimuth_deg if trees else 0.0,
        "rows": _short(drawing["offset_ft"], 2) if trees else [],
        "points_ft": _short(drawing["points_ft"], 2),
        "in_row_ft": trees.layout.in_row_ft if trees else None,
    }


def _year(outcome: Outcome, year: int, number: int) -> dict[str, Any]:
    life, first = _lives(outcome)[number]
    states, row = outcome.states, year - first
    return {
        **_rows(life, row),
        "light": _short(outcome.profile_warm[year], 2),
        "trees_per_ac": round(float(states["trees_per_ac"][year])),
        "light_warm": round(float(states["light_warm"][year]), 3),
        "light_cool": round(float(states["light_cool"][year]), 3),
        **_grass(outcome, life, year),
    }


def _rows(life: Outcome, row: int) -> dict[str, Any]:
    if life.scenario.trees is None:
        return {name: [] for name in (*_ROW_DIGITS, "trees_share")}
    drawing = life.drawing
    standing = (drawing["alive"][row] > 0) & (drawing["trees"][row] > 0)
    sizes = {
        "alive": standing.astype(float),
        "height_ft": drawing["height_ft"][row],
        "crown_base_ft": drawing["crown_base_ft"][row],
        "crown_width_ft": 2.0 * drawing["across_ft"][row],
        "dbh_in": drawing["dbh_in"][row],
    }
    planted = np.maximum(drawing["trees"][0], 1e-9)
    share = np.minimum(drawing["trees"][row] / planted, 1.0)
    return {
        **{name: _short(np.where(standing, size, 0.0), _ROW_DIGITS[name]) for name, size in sizes.items()},
        "trees_share": _short(np.where(standing, share, 0.0), 2),
    }


_ROW_DIGITS: Final = {"alive": 0, "height_ft": 1, "crown_base_ft": 1, "crown_width_ft": 1, "dbh_in": 1}


def _grass(outcome: Outcome, life: Outcome, year: int) -> dict[str, Any]:
    states, acres = outcome.states, outcome.scenario.land.acres
    share = float(states["forage_share_of_open"][year])
    months, hay = float(states["animal_unit_months_ac"][year]), float(states["hay_ton_ac"][year])
    animals = life.scenario.use.animals
    return {
        "grass_height_in": round(TALLEST_GRASS_FT * INCHES_PER_FOOT * share, 1),
        "grass_share": round(share, 3),
        "use": _use(life, months, hay),
        "animals": animals if months > 0 and animals != NO_ANIMALS else None,
        "animals_word": load_animals(animals).words.heads if months > 0 and animals != NO_ANIMALS else "",
        "animal_unit_months_ac": round(months, 2),
        "head": round(float(states["head"][year])),
        "bales": round(hay * POUNDS_PER_TON / BALE_LB * acres),
        "straw_bales": round(float(states["straw_bales_ac"][year]) * acres),
    }


def _use(life: Outcome, months: float, hay_ton: float) -> str:
    """How the grass is used in a year; ``rest`` where it is used in other years only."""
    if months > 0:
        return "grazing"
    if hay_ton > 0:
        return "hay"
    return "rest" if uses_grass(life.scenario) else "none"


def _short(values: FloatArray, digits: int) -> list[float] | list[int]:
    """Numbers with no more digits than a picture shows; whole ones without a point."""
    rounded = np.round(np.nan_to_num(values), digits) + 0.0
    return [int(value) if value == int(value) else value for value in rounded.tolist()]
