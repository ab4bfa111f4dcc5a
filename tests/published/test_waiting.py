"""Selling or waiting: the option paper's example and table, closed forms of reservation prices; see waiting.toml."""

import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.stats import norm

from optimize.basis import polynomials
from optimize.decisions import best_fixed_plan, sell_or_keep
from optimize.least_squares import Sample, learned, valued
from optimize.prices.draws import draw_paths
from optimize.prices.market import mean_prices
from optimize.sell_or_wait import chain_of, independent_chain, solve
from recording import agree
from simulator.units import FloatArray
from waiting import binomial_put, gauss_hermite_chain, market, put, put_rule, put_sample, stand, walk

KNOWN = tomllib.loads(Path(__file__).with_name("waiting.toml").read_text(encoding="utf-8"))
PUT, OWN = KNOWN["american_put"], KNOWN["own"]
DRAWS = 40_000


def test_the_eight_paths_give_the_printed_regressions_and_values() -> None:
    known = KNOWN["eight_paths"]
    prices, factor = np.array(known["paths"]), np.exp(-known["rate"])
    decisions = put(known["strike"], 4, factor)
    allowed = decisions.allowed.copy()
    allowed[0, 0, 1] = False
    sample = Sample(prices[:, :, None], considered=prices < known["strike"])
    rule = learned(decisions._replace(allowed=allowed), sample, polynomials(2))
    agree(
        "eight paths: regression in year 2",
        rule.coefficient[2, :, 0],
        known["coefficients_at_2"],
        known,
        within=5e-4,
    )
    agree(
        "eight paths: regression in year 1",
        rule.coefficient[1, :, 0],
        known["coefficients_at_1"],
        known,
        within=5e-4,
    )
    agree(
        "eight paths: American put",
        valued(rule, sample).mean,
        known["american"],
        known,
        within=5e-5,
    )
    allowed[:-1, 0, 1] = False
    european = learned(decisions._replace(allowed=allowed), sample, polynomials(2))
    agree(
        "eight paths: European put",
        valued(european, sample).mean,
        known["european"],
        known,
        within=5e-5,
    )


def test_closed_form_and_tree_agree_with_the_columns_of_the_table() -> None:
    """That the table was recalled rightly: European values by formula, the others by a tree of the same dates."""
    rows = np.array(PUT["rows"])
    price, sigma, years, strike, rate = *rows[:, :3].T, PUT["strike"], PUT["rate"]
    spread = sigma * np.sqrt(years)
    d1 = (np.log(price / strike) + rate * years) / spread + spread / 2.0
    european = strike * np.exp(-rate * years) * norm.cdf(spread - d1) - price * norm.cdf(-d1)
    agree("European put", european, rows[:, 4], PUT, within=6e-4)
    agree("American put by finite differences", tree(), rows[:, 3], PUT, within=0.006)
    agree("American put, same dates", tree(), rows[:, 7], PUT, within=0.001)


@cache
def tree() -> FloatArray:
    """Binomial value of every row."""
    rows, value = np.array(PUT["rows"]), np.zeros(len(PUT["rows"]))
    for years in (1, 2):
        of = rows[:, 2] == years
        value[of] = binomial_put(rows[of, 0], rows[of, 1], PUT["strike"], PUT["rate"], years)
    return value


@pytest.mark.parametrize("number", range(len(PUT["rows"])), ids=lambda n: "S {} sigma {} T {}".format(*PUT["rows"][n]))
def test_least_squares_on_fresh_draws_gives_the_value_of_the_put(number: int) -> None:
    """Within four standard errors of a tree that may be exercised at the same dates."""
    price, sigma, years = PUT["rows"][number][:3]
    stages, step_yr = PUT["dates_a_year"] * years + 1, 1.0 / PUT["dates_a_year"]
    share, factor = walk(price, PUT["rate"], sigma, step_yr), np.exp(-PUT["rate"] * step_yr)
    rule = put_rule(share, PUT["strike"], factor, stages, DRAWS)
    fresh = valued(rule, put_sample(share, PUT["strike"], stages, DRAWS, seed=2))
    agree("put by least squares on fresh draws", fresh.mean, tree()[number], PUT, within=4.0 * fresh.standard_error)
    assert fresh.standard_error < PUT["rows"][number][6] * np.sqrt(100_000 / DRAWS)


def trapezoid(bid: FloatArray) -> FloatArray:
    """Shares of a uniform price at the points of a grid."""
    width = np.diff(bid)
    share = np.append(width, 0.0) + np.append(0.0, width)
    return np.asarray(share / share.sum())


@pytest.mark.parametrize("case", OWN["uniform"]["cases"], ids=lambda case: f"{case['low']} to {case['high']}")
def test_the_reservation_price_of_uniform_bids_is_the_closed_form(case: Mapping[str, float]) -> None:
    """R (1 + r) = mean of the larger of bid and R; waited for so long that the end does not matter."""
    decisions, (low, high) = sell_or_keep(np.ones(121), 0.0, 0.0, case["rate"]), (case["low"], case["high"])
    bid = np.linspace(low, high, 2001)
    for _ in range(3):
        # worth is a straight line on both sides of the reservation price: only there the grid has to be fine
        solution = solve(decisions, independent_chain(bid, trapezoid(bid)))
        reservation, near = solution.reservation[0, 0, 1], 2.0 * np.diff(bid).min()
        bid = np.unique(np.append(bid, np.linspace(reservation - near, reservation + near, 401)))
    agree(
        "reservation price of uniform bids",
        reservation,
        case["reservation"],
        OWN,
        within=case["tolerance"],
    )
    sold = (case["high"] - reservation) / (case["high"] - case["low"])
    assert sold == pytest.approx(case.get("sold_share", sold), abs=6e-6, rel=0.0)


