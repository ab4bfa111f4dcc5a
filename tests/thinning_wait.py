"""The packaged stand asked whether to thin now or to wait, for whichever test needs it."""

from dataclasses import replace
from functools import cache

from optimize.decisions import Decisions
from optimize.waiting.answer import Answer, Draw, answer
from optimize.waiting.growing import Grown, _bare_land
from optimize.waiting.moving import in_one_price, moving_market
from optimize.waiting.stages import decisions_of
from plans import changed
from simulator.scenario.model import Scenario
from simulator.scenario.trees import Thinning
from standing import pines

WAIT = 3


@cache
def pines_answer() -> Answer:
    """The pines opened for grass, now or within three years."""
    return answer(pines(), WAIT, Draw(300, 1))


@cache
def pines_for_wood() -> Scenario:
    """The pines thinned as a plantation usually is, their grass unused."""
    use = pines().use.model_copy(update={"first_grazing_year": None, "animals": "none"})
    cuts = (
        Thinning(year=0, method="rows then below", residual_trees_per_ac=260),
        Thinning(year=6, method="from below", residual_trees_per_ac=140),
    )
    plan = pines().model_copy(update={"thinning": cuts, "use": use, "treatment": ()})
    return changed(plan, "pasture", sown_year=0)


@cache
def wood_answer() -> Answer:
    """The same question for the pines kept for wood."""
    return answer(pines_for_wood(), WAIT, Draw(300, 1))


def at_rate(grown: Grown, rate: float) -> Grown:
    """The same ways at another real rate: trees do not grow by it, the land after them is worth another sum."""
    return replace(grown, rate=rate, bare_land=_bare_land(grown.question, grown.prices, rate, None))


def of_one_price(found: Answer, item: str) -> Decisions:
    """The yearly decisions of an answer with one price that moves."""
    market = moving_market(found.question.scenario, found.grown)
    return in_one_price(decisions_of(found.grown, market.items), market, found.grown, item)
