"""Fit compensation light, half saturation and root loss of bahiagrass to published trials.

Run ``python docs/fit_shade_response.py``. The points, their sources and the doubt given to each stand in
tests/published/forage_response.toml. Light under the pines was not measured with the herbage, so the extinction
of light by basal area is fitted along with the three, held near the value assumed by a point of its own. The
cool-season trials stand in for bahiagrass, of which no yield against light could be read.

Printed: the best fit with standard errors and correlations, the fit at fixed extinctions, the residuals of the
best and of the shipped values, and whether the shipped values lie inside the 95 percent joint confidence
region of the fit (an F test on the weighted sum of squares). The shipped values stay as long as they do: the
trials are too few and too unlike for a third digit.
"""

import tomllib
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from scipy.optimize import least_squares
from scipy.stats import f as f_distribution

from simulator.parameters.pasture import load_grass
from simulator.physics.forage import LitterLoss, ShadeResponse, light_response, litter_response, root_response
from simulator.units import BASAL_AREA_FT2_PER_IN2, FT2_AC_PER_M2_HA, FloatArray

POINTS = Path(__file__).parents[1] / "tests" / "published" / "forage_response.toml"
NAMES = ("compensation_light", "half_saturation", "root_loss", "extinction")
BOUNDS = ([0.0, 0.1, 0.0, 0.01], [0.3, 5.0, 0.9, 0.08])


class Fit(NamedTuple):
    """Best values of ``NAMES``, their covariance, both sums of squares and the verdict on the shipped values."""

    best: FloatArray
    covariance: FloatArray
    best_squares: float
    shipped_extinction: float
    shipped_squares: float
    critical_squares: float

    @property
    def shipped_inside(self) -> bool:
        """Whether the shipped values lie inside the joint confidence region."""
        return self.shipped_squares <= self.critical_squares


def read_points() -> dict[str, Any]:
    """Read the trials.

    Returns
    -------
    The document: ``pines`` with the assumptions on light, ``points`` and ``left_out``.
    """
    return tomllib.loads(POINTS.read_text(encoding="utf-8"))


def predict(point: dict[str, Any], values: FloatArray, document: dict[str, Any], side: str = "") -> float:
    """Relative yield of one trial.

    Parameters
    ----------
    point
        The trial.
    values
        Values of ``NAMES``.
    document
        Holds the assumptions on pines.
    side
        ``against_`` for the stand that a ratio of two stands divides by.

    Returns
    -------
    Yield relative to the open, or to the other stand where the point is a ratio.
    """
    grass = load_grass("bahiagrass")
    shade = ShadeResponse(values[0], values[1], values[2], grass.shade.full_root_stocking)
    basal_area = float(point.get(f"{side}basal_area_ft2_ac", 0.0))
    light = point.get("light", float(np.exp(-values[3] * basal_area / FT2_AC_PER_M2_HA)))
    relative = float(light_response(light, shade)) * _trees(point, basal_area, side, shade, grass.litter, document)
    if not side and "against_basal_area_ft2_ac" in point:
        return relative / predict(point, values, document, "against_")
    return relative


def _trees(
    point: dict[str, Any],
    basal_area: float,
    side: str,
    shade: ShadeResponse,
    litter: LitterLoss,
    document: dict[str, Any],
) -> float:
    if point["kind"] == "light":
        return 1.0
    dbh = point["dbh_in"]
    index = basal_area / (BASAL_AREA_FT2_PER_IN2 * dbh**2) * (dbh / 10.0) ** 1.605
    roots = root_response(index / document["pines"]["maximum_sdi_per_acre"], shade)
    return float(roots * litter_response(point[f"{side}needlefall_lb_ac"], litter))


