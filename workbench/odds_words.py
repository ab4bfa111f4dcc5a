"""Odds as people say them, and what draws of hazards say in sentences."""

from collections.abc import Iterator, Mapping
from typing import Final

from optimize.risk.found import Odds
from optimize.risk.summary import TENTHS
from simulator.measures import real_discount_rate
from simulator.parameters.price_movements import load_movements
from workbench.words import name_of, spoken

ROUND_TENTHS: Final = (0.145, 0.855)
"""Between these odds are said in tenths, outside in hundredths."""
LEAST_SAID: Final = 0.005
PLURAL: Final = ("both together", "trees alone")
FEW_DRAWS: Final = 200
ILLUSTRATIVE: Final = (
    "Illustrative, no forecast: how often and how hard anything strikes is mostly assumed, and no record of your land "
    "is in it."
)


def in_words(share: float) -> str:
    """A share of the draws as odds: 7 of 10, 3 of 100, none.

    Parameters
    ----------
    share
        0 to 1 [1].
    """
    if share in {0.0, 1.0}:
        return "all" if share else "none"
    if ROUND_TENTHS[0] <= share < ROUND_TENTHS[1]:
        return f"{round(10 * share)} of 10"
    if share < LEAST_SAID:
        return "fewer than 1 of 100"
    return f"{round(100 * share)} of 100" if share <= 1.0 - LEAST_SAID else "more than 99 of 100"


def draws_in_words(share: float) -> str:
    """The same with the draws named: 7 of 10 draws, no draw."""
    return "no draw" if share <= 0.0 else f"{in_words(share)} draws"


def odds_names(odds: Odds) -> dict[str, str]:
    """Names of the systems drawn."""
    return {system: name_of(system, drawn.plan) for system, drawn in odds.systems.items()}


def sentence(odds: Odds) -> str:
    """What the draws say first."""
    names = {system: spoken(name) for system, name in odds_names(odds).items()}
    leads = sorted(odds.leads.items(), key=lambda pair: -pair[1])
    first, share = leads[0]
    said = f"{_verb(names[first], 'earn')} most in {draws_in_words(share)}"
    others = [f"{names[name]} in {in_words(other)}" for name, other in leads[1:] if other > 0]
    said += "".join(f", {other}" for other in others)
    return f"{said[0].upper()}{said[1:]}{_against(odds, names)}."


def _against(odds: Odds, names: Mapping[str, str]) -> str:
    """In how many draws the file's plan beats each of the others."""
    own, *others = odds.systems
    said = [f"{names[other]} in {in_words(odds.beats(own, other))}" for other in others]
    return f"; {_verb(names[own], 'beat')} {_listed(said)}"


def _listed(parts: list[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"


def _verb(name: str, verb: str) -> str:
    return f"{name} {verb}" if name in PLURAL else f"{name} {verb}s"


def notes(odds: Odds) -> Iterator[str]:
    """What a careful reader must know of the draws."""
    yield ILLUSTRATIVE
    if odds.draws < FEW_DRAWS:
        yield f"Only {odds.draws} draws: odds may be off by a tenth either way. Draw more with --draws."
    years = odds.scenario.money.horizon_years
    if real_discount_rate(odds.scenario.money) > 0:
        later = "from there on, what the plan earns with losses as expected"
        yield f"A draw covers {years} years; the income counts those years as drawn and, {later}."
    else:
        yield f"A draw covers {years} years; at a rate of 0 the income is their mean, with what is left at their end."
    yield (
        "Where more than half the trees go in a year the rest is felled and sold, and the land planted again at once. "
        "Planting help is not paid a second time, and wood that was spared sells as if no storm had flooded the market."
    )
    yield (
        "Losses as expected: every year brings its chance times the loss. The mean of the draws also counts stands "
        "lost whole and begun again, and years too bad for a whole animal or a truckload, so the two differ."
    )
    if odds.asked.prices:
        yield (
            "Prices are drawn too, the same for all; from the horizon on they are those in force. Whether a sale finds "
            "a bid is not asked anew at drawn prices."
        )
        yield _what_moves(odds)


def _what_moves(odds: Odds) -> str:
    """Which prices are drawn, and that the others make a use look steadier than it is."""
    stated = [path.item for path in odds.scenario.price_path]
    items = [item.replace("_", " ") for item in stated or load_movements()]
    told = _listed(items)
    how = "as the file says" if stated else "by invented defaults"
    return (
        f"Drawn {how}: {told}. Every other price stays as it is, a rent by the acre too unless it is named, so that "
        "what earns by those looks steadier than it is."
    )


def costliest(odds: Odds) -> str | None:
    """Hazard that by itself takes most from the file's plan on average; None where none takes anything."""
    own = next(iter(odds.systems))
    costs = {kind: by_system[own].mean for kind, by_system in odds.alone.items()}
    worst = max(costs, key=lambda kind: costs[kind], default=None)
    return worst if worst is not None and costs[worst] > 0 else None


def tenths_in_words() -> str:
    """How wide the range shown is."""
    return f"{round(10 * (TENTHS[2] - TENTHS[0]))} of 10 draws lie within"
