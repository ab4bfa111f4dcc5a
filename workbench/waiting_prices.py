"""The price to act at, and what being free to wait for it is worth, in sentences."""

import math
from collections.abc import Iterator, Mapping
from typing import Final

from optimize.waiting.answer import Answer
from optimize.waiting.moving import ALL_WOOD
from optimize.waiting.program import Program, Range
from optimize.waiting.stages import CLEAR, HOLD, THIN
from simulator.price_changes import WOOD
from workbench.waiting_words import tens, verdict, what
from workbench.words import dollars

ACTIONS: Final[Mapping[int, str]] = {HOLD: "leave it", THIN: "thin", CLEAR: "clearcut"}
KEYS: Final[Mapping[int, str]] = {HOLD: "leave", THIN: "thin", CLEAR: "clearcut"}
ITEMS: Final[Mapping[str, str]] = {
    ALL_WOOD: "all wood",
    "chip_and_saw": "chip-and-saw",
    "pole": "poles",
    "calf": "calves",
} | {
    f"delivered_{each}": f"{name} at the mill"
    for each, name in (
        ("pulpwood", "pulpwood"),
        ("chip_and_saw", "chip-and-saw"),
        ("sawtimber", "sawtimber"),
        ("pole", "poles"),
    )
}


def reservation(found: Answer, item: str, unit: str) -> str:
    """The price to act at this year, in a sentence."""
    program = found.programs[item]
    name, here = item_words(item), program.ranges[0]
    mine = [each for each in here if each.action == THIN]
    if found.thinned[0].way is None:
        return f"The thinning cannot be done this year, whatever {name} brings: {what(found.thinned[0], found)}."
    if not mine:
        act = [each for each in here if each.action == CLEAR]
        cut = f" {_from(act[-1], item, unit)} a clearcut is right." if act and len(here) > 1 else ""
        return f"At no price of {'wood' if item == ALL_WOOD else name} is thinning right this year.{cut}"
    if len(here) == 1:
        return f"Thin this year whatever {name} brings."
    last = mine[-1]
    told = f"Thin this year {_between(last, item, unit)}"
    above = next((each for each in here if each.low == last.high), None)
    if above is not None:
        told += f"; above that {ACTIONS[above.action]}"
    return f"{told}.{_all_wood(found, item, last)}{_often(program, last)}"


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
    """Whether the price is there, or how often it is that high where it returns to its mean."""
    if last.low <= float(program.market.today[0]) <= last.high:
        return " That is so today."
    often = program.how_often(last.low)
    if not math.isfinite(often) or last.low <= 0.0:
        return ""
    if often < 0.01:
        return " As prices are said to move, that comes less than once in a hundred years."
    return f" As prices are said to move, {round(100 * often)} years in a hundred are that good."


def _all_wood(found: Answer, item: str, last: Range) -> str:
    """What all wood at a share of its prices means for each product."""
    if item != ALL_WOOD or not 0.0 < last.low < math.inf:
        return ""
    prices, moving = found.grown.prices, [each for each in found.several.items if each in found.grown.prices]
    wood = [each for each in moving if each in WOOD and not each.endswith("pole")]
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
        f"Free to decide anew each year as {item_words(item)} {_moves(item)}, the stand is worth {tens(program.best)} "
        f"an acre; by the best plan settled today {tens(program.fixed.value)}. Being free to wait for a price is "
        f"worth {dollars(program.option_value)}."
    )
    held = program.action_at(float(program.market.today[0])) == HOLD
    if held and verdict(found).kind == "thin_now":
        yield (
            f"At steady prices thinning now is best; where {item_words(item)} {_moves(item)}, holding back a while is "
            "worth more, since it keeps the choice open."
        )
    names = [item_words(each) for each in several.items]
    if len(names) > 1:
        todo = {HOLD: "leaves it this year", THIN: "thins this year", CLEAR: "clearcuts this year"}[several.action]
        error = max(1.0, 2.0 * several.standard_error)
        yield (
            f"With {', '.join(names[:-1])} and {names[-1]} each going their own way it is worth {tens(several.best)} "
            f"(give or take {dollars(error)}) by a rule that {todo}, learned on {several.draws:,} draws of prices and "
            "valued on as many fresh ones."
        )


def _moves(item: str) -> str:
    return "move" if item in {"pole", "calf"} else "moves"


def item_words(item: str) -> str:
    """A price item as people call it."""
    return ITEMS.get(item, item.replace("_", " "))


def price_words(item: str, price: float, unit: str) -> str:
    """A price as people say it: all wood in percent of today's prices, others in dollars."""
    if item == ALL_WOOD:
        return f"{100 * price:.0f}%"
    return f"${price:,.2f}" if price < 100 else f"${price:,.0f}" if unit.startswith("$") else f"{price:,.2f}"
