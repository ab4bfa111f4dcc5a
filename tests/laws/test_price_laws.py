"""What must hold of prices that move and of waiting, whatever the numbers."""

from collections.abc import Sequence
from itertools import pairwise

import hypothesis
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optimize.basis import polynomials
from optimize.decisions import ENDS, Decisions, best_fixed_plan, sell_or_keep
from optimize.least_squares import Sample, learned, valued
from optimize.prices.draws import BLOCK, Draws, draw_paths, standard_error
from optimize.prices.market import Market, default_market, log_level, market_of, mean_prices
from optimize.prices.repricing import present_values, repricing_of
from optimize.sell_or_wait import chain_of, independent_chain, solve
from plans import example, fast
from simulator.finance import net_present_value
from simulator.scenario.price_path import PriceLink, PriceProcess
from waiting import laguerre_functions, market, stand

PRICES = {"sawtimber": 27.0, "pulpwood": 7.0, "hay": 110.0, "calf": 2.1, "wage": 18.0}
DRAWS = 20_000


def moving(**fields: object) -> PriceProcess:
    return PriceProcess.model_validate({"item": "sawtimber", **fields})


def four() -> Market:
    """One price of each kind."""
    paths = [
        moving(today=22.0, mean=27.0, keep=0.7, spread=0.2),
        moving(item="pulpwood", moves="random walk", trend=0.02, spread=0.15),
        moving(item="hay", moves="trend", trend=-0.01),
        moving(item="calf", moves="fixed"),
    ]
    return market_of(paths, PRICES, [PriceLink(items=("sawtimber", "pulpwood"), correlation=0.6)])


def test_means_and_spreads_of_each_kind_are_those_of_the_closed_forms() -> None:
    years, paths = 12, draw_paths(four(), 12, 80_000, seed=3)
    t = np.arange(years)
    keep, level = 0.7, log_level(27.0, 0.7, 0.2)
    variance = np.stack([0.2**2 * (1.0 - keep ** (2 * t)) / (1.0 - keep**2), 0.15**2 * t, 0.0 * t, 0.0 * t], axis=1)
    log_mean = np.stack(
        [
            level + keep**t * (np.log(22.0) - level),
            np.log(7.0) + t * (np.log(1.02) - 0.15**2 / 2.0),
            np.log(110.0) + t * np.log(0.99),
            np.log(2.1) + 0.0 * t,
        ],
        axis=1,
    )
    log = np.log(paths)
    assert (np.abs(log.mean(axis=0) - log_mean) <= 4.0 * np.sqrt(variance / len(paths)) + 1e-9).all()
    # the variance of a sample of normal numbers has a standard error of variance * sqrt(2 / n)
    assert (np.abs(log.var(axis=0) - variance) <= 4.0 * variance * np.sqrt(2.0 / len(paths)) + 1e-9).all()
    assert mean_prices(four(), years) == pytest.approx(np.exp(log_mean + variance / 2.0))
    walk = mean_prices(four(), years)[:, 1]
    assert walk == pytest.approx(7.0 * 1.02**t), "the mean of a random walk follows its trend"
    assert mean_prices(four(), 200)[-1, 0] == pytest.approx(27.0), "a mean-reverting price has the mean stated"


def test_changes_of_a_year_go_together_as_stated_and_not_from_year_to_year() -> None:
    log = np.log(draw_paths(four(), 4, 80_000, seed=4))
    shock = [log[:, 1 + t] - four().constant - four().keep * log[:, t] for t in range(3)]
    error = 4.0 / np.sqrt(len(log))
    assert np.corrcoef(shock[1][:, 0], shock[1][:, 1])[0, 1] == pytest.approx(0.6, abs=error)
    assert np.corrcoef(shock[1][:, 0], shock[2][:, 0])[0, 1] == pytest.approx(0.0, abs=error)
    assert np.corrcoef(shock[0][:, 0], shock[2][:, 1])[0, 1] == pytest.approx(0.0, abs=error)


