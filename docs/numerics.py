"""Measure how exact the arithmetic is and write docs/numerics.md: light, steps of a year, solvers, sums of money.

Run ``python docs/numerics.py`` after a change of any of these; it takes about a minute. A test computes the quick
sections anew and holds the page to them. Needs the test extra for numpy-financial.
"""

import math
from collections.abc import Callable, Iterator, Sequence
from functools import cache
from pathlib import Path
from typing import Any, Literal, NamedTuple
from unittest.mock import patch

import numpy as np
import numpy_financial

from book.solvers import property_gap, solved
from book.tables import short, table
from book.year_steps import steps
from simulator import run
from simulator.baselines import systems_of
from simulator.events import light as light_of_the_engine
from simulator.finance import every_real_irr, net_present_value
from simulator.interest import discount_factor
from simulator.parameters.growth import load_season, load_tree
from simulator.physics.light import Cell, LightCoefficients, OverRows, RowCrowns, light_profile
from simulator.physics.sun import season_rays
from simulator.physics.sun.rays import Quadrature
from simulator.plan import compile_plan
from simulator.result import Outcome
from simulator.scenario.file import load_text
from simulator.units import FloatArray
from workbench.examples import example_text, stand_example_text

PAGE = Path(__file__).with_name("numerics.md")
HEAD = """# How exact the arithmetic is

Written by `docs/numerics.py`; do not edit. These are errors of arithmetic alone. What is not known of trees, grass and
prices is larger by far: the light of a real site to about .05, growth to a tenth. Every table is of the packaged
examples, which are invented.
"""
FIRST_SHOWN = 5


class Met(NamedTuple):
    """A stand as the yearly loop asked for its light: one candidate, one season."""

    rows: RowCrowns
    cell: Cell
    points_ft: FloatArray
    over: OverRows
    leaves: LightCoefficients


def _remembering(met: list[Met]) -> Callable[..., FloatArray]:
    """The engine's question for light, with every question kept."""

    def remember(*asked: Any, precision: Literal["exact", "fast"]) -> FloatArray:  # noqa: ANN401 - passed through
        met.append(Met(*asked))
        return light_profile(*asked, precision=precision)

    return remember


@cache
def outcomes() -> dict[str, tuple[Outcome, tuple[Met, ...]]]:
    """The examples run exactly, with every stand whose light was asked for."""
    north = load_text(example_text(), "north-field.toml")
    plans = {
        "double rows": north,
        "plantation": systems_of(north)["plantation"],
        "standing pines": load_text(stand_example_text(), "stand.toml"),
    }
    found = {}
    for name, plan in plans.items():
        met: list[Met] = []

        with patch.object(light_of_the_engine, "light_profile", _remembering(met)):
            outcome = run(plan)
        found[name] = outcome, tuple(met)
    return found


def stands(each: int) -> dict[str, list[Met]]:
    """Every so manieth stand of each plan, summer and winter in turn, from the year in which crowns begin to shade."""
    return {name: list(met[2 * FIRST_SHOWN :: each]) for name, (_, met) in outcomes().items()}


def mean_light(stand: Met, quadrature: Quadrature | None, months: Sequence[int], latitude_deg: float) -> float:
    """Mean light over the ground points under a sky sampled so finely."""
    sky = season_rays(latitude_deg, months, load_season().clearness, quadrature)
    over = OverRows(sky, stand.over.row_azimuth_deg)
    return float(light_profile(stand.rows, stand.cell, stand.points_ft, over, stand.leaves).mean())


def directions() -> str:
    """Error of mean light by the number of directions of the sky."""
    latitude, months = 31.3, range(4, 11)
    some = [stand for found in stands(13).values() for stand in found][:8]
    fine = [mean_light(stand, Quadrature(96, 32, 64), months, latitude) for stand in some]
    rows, before = [], math.nan
    for hours, rings, azimuths in ((6, 2, 4), (12, 4, 8), (24, 8, 16), (48, 16, 32)):
        quadrature = Quadrature(hours, rings, azimuths)
        error = np.array([mean_light(stand, quadrature, months, latitude) for stand in some]) - fine
        root = float(np.sqrt(np.mean(error**2)))
        order = "" if math.isnan(before) else f"{math.log2(before / root):.1f}"
        mine = ", ours" if quadrature == Quadrature() else ""
        rows.append(
            [f"{hours} hours, {rings} x {azimuths}{mine}", short(root), short(float(np.abs(error).max())), order]
        )
        before = root
    return (
        "\n## Directions of the sky\n\nHours of the sun a month, rings x azimuths of the diffuse sky; error of the mean"
        " light over the ground against four times as many hours, rings and azimuths as ours"
        f" (96 hours, 32 x 64), {len(some)} stands. Order: how often the error halves when the steps do.\n\n"
        + table(["directions", "error, root mean square", "largest", "order"], rows)
    )


