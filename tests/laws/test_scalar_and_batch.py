"""One candidate alone and the same one among many come to the same: every function of the physics.

The functions are found by walking `simulator.physics`; a new one is tested here by itself or makes the last test fail.
"""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from every_physics import CANDIDATES, arguments, coefficients, public_functions
from simulator.parameters.growth import load_light
from simulator.physics.bucking import Choice, best_cuts, nodes_cut, priority_cuts
from simulator.physics.light.crowns import Cell, RowCrowns, canopy_cover, rows_of, shadows
from simulator.physics.light.fast import fast_profile
from simulator.physics.light.kernel import keep_slice, optical_depth
from simulator.physics.light.mapped import MappedCrowns, mapped_light
from simulator.physics.light.profile import OverRows, light_profile
from simulator.physics.light.rays import few_slopes, slopes
from simulator.physics.sun import season_rays
from simulator.physics.sun.position import sun_vector
from simulator.physics.taper import Taper, diameter_in, height_to_diameter_ft, implied_diameter_in

CLOSE = 1e-12
TURNS = 3
"""Rounds of drawn arguments, each with the coefficients of another species, grass or animal."""
NOT_OVER_CANDIDATES = {
    "animals.monthly_unit_equivalents": "numbers of one kind of animal",
    "dominant_height.dominant_height_of_ft": "trees of one stand",
    "hay.baled_share": "numbers of one chain of hay",
    "light.exact.exact_profile": "one stand, called for one after the other by light_profile, which is tested",
    "light.fast.shapes": "a table without arguments",
    "light.kernel.kernel": "a table without arguments",
    "light.kernel.keep_slice": "one keep-share",
    "light.rays.few_slopes": "one sky",
    "light.rays.slopes": "one sky",
    "sizes.weibull_by_moments": "one distribution",
    "sun.rays.season_rays": "one sky",
}
"""Functions that have no axis of candidates, and why."""
DRAW = np.random.default_rng(11)
SKY = season_rays(31.3, range(4, 11), 0.52)
RAYS = slopes(SKY, 20.0)
FUNCTIONS = dict(public_functions())


def drawn(low: float, high: float, *shape: int) -> np.ndarray:
    return DRAW.uniform(low, high, (CANDIDATES, *shape))


def _crowns() -> tuple[RowCrowns, Cell]:
    height, across = drawn(20.0, 80.0, 2), drawn(2.0, 14.0, 2)
    half = height * drawn(0.2, 0.4, 2)
    place, leaf, keep, dbh = drawn(-6.0, 6.0, 2), drawn(20.0, 2000.0, 2), drawn(0.2, 1.0, 2), drawn(2.0, 16.0, 2)
    trees = RowCrowns(place, across, 0.8 * across, half, height - half, leaf, keep, dbh, height - 2.0 * half)
    return trees, Cell(drawn(20.0, 60.0), drawn(5.0, 12.0))


def _light(precision: str) -> tuple[Callable[..., Any], dict[str, Any]]:
    trees, cell = _crowns()
    points = drawn(0.0, 40.0, 6)
    over, leaves = OverRows(SKY, 20.0), load_light()
    return (
        lambda rows, cell, points_ft: light_profile(rows, cell, points_ft, over, leaves, precision=precision),
        {"rows": trees, "cell": cell, "points_ft": points},
    )


def _stems() -> Taper:
    height = drawn(45.0, 90.0)
    ratio = next(iter(_of_type("StemCoefficients"))).ratio
    return Taper(
        height, height * drawn(0.3, 0.6), drawn(0.97, 1.03), ratio.inside_alpha, ratio.inside_beta, 0.25 * height.min()
    )


def _of_type(name: str) -> list[Any]:
    return next(alike for kind, alike in coefficients().items() if kind.__name__ == name)


def _cutting() -> dict[str, Any]:
    """Stems on a grid of half feet and two products that may be cut from them."""
    ton = np.cumsum(drawn(0.0, 0.01, 60), axis=1)
    last = np.minimum(np.arange(60) + 24, DRAW.integers(30, 59, (2, CANDIDATES, 1)))
    return {"ton_below": ton, "last_node": np.swapaxes(last, 0, 1)}


CHOICES = [Choice(30.0, np.arange(16, 25)), Choice(14.0, np.arange(8, 33))]


def _bucked(cuts: Callable[..., Any], ton_below: np.ndarray, last_node: np.ndarray) -> object:
    return cuts(ton_below, np.swapaxes(last_node, 0, 1), CHOICES, 0.05)


