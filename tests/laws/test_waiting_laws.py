"""Laws of waiting: rates, prices and spreads push the answer the way they must."""

from itertools import pairwise

import numpy as np
import pytest

from optimize.decisions import best_fixed_plan
from optimize.prices.market import Market, log_level, mean_prices
from optimize.waiting.answer import Answer
from optimize.waiting.moving import ALL_WOOD
from optimize.waiting.program import program_of
from simulator.put_off import put_off
from standing import pines
from thinning_wait import at_rate, of_one_price, pines_answer, wood_answer

ANSWERS = pytest.mark.parametrize("ask", [pines_answer, wood_answer], ids=["for grass", "for wood"])
RATES = (0.03, 0.05, 0.08)


def index(spread: float, keep: float = 0.75) -> Market:
    """All wood, returning to the prices in force."""
    constant = (1.0 - keep) * log_level(1.0, keep, spread)
    return Market((ALL_WOOD,), np.ones(1), np.array([constant]), np.array([keep]), np.array([spread]), np.eye(1))


@ANSWERS
def test_a_higher_rate_never_lengthens_the_wait_nor_raises_the_worth(ask: "type[Answer]") -> None:
    """A law of this family of stands, not of every stand."""
    waits, worth = [], []
    for rate in RATES:
        grown = at_rate(ask().grown, rate)
        best = max((way for way in grown.doable() if way.thinned), key=grown.present_value)
        waits.append(best.first)
        worth.append(grown.present_value(best))
    assert waits == sorted(waits, reverse=True)
    assert worth == sorted(worth, reverse=True)


@ANSWERS
def test_being_free_to_wait_is_worth_at_least_the_best_plan_settled_today(ask: "type[Answer]") -> None:
    for program in ask().programs.values():
        # the grid of prices ends somewhere, which costs less than a cent
        assert program.value >= program.fixed.value - 0.01
        assert program.best == max(program.value, program.fixed.value)
        assert program.option_value >= 0.0


@ANSWERS
def test_more_spread_is_worth_more_and_none_is_worth_the_settled_plan(ask: "type[Answer]") -> None:
    decisions, values = of_one_price(ask(), ALL_WOOD), []
    for spread in (0.0, 0.05, 0.1, 0.2):
        market = index(spread)
        values.append(program_of(decisions, market, 1).value)
        if spread == 0.0:
            settled = best_fixed_plan(decisions, mean_prices(market, decisions.stages)).value
            assert values[0] == pytest.approx(settled, abs=0.005)
    assert values == sorted(values)


@ANSWERS
def test_prices_to_act_at_cover_every_price_once(ask: "type[Answer]") -> None:
    for program in ask().programs.values():
        for ranges in program.ranges:
            assert ranges[0].low == 0.0
            assert ranges[-1].high == np.inf
            assert all(one.high == other.low for one, other in pairwise(ranges))
            assert all(one.action != other.action for one, other in pairwise(ranges))
            assert all(one.low < one.high for one in ranges)


@ANSWERS
def test_dearer_wood_is_never_worth_less(ask: "type[Answer]") -> None:
    decisions = of_one_price(ask(), ALL_WOOD)
    values = [program_of(decisions, index(0.1)._replace(today=np.array([today])), 1).value for today in (0.7, 1.0, 1.4)]
    assert values == sorted(values)


def test_waiting_gives_up_more_grass_the_longer_it_is() -> None:
    found = pines_answer()
    until, forage = found.question.until_grass, []
    ways = [choice.way for choice in found.thinned]
    for wait, way in enumerate(ways):
        assert way is not None
        assert ways[0] is not None
        rows = slice(1, wait + until)
        now, later = (found.grown.states[each]["forage_lb_ac"][rows].sum() for each in (ways[0], way))
        forage.append(now - later)
    assert forage[0] == 0.0
    assert forage == sorted(forage)


def test_the_share_of_larger_wood_grows_while_the_stand_waits() -> None:
    wood = pines_answer().unthinned.wood_ton_ac
    assert (np.diff(wood.sum(axis=1)) > 0.0).all()
    assert (np.diff(wood[:, 1:].sum(axis=1)) > 0.0).all()


@pytest.mark.parametrize("by", [1, 4])
def test_a_plan_put_off_and_brought_back_is_the_same_plan(by: int) -> None:
    assert put_off(put_off(pines(), by), -by) == pines()


def test_what_begins_before_the_first_thinning_stays_where_it_is() -> None:
    later = put_off(pines(), 3, since=5)
    assert [cut.year for cut in later.thinning] == [0, 8]
    assert later.use == pines().use
    assert later.treatment == pines().treatment
    assert later.harvest is not None
    assert pines().harvest is not None
    assert later.harvest.year == pines().harvest.year + 3