def ground_points() -> str:
    """Error of mean light by the number of points across the grass."""
    plan, met = outcomes()["double rows"]
    some = met[2 * FIRST_SHOWN :: 9]
    strip = load_tree("loblolly").planting.strip_width_ft

    def means(points: int) -> FloatArray:
        places = compile_plan([plan.scenario], strip_width_ft=strip, points=points).geometry.points_ft
        return np.array([light_profile(s.rows, s.cell, places, s.over, s.leaves).mean() for s in some])

    fine, rows, before = means(512), [], math.nan
    for points, used in ((4, ""), (8, ", searches"), (16, ", what is shown"), (32, ""), (64, "")):
        root = float(np.sqrt(np.mean((means(points) - fine) ** 2)))
        rows.append([f"{points}{used}", short(root), "" if math.isnan(before) else f"{math.log2(before / root):.1f}"])
        before = root
    return (
        f"\n## Points across the alley\n\nMidpoints of equal strips of grass; error of the mean light against 512, "
        f"{len(some)} stands of the double rows. Crown edges and stems throw edged shadows, which is why the order"
        " wavers.\n\n" + table(["points", "error, root mean square", "order"], rows)
    )


def tabulated() -> str:
    """Error of the fast light against the exact one over all stands met."""
    rows = []
    for name, (_, met) in outcomes().items():
        shaded = met[2 * FIRST_SHOWN :]
        gap = np.array([_fast_less_exact(stand) for stand in shaded])
        mean, place = np.abs(gap[:, 0]), gap[:, 1]
        rows.append([name, str(len(shaded)), f"{mean.mean():.4f}", f"{mean.max():.4f}", f"{place.max():.3f}"])
    return (
        "\n## Tabulated light against exact\n\nSearches take the tabulated path, whatever is shown the exact one. Same"
        " points, every stand that the yearly loop meets from year 5 on, summer and winter. Promised: .01 of mean"
        " light. The tabulated path is the only place of numbers in single precision; a state's light is"
        " the same bytes alone and in any batch.\n\n"
        + table(["plan", "stands", "mean light, mean error", "largest", "largest at one point"], rows)
    )


def _fast_less_exact(stand: Met) -> tuple[float, float]:
    both = [light_profile(*stand, precision=precision) for precision in ("fast", "exact")]
    return float((both[0] - both[1]).mean()), float(np.abs(both[0] - both[1]).max())


def money() -> str:
    """Rounding of sums of money, and roots of the rate of return."""
    rows = []
    for name, (outcome, _) in outcomes().items():
        exact = np.array([math.fsum(year) for year in outcome.amount])
        summed = outcome.amount.sum(axis=1)
        factor = discount_factor(outcome.rate, np.arange(len(exact)))
        value = abs(float(net_present_value(summed, outcome.rate)) - math.fsum((exact * factor).tolist()))
        roots = every_real_irr(summed)
        theirs = float(numpy_financial.irr(summed))
        nearest = min((abs(root - theirs) for root in roots), default=math.nan)
        left = max((_left_by(root, summed) for root in roots), default=0.0)
        rows.append([name, _below(float(np.abs(summed - exact).max())), _below(value), _below(nearest), _below(left)])
    return (
        "\n## Sums of money and rates of return\n\nSums in double precision against sums without any rounding"
        " (`math.fsum`); the rate of return against numpy-financial, and the present value that our root leaves,"
        " as a share of its terms.\n\n"
        + table(["plan", "a year's cash $/ac", "present value $/ac", "IRR less numpy-financial's", "share left"], rows)
    )


def _left_by(rate: float, cash: FloatArray) -> float:
    """Present value at a root against the sum of its terms without their signs [1]."""
    terms = (cash / (1.0 + rate) ** np.arange(len(cash))).tolist()
    return abs(math.fsum(terms)) / math.fsum(map(abs, terms))


def _below(value: float) -> str:
    """Rounding is another in each version of the libraries: only a bound that holds for all is stated."""
    return "below " + next(f"{bound:.0e}" for bound in (1e-9, 1e-6, 1e-3, 1.0, math.inf) if value < bound)


def solved_in_runs_and_cruises() -> str:
    """What a run or a cruise solves for, of the stand of the examples, which is thinned at once."""
    outcome, _ = outcomes()["standing pines"]
    asked = outcome.scenario.thinning[0].residual_basal_area_ft2_ac
    if asked is None:
        raise ValueError("the stand of the examples is no longer thinned to a basal area")
    return solved(outcome, asked)


QUICK = (steps, solved_in_runs_and_cruises, money, tabulated)


def sections() -> Iterator[str]:
    """The page, part by part."""
    yield HEAD
    parts = (directions, ground_points, tabulated, steps, solved_in_runs_and_cruises, property_gap, money)
    yield from (part() for part in parts)


def main() -> None:
    """Write the page."""
    PAGE.write_text("".join(sections()), encoding="utf-8")


if __name__ == "__main__":
    main()
