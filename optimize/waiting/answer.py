"""Thin now, wait, clearcut or leave alone: every choice at its own best, and what to do as prices move."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

import numpy as np

from optimize.waiting.growing import Grown, check_items, grown_ways
from optimize.waiting.maturity import Standing, standing
from optimize.waiting.moving import ALL_WOOD, in_one_price, may_move, moving_market, part_of_market, wood_index, wood_of
from optimize.waiting.program import Program, SeveralPrices, program_of, under_several_prices
from optimize.waiting.stages import decisions_of
from optimize.waiting.ways import Question, Way, question_of
from simulator.alternatives import kept, opens
from simulator.errors import InputError, Problem
from simulator.result import Outcome, run
from simulator.scenario.model import Scenario

GRASS = ("grazing", "hay", "straw")


class Draw(NamedTuple):
    """How many draws, and from which seed."""

    draws: int
    seed: int


class Choice(NamedTuple):
    """One answer to the question, at its own best follow-up.

    Attributes
    ----------
    way
        What is done; None where it cannot be done.
    present_value
        Land and stand [$/ac]; NaN where it cannot be done.
    of_grass
        Part of it that hay, grazing and straw bring under this stand, sowing and fence paid [$/ac].
    reason
        Why it cannot be done.
    """

    way: Way | None
    present_value: float
    of_grass: float
    reason: str = ""


@dataclass(frozen=True)
class Answer:
    """What waiting is worth.

    Attributes
    ----------
    grown
        Every way to treat the stand.
    thinned
        By years of waiting, 0 (now) to the longest.
    clearcut, hold
        Cut now; never thinned and cut in the best later year.
    kept
        The stand thinned now as a plantation usually is, its grass unused, at the harvest of a comparison; None where
        the file's plan uses no grass, or such a thinning is not done now.
    unthinned, thinned_now
        The stand as its years go by.
    programs
        What to do as one price moves, by item, all wood together first.
    several
        The same as all of them move.
    """

    grown: Grown
    thinned: tuple[Choice, ...]
    clearcut: Choice
    hold: Choice
    kept: Outcome | None
    unthinned: Standing
    thinned_now: Standing
    programs: Mapping[str, Program]
    several: SeveralPrices

    @property
    def question(self) -> Question:
        """The stand and what may be done with it."""
        return self.grown.question

    @property
    def best_wait(self) -> int | None:
        """Years of waiting at which thinning is worth most, 0 for now; None where it cannot be done in any."""
        values = [choice.present_value for choice in self.thinned]
        return None if np.isnan(values).all() else int(np.nanargmax(values))


def answer(
    scenario: Scenario,
    longest_wait: int,
    draw: Draw,
    beside: Path | None = None,
    name: str | None = None,
    item: str = ALL_WOOD,
) -> Answer:
    """Answer whether to thin now or to wait.

    Parameters
    ----------
    scenario
        A plan with a stand.
    longest_wait
        Years that thinning may wait [yr].
    draw
        Draws for several prices that move.
    beside
        Folder of the scenario file, for its own price table.
    name
        The file, for messages.
    item
        Price that has to be among those that move.

    Returns
    -------
    Answer

    Raises
    ------
    InputError
        If the question has no answer: no stand, nothing to thin, no rate, or a price that does not move.
    """
    _check_item(item, (ALL_WOOD, *may_move(scenario)))
    grown = grown_ways(question_of(scenario, longest_wait, name), beside)
    market = moving_market(scenario, grown)
    check_items(grown, market.items)
    decisions = decisions_of(grown, market.items)
    used = [place for place in range(len(market.items)) if decisions.per_price[..., place].any()]
    market, decisions = part_of_market(market, used), decisions._replace(per_price=decisions.per_price[..., used])
    items = ((ALL_WOOD,) if wood_of(market) else ()) + market.items
    _check_item(item, items)
    best = max(grown.doable(), key=grown.present_value)
    markets = {each: wood_index(market, grown, best) if each == ALL_WOOD else market.of(each) for each in items}
    return Answer(
        grown,
        tuple(_thinned(grown, wait) for wait in range(longest_wait + 1)),
        _choice(grown, [Way(0, 0, 0)]),
        _choice(grown, [way for way in grown.doable() if not way.thinned and way.harvest > 0]),
        _kept(scenario, beside),
        standing(grown, 0),
        standing(grown, 1),
        {each: program_of(in_one_price(decisions, market, grown, each), markets[each], longest_wait) for each in items},
        under_several_prices(decisions, market, draw.draws, draw.seed),
    )


def _check_item(item: str, items: tuple[str, ...]) -> None:
    if item not in items:
        remedy = f"Name one of: {', '.join(items)}." if items else "Let a price of wood move in [[price_path]]."
        raise InputError([Problem("--item", "is no price that moves what this stand brings", item, remedy)])


def _kept(scenario: Scenario, beside: Path | None) -> Outcome | None:
    """The stand kept for wood and thinned now as usual; None where that says nothing new, or is not done now."""
    plan = kept(scenario)
    if not opens(scenario) or not plan.thinning or plan.thinning[0].year > 0:
        return None
    outcome = run(plan, beside)
    cuts = [cut.year for cut in plan.thinning if cut.year <= plan.money.horizon_years]
    unsold = outcome.states["no_bid"][cuts] + outcome.states["thinning_waits"][cuts]
    return None if unsold.any() else outcome


def _thinned(grown: Grown, wait: int) -> Choice:
    all_of_them = [way for way in grown.first if way.thinned and way.first == wait]
    can = [way for way in all_of_them if not grown.reason[way]]
    if can:
        return _choice(grown, can)
    said = {grown.reason[way]: None for way in all_of_them if way.thinned == 1}
    return Choice(None, float("nan"), float("nan"), next(iter(said), "no time left before the last harvest tried"))


def _choice(grown: Grown, ways: list[Way]) -> Choice:
    best = max(ways, key=grown.present_value)
    return Choice(best, grown.present_value(best), grown.part_value(best, GRASS))
