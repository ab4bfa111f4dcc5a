"""What rounding leaves in the last digit decides nothing: no product, no tie, no fit. Found by other versions."""

from pathlib import Path

import numpy as np
import pytest

from simulator import load
from simulator.inventory.heights import fitted_curve, height_ft
from simulator.physics.bucking import Choice, best_cuts
from simulator.result import run
from simulator.units import FloatArray, IntArray

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.mark.parametrize("name", ["single-rows-straw", "standing-pines", "north-field", "own-herd"])
def test_no_cut_sells_a_crumb(name: str) -> None:
    """A thinning from below leaves whole classes alone; 1e-15 tons of sawtimber out of it were a line of a sale."""
    sold = run(load(EXAMPLES / f"{name}.toml"), precision="fast").wood_ton_ac
    assert not ((sold > 0.0) & (sold < 1e-9)).any()
    assert (sold > 1e-3).any()


@pytest.mark.parametrize("noise", [-1e-15, 0.0, 1e-15])
def test_of_two_cuts_worth_the_same_the_longer_piece_comes_first(noise: float) -> None:
    """An even stem of 10 steps makes 4 + 6 or 6 + 4: alike but for what rounding adds to one of them."""
    below: FloatArray = np.arange(11.0)[None] / 10.0
    below[0, 4] += noise
    last: IntArray = np.full((1, 1, 11), 10)
    cuts = best_cuts(below, last, [Choice(30.0, np.array([4, 6]))], 0.05)
    assert cuts.end[0, 0] == 6
    assert cuts.value[0, 0] == pytest.approx(30.0 - 2 * 0.05, abs=1e-9)


def test_a_height_curve_is_fitted_to_the_last_digit() -> None:
    """Heights made from a curve give it back."""
    dbh = np.linspace(6.0, 14.0, 12)
    made = fitted_curve(dbh, 4.5 + np.exp(4.3 - 4.6 / (dbh + 1.0)))
    assert (made.level, made.steepness) == pytest.approx((4.3, -4.6), rel=1e-12)
    assert height_ft(dbh, made) == pytest.approx(4.5 + np.exp(4.3 - 4.6 / (dbh + 1.0)), rel=1e-12)