def special() -> dict[str, tuple[Callable[..., Any], dict[str, Any], bool]]:
    """Functions of stands, stems and maps: how they are called, with what, and whether one alone keeps its axis."""
    trees, cell = _crowns()
    stand = rows_of(trees, cell, load_light())
    few, floor, taper = few_slopes(SKY, 20.0), load_light().trunk_floor, _stems()
    mapped = MappedCrowns(
        *(DRAW.uniform(*ends, 12) for ends in ((0, 60), (0, 60), (3, 9), (45, 60), (20, 40), (90, 900)))
    )
    cuts = _cutting()
    best = best_cuts(cuts["ton_below"], np.swapaxes(cuts["last_node"], 0, 1), CHOICES, 0.05)
    table = keep_slice(0.8)
    return {
        "bucking.best_cuts": (lambda **given: _bucked(best_cuts, **given), cuts, True),
        "bucking.priority_cuts": (lambda **given: _bucked(priority_cuts, **given), cuts, True),
        "bucking.nodes_cut": (nodes_cut, {"cuts": best, "start": DRAW.integers(0, 20, CANDIDATES)}, True),
        "light.crowns.canopy_cover": (canopy_cover, {"rows": trees, "cell": cell}, False),
        "light.crowns.rows_of": (
            lambda crowns, cell: rows_of(crowns, cell, load_light()), {"crowns": trees, "cell": cell}, False,
        ),
        "light.crowns.shadows": (
            lambda rows: shadows(type(rows)(*(field[..., None] for field in rows)), RAYS, floor),
            {"rows": stand},
            False,
        ),
        "light.fast.fast_profile": (
            lambda rows, points: fast_profile(rows, points, few, floor),
            {"rows": stand, "points": drawn(0.0, 1.0, 5)},
            True,
        ),
        "light.kernel.optical_depth": (
            lambda depth, overlap: optical_depth(table, depth, overlap),
            {"depth": drawn(0.01, 60.0), "overlap": drawn(0.01, 8.0)},
            False,
        ),
        "light.mapped.mapped_light": (
            lambda points_ft: mapped_light(mapped, points_ft, (60.0, 60.0), RAYS, load_light()),
            {"points_ft": drawn(0.0, 60.0, 2)},
            True,
        ),
        "light.profile.light_profile": (*_light("exact"), False),
        "light.profile.light_profile, fast": (*_light("fast"), False),
        "sun.position.sun_vector": (
            lambda **given: np.moveaxis(sun_vector(**given), 0, -1),  # its three components come first
            arguments(sun_vector, DRAW, 0),
            False,
        ),
        "taper.diameter_in": (diameter_in, {"at_ft": drawn(1.0, 40.0), "taper": taper}, False),
        "taper.implied_diameter_in": (implied_diameter_in, {"at_ft": drawn(1.0, 40.0), "taper": taper}, False),
        "taper.height_to_diameter_ft": (height_to_diameter_ft, {"diameter_in": drawn(1.0, 5.0), "taper": taper}, False),
    }  # fmt: skip


SPECIAL = special()
GENERAL = [name for name in FUNCTIONS if name not in SPECIAL and name not in NOT_OVER_CANDIDATES]


def one_of(value: object, place: int, *, keeps_axis: bool = False) -> Any:  # noqa: ANN401 - whatever it was
    """One candidate of an argument or of a result: of arrays their row, of tuples each field's, of others the same."""
    if isinstance(value, np.ndarray) and value.ndim and value.shape[0] == CANDIDATES:
        row = value[place : place + 1] if keeps_axis else value[place]
        return row if keeps_axis or row.ndim or value.dtype != np.float64 else float(row)
    if isinstance(value, tuple) and hasattr(value, "_fields"):
        return type(value)(*(one_of(field, place, keeps_axis=keeps_axis) for field in value))
    return value


def same(one: object, other: object) -> bool:
    """Whether two results agree to the last digits, field by field."""
    if isinstance(one, tuple):
        return len(one) == len(other) and all(same(*pair) for pair in zip(one, other, strict=True))  # type: ignore[arg-type]
    one, other = np.asarray(one), np.asarray(other)
    return one.shape == other.shape and np.allclose(one, other, rtol=CLOSE, atol=0.0, equal_nan=True)


@pytest.mark.parametrize("name", GENERAL)
def test_a_function_of_one_number_and_of_many(name: str) -> None:
    function, any_varies = FUNCTIONS[name], False
    for turn in range(TURNS):
        given = arguments(function, np.random.default_rng(turn), turn)
        together = function(**given)
        any_varies = any_varies or any(np.ndim(value) for value in given.values())
        for place in range(CANDIDATES):
            alone = function(**{key: one_of(value, place) for key, value in given.items()})
            assert same(one_of(together, place), alone), (name, turn, place)
        backwards = function(**{key: _turned(value) for key, value in given.items()})
        assert same(_turned(backwards), together), (name, turn)
    assert any_varies, f"{name} was given nothing that varies"


def _turned(value: object) -> Any:  # noqa: ANN401 - whatever it was
    """Candidates in the other order."""
    if isinstance(value, np.ndarray) and value.ndim and value.shape[0] == CANDIDATES:
        return value[::-1]
    if isinstance(value, tuple) and hasattr(value, "_fields"):
        return type(value)(*(_turned(field) for field in value))
    return value


@pytest.mark.parametrize("name", list(SPECIAL))
def test_a_function_of_one_stand_and_of_many(name: str) -> None:
    function, given, keeps_axis = SPECIAL[name]
    together = function(**given)
    for place in range(CANDIDATES):
        alone = function(**{key: one_of(value, place, keeps_axis=keeps_axis) for key, value in given.items()})
        assert same(one_of(together, place, keeps_axis=keeps_axis), alone), (name, place)


def test_every_function_is_here_or_has_its_reason() -> None:
    tested = {name.partition(",")[0] for name in SPECIAL} | set(GENERAL)
    assert tested | set(NOT_OVER_CANDIDATES) == set(FUNCTIONS)
    assert not tested & set(NOT_OVER_CANDIDATES)