@given(cuts=st.lists(st.integers(0, 3 * BLOCK), max_size=4), antithetic=st.booleans())
@settings(max_examples=15)
def test_draws_are_the_same_bytes_in_any_portions_by_any_workers(cuts: Sequence[int], *, antithetic: bool) -> None:
    draws = 2 * BLOCK + 100
    borders = [0, *sorted(min(cut, draws) for cut in cuts), draws]
    whole = draw_paths(four(), 3, draws, seed=5, antithetic=antithetic)
    series = Draws(four(), 3, 5, antithetic)
    parts = [series.between(a, b) for a, b in pairwise(borders)]
    assert np.concatenate(parts).tobytes() == whole.tobytes()
    assert draw_paths(four(), 3, draws, seed=5, antithetic=antithetic, workers=2).tobytes() == whole.tobytes()
    assert np.concatenate(list(series.portions(draws))).tobytes() == whole.tobytes()
    assert draw_paths(four(), 3, draws, seed=6, antithetic=antithetic).tobytes() != whole.tobytes()


def test_blocks_have_the_seeds_that_numpy_spawns() -> None:
    one = market(20.0, 20.0, 0.5, 0.1)
    children = np.random.SeedSequence(9).spawn(3)
    for number, child in enumerate(children):
        shock = np.random.default_rng(child).standard_normal((1, 1, BLOCK))[0, 0]
        expected = np.exp(one.constant[0] + 0.5 * np.log(20.0) + 0.1 * shock)
        assert Draws(one, 2, 9).block(number)[:, 1, 0] == pytest.approx(expected, rel=1e-12)


def test_opposite_draws_come_in_pairs_and_steady_the_mean() -> None:
    one = market(20.0, 20.0, 0.5, 0.1)
    log = np.log(draw_paths(one, 2, DRAWS, seed=1, antithetic=True)[:, 1, 0])
    assert log.reshape(-1, 2).mean(axis=1) == pytest.approx(np.log(20.0)), "shocks of a pair cancel"
    price = np.exp(log)
    assert standard_error(price, antithetic=True) < 0.2 * standard_error(price)


def test_without_years_draws_or_workers_nothing_is_drawn() -> None:
    for years, draws, workers in ((0, 1, 1), (1, 0, 1), (1, 1, 0)):
        with pytest.raises(ValueError, match="at least 1"):
            draw_paths(four(), years, draws, 0, workers=workers)


def test_what_nobody_pays_for_stays_worth_nothing() -> None:
    free = market_of([moving(), moving(item="pulpwood", moves="random walk")], {"sawtimber": 0.0, "pulpwood": 0.0})
    assert (draw_paths(free, 5, 10, seed=0) == 0.0).all()
    assert (mean_prices(free, 5) == 0.0).all()


def test_defaults_move_around_the_price_in_force_and_wood_moves_together() -> None:
    usual = default_market(PRICES)
    assert usual.items == ("sawtimber", "pulpwood", "calf", "hay")
    assert mean_prices(usual, 100)[-1] == pytest.approx([27.0, 7.0, 2.1, 110.0])
    assert usual.correlation[0, 1] == 0.3
    assert usual.correlation[0, 2] == usual.correlation[2, 3] == 0.0
    assert usual.of("calf").today.tolist() == [2.1]
    with pytest.raises(ValueError, match="wage has no default spread"):
        market_of([moving(item="wage", moves="random walk")], PRICES)


