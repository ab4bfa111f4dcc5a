"""Equations of the book, worked again from the page as it prints them, beside the functions that hold them."""

from dataclasses import replace
from math import comb, exp, log, pi, sqrt
from typing import Any

import numpy as np
import pytest
from scipy import stats

from optimize.prices.draws import _together, standard_error
from optimize.prices.market import Market, log_level, mean_prices
from optimize.property.search import gap_of
from optimize.rate_of_return import best_rate
from optimize.risk.draws import severity_of
from optimize.risk.summary import spread, value_at_risk
from optimize.sell_or_wait import _weights
from optimize.sweeps.distributions import _triangle
from optimize.sweeps.many_irr import _halved, _shift
from optimize.waiting.maturity import value_growth
from optimize.waiting.moving import _long_run
from simulator.enterprises.cost_share import _capped
from simulator.enterprises.loans import loan_years
from simulator.enterprises.orchard_value import REST_OF_THE_PLAN, Orchard, quantities_left
from simulator.enterprises.other_income import earned_share
from simulator.events.found import tenths
from simulator.events.marking import marked
from simulator.events.thinning import _from_below
from simulator.finance import every_real_irr
from simulator.ground.passes import passes_of
from simulator.ground.rows import trees_in_rows
from simulator.ground.sides import bearing_deg
from simulator.ground.start import _turned
from simulator.inventory.marking import clark_evans_index
from simulator.inventory.sampling import estimate, plots_needed
from simulator.parameters.prices import in_proportion
from simulator.parameters.tables import load_practice
from simulator.parameters.wood import load_stem_quality
from simulator.price_changes import _crossings
from simulator.scenario.ground import Ground, replanted_ground, shares_of
from simulator.scenario.owner import Loan
from simulator.scenario.rows import planted_trees_per_ac
from simulator.scenario.trees import Layout
from simulator.state import CLASSES, Stand, basal_area_ft2_ac, quadratic_mean_dbh_in

VALUES = np.array([3.0, 1.0, 2.0, 9.0, 5.0])
"""Five plots, or five draws."""


def stand_of(trees: float, dbh_in: float, grade: float) -> Stand:
    """One row of ten classes, sizes even about the mean."""
    size = np.linspace(0.7, 1.3, CLASSES)
    size = (size / sqrt(np.mean(size**2)))[None, None]
    row, one = np.ones((1, 1)), np.ones(1)
    whole = np.ones((1, 1, CLASSES))
    return Stand(
        age=one.astype(np.int64), height_ft=60.0 * one, alive=row > 0, trees=trees * row, dbh_in=dbh_in * row,
        size=size, share=whole / CLASSES, tallness=whole, grade=grade * whole, across_ft=row, along_ft=row,
        crown_base_ft=row, pruned_ft=0.0 * one, thinnings=np.zeros(1, np.int64), edge_gain=row,
    )  # fmt: skip


def close(ours: Any, by_hand: Any) -> None:  # noqa: ANN401 - a number or an array of them
    np.testing.assert_allclose(ours, by_hand, rtol=1e-9, atol=1e-12)


def test_rows_and_stand() -> None:
    close(planted_trees_per_ac(2, 8.0, 6.0, 40.0), 43560 * 2 / ((40 + (2 - 1) * 8) * 6))
    stand = replace(stand_of(0.0, 0.0, 0.7), trees=np.array([[100.0, 50.0]]), dbh_in=np.array([[8.0, 12.0]]))
    # the constant of the code is pi / (4 * 144) to seven digits
    np.testing.assert_allclose(basal_area_ft2_ac(stand)[0], pi / 576 * (100 * 8**2 + 50 * 12**2), rtol=1e-7)
    close(quadratic_mean_dbh_in(stand)[0], sqrt((100 * 8**2 + 50 * 12**2) / 150))
    trees, values = [20.0, 50.0, 30.0], [5.0, 7.0, 10.0]
    ends = [0.0, 0.2, 0.7, 1.0]
    by_hand = [
        4 * sum(max(0.0, min(ends[i + 1], j / 4) - max(ends[i], (j - 1) / 4)) * values[i] for i in range(3))
        for j in range(1, 5)
    ]
    close(tenths(np.array(trees), np.array(values), 4), by_hand)


