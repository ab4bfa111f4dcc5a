"""What waiting is worth, in sentences."""

import math
from collections.abc import Iterator, Mapping
from typing import Final, NamedTuple

from optimize.grid import LEAST_YEARS_BEFORE_HARVEST
from optimize.waiting.answer import Answer, Choice
from optimize.waiting.growing import NO_BID, TOO_FEW_TREES
from simulator.price_changes import WOOD
from simulator.scenario.model import Scenario
from simulator.scenario.sale import DELIVERED
from workbench.optimum_words import plan_in_short
from workbench.words import dollars, uses_grass

LITTLE_PER_AC: Final = 10.0
"""Answers closer than this [$/ac] are closer than anyone can foresee; assumed for this project."""


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
    little = ", though it makes little difference" if abs(said.ahead) < LITTLE_PER_AC else ""
    more = f"it is worth {dollars(said.ahead)} an acre more than"
    if said.kind == "thin_now":
        beside = f"waiting {years(said.years)}" if said.years else "never thinning"
        return f"Thin now{little}: {more} {beside}{_grass(found, said)}."
    if said.kind == "wait":
        beside = "thinning now" if said.other is found.thinned[0] else "never thinning"
        return f"Wait {years(said.years)} to thin{little}: {more} {beside}{_grass(found, said)}."
    harvest = said.best.way.harvest if said.best.way else 0
    head = f"Clearcut now{little}: " if said.kind == "clearcut_now" else f"Do not thin as planned{little}: "
    head += f"left alone and cut in {years(harvest)}, " if said.kind == "hold" else ""
    if wait is None:
        beside = "a clearcut now" if said.kind == "hold" else "leaving it to grow"
        return f"{head}{more} {beside}; the thinning cannot be done in any of these years."
    return f"{head}{more} thinned {'now' if wait == 0 else f'in {years(wait)}'}, its best year."


def lighter(found: Answer) -> str:
    """A second sentence where the usual thinning for wood beats every answer about the plan of the file."""
    if found.kept is None or found.kept.measures.land_expectation is None:
        return ""
    more = found.kept.measures.land_expectation - verdict(found).best.present_value
    if more < LITTLE_PER_AC:
        return ""
    return (
        f" But another thinning beats all of these: thinned now as stands grown for wood usually are, with the grass "
        f"unused, it is worth {dollars(more)} an acre more still."
    )


def _grass(found: Answer, said: Verdict) -> str:
    """What the grass does to the answer: the difference that waiting makes to it."""
    if not uses_grass(found.question.scenario) or not said.other.way or not said.other.way.thinned:
        return ""
    gain = said.best.of_grass - said.other.of_grass
    if abs(gain) < 1.0:
        return ""
    if said.kind == "thin_now":
        return (
            f", and the grass pays {dollars(gain)} of that meanwhile"
            if gain > 0
            else (f", though the grass costs {dollars(-gain)} more")
        )
    return (
        f", {dollars(gain)} of it because grass that costs more than it brings comes later"
        if gain > 0
        else (f", though {dollars(-gain)} of grass is given up")
    )


def reasons(found: Answer) -> Iterator[str]:
    """Why the answer is what it is, a line each."""
    rate, stand = found.grown.rate, found.unthinned
    growth = stand.growth(0, 1)
    if math.isfinite(growth):
        ripe = "more than" if growth > rate else "less than"
        cut = "it is not ripe for a clearcut" if growth > rate else "by that measure it is ripe for a clearcut"
        yield (
            f"Left as it is, the stand with its land gains {growth:.0%} in value in the next year, {ripe} "
            f"the {rate:.1%} that money has to earn: {cut}."
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
    if verdict(found).kind == "hold":
        yield (
            "A stand left this dense is where bark beetles strike first and ice does most: the present values know "
            "nothing of it, see the likely loss, and ask a forester before leaving it alone."
        )
    yield from _grass_reason(found)
    if found.kept is not None:
        worth = found.kept.measures.land_expectation or 0.0
        plan, more = plan_in_short(found.kept.scenario), worth - verdict(found).best.present_value
        beside = (
            f"{dollars(more)} more than the best of these"
            if more > 0
            else f"{dollars(-more)} less than the best of these"
        )
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
            f"While it waits {years(wait)} unthinned, standing wood grows from {now.sum():.0f} to "
            f"{later.sum():.0f} tons an acre, and what is larger than pulpwood from {share[0]:.0%} "
            f"to {share[1]:.0%} of it."
        )


def _grass_reason(found: Answer) -> Iterator[str]:
    now = found.thinned[0]
    if not uses_grass(found.question.scenario) or now.way is None:
        return
    if now.of_grass < 0:
        yield (
            f"Under the stand thinned now, grass costs {dollars(-now.of_grass)} an acre more than it brings, sowing "
            "and fence counted: it does not pay for thinning."
        )
    else:
        yield f"Under the stand thinned now, grass is worth {dollars(now.of_grass)} an acre to the harvest."


def years(number: int) -> str:
    """A number of years in words."""
    return "a year" if number == 1 else f"{number} years"


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
        f"What follows the first thinning keeps its distance from it{moves}; later thinnings are left out where "
        f"that pays. The harvest is chosen anew for each answer, any year up to {question.last} from now, at least "
        f"{LEAST_YEARS_BEFORE_HARVEST} after a thinning."
    )
    cuts = [choice.way.harvest for choice in (*found.thinned, found.hold) if choice.way is not None]
    if question.last in cuts:
        yield (
            f"Some answer is cut in year {question.last}, the last one tried: a later harvest may be worth more. State "
            "harvest_years in [search] to try it."
        )
    yield (
        "Present value is of land and stand: what they bring to the harvest, and what follows it for ever, at steady "
        "prices, before loans and income tax. For the price to act at, what follows the harvest stays at steady prices."
    )
    yield (
        "A diameter class of the stand table passes into a better product in a single year, so that neighbouring years "
        "differ in jumps: read the table as a slope."
    )
    yield (
        "Storms, fire and beetles are not in the present values: the column of likely loss is illustrative, chances "
        "and losses assumed, no forecast."
    )
    if not any(path.item in WOOD for path in question.scenario.price_path):
        yield ("How wood prices move is invented: the plan states none. Replace it by what is known of the market.")
    if question.scenario.sale.pricing == DELIVERED:
        yield "A lot that finds a bid at the mill prices in force is taken to find one at other prices too."


def tens(amount: float) -> str:
    """An amount to the nearest ten dollars, where two of them are held side by side."""
    return f"{'-' if round(amount, -1) < 0 else ''}${abs(round(amount / 10.0) * 10):,}"