def test_repricing_gives_each_draw_what_the_plan_earns_at_those_prices() -> None:
    """Against the ledger's own product: prices of one year are put into the price table, year by year."""
    outcome = fast(example())
    usual = default_market(outcome.prices)
    flows, rows = outcome.flows, len(outcome.flows.quantity)
    repricing = repricing_of(flows.lines, flows.quantity, outcome.prices, usual.items)
    paths = draw_paths(usual, rows, 3, seed=8)
    for draw, cash in zip(paths, repricing.cash(paths), strict=True):
        for row in range(0, rows, 7):
            prices = {**outcome.prices, **dict(zip(usual.items, draw[row], strict=True))}
            unit = [line.sign * np.prod([prices[item] for item in line.prices]) for line in flows.lines]
            assert cash[row] == pytest.approx(flows.quantity[row] @ np.array(unit))
    worth = repricing.present_value(paths, outcome.rate)
    assert worth == pytest.approx(net_present_value(repricing.cash(paths), outcome.rate))
    still = np.broadcast_to([outcome.prices[item] for item in usual.items], (1, rows, len(usual.items)))
    assert repricing.present_value(still, outcome.rate)[0] == pytest.approx(outcome.measures.npv)


def test_present_values_do_not_depend_on_how_many_draws_are_asked_for() -> None:
    outcome = fast(example())
    usual = default_market(outcome.prices)
    flows = outcome.flows
    repricing = repricing_of(flows.lines, flows.quantity, outcome.prices, usual.items)
    series = Draws(usual, len(flows.quantity), 2)
    many = present_values(repricing, series, BLOCK + 50, outcome.rate)
    assert present_values(repricing, series, 100, outcome.rate).tobytes() == many[:100].tobytes()
    assert many.mean() == pytest.approx(outcome.measures.npv, abs=4.0 * standard_error(many) + 1.0)


def test_a_line_priced_by_two_moving_prices_is_refused() -> None:
    outcome = fast(example())
    with pytest.raises(ValueError, match="only one of them may move"):
        repricing_of(outcome.flows.lines, outcome.flows.quantity, outcome.prices, ("sawtimber", "timber_sale_fee"))


values = st.floats(0.0, 0.95)


@given(keep=values, spread=st.floats(0.0, 0.35), today=st.floats(15.0, 45.0), carrying=st.floats(0.0, 40.0))
@settings(max_examples=30)
def test_deciding_year_by_year_is_never_worse_than_the_best_fixed_plan(
    keep: float, spread: float, today: float, carrying: float
) -> None:
    price, decisions = market(today, 28.0, keep, spread), stand(carrying=carrying)
    plan = best_fixed_plan(decisions, mean_prices(price, decisions.stages))
    value = solve(decisions, chain_of(price, 10)).value_at(today)
    # what the grid of 101 prices leaves off
    assert value >= plan.value - 1e-5 * abs(plan.value)
    if spread == 0.0:
        fine = solve(decisions, chain_of(price, 10, 1001)).value_at(today)
        assert value == pytest.approx(plan.value, rel=5e-4)
        assert fine == pytest.approx(plan.value, rel=1e-5)


def test_waiting_is_worth_more_the_more_prices_spread() -> None:
    """For prices that return to a level whose long-run mean stays the same, and a sale that brings a straight line."""
    values_ = []
    for spread in (0.0, 0.05, 0.1, 0.15, 0.2, 0.3):
        price = market_of([moving(keep=0.6, spread=spread, mean=28.0, today=28.0)], PRICES)
        values_.append(solve(stand(), chain_of(price, 10, 401)).value_at(28.0))
    assert (np.diff(values_) >= -1e-3).all()
    assert values_[-1] > 1.05 * values_[0]


def test_a_price_without_memory_is_the_same_chain_in_both_ways() -> None:
    """Where nothing is kept every row of the means is alike, and is the chain of independent prices."""
    chain = chain_of(market(28.0, 28.0, 0.0, 0.2), 10)
    assert chain.weight == pytest.approx(np.broadcast_to(chain.weight[0], chain.weight.shape))
    alone = independent_chain(chain.price, chain.weight[0])
    assert solve(stand(), alone).value == pytest.approx(solve(stand(), chain).value)