def residuals(values: FloatArray, document: dict[str, Any]) -> FloatArray:
    """Weighted residuals of every trial, and of the extinction against the value assumed.

    Parameters
    ----------
    values
        Values of ``NAMES``.
    document
        The trials.

    Returns
    -------
    Fitted less published, divided by the doubt, shape (points + 1,).
    """
    pines = document["pines"]
    held = (values[3] - pines["extinction_ha_m2"]) / pines["extinction_doubt"]
    off = [(predict(point, values, document) - point["relative"]) / point["doubt"] for point in document["points"]]
    return np.array([*off, held])


def fit(document: dict[str, Any]) -> Fit:
    """Fit the four values and judge the shipped ones.

    Parameters
    ----------
    document
        The trials.

    Returns
    -------
    Fit
    """
    shade = load_grass("bahiagrass").shade
    shipped = np.array([shade.compensation_light, shade.half_saturation, shade.root_loss])
    start = np.append(shipped, document["pines"]["extinction_ha_m2"])
    best = least_squares(residuals, start, bounds=BOUNDS, args=(document,))
    beside = least_squares(
        lambda one: residuals(np.append(shipped, one), document),
        start[3:],
        bounds=(BOUNDS[0][3], BOUNDS[1][3]),
    )
    free = len(best.fun) - len(best.x)
    squares = 2.0 * float(best.cost)
    variance = squares / free
    slopes = np.asarray(best.jac)
    covariance = np.linalg.inv(slopes.T @ slopes) * variance
    allowance = len(shipped) * variance * float(f_distribution.ppf(0.95, len(shipped), free))
    return Fit(best.x, covariance, squares, float(beside.x[0]), 2.0 * float(beside.cost), squares + allowance)


def fit_at(extinction: float, document: dict[str, Any]) -> FloatArray:
    """Fit the three values of the grass at a fixed extinction.

    Parameters
    ----------
    extinction
        Extinction of light by basal area [ha/m2].
    document
        The trials.

    Returns
    -------
    Best compensation light, half saturation and root loss, then the weighted sum of squares.
    """
    best = least_squares(
        lambda three: residuals(np.append(three, extinction), document)[:-1],
        [0.12, 0.6, 0.35],
        bounds=(BOUNDS[0][:3], BOUNDS[1][:3]),
    )
    return np.append(best.x, 2.0 * best.cost)


def main() -> None:
    """Print the fit, both sets of residuals and the verdict."""
    document = read_points()
    found = fit(document)
    shade = load_grass("bahiagrass").shade
    shipped = np.array([shade.compensation_light, shade.half_saturation, shade.root_loss, found.shipped_extinction])
    errors = np.sqrt(np.diag(found.covariance))
    print(f"{'':20}{'best':>8}{'s.e.':>8}{'shipped':>9}")
    for name, best, error, ours in zip(NAMES, found.best, errors, shipped, strict=True):
        print(f"{name:20}{best:8.3f}{error:8.3f}{ours:9.3f}")
    print("correlations\n", np.round(found.covariance / np.outer(errors, errors), 2))
    under_trees = [point for point in document["points"] if point["kind"] != "light"]
    print("without cloth and slats:", np.round(fit({**document, "points": under_trees}).best, 3))
    for extinction in (0.03, 0.04, 0.05):
        print(f"at extinction {extinction}: T0, k, r, squares", np.round(fit_at(extinction, document), 3))
    print(f"\n{'trial':28}{'published':>10}{'best':>8}{'shipped':>9}{'shipped off':>13}")
    for point in document["points"]:
        ours = predict(point, shipped, document)
        best = predict(point, found.best, document)
        print(f"{point['name']:28}{point['relative']:10.2f}{best:8.2f}{ours:9.2f}{ours - point['relative']:+13.2f}")
    print(f"\nweighted squares: best {found.best_squares:.2f}, shipped {found.shipped_squares:.2f},")
    print(f"95 % region up to {found.critical_squares:.2f}: shipped values inside: {found.shipped_inside}")
    for point in document["left_out"]:
        print(f"left out: {point['name']}: {point['source']}")


if __name__ == "__main__":
    main()
