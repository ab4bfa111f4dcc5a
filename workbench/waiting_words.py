"""What waiting is worth, in sentences."""

import math
from collections.abc import Iterator, Mapping
from typing import Final, NamedTuple

from optimize.grid import LEAST_YEARS_BEFORE_HARVEST
from optimize.waiting.answer import Answer, Choice
from optimize.waiting.growing import NO_BID, TOO_FEW_TREES
from optimize.waiting.moving import ALL_WOOD
from optimize.waiting.program import Program, Range
from optimize.waiting.stages import CLEAR, HOLD, THIN
from simulator.scenario.model import Scenario
from workbench.optimum_words import plan_in_short
from workbench.words import dollars, uses_grass

LITTLE_PER_AC: Final = 10.0
"""Answers closer than this [$/ac] are closer than anyone can foresee; assumed for this project."""
ACTIONS: Final[Mapping[int, str]] = {HOLD: "leave it", THIN: "thin", CLEAR: "clearcut"}
KEYS: Final[Mapping[int, str]] = {HOLD: "leave", THIN: "thin", CLEAR: "clearcut"}
ITEMS: Final[Mapping[str, str]] = {ALL_WOOD: "all wood", "chip_and_saw": "chip-and-saw", "pole": "poles", "calf": "calves"}


class Verdict(NamedTuple):
    """What is best.

    Attributes
    ----------
    kind
        ``thin_now``, ``wait``, ``clearcut_now`` or ``hold``.
    best, other
        The best answer, and the one it is held against: thinning at its best other year.
    years
        Years of waiting that either means.
    """

    kind: str
    best: Choice
    other: Choice
    years: int

    @property
    def ahead(self) -> float:
        """How much more the best is worth than the other [$/ac]."""
        return self.best.present_value - self.other.present_value


def verdict(found: Answer) -> Verdict:
    """The best answer, and the thinning it is best held against."""
    wait = found.best_wait
    others = {"hold": found.hold, "clearcut_now": found.clearcut}
    other = max(others, key=lambda kind: others[kind].present_value)
    if wait is None:
        beside = found.clearcut if other == "hold" else found.hold
        return Verdict(other, others[other], beside, 0)
    thinned = found.thinned[wait]
    if others[other].present_value > thinned.present_value:
        return Verdict(other, others[other], thinned, wait)
    if wait == 0:
        later = [choice for choice in found.thinned[1:] if choice.way is not None]
        second = max(later, key=lambda choice: choice.present_value, default=found.hold)
        return Verdict("thin_now", thinned, second, second.way.first if second.way else 0)
    return Verdict("wait", thinned, found.thinned[0] if found.thinned[0].way else found.hold, wait)


def sentence(found: Answer) -> str:
    """The answer in a sentence, rounded as people say it."""
    said, wait = verdict(found), found.best_wait
    more = f"it is worth {dollars(said.ahead)} an acre more than"
    harvest = said.best.way.harvest if said.best.way else 0
    if said.kind == "thin_now":
        waiting = f"waiting {years(said.years)}" if said.years else "never thinning"
        text = f"Thin now: {more} {waiting}{_grass(found, said)}."
    elif said.kind == "wait":
        now = "thinning now" if said.other is found.thinned[0] else "never thinning"
        text = f"Wait {years(said.years)} to thin: {more} {now}{_grass(found, said)}."
    else:
        head = "Clearcut now" if said.kind == "clearcut_now" else "Do not thin as planned"
        head += f": left alone and cut in {years(harvest)}," if said.kind == "hold" else ":"
        if wait is None:
            beside = "a clearcut now" if said.kind == "hold" else "waiting to cut it"
            text = f"{head} {more} {beside}; the thinning cannot be done in any of these years."
        else:
            thinned = "now" if wait == 0 else f"in {years(wait)}, its best year"
            text = f"{head} {more} thinned {thinned}."
    return f"It makes little difference, but: {text}" if abs(said.ahead) < LITTLE_PER_AC else text


def _grass(found: Answer, said: Verdict) -> str:
    """What the grass does to the answer: the difference that waiting makes to it."""
    if not uses_grass(found.question.scenario) or not said.other.way or not said.other.way.thinned:
        return ""
    gain = said.best.of_grass - said.other.of_grass
    if abs(gain) < 1.0:
        return ""
    if said.kind == "thin_now":
        return f", and the grass pays {dollars(gain)} of that meanwhile" if gain > 0 else (
            f", though the grass costs {dollars(-gain)} more"
        )
    return f", {dollars(gain)} of it because grass that costs more than it brings comes later" if gain > 0 else (
        f", though {dollars(-gain)} of grass is given up"
    )