@given(keep=values, spread=st.floats(0.0, 0.4))
@hypothesis.example(keep=0.0, spread=5e-324)
@settings(max_examples=20)
def test_the_mean_of_a_straight_line_over_next_years_price_is_exact(keep: float, spread: float) -> None:
    price = market(28.0, 28.0, keep, spread)
    chain = chain_of(price, 5)
    mean = np.exp(price.constant[0] + keep * np.log(chain.price) + spread**2 / 2.0)
    assert chain.weight @ (3.0 + 2.0 * chain.price) == pytest.approx(3.0 + 2.0 * mean, rel=1e-9)


def thinning(years: int = 8) -> Decisions:
    """A stand that may be thinned once before it is cut: states thick and thinned; actions wait, thin, cut."""
    t = np.arange(years + 1)
    shape = (years + 1, 2, 3)
    fixed, unit = np.zeros(shape), np.zeros((*shape, 1))
    fixed[:, :, 0], fixed[:, :, 2], fixed[:, 0, 1] = -10.0, 300.0, -40.0
    unit[:, 0, 2, 0], unit[:, 1, 2, 0] = 50.0 + 2.0 * t, 32.0 + 3.0 * t
    unit[:, 0, 1, 0] = 14.0 + t
    next_state, allowed = np.full(shape, ENDS), np.ones(shape, dtype=bool)
    next_state[:-1, 0, 0], next_state[:-1, 0, 1], next_state[:-1, 1, 0] = 0, 1, 1
    allowed[:, 1, 1], allowed[-1, :, :2] = False, False
    return Decisions(fixed, unit, next_state, allowed, 1.0 / 1.05)


def test_thinning_and_cutting_are_worth_what_every_tree_of_choices_gives() -> None:
    """Against a walk through all choices on a price of three values, written without arrays of states."""
    price, share = np.array([20.0, 28.0, 40.0]), np.array([0.3, 0.5, 0.2])
    decisions = thinning(5)
    solution = solve(decisions, independent_chain(price, share))

    def best(stage: int, state: int, at: int) -> float:
        worth = []
        for action in range(3):
            if decisions.allowed[stage, state, action]:
                money = decisions.fixed[stage, state, action] + price[at] * decisions.per_price[stage, state, action, 0]
                follows = int(decisions.next_state[stage, state, action])
                mean = 0.0 if follows == ENDS else sum(share[i] * best(stage + 1, follows, i) for i in range(3))
                worth.append(money + decisions.factor * mean)
        return max(worth)

    for state in range(2):
        assert solution.value[0, :, state] == pytest.approx([best(0, state, at) for at in range(3)])


def test_a_rule_learned_from_draws_is_no_better_than_the_best_on_fresh_ones() -> None:
    price = market(26.0, 28.0, 0.7, 0.15)
    for decisions in (stand(), thinning(), stand(carrying=0.0, land=0.0)):
        stages = decisions.stages
        drawn = [draw_paths(price, stages, DRAWS, seed, antithetic=True) for seed in (1, 2)]
        first, fresh = (Sample(paths, antithetic=True) for paths in drawn)
        exact = solve(decisions, chain_of(price, stages, 401)).value_at(26.0)
        for basis in (polynomials(2, 28.0), laguerre_functions(3, 28.0)):
            found = valued(learned(decisions, first, basis), fresh)
            assert found.mean <= exact + 3.0 * found.standard_error
            assert found.mean >= 0.995 * exact - 3.0 * found.standard_error


def test_a_learned_value_is_the_same_bytes_for_any_draws_beside_it() -> None:
    price = market(26.0, 28.0, 0.7, 0.15)
    paths = draw_paths(price, 9, 3000, seed=1)
    rule = learned(thinning(), Sample(paths), polynomials(3, 28.0))
    again = learned(thinning(), Sample(draw_paths(price, 9, 3000, seed=1, workers=2)), polynomials(3, 28.0))
    assert again.coefficient.tobytes() == rule.coefficient.tobytes()
    whole = valued(rule, Sample(paths))
    parts = [valued(rule, Sample(paths[a:b])) for a, b in ((0, 7), (7, 1111), (1111, 3000))]
    assert np.concatenate([part.present_value for part in parts]).tobytes() == whole.present_value.tobytes()
    assert whole.acted.min() >= 0


