"""Which way the rows should run: along the longest side, along the contour, for the light, or for the fewest turns."""

from pathlib import Path
from typing import Final, NamedTuple

import numpy as np

from simulator.ground.elevation import Slope
from simulator.ground.field import Field
from simulator.ground.net import ground_of
from simulator.ground.options import Margins
from simulator.ground.rows import best_rows
from simulator.ground.sides import longest_side_deg
from simulator.parameters.field_work import load_field_layout
from simulator.result import run_batch
from simulator.scenario.changing import change
from simulator.scenario.model import Scenario
from simulator.scenario.trees import Trees

SCAN_DEG: Final = 15
HALF_TURN_DEG: Final = 180.0
SAME_DEG: Final = 0.5
AZIMUTH: Final = "trees.layout.row_azimuth_deg"


class Direction(NamedTuple):
    """One direction that the rows could take.

    Attributes
    ----------
    azimuth_deg
        Clockwise from north [degrees], 0 to below 180.
    why
        What speaks for it, such as ``longest side``; empty for a step of the scan.
    trees, rows, mean_row_ft
        Trees, rows and their mean length [ft].
    light_warm
        Mean share of open light on the grass in the warm season, over the first tree cycle [1]; None in the scan.
    equal_annual_income_per_ac
        Of the plan with rows in this direction [$/ac/yr]; None in the scan.
    """

    azimuth_deg: float
    why: str
    trees: int
    rows: int
    mean_row_ft: float
    light_warm: float | None = None
    equal_annual_income_per_ac: float | None = None


class Choice(NamedTuple):
    """The direction taken, the reason in words, and all that were looked at, by azimuth."""

    chosen: Direction
    reason: str
    looked_at: list[Direction]


def choose_azimuth(
    field: Field, scenario: Scenario, margins: Margins, slope: Slope | None, beside: Path | None
) -> Choice:
    """Look at directions and take one.

    Parameters
    ----------
    field, scenario, margins
        The field, the plan and what is kept free of trees.
    slope
        How the ground falls, or None.
    beside
        Folder of the plan's price table.

    Returns
    -------
    Choice
        On sloping ground the contour, because rows and ruts that run downhill carry soil away. Else, of the directions
        that hold nearly the most trees, the one with the longest rows: fewest turns for planter, mower and sprayer.
        What that costs in light is said, not traded off: between any two directions it is small beside spacing.

    References
    ----------
    Light by direction: see :func:`simulator.orientation.row_direction`. That contour comes before row length: common
    practice, no source.
    """
    trees = scenario.trees
    if trees is None:
        raise ValueError("a plan without trees has no rows")
    habits = load_field_layout()
    looked = [_looked_at(field, trees, margins, azimuth, why) for azimuth, why in _candidates(field, trees, slope)]
    enough = (1.0 - habits.few_trees_lost_share) * max(direction.trees for direction in looked)
    best = max((each for each in looked if each.trees >= enough), key=lambda each: each.mean_row_ft)
    reason = "the longest rows, so the fewest turns"
    if slope is not None and slope.percent >= 100.0 * habits.contour_slope_share:
        best = next(each for each in looked if "contour" in each.why)
        reason = f"the contour, because the ground falls {slope.percent:.0f} %"
    lit = _lit([each for each in looked if each.why or each is best], scenario, beside)
    looked = [lit.get(each.azimuth_deg, each) for each in looked]
    return Choice(lit[best.azimuth_deg], reason, looked)


def _candidates(field: Field, trees: Trees, slope: Slope | None) -> list[tuple[float, str]]:
    named = [(trees.layout.row_azimuth_deg, "as planned"), (longest_side_deg(field), "longest side")]
    named += [(slope.contour_deg, "contour")] if slope is not None else []
    named += [(0.0, "north-south"), (90.0, "east-west")]
    named += [(float(step), "") for step in range(0, int(HALF_TURN_DEG), SCAN_DEG)]
    found: dict[float, list[str]] = {}
    for azimuth, why in named:
        same = next((other for other in found if _apart(other, azimuth) < SAME_DEG), azimuth % HALF_TURN_DEG)
        found.setdefault(same, []).extend([why] if why else [])
    return sorted((azimuth, ", ".join(whys)) for azimuth, whys in found.items())


def _apart(one_deg: float, other_deg: float) -> float:
    """Angle between two directions of rows [degrees], 0 to 90."""
    return abs((one_deg - other_deg + HALF_TURN_DEG / 2.0) % HALF_TURN_DEG - HALF_TURN_DEG / 2.0)


def _looked_at(field: Field, trees: Trees, margins: Margins, azimuth_deg: float, why: str) -> Direction:
    rows = best_rows(ground_of(field, margins, azimuth_deg), trees.layout, margins, azimuth_deg)
    mean = float(rows.length_ft.mean()) if len(rows.trees) else 0.0
    return Direction(azimuth_deg, why, int(rows.trees.sum()), len(rows.trees), mean)


def _lit(directions: list[Direction], scenario: Scenario, beside: Path | None) -> dict[float, Direction]:
    """The same with the light on the grass and the plan's income, all grown alike on the fast path."""
    plans = [change(scenario, {AZIMUTH: each.azimuth_deg}, beside) for each in directions]
    grown = run_batch(plans, beside, precision="fast")
    horizon = scenario.money.horizon_years
    end = min(scenario.harvest.year if scenario.harvest else horizon, horizon)
    return {
        each.azimuth_deg: each._replace(
            light_warm=float(np.mean(one.states["light_warm"][1 : end + 1])),
            equal_annual_income_per_ac=float(one.measures.equal_annual_income),
        )
        for each, one in zip(directions, grown, strict=True)
    }
