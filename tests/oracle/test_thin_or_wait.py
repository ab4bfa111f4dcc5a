"""Thin now or wait: the same numbers by ordinary runs, by enumeration and by hand."""

from dataclasses import replace

import numpy as np
import pytest

from optimize.decisions import ENDS, Decisions, best_fixed_plan
from optimize.prices.draws import draw_paths
from optimize.prices.market import Market, mean_prices
from optimize.sell_or_wait import chain_of, solve
from optimize.waiting.answer import Answer
from optimize.waiting.maturity import loss_share
from optimize.waiting.moving import ALL_WOOD, moving_market
from optimize.waiting.stages import CLEAR, HOLD, THIN, UNTHINNED, decisions_of
from optimize.waiting.ways import Way
from plans import changed
from simulator.finance import net_present_value
from simulator.ledger import unit_prices
from simulator.parameters.hazards import load_events
from simulator.parameters.odds import load_frequencies
from simulator.result import run
from thinning_wait import WAIT, of_one_price, pines_answer, wood_answer

ANSWERS = pytest.mark.parametrize("ask", [pines_answer, wood_answer], ids=["for grass", "for wood"])


@ANSWERS
def test_every_worth_that_is_printed_is_that_of_an_ordinary_run(ask: "type[Answer]") -> None:
    found = ask()
    for choice in (*found.thinned, found.clearcut, found.hold):
        assert choice.way is not None
        outcome = run(found.question.plan(choice.way))
        assert outcome.measures.land_expectation == pytest.approx(choice.present_value, abs=0.005)


def test_tons_of_an_answer_are_those_of_an_ordinary_run() -> None:
    found = pines_answer()
    for choice in found.thinned:
        assert choice.way is not None
        first = run(found.question.plan(choice.way)).lives[0]
        mine = found.grown.wood_ton_ac[choice.way]
        assert mine == pytest.approx(first.wood_ton_ac[: len(mine)], abs=1e-9)
        forage = found.grown.states[choice.way]["forage_lb_ac"]
        assert forage == pytest.approx(first.states["forage_lb_ac"][: len(forage)], abs=1e-6)


@ANSWERS
def test_each_answer_is_at_its_own_best_of_all_ways(ask: "type[Answer]") -> None:
    found = ask()
    for wait, choice in enumerate(found.thinned):
        mine = [way for way in found.grown.doable() if way.thinned and way.first == wait]
        assert choice.present_value == max(found.grown.present_value(way) for way in mine)
    never = [found.grown.present_value(Way(0, 0, cut)) for cut in range(1, found.question.last + 1)]
    assert found.hold.present_value == max(never)


def walked(decisions: Decisions, actions: tuple[int, ...], prices: np.ndarray) -> float:
    """Present value of a series of actions at prices by stage, (stages, items)."""
    state, worth, factor = UNTHINNED, 0.0, 1.0
    for stage, action in enumerate(actions):
        assert decisions.allowed[stage, state, action]
        money = decisions.fixed[stage, state, action] + decisions.per_price[stage, state, action] @ prices[stage]
        worth, factor = worth + factor * money, factor * decisions.factor
        state = int(decisions.next_state[stage, state, action])
    assert state == ENDS
    return worth


def way_of(actions: tuple[int, ...], offsets: tuple[int, ...]) -> Way:
    """The way that a series of actions amounts to."""
    thinned = sum(action == THIN for action in actions)
    first = actions.index(THIN) if thinned else 0
    return Way(min(thinned, len(offsets)), first, len(actions) - 1)


@ANSWERS
def test_yearly_decisions_add_up_to_every_way(ask: "type[Answer]") -> None:
    found = ask()
    question, grown = found.question, found.grown
    market = moving_market(question.scenario, grown)
    decisions = decisions_of(grown, market.items)
    steady = np.tile([grown.prices[item] for item in market.items], (decisions.stages, 1))
    for way in grown.doable():
        cuts = {way.first + offset for offset in question.offsets[: way.thinned]}
        actions = (*(THIN if year in cuts else HOLD for year in range(way.harvest)), CLEAR)
        assert walked(decisions, actions, steady) == pytest.approx(grown.present_value(way), abs=1e-6)
        assert way_of(actions, question.offsets) == way


@ANSWERS
@pytest.mark.parametrize("rise", [0.0, -0.03, 0.04])
def test_without_spread_the_program_is_the_best_of_all_ways_enumerated(ask: "type[Answer]", rise: float) -> None:
    """All wood rising or falling steadily; every way is priced year by year and the best taken."""
    found = ask()
    decisions, one = of_one_price(found, ALL_WOOD), np.ones(1)
    market = Market((ALL_WOOD,), one, one * np.log1p(rise), one, one * 0.0, np.eye(1))
    index = (1.0 + rise) ** np.arange(decisions.stages)
    wood = tuple(item for item in moving_market(found.question.scenario, found.grown).items if item != "calf")
    best = -np.inf
    for way in found.grown.doable():
        lines = found.grown.lines_of(way, wood)
        rows = index[: len(lines.steady), None] * np.array([found.grown.prices[item] for item in wood])
        worth = float(net_present_value(lines.steady + (lines.weight * rows).sum(axis=1), found.grown.rate))
        best = max(best, worth + found.grown.bare_land[way.harvest] / (1.0 + found.grown.rate) ** way.harvest)
    exact = solve(decisions, chain_of(market, decisions.stages - 1, 401)).value_at(1.0)
    settled = best_fixed_plan(decisions, mean_prices(market, decisions.stages))
    assert settled.value == pytest.approx(best, abs=1e-6)
    # hay is a straight line in no wood; between points of the grid worth is a chord of a convex curve
    assert exact == pytest.approx(best, abs=0.5)
    assert exact >= best - 1e-6