def reasons(found: Answer) -> Iterator[str]:
    """Why the answer is what it is, a line each."""
    rate, stand = found.grown.rate, found.unthinned
    growth = stand.growth(0, 1)
    if math.isfinite(growth):
        ripe = "more than" if growth > rate else "less than"
        cut = "it is not ripe for a clearcut" if growth > rate else "by that measure it is ripe for a clearcut"
        yield (
            f"Left as it is, the stand with its land gains {growth:.0%} in value in the next year, {ripe} the {rate:.1%} "
            f"that money has to earn: {cut}."
        )
    longest = found.question.longest_wait
    if longest > 1 and math.isfinite(gain := stand.growth(1, longest)) and found.thinned[0].way:
        thinned = found.thinned_now.growth(1, longest)
        used = " and its grass" if uses_grass(found.question.scenario) else ""
        if math.isfinite(thinned):
            yield (
                f"From year 1 to {longest} it gains {gain:.0%} a year unthinned; thinned now, with its land{used}, "
                f"{thinned:.0%}."
            )
    yield from _wood(found)
    yield from _grass_reason(found)
    if found.kept is not None:
        worth = found.kept.measures.land_expectation or 0.0
        plan, more = plan_in_short(found.kept.scenario), worth - verdict(found).best.present_value
        beside = f"{dollars(more)} more than the best of these" if more > 0 else f"{dollars(-more)} less than the best of these"
        yield (
            f"Thinned as trees for wood usually are, its grass unused ({plan}), it is worth {tens(worth)} an acre, "
            f"{beside}."
        )


def _wood(found: Answer) -> Iterator[str]:
    wait = found.best_wait or found.question.longest_wait
    now, later = found.unthinned.wood_ton_ac[0], found.unthinned.wood_ton_ac[wait]
    if now.sum() > 0 and later.sum() > 0:
        share = [wood[1:].sum() / wood.sum() for wood in (now, later)]
        yield (
            f"While it waits {years(wait)} unthinned, standing wood grows from {now.sum():.0f} to {later.sum():.0f} tons an "
            f"acre, and what is larger than pulpwood from {share[0]:.0%} to {share[1]:.0%} of it."
        )


def _grass_reason(found: Answer) -> Iterator[str]:
    now = found.thinned[0]
    if not uses_grass(found.question.scenario) or now.way is None:
        return
    if now.of_grass < 0:
        yield (
            f"Under the stand thinned now, grass costs {dollars(-now.of_grass)} an acre more than it brings, sowing and "
            "fence counted: it does not pay for thinning."
        )
    else:
        yield f"Under the stand thinned now, grass is worth {dollars(now.of_grass)} an acre to the harvest."


def years(number: int) -> str:
    """A number of years in words."""
    return "a year" if number == 1 else f"{number} years"


def item_words(item: str) -> str:
    """A price item as people call it."""
    return ITEMS.get(item, item.replace("_", " "))


def price_words(item: str, price: float, unit: str) -> str:
    """A price as people say it: all wood in percent of today's prices, others in dollars."""
    if item == ALL_WOOD:
        return f"{100 * price:.0f}%"
    return f"${price:,.2f}" if price < 100 else f"${price:,.0f}" if unit.startswith("$") else f"{price:,.2f}"


def reservation(found: Answer, item: str, unit: str) -> str:
    """The price to act at this year, in a sentence."""
    program = found.programs[item]
    name, here = item_words(item), program.ranges[0]
    mine = [each for each in here if each.action == THIN]
    if not mine:
        act = [each for each in here if each.action == CLEAR]
        cut = f" {_from(act[-1], item, unit)} a clearcut is right." if act and len(here) > 1 else ""
        return f"At no price of {name} is thinning right this year.{cut}"
    if len(here) == 1:
        return f"Thin this year whatever {name} brings."
    last = mine[-1]
    told = f"Thin this year {_between(last, item, unit)}"
    above = next((each for each in here if each.low == last.high), None)
    if above is not None:
        told += f"; above that {ACTIONS[above.action]}"
    return f"{told}.{_often(program, last)}{_all_wood(found, item, last)}"


def _between(each: Range, item: str, unit: str) -> str:
    """In which span of prices, in words."""
    name, of = item_words(item), " of today's prices" if item == ALL_WOOD else ""
    low, high = (price_words(item, price, unit) for price in (each.low, each.high))
    if each.low == 0.0:
        return f"while {name} brings less than {high}{of}"
    if math.isinf(each.high):
        return f"if {name} brings at least {low}{of}"
    return f"if {name} brings {low} to {high}{of}"


