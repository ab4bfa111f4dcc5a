"""Sampling statistics of a cruise against scipy, published data and point-sampling notes."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from simulator.inventory.cruise import Design, expansion_per_ac
from simulator.inventory.sampling import estimate, plots_needed

PLOTS = st.lists(st.floats(0.0, 500.0), min_size=2, max_size=40)

# Student 1908, The probable error of a mean, Biometrika 6:1-25: extra hours of sleep of ten patients, the worked
# example from which the t test comes; the differences as R's data set `sleep` holds them, its interval as
# R's manual prints it for t.test (from memory).
SLEEP_GAIN = np.array([1.2, 2.4, 1.3, 1.3, 0.0, 1.0, 1.8, 0.8, 4.6, 1.4])


def test_students_worked_example() -> None:
    found = estimate(SLEEP_GAIN, confidence=0.95, precision=0.10)
    assert found.mean == pytest.approx(1.58, abs=0.005)
    assert found.low == pytest.approx(0.7001142, abs=1e-6)
    assert found.high == pytest.approx(2.4598858, abs=1e-6)


@given(PLOTS, st.floats(0.6, 0.99))
def test_error_and_interval_are_those_of_scipy(values: list[float], confidence: float) -> None:
    by_plot = np.array(values)
    found = estimate(by_plot, confidence, 0.1)
    assert found.standard_error == pytest.approx(float(stats.sem(by_plot)), rel=1e-9, abs=1e-12)
    if found.standard_error > 1e-9:
        low, high = stats.t.interval(confidence, len(by_plot) - 1, loc=by_plot.mean(), scale=stats.sem(by_plot))
        assert found.low == pytest.approx(max(low, 0.0), rel=1e-9, abs=1e-9)
        assert found.high == pytest.approx(high, rel=1e-9)


@given(st.floats(0.01, 2.0), st.floats(0.5, 0.99), st.floats(0.02, 0.5))
def test_plots_needed_are_the_fewest_that_do(variation: float, confidence: float, precision: float) -> None:
    needed = plots_needed(variation, confidence, precision)
    assert needed is not None

    def half_width(count: int) -> float:
        return float(stats.t.ppf(0.5 + confidence / 2.0, count - 1)) * variation / count**0.5

    assert half_width(needed) <= precision * (1 + 1e-12)
    assert needed == 2 or half_width(needed - 1) > precision


def test_no_number_of_plots_is_promised_where_the_trees_vary_without_end() -> None:
    assert plots_needed(1000.0, 0.95, 0.01) is None
    assert estimate(np.zeros(5), 0.95, 0.1).plots_needed is None


def test_one_plot_knows_nothing_of_its_error() -> None:
    alone = estimate(np.array([120.0]), 0.95, 0.1)
    assert alone.mean == 120.0
    assert np.isnan(alone.standard_error)
    assert alone.plots_needed is None


def test_a_twelve_inch_tree_under_a_twenty_factor_prism() -> None:
    # Lecture notes on point sampling (second-hand): plot of .039248 ac by rounded limiting distance, so 25.479 trees an
    # acre and .785376 ft2 a tree; the exact factor gives 25.465.
    per_ac = expansion_per_ac(np.array([12.0]), Design(None, 20.0))[0]
    assert per_ac == pytest.approx(25.479, rel=1e-3)
    assert per_ac * 0.785376 == pytest.approx(20.0, rel=1e-3)


@given(st.lists(st.floats(1.0, 30.0), min_size=1, max_size=30), st.floats(5.0, 40.0))
def test_every_tree_in_a_prism_stands_for_the_factor(dbh: list[float], factor: float) -> None:
    sizes = np.array(dbh)
    area = expansion_per_ac(sizes, Design(None, factor)) * 0.005454154 * sizes**2
    assert area == pytest.approx(np.full(len(dbh), factor), rel=1e-6)


def test_a_prism_sweep_of_a_known_forest_finds_its_basal_area() -> None:
    # A forest of known trees at random places; points well inside it. Bitterlich's principle, tested by doing it.
    rng = np.random.default_rng(7)
    side, factor = 1320.0, 10.0
    acres = side**2 / 43_560.0
    dbh = rng.gamma(20.0, 0.45, round(200 * acres))
    x, y = rng.uniform(0.0, side, (2, len(dbh)))
    true_area, true_trees = 0.005454154 * (dbh**2).sum() / acres, len(dbh) / acres
    # a tree is in where its distance is below dbh x plot-radius factor: 8.696 / sqrt(factor) ft an inch
    limit = dbh * (43_560.0 * 0.005454154 / (np.pi * factor)) ** 0.5
    areas, trees = [], []
    for px, py in rng.uniform(100.0, side - 100.0, (400, 2)):
        inside = np.hypot(x - px, y - py) < limit
        areas.append(factor * inside.sum())
        trees.append(expansion_per_ac(dbh[inside], Design(None, factor)).sum())
    for found, truth in (
        (estimate(np.array(areas), 0.99, 0.1), true_area),
        (estimate(np.array(trees), 0.99, 0.1), true_trees),
    ):
        assert found.low < truth < found.high
        assert found.standard_error < 0.05 * truth