def test_thinning_from_below_and_by_marks() -> None:
    stand, marking, quality = stand_of(300.0, 9.0, 0.7), load_practice().marking, load_stem_quality("loblolly")
    keep, size = 0.55, stand.size[0, 0]
    taken = [min(0.1, max(0.0, (1 - keep) * (1 - marking.random_share) - 0.1 * j)) for j in range(CLASSES)]
    share = np.array([0.1 - each for each in taken])
    share /= share.sum()
    left = _from_below(stand, np.array([keep]), marking)
    close(left.share[0, 0], share)
    close(left.dbh_in[0, 0], 9 * sqrt((share * size**2).sum()))
    close(left.trees[0, 0], keep * 300)
    gamma = quality.selective_thinning_gain
    queue = [gamma * 0.1 * (1 - 0.7)] * CLASSES + [0.1 - gamma * 0.1 * (1 - 0.7)] * CLASSES
    gone: list[float] = []
    for place, each in enumerate(queue):
        gone.append(min(each, max(0.0, 1 - 180 / 300 - sum(queue[:place]))))
    for j, ours in enumerate(marked(stand, np.array([180.0]), quality).grade[0, 0]):
        rest = 0.1 - gone[j] - gone[CLASSES + j]
        if rest > 1e-12:
            sound = queue[CLASSES + j]
            close(ours, min(1.0, 0.1 * 0.7 / sound * (sound - gone[CLASSES + j]) / rest))


def test_what_an_owner_meets() -> None:
    years = loan_years(Loan(amount_per_ac=100.0, rate=0.07, years=5), 40.0, 0.02, 9)
    payment = 100 * 0.07 / (1 - 1.07**-5)
    owed = [payment * (1 - 1.07 ** -(5 - s)) / 0.07 for s in range(6)]
    close(years.owed[1:6], [owed[s] * 1.02**-s for s in range(1, 6)])
    close(years.interest[1:6], [0.07 * owed[s - 1] * 1.02**-s for s in range(1, 6)])
    close(years.principal[1:6], [(owed[s - 1] - owed[s]) * 1.02**-s for s in range(1, 6)])
    close(_capped(np.array([30.0, 50.0, 40.0]), np.zeros(3, bool), 100.0), [30, 50, 20])
    close(earned_share(np.array([0.1, 0.5, 0.95]), 0.3, 0.9), [0, (0.5 - 0.3) / 0.6, 1])
    lines: Any = [type("line", (), {"key": key})() for key in REST_OF_THE_PLAN.values()]
    due = np.arange(24.0).reshape(4, 6)
    left = quantities_left(Orchard(tuple(lines), due, np.arange(4.0), np.ones(4), 3), 0.05)["end_nuts"]
    # nothing is left once the harvest's own row is paid
    close(left, [due[1, 0] / 1.05 + due[2, 0] / 1.05**2 + due[3, 0] / 1.05**3, due[2, 0] / 1.05 + due[3, 0] / 1.05**2,
                 due[3, 0] / 1.05, 0.0])  # fmt: skip


def test_uses_compared() -> None:
    ((price, place),) = _crossings(np.array([100.0, 90.0]), np.array([1.0, 3.0]), 0, 20.0)
    assert place == 1
    close(price, 20 + (100 - 90) / (3 - 1))
    close(in_proportion(30.0, 25.0, 20.0), 30 * 25 / 20)


