"""How far what is solved for misses its mark: each answer put back into what it should solve."""

from collections.abc import Callable
from math import gamma
from pathlib import Path

import numpy as np

from book.tables import short, table
from optimize.property.file import load_property
from optimize.property.whole import plan_property
from simulator.enterprises.stems import measured_stems
from simulator.inventory.heights import HeightCurve, fitted_curve, height_ft
from simulator.parameters.growth import load_tree
from simulator.parameters.wood import load_wood
from simulator.physics.sizes import weibull_by_moments
from simulator.physics.taper import diameter_in, height_to_diameter_ft
from simulator.result import Outcome

HOME_PLACE = Path(__file__).parents[2] / "examples" / "property" / "home-place.toml"
DBH_IN = np.linspace(6.0, 20.0, 57)


def solved(thinned: Outcome, residual_basal_area_ft2_ac: float) -> str:
    """What is solved for within a run or a cruise, by how much it misses.

    Parameters
    ----------
    thinned
        A plan whose first thinning, at once, leaves so much basal area [ft2/ac].
    """
    rows: list[tuple[str, str, Callable[[], str]]] = [
        ("height at which a stem has a diameter", "diameter there, 57 stems", _stem),
        ("shape of the spread of diameters", "coefficient of variation of the curve found, .05 to .4", _spread),
        ("trees kept for a basal area", "basal area left", lambda: _thinning(thinned, residual_basal_area_ft2_ac)),
        ("curve of measured heights", "heights of 57 trees on a known curve, made anew by the fit", _heights),
    ]
    return "\n## What is solved for\n\nEach answer put back into what it solves.\n\n" + table(
        ["what", "put back", "misses by, at most"], [(what, how, found()) for what, how, found in rows]
    )


def _stem() -> str:
    stems = measured_stems(DBH_IN, 4.0 * DBH_IN + 20.0, load_wood("loblolly", natural=False).stem)
    height = height_to_diameter_ft(0.6 * DBH_IN, stems.outside)
    return f"{short(float(np.abs(diameter_in(height, stems.outside) - 0.6 * DBH_IN).max()))} in"


def _spread() -> str:
    smallest = load_tree("loblolly").sizes.smallest_sds
    wanted = np.linspace(0.05, 0.4, 71)
    misses = []
    for variation in wanted:
        curve = weibull_by_moments(10.0, float(variation), smallest)
        first, second = (gamma(1.0 + power / curve.shape) for power in (1, 2))
        spread = curve.scale_in * (second - first**2) ** 0.5
        misses.append(abs(spread / (curve.location_in + curve.scale_in * first) - variation))
    return short(max(misses))


def _thinning(outcome: Outcome, wanted_ft2_ac: float) -> str:
    left = outcome.states["basal_area_ft2_ac"][0] - outcome.states["basal_area_cut_ft2_ac"][0]
    return f"{short(abs(float(left) - wanted_ft2_ac))} ft2/ac"


def _heights() -> str:
    known = height_ft(DBH_IN, HeightCurve(4.6, -5.3, len(DBH_IN), 0.0))
    return f"{short(float(np.abs(height_ft(DBH_IN, fitted_curve(DBH_IN, known)) - known).max()))} ft"


def property_gap() -> str:
    """How near to the best the plan of the packaged property is proven to be."""
    planned = plan_property(load_property(HOME_PLACE), lambda _: None).plan
    return (
        "\n## A property's plan\n\nThe packaged property, invented like all examples: how much better any plan could be"
        " than the one found, as its search proves it. Asked for: a thousandth, unless the file says otherwise; each"
        " answer states its own.\n\n"
        + table(
            ["tracts", "pathways grown", "gap proven"],
            [(str(len(planned.tracts)), f"{planned.considered:,}", f"{short(planned.gap)} ({planned.ending})")],
        )
    )