@pytest.mark.parametrize("case", OWN["normal"]["cases"], ids=lambda case: f"growth {case['growth']}")
def test_the_reservation_prices_of_normal_bids_fall_to_the_last_year(case: Mapping[str, Any]) -> None:
    known = OWN["normal"]
    bid = known["mean"] + known["spread"] * np.linspace(-8.0, 8.0, 16_001)
    share = norm.pdf(bid, known["mean"], known["spread"])
    volume = (1.0 + case["growth"]) ** np.arange(len(case["reservation"]) + 1)
    solution = solve(sell_or_keep(volume, 0.0, 0.0, known["rate"]), independent_chain(bid, share / share.sum()))
    agree(
        "reservation prices of normal bids, by year",
        solution.reservation[:-1, 0, 1],
        case["reservation"],
        OWN,
        within=5.1e-5,
    )
    assert solution.reservation[-1, 0, 1] == 0.0


def test_the_stand_is_worth_what_was_reckoned_with_the_same_rule_of_nodes() -> None:
    known = OWN["stand"]
    price = market(known["level"], known["level"], known["keep"], known["spread"])
    solution = solve(stand(), gauss_hermite_chain(price, points=1601, nodes=64))
    agree(
        "worth of the stand with the same rule of nodes [$]",
        solution.value_at(known["level"]),
        known["value"],
        OWN,
        within=0.005,
    )
    agree(
        "price to sell at, by year, with the same rule of nodes [$/ton]",
        solution.reservation[:-1, 0, 1],
        known["reservation"],
        OWN,
        within=0.006,
    )


def test_the_stand_is_worth_a_little_less_without_a_rule_of_nodes() -> None:
    """The rule steps over corners: a fine grid without it gives 2108.24, the grid of 101 prices stays within .2."""
    known = OWN["stand"]
    price = market(known["level"], known["level"], known["keep"], known["spread"])
    fine, usual = (solve(stand(), chain_of(price, known["years"], points)) for points in (1601, 101))
    agree(
        "worth of the stand on a fine grid [$]",
        fine.value_at(known["level"]),
        known["value_without_a_rule"],
        OWN,
        within=0.005,
    )
    agree(
        "worth of the stand on the usual grid, against the fine one [$]",
        usual.value_at(known["level"]),
        fine.value_at(known["level"]),
        OWN,
        within=0.2,
    )
    for solution in (fine, usual):
        agree(
            "price to sell at, by year [$/ton]",
            solution.reservation[:-1, 0, 1],
            known["reservation"],
            OWN,
            within=0.02,
        )
        assert (np.diff(solution.reservation[:, 0, 1]) < 0).all()
    plan = best_fixed_plan(stand(), mean_prices(price, known["years"] + 1))
    agree("worth of the best fixed plan [$]", plan[0], known["fixed_plan"], OWN, within=0.005)
    assert plan[1] == (1,)
    assert [int(usual.policy[0, np.searchsorted(usual.price, today), 0]) for today in (24.0, 32.0)] == [0, 1]


@pytest.mark.parametrize("case", OWN["stand"]["by_keep"], ids=lambda case: f"keep {case['keep']}")
def test_waiting_is_worth_less_the_longer_a_price_stays_where_it_is(case: Mapping[str, float]) -> None:
    """Within .03 % of what was reckoned with the rule of nodes, which is farthest off where nothing is kept."""
    known = OWN["stand"]
    price = market(known["level"], known["level"], case["keep"], known["spread"])
    value = solve(stand(), chain_of(price, known["years"])).value_at(known["level"])
    agree("worth of the stand by how long a price stays [$]", value, case["value"], OWN, share=3e-4)
    finest = solve(stand(), gauss_hermite_chain(price, 401, 400, width=2.5)).value_at(known["level"])
    assert value == pytest.approx(finest, rel=2e-4)


def test_without_spread_the_stand_is_worth_its_fixed_plan() -> None:
    known = OWN["stand"]
    still = market(known["level"], known["level"], known["keep"], 0.0)
    agree(
        "worth of the stand without spread [$]",
        solve(stand(), chain_of(still, known["years"])).value_at(known["level"]),
        known["fixed_plan"],
        OWN,
        within=1e-6,
    )


def test_least_squares_on_fresh_draws_gives_the_value_of_the_stand() -> None:
    known = OWN["stand"]
    price = market(known["level"], known["level"], known["keep"], known["spread"])
    first, fresh = (
        Sample(draw_paths(price, known["years"] + 1, DRAWS, seed, antithetic=True), antithetic=True) for seed in (1, 2)
    )
    found = valued(learned(stand(), first, polynomials(3, known["level"])), fresh)
    exact = solve(stand(), chain_of(price, known["years"], 801)).value_at(known["level"])
    assert exact - 4.0 * found.standard_error < found.mean < exact + 3.0 * found.standard_error
