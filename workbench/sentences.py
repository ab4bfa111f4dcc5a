"""Findings of a comparison in plain sentences, most important first."""

from collections.abc import Callable, Iterator, Mapping
from typing import Final

import numpy as np

from simulator.comparison import Comparison
from simulator.land_equivalent import tree_product
from simulator.measures import annual_income
from simulator.price_changes import Switch
from simulator.result import Outcome
from simulator.units import BoolArray
from workbench.band_words import item_in_words
from workbench.row_direction import row_direction_sentence
from workbench.sale_words import bids_and_prices, wood_mix
from workbench.single_use_sentences import against_keeping, better_pasture, opening
from workbench.upkeep import upkeep
from workbench.words import NAMES, UNITS, dollars, names_of, nearly_tied, spoken_names_of

Part = Callable[[Comparison], Iterator[str]]
LOAD_TON = 26.0
LIKELY_PRICE = 2.0
"""Switch prices beyond so many times the price in force are not worth a sentence."""
WORTH_A_WORD = 1.0
"""Losses of an enterprise smaller than this [$/ac/yr] are not worth a sentence."""


def findings(comparison: Comparison) -> list[str]:
    """What the comparison says, one sentence each."""
    return [sentence for parts in _PARTS for _, part in parts for sentence in part(comparison)]


def findings_about(comparison: Comparison, theme: str) -> list[str]:
    """What the comparison says about one thing: answer, land, grass, wood, money or prices."""
    return [sentence for parts in _PARTS for about, part in parts if about == theme for sentence in part(comparison)]


def _yearly(amount: float) -> str:
    return dollars(amount, yearly=True)


def _two_uses(comparison: Comparison) -> bool:
    """Whether the plan holds trees and used grass, so that it can be set against its parts."""
    return names_of(comparison.systems)["silvopasture"] == "both together"


def _verb(name: str, income: float) -> str:
    plural = name in ("both together", "trees alone")
    if income < 0:
        return "lose least" if plural else "loses least"
    return "earn most" if plural else "earns most"


def _ranking(comparison: Comparison) -> Iterator[str]:
    names, order = spoken_names_of(comparison.systems), comparison.ranking
    income = {name: comparison.systems[name].measures.equal_annual_income for name in order}
    best = order[0]
    others = listed([f"{_yearly(income[name])} for {names[name]}" for name in order[1:]])
    tied = [names[name] for name in order if nearly_tied(income[best], income[name])]
    close = f" {listed(tied).capitalize()} are nearly tied." if len(tied) > 1 else ""
    yield (
        f"On this land and at these prices {names[best]} {_verb(names[best], income[best])}: "
        f"{_yearly(income[best])} an acre a year, against {others}.{close}"
    )


def listed(parts: list[str]) -> str:
    """Parts as a person says them one after the other: a, b and c."""
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"


def _losing_enterprise(comparison: Comparison) -> Iterator[str]:
    """Say what the plan would earn without an enterprise that only costs it money; an orchard is kept for its nuts."""
    outcome, name = comparison.systems["silvopasture"], spoken_names_of(comparison.systems)["silvopasture"]
    income = outcome.measures.equal_annual_income
    for enterprise in ("hay", "grazing", "straw"):
        without = income - _share_of_income(outcome, enterprise)
        if without > income + WORTH_A_WORD:
            they = "it they" if name == NAMES["silvopasture"] else f"{enterprise} it"
            would = f"{'make' if without >= 0 else 'lose'} {_yearly(abs(without))} an acre a year"
            instead = _yearly(abs(income)) if (income < 0) == (without < 0) else f"losing {_yearly(-income)}"
            yield (
                f"{enterprise.capitalize()} costs {name} more than it brings: without {they} would {would} instead of "
                f"{instead}{_hay_is_for(outcome, enterprise)}."
            )


def _hay_is_for(outcome: Outcome, enterprise: str) -> str:
    """Why a plan may still mow at a loss: before animals may come in among small trees, somebody has to."""
    use = outcome.scenario.use
    if enterprise != "hay" or outcome.scenario.trees is None or use.hay_years is None:
        return ""
    if use.first_grazing_year is None or use.hay_years[1] > use.first_grazing_year:
        return ""
    return " (it keeps the grass down while the trees are small and pays a part of that)"


def _share_of_income(outcome: Outcome, enterprise: str) -> float:
    """Equal annual income of one enterprise by itself [$/ac/yr]."""
    kept = np.array([line.enterprise == enterprise for line in outcome.flows.lines])
    return annual_income(outcome.flows.kept(kept), outcome.prices, outcome.rate)


def _against_sum(comparison: Comparison) -> Iterator[str]:
    if not _two_uses(comparison):
        return
    margin = {name: outcome.measures.equal_annual_margin for name, outcome in comparison.systems.items()}
    both, total = margin["silvopasture"], round(margin["plantation"]) + round(margin["pasture"])
    said = (
        f"Before tax and administration both together make {_yearly(both)} an acre a year; trees alone "
        f"{_yearly(margin['plantation'])}, grass alone {_yearly(margin['pasture'])}."
    )
    if min(margin["plantation"], margin["pasture"]) > 0:
        beaten = (
            f" The sum of the two is {_yearly(total)}; more than that is too good: look for a single use kept badly."
        )
        usual = f" The sum of the two, {_yearly(total)}, cannot be had: it would take two acres."
        said += beaten if both > total else usual
    yield said