def test_at_steady_prices_the_program_finds_the_best_answer_itself() -> None:
    found = wood_answer()
    decisions, one = of_one_price(found, ALL_WOOD), np.ones(1)
    still = Market((ALL_WOOD,), one, one * 0.0, one, one * 0.0, np.eye(1))
    best = max(choice.present_value for choice in (*found.thinned, found.clearcut, found.hold))
    assert solve(decisions, chain_of(still, decisions.stages - 1)).value_at(1.0) == pytest.approx(best, abs=0.005)


def test_money_at_other_prices_is_that_of_a_run_at_those_prices() -> None:
    found = pines_answer()
    dearer = {"chip_and_saw": 25.0, "pulpwood": 11.0}
    way = found.thinned[1].way
    assert way is not None
    plan = changed(found.question.plan(way), "money", prices=dearer)
    outcome = run(plan)
    assert outcome.flows.leading is not None
    expected = (outcome.flows.leading * unit_prices(outcome.flows.lines, outcome.prices)).sum(axis=1)
    lines = found.grown.lines_of(way, tuple(dearer))
    got = lines.steady + lines.weight @ np.array(list(dearer.values()))
    assert got == pytest.approx(expected, abs=1e-6)


def test_value_growth_of_a_year_is_the_ratio_of_two_sales() -> None:
    stand = pines_answer().unthinned
    for year in range(WAIT):
        by_hand = stand.value[year + 1] / (stand.value[year] - stand.cash[year]) - 1.0
        assert stand.growth(year, year + 1) == pytest.approx(by_hand, abs=1e-9)
    sold = run(pines_answer().question.plan(Way(0, 0, 2))).measures.land_expectation
    assert sold is not None
    assert stand.value[2] == pytest.approx(
        (sold - (stand.cash[:2] * 1.05 ** -np.arange(2.0)).sum()) * 1.05**2, abs=1e-6
    )


def test_the_likely_loss_of_a_year_is_chance_times_loss_by_hand() -> None:
    """Eighteen-year-old loblolly of 132 ft2, unthinned, its ground not grazed."""
    found, events, chances = pines_answer(), load_events(), load_frequencies()
    ice, wind = chances.ice.coastal_plain, chances.wind.coastal_plain
    prices = found.grown.prices
    regional, local = prices["salvage_regional_factor"], prices["salvage_local_factor"]
    by_hand = (
        ice * events.ice.middle * (1.0 - events.ice.salvaged_share * regional)
        + wind * events.wind.young * (1.0 - events.wind.salvaged_share * regional)
        + chances.wildfire.rough * events.wildfire.middle * (1.0 - events.wildfire.salvaged_share * local)
        + chances.beetles.dense * events.beetles.middle * (1.0 - events.beetles.salvaged_share * local)
    )
    unthinned = Way(0, 0, found.question.last)
    assert found.grown.states[unthinned]["basal_area_ft2_ac"][0] > chances.beetles.dense_from_ft2_ac
    assert loss_share(found.grown, unthinned)[0] == pytest.approx(by_hand, rel=1e-12)
    thinned = loss_share(found.grown, Way(1, 0, found.question.last))
    assert (
        found.grown.states[Way(1, 0, found.question.last)]["basal_area_ft2_ac"][1] < chances.beetles.dense_from_ft2_ac
    )
    fresh = ice * events.ice.middle * events.ice.thinned_factor * (1.0 - events.ice.salvaged_share * regional)
    assert thinned[1] > fresh > ice * events.ice.middle


def test_deciding_year_by_year_on_draws_is_worth_what_the_program_says() -> None:
    """The policy of the program of all wood, walked through drawn prices, brings its value."""
    found = wood_answer()
    decisions, program = of_one_price(found, ALL_WOOD), found.programs[ALL_WOOD]
    solution = solve(decisions, chain_of(program.market, decisions.stages - 1))
    paths = draw_paths(program.market, decisions.stages, 4000, seed=5, antithetic=True)[..., 0]
    state, worth = np.zeros(len(paths), dtype=np.int64), np.zeros(len(paths))
    for stage in range(decisions.stages):
        near = np.abs(np.log(solution.price)[:, None] - np.log(paths[:, stage])).argmin(axis=0)
        here = np.maximum(state, 0)
        action = solution.policy[stage, near, here]
        money = decisions.fixed[stage, here, action] + decisions.per_price[stage, here, action, 0] * paths[:, stage]
        worth += np.where(state == ENDS, 0.0, money * decisions.factor**stage)
        state = np.where(state == ENDS, ENDS, decisions.next_state[stage, here, action])
    pairs = worth.reshape(-1, 2).mean(axis=1)
    error = pairs.std(ddof=1) / np.sqrt(len(pairs))
    assert program.value - 5.0 * error < worth.mean() < program.value + 4.0 * error


def test_a_thinning_dated_later_in_the_file_is_asked_for_now_all_the_same() -> None:
    question = replace(pines_answer().question, scenario=pines_answer().question.plan(Way(2, 2, 20)))
    again, first = question.plan(Way(2, 0, 17)), pines_answer().question.plan(Way(2, 0, 17))
    assert again == first