def test_two_prices_and_the_past_can_be_looked_at() -> None:
    """A price that only shows with another: knowing the mean of the past too is worth no less, on fresh draws."""
    both = market_of([moving(keep=0.7, spread=0.2), moving(item="pulpwood", keep=0.5, spread=0.3)], PRICES)
    t = np.arange(9)
    one = stand(years=8)
    unit = np.zeros((9, 1, 2, 2))
    unit[:, 0, 1] = np.stack([40.0 + t, 60.0 + 2.0 * t], axis=1)
    decisions = one._replace(per_price=unit)
    scale = np.array([27.0, 7.0])
    samples = [draw_paths(both, 9, DRAWS, seed, antithetic=True) for seed in (1, 2)]
    plain = [Sample(paths, antithetic=True) for paths in samples]
    usual = valued(learned(decisions, plain[0], polynomials(2, scale)), plain[1])
    seen = [np.concatenate([p, np.cumsum(p, axis=1) / (t + 1.0)[:, None]], axis=2) for p in samples]
    past = [Sample(paths, known, antithetic=True) for paths, known in zip(samples, seen, strict=True)]
    informed = valued(learned(decisions, past[0], polynomials(2, np.tile(scale, 2))), past[1])
    plan = best_fixed_plan(decisions, mean_prices(both, 9))
    assert usual.mean > plan.value + 3.0 * usual.standard_error
    assert informed.mean == pytest.approx(usual.mean, rel=0.003), "prices here hold all there is to know"
    one_only = [Sample(paths, paths[..., :1], antithetic=True) for paths in samples]
    blind = valued(learned(decisions, one_only[0], polynomials(2, 27.0)), one_only[1])
    assert blind.mean < usual.mean


def test_decisions_that_do_not_fit_together_are_refused() -> None:
    good = thinning()
    faulty = (
        (good._replace(allowed=good.allowed[:-1]), "must share"),
        (good._replace(next_state=good.next_state + 5), "outside the states"),
        (good._replace(next_state=np.zeros_like(good.next_state)), "must end"),
        (good._replace(allowed=good.allowed & (np.arange(9) < 8)[:, None, None]), "nothing is allowed"),
    )
    for decisions, says in faulty:
        with pytest.raises(ValueError, match=says):
            decisions.checked()
    two = np.repeat(good.per_price, 2, axis=3)
    with pytest.raises(ValueError, match="one price"):
        solve(good._replace(per_price=two), chain_of(market(28.0, 28.0, 0.5, 0.1), 8))
    with pytest.raises(ValueError, match="do not fit"):
        learned(good, Sample(np.ones((4, 9, 2))), polynomials(1))
    with pytest.raises(ValueError, match="one price above 0"):
        chain_of(four(), 5)


def test_a_reservation_price_is_named_only_where_there_is_one() -> None:
    chain = independent_chain(np.array([1.0, 2.0, 3.0]), np.array([0.3, 0.4, 0.3]))
    always = solve(sell_or_keep(np.ones(2), 100.0, 0.0, 0.05), chain).reservation[0, 0]
    never = solve(sell_or_keep(np.array([0.0, 9.0]), 0.0, 0.0, 0.05), chain).reservation[0, 0]
    assert (always[0], always[1]) == (np.inf, 0.0)
    assert (never[0], never[1]) == (0.0, np.inf)
    low = solve(sell_or_keep(np.array([-1.0, 0.0]), np.array([2.0, 1.0]), 0.0, 0.05), chain).reservation[0, 0]
    assert np.isnan(low[1]), "sold only when the price is low: no price above which"