def _land_equivalent(comparison: Comparison) -> Iterator[str]:
    ratio = comparison.land_equivalent
    if ratio.total > 0 and _two_uses(comparison):
        product = tree_product(comparison.systems)
        yield (
            f"An acre of both yields {ratio.wood:.0%} of the {product} of an acre of trees and {ratio.forage:.0%} of "
            f"the forage of an acre of grass: as much as {ratio.total:.2f} acres used singly (land equivalent ratio)."
        )


def _outlay(comparison: Comparison) -> Iterator[str]:
    outcome = comparison.systems["silvopasture"]
    if outcome.lives:
        return
    deepest, wood = outcome.measures.deepest_cash, _first(outcome.wood_ton_ac.sum(axis=1) > 0)
    if deepest >= -20 or outcome.scenario.trees is None or wood is None:
        return
    loads = outcome.wood_ton_ac[wood].sum() * outcome.scenario.land.acres / LOAD_TON
    back = outcome.measures.payback_year
    when = f"and have it back in year {back}" if back is not None else "and do not get it all back within the horizon"
    yield (
        f"You are out as much as {_yearly(-deepest)} an acre {when}; the first wood is sold in year {wood}, about "
        f"{loads:.0f} truckloads from the whole field."
    )


def _first(flag: BoolArray) -> int | None:
    places = np.flatnonzero(flag)
    return int(places[0]) if len(places) else None


def _grass(comparison: Comparison) -> Iterator[str]:
    """Cows, or animal-unit months where another's animals graze, open and under the trees."""
    both, grass = comparison.systems["silvopasture"], comparison.systems["pasture"]
    first = _first(both.states["trees_cut_per_ac"] > 0)
    last = len(both.cash_per_ac) - 1
    if first is None or both.scenario.harvest is None or first >= min(both.scenario.harvest.year, last):
        return
    own = both.scenario.use.tenure == "owned"
    what = "head of your own" if own else "animal-unit months of grazing a year"
    column, scale = ("head", 1.0) if own else ("animal_unit_months_ac", both.scenario.land.acres)
    before, after = (both.states[column][year] * scale for year in (first, first + 1))
    opened = grass.states[column][first] * scale
    if opened > 0 and before > 0:
        yield (
            f"The whole field carries {opened:.0f} {what} as open pasture, {before:.0f} under the trees in year "
            f"{first} and {after:.0f} the year after thinning."
        )


def _rows(comparison: Comparison) -> Iterator[str]:
    if comparison.row_direction is not None and _two_uses(comparison):
        said = row_direction_sentence(comparison.row_direction)
        yield from [] if said is None else [said]


def _incomes(income: Mapping[str, float], names: Mapping[str, str]) -> str:
    return ", ".join(f"{names[name]} {_yearly(amount)}" for name, amount in income.items())


def _labour(comparison: Comparison) -> Iterator[str]:
    if not comparison.systems["silvopasture"].scenario.money.pay_labour:
        return
    names, free = spoken_names_of(comparison.systems), comparison.labour_free
    best = max(free, key=lambda name: free[name])
    tail = "" if best == comparison.ranking[0] else f"; then {names[best]} would come first"
    yield f"With your own hours free, the yearly incomes are: {_incomes(free, names)}{tail}."


def _prices(comparison: Comparison) -> Iterator[str]:
    names = spoken_names_of(comparison.systems)
    for price_set in comparison.price_sets:
        if price_set.name == "prices in force":
            continue
        income = price_set.equal_annual_income
        best = max(income, key=lambda name: income[name])
        verb = _verb(names[best], income[best])
        yield f"At {price_set.name.replace(', ', ' and ')} prices: {_incomes(income, names)}; {names[best]} {verb}."


def _switches(comparison: Comparison) -> Iterator[str]:
    names = spoken_names_of(comparison.systems)
    likely = [switch for switch in comparison.switches if switch.price <= LIKELY_PRICE * switch.base]
    if not likely:
        yield f"No single price between nothing and {LIKELY_PRICE:.0f} times today's puts another system first."
    for switch in likely[:3]:
        yield _switch_sentence(switch, names)


def _switch_sentence(switch: Switch, names: Mapping[str, str]) -> str:
    unit = UNITS.get(switch.unit, switch.unit)
    side = "over" if switch.price > switch.base else "under"
    both = (switch.price, switch.base)
    alike = round(switch.price) == round(switch.base)
    price, now = (f"{amount:.2f}" if alike or amount < 10 else f"{amount:.0f}" for amount in both)
    item = item_in_words(switch.item)
    return f"{names[switch.then].capitalize()} would come first with {item} {side} ${price} {unit} (now ${now})."


_PARTS: Final[tuple[tuple[tuple[str, Part], ...], ...]] = (
    (("answer", _ranking), ("answer", upkeep), ("answer", _losing_enterprise), ("money", _against_sum)),
    (("land", _land_equivalent), ("land", against_keeping), ("grass", opening), ("answer", _outlay)),
    (("grass", _grass), ("grass", better_pasture), ("money", _labour), ("wood", wood_mix), ("grass", _rows)),
    (("prices", _prices), ("prices", _switches), ("prices", bids_and_prices)),
)
"""Findings in their order, each with what it is about."""
