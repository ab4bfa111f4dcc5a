"""What a property's plan proves, misses and would gain, in words."""

import math
from typing import Final

from optimize.property.conflicts import Miss, Way
from optimize.property.plan import PropertyPlan, ShadowPrice
from optimize.property.whole import Planned
from workbench.words import dollars as aloud

MISSES_TOLD: Final = 3
COUPLING_WORDS: Final = {
    "budget": "money on hand",
    "labour": "hours of work",
    "herd": "forage of the herd",
    "even_income": "even income",
    "even_wood": "even wood",
    "load": "the smallest load",
    "renewal": "land freshly cut",
    "grazing": "land grazed",
}
CAUTIONS: Final = (
    "A comparison of plans grown by a model at the prices of the files; not an appraisal and not advice.",
    "Felling, herbicide, fire and animals can hurt or kill: local codes, labels and licensed practice decide.",
    "A timber sale wants a registered forester, a loan your bank, taxes a person licensed for them.",
)
ROUNDING: Final = 1e-6
NOT_PROVEN_IN: Final = "Give [solver] a longer time_limit_s or a wider gap."


def dollars(amount: float) -> str:
    """Money as a person says it, to four figures or the dollar."""
    rounded = float(f"{amount:.4g}")
    return f"-${-rounded:,.0f}" if rounded < 0 else f"${rounded:,.0f}"


def verdict(planned: Planned) -> str:
    """What is proven of the plan, and nothing more."""
    plan = planned.plan
    if plan.ending == "infeasible":
        return "There is no plan that keeps within all limits."
    if plan.ending == "nothing found":
        stopped = "The search was stopped" if plan.interrupted else "The time was over"
        return f"{stopped} before any plan was found. {NOT_PROVEN_IN}"
    searched = f"of the {plan.considered:,} pathways grown"
    if plan.gap == 0.0:
        return f"No plan {searched} that keeps within the limits is worth more."
    proven = f"No plan {searched} is worth more than {no_less(plan.bound)}: this one is at most {share(plan.gap)} below"
    if plan.ending == "proven":
        return f"{proven}, which is as near as was asked for."
    return f"{_stopped(plan)} {proven}. {NOT_PROVEN_IN}"


def _stopped(plan: PropertyPlan) -> str:
    return "You stopped the search; this is the best plan so far." if plan.interrupted else "The time was over."


def share(part: float) -> str:
    """A share as a percentage with two figures; never rounded down to what is not proven."""
    if not math.isfinite(part) or part == 0.0:
        return "an unknown part" if part else "0 %"
    step = 10.0 ** (math.floor(math.log10(100.0 * part)) - 1)
    up = math.ceil(100.0 * part / step - ROUNDING) * step
    return f"{up:,.0f} %" if step >= 1.0 else f"{up:.2g} %"


def no_less(bound: float) -> str:
    """A bound in whole dollars, rounded up."""
    rounded = math.ceil(bound - ROUNDING)
    return f"-${-rounded:,}" if rounded < 0 else f"${rounded:,}"


def price_sentence(price: ShadowPrice) -> str:
    """What a little more room would add."""
    words = price.words[0].upper() + price.words[1:]
    verb = "add" if words.split()[1].isdigit() else "adds"
    return f"{words} {verb} {aloud(price.adds)} of present value."


def miss_words(miss: Miss) -> str:
    """One limit and by how much it is missed."""
    if miss.row.unit == "$1,000":
        return f"{miss.row.words} by {dollars(1000.0 * miss.by)}"
    digits = ",.0f" if miss.by >= 10 else ".2g"
    return f"{miss.row.words} by {miss.by:{digits}} {miss.row.unit}"


def way_words(way: Way) -> str:
    """Which couplings would have to give, by how much and when."""
    names = " and ".join(COUPLING_WORDS[family] for family in way.families)
    told = [miss_words(miss) for miss in way.misses[:MISSES_TOLD]]
    more = len(way.misses) - len(told)
    rest = f", and {more} more" if more > 0 else ""
    return f"If {names} may give, there is a plan; it misses {'; '.join(told)}{rest}."