def _from(each: Range, item: str, unit: str) -> str:
    of = " of today's prices" if item == ALL_WOOD else ""
    return f"From {price_words(item, each.low, unit)}{of}"


def _often(program: Program, last: Range) -> str:
    """How often a price is that high, where it returns to its mean."""
    often = program.how_often(last.low)
    if not math.isfinite(often):
        return ""
    if often < 0.01:
        return " As prices are said to move, that comes less than once in a hundred years."
    return f" As prices are said to move, {round(100 * often)} years in a hundred are that good."


def _all_wood(found: Answer, item: str, last: Range) -> str:
    """What all wood at a share of its prices means for each product."""
    if item != ALL_WOOD or not 0.0 < last.low < math.inf:
        return ""
    prices, moving = found.grown.prices, [each for each in found.several.items if each in found.grown.prices]
    wood = [each for each in moving if each in {"pulpwood", "chip_and_saw", "sawtimber"}]
    parts = [f"{item_words(each)} at {dollars_and_cents(prices[each] * last.low)}" for each in wood]
    return f" That is {', '.join(parts)} a ton." if parts else ""


def dollars_and_cents(price: float) -> str:
    """A price of a ton, to the half dollar as buyers name it."""
    rounded = round(2.0 * price) / 2.0
    return f"${rounded:.0f}" if rounded == int(rounded) else f"${rounded:.2f}"


def flexible(found: Answer, item: str) -> Iterator[str]:
    """What deciding year by year is worth, under one price and under all that move."""
    program, several = found.programs[item], found.several
    yield (
        f"Free to decide anew each year as {item_words(item)} {_moves(item)}, the stand is worth {tens(program.best)} an "
        f"acre; by the best plan settled today {tens(program.fixed.value)}. Being free to wait for a price is worth "
        f"{dollars(program.option_value)}."
    )
    names = [item_words(each) for each in several.items]
    if len(names) > 1:
        todo = {HOLD: "leaves it this year", THIN: "thins this year", CLEAR: "clearcuts this year"}[several.action]
        error = max(1.0, 2.0 * several.standard_error)
        yield (
            f"With {', '.join(names[:-1])} and {names[-1]} each going their own way it is worth "
            f"{tens(several.best)} (give or take {dollars(error)}) by a rule that {todo}, learned on {several.draws:,} draws of prices and valued on "
            f"as many fresh ones."
        )


def _moves(item: str) -> str:
    return "move" if item in {"pole", "calf"} else "moves"


def tens(amount: float) -> str:
    """An amount to the nearest ten dollars, where two of them are held side by side."""
    return f"{'-' if round(amount, -1) < 0 else ''}${abs(round(amount / 10.0) * 10):,}"


def what(choice: Choice, found: Answer) -> str:
    """What follows in an answer, in short: later thinnings, harvest, use of the grass."""
    if choice.way is None:
        return CANNOT.get(choice.reason, choice.reason)
    plan = plan_of(choice, found)
    # the first thinning stands in the name of the row, the years of later ones only once there are any
    rest = plan_in_short(plan.model_copy(update={"thinning": plan.thinning[1:]}))
    return rest.removeprefix("no thinning; ")


def plan_of(choice: Choice, found: Answer) -> Scenario:
    """The plan of an answer that can be done."""
    if choice.way is None:
        raise ValueError(f"no plan: {choice.reason}")
    return found.question.plan(choice.way)


CANNOT: Final[Mapping[str, str]] = {NO_BID: "no bid is likely", TOO_FEW_TREES: "too few trees to thin"}


def conditions(found: Answer) -> Iterator[str]:
    """What is compared with what."""
    question = found.question
    if not question.stated:
        yield "The file states no thinning: the usual ones of the species are taken, the first of them now or later."
    moves = ", with the sowing and the use of the grass" if uses_grass(question.scenario) and question.use_moves else ""
    yield (
        f"What follows the first thinning keeps its distance from it{moves}; later thinnings are left out where that pays. "
        f"The harvest is chosen anew for each answer, any year up to {question.last} from now, at least "
        f"{LEAST_YEARS_BEFORE_HARVEST} after a thinning."
    )
    yield (
        "Present value is of land and stand: what they bring to the harvest, and what follows it for ever, at steady "
        "prices; for the price to act at, what follows the harvest stays at steady prices too."
    )
    yield (
        "A diameter class of the stand table passes into a better product in a single year, so that neighbouring years "
        "differ in jumps: read the table as a slope."
    )
    yield (
        "Storms, fire and beetles are not in the present values: the column of likely loss is illustrative, chances and "
        "losses assumed, no forecast."
    )
    if not question.scenario.price_path:
        yield "How prices move is invented: no [[price_path]] is stated. Replace it by what is known of the market."