def test_real_ground() -> None:
    ground = Ground(alley_ac=30.0, tree_strip_ac=6.0, headland_ac=3.0, unusable_ac=1.0, edge_row_share=0.1)
    close(shares_of(ground, trees=True)[:2], [1 - 3 / 40 - 1 / 40, 3 / 40])
    before, after = Layout(in_row_ft=6, alley_ft=40, rows_in_set=2, row_gap_ft=8), Layout(in_row_ft=9, alley_ft=8)
    moved = replanted_ground(ground, before, after)
    assert moved is not None
    close(moved.edge_row_share, 0.1 * (2 / 48 * 36) / (1 / 8 * (36 + 3)))
    close(trees_in_rows(np.array([100.0, 95.9]), 6.0), [100 // 6 + 1, 95 // 6 + 1])
    passes = passes_of(Layout(in_row_ft=6, alley_ft=41), 6.0, "mower", 9.0)
    close([passes.passes, passes.fitted_alley_ft], [(41 - 6) / 9, 9 * 4 + 6])
    close(bearing_deg(np.array([0.0, 0.0]), np.array([-1.0, 1.0])), 315)
    close(_turned(np.array([[3.0, 4.0]]), 30.0)[0], [3 * sqrt(3) / 2 - 4 / 2, 3 / 2 + 4 * sqrt(3) / 2])


def test_cruise() -> None:
    deviation = sqrt(sum((x - 4) ** 2 for x in VALUES) / 4)
    found = estimate(VALUES, 0.9, 0.1)
    close([found.mean, found.high], [4, 4 + stats.t.ppf(0.95, 4) * deviation / sqrt(5)])
    fewest = plots_needed(0.5, 0.9, 0.1)
    assert fewest == next(n for n in range(2, 1000) if stats.t.ppf(0.95, n - 1) * 0.5 / sqrt(n) <= 0.1)
    square = np.array([0.0, 10.0, 0.0, 10.0]), np.array([0.0, 0.0, 10.0, 10.0])
    close(clark_evans_index(*square, (20.0, 20.0)), 10 * 2 * sqrt(4 / (20 * 20)))


def test_choosing() -> None:
    # hold or cut, with the land under the stand: 1450 and 1980 of wood, 600 of land, five years
    close(value_growth(1450.0 + 600.0, np.zeros(5), 1980.0 + 600.0), (2580 / 2050) ** (1 / 5) - 1)
    cash = np.array([[-100.0, 0.0, 0.0, 130.0], [-100.0, 60.0, 60.0, 0.0]])
    highest = max(every_real_irr(flow)[0] for flow in cash)
    assert best_rate(cash, np.ones(2, bool), 50.0).rate == pytest.approx(highest, rel=1e-12)
    close(gap_of(90.0, 100.0), (100 - 90) / 90)


def test_prices_that_move() -> None:
    level = log_level(25.0, 0.7, 0.2)
    close(level, log(25) - 0.2**2 / (2 * (1 - 0.7**2)))
    market = Market(
        ("a",), np.array([20.0]), np.array([(1 - 0.7) * level]), np.array([0.7]), np.array([0.2]), np.eye(1)
    )
    close(_long_run(market)[0], 25)
    x, v = log(20), 0.0
    for ours in mean_prices(market, 5)[:, 0]:
        close(ours, exp(x + v / 2))
        x, v = 0.3 * level + 0.7 * x, 0.7**2 * v + 0.2**2
    factor = np.linalg.cholesky(np.array([[1.0, 0.5], [0.5, 1.0]]))
    shock = np.arange(12.0).reshape(2, 2, 3)
    close(_together(shock, factor)[1], factor[1, 0] * shock[0] + factor[1, 1] * shock[1])
    pairs = [(3 + 1) / 2, (2 + 9) / 2]
    mean = sum(pairs) / 2
    close(standard_error(VALUES, antithetic=True), sqrt(sum((y - mean) ** 2 for y in pairs) / (2 * 1)))


def test_mean_over_next_years_price_by_weights() -> None:
    price, middle, side = np.exp(np.linspace(2.0, 4.0, 9)), 3.0, 0.3
    below = [0.0, *(stats.norm.cdf((log(p) - middle) / side) for p in price[1:-1]), 1.0]
    whole = exp(middle + side**2 / 2)
    part = [0.0, *(whole * stats.norm.cdf((log(p) - middle) / side - side) for p in price[1:-1]), whole]
    by_hand = np.zeros(9)
    for k in range(8):
        width, share, money = price[k + 1] - price[k], below[k + 1] - below[k], part[k + 1] - part[k]
        by_hand[k] += (price[k + 1] * share - money) / width
        by_hand[k + 1] += (money - price[k] * share) / width
    ours = _weights(price, np.full(9, middle), side)[0]
    close(ours, by_hand)
    close([ours.sum(), ours @ price], [1, whole])


def test_odds() -> None:
    lot = np.array([0.1, 0.5, 0.9])
    close(severity_of(lot, 0.4), [1 + 0.4 * (sqrt(0.2) - 1), 1, 1 + 0.4 * (1 - sqrt(0.2))])
    close(value_at_risk(VALUES, 0.3), 2 + (0.3 * 4 - 1) * (3 - 2))
    close(spread(VALUES).error, sqrt(sum((x - 4) ** 2 for x in VALUES) / (5 * 4)))


def test_sweeps() -> None:
    close(_triangle(1.0, 2.0, 5.0)(np.array([0.1, 0.8])), [1 + sqrt(0.1 * 4 * 1), 5 - sqrt(0.2 * 4 * 3)])
    coefficients = [1.0, -3.0, 2.0, 5.0]
    moved = [sum(comb(t, s) * coefficients[t] for t in range(s, 4)) for s in range(4)]
    close(np.array(coefficients) @ _shift(4), moved)
    rate = float(_halved(np.array([[-100.0, 10.0, 10.0, 120.0]]), np.array([True]))[0])
    assert -100 + 10 / (1 + rate) + 10 / (1 + rate) ** 2 + 120 / (1 + rate) ** 3 == pytest.approx(0.0, abs=1e-9)
