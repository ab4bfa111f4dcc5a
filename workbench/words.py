"""Findings in plain words, with numbers rounded as a person would say them."""

from collections.abc import Iterator

import numpy as np

from simulator.comparison import Comparison, Switch
from simulator.result import Outcome
from simulator.scenario.model import Thinning
from simulator.scenario.rows import row_removal
from simulator.units import BoolArray

NAMES = {"silvopasture": "both together", "plantation": "trees alone", "pasture": "grass alone"}
LOAD_TON = 26.0
NEAR_TIE = 4.0
"""Incomes closer than this [$/ac/yr] are within what no one can foresee."""
UNITS = {"$/ton": "a ton", "$/lb": "a pound", "$/ac": "an acre", "$/h": "an hour", "$/bale": "a bale"}


def dollars(amount: float) -> str:
    """An amount as said aloud: $38, $160, $2,100, never $163.27.

    Parameters
    ----------
    amount
        Dollars.
    """
    size = abs(amount)
    step = 1 if size < 100 else 10 if size < 1000 else 100
    rounded = round(size / step) * step
    return f"-${rounded:,}" if amount < 0 and rounded else f"${rounded:,}"


def findings(comparison: Comparison) -> list[str]:
    """What the comparison says, one sentence each, most important first."""
    parts = (_ranking, _against_sum, _land_equivalent, _outlay, _grass, _labour, _prices, _switches)
    return [sentence for part in parts for sentence in part(comparison)]


def _ranking(comparison: Comparison) -> Iterator[str]:
    order = comparison.ranking
    income = {name: comparison.systems[name].measures.equal_annual_income for name in order}
    best, second, third = order
    lead = income[best] - income[second]
    close = f" {NAMES[best].capitalize()} and {NAMES[second]} are nearly tied." if lead < NEAR_TIE else ""
    yield (
        f"On this land and at these prices {NAMES[best]} earn{_s(best)} most: {dollars(income[best])} an acre a year, "
        f"against {dollars(income[second])} for {NAMES[second]} and {dollars(income[third])} for "
        f"{NAMES[third]}.{close}"
    )


def _s(name: str) -> str:
    return "s" if name == "pasture" else ""


def _against_sum(comparison: Comparison) -> Iterator[str]:
    margin = {name: outcome.measures.equal_annual_margin for name, outcome in comparison.systems.items()}
    both, total = margin["silvopasture"], margin["plantation"] + margin["pasture"]
    yield (
        f"Before tax and administration both together make {dollars(both)} an acre a year; trees alone "
        f"{dollars(margin['plantation'])}, grass alone {dollars(margin['pasture'])}. The sum of the two, "
        f"{dollars(total)}, cannot be had: it would take two acres."
    )


def _land_equivalent(comparison: Comparison) -> Iterator[str]:
    ratio = comparison.land_equivalent
    if ratio.total <= 0:
        return
    yield (
        f"An acre of both yields {ratio.wood:.0%} of the wood of an acre of trees and {ratio.forage:.0%} of the "
        f"forage of an acre of grass: as much as {ratio.total:.2f} acres used singly (land equivalent ratio)."
    )


def _outlay(comparison: Comparison) -> Iterator[str]:
    outcome = comparison.systems["silvopasture"]
    deepest, wood = outcome.measures.deepest_cash, _first(outcome.wood_ton_ac.sum(axis=1) > 0)
    if deepest >= -20 or outcome.scenario.trees is None or wood is None:
        return
    loads = outcome.wood_ton_ac[wood].sum() * outcome.scenario.land.acres / LOAD_TON
    yield (
        f"You are out as much as {dollars(-deepest)} an acre before the money comes back; the first wood is sold in "
        f"year {wood}, about {loads:.0f} truckloads from the whole field."
    )


def _first(flag: BoolArray) -> int | None:
    places = np.flatnonzero(flag)
    return int(places[0]) if len(places) else None


def _grass(comparison: Comparison) -> Iterator[str]:
    both, grass = comparison.systems["silvopasture"], comparison.systems["pasture"]
    cuts = np.flatnonzero(both.states["trees_cut_per_ac"][:-1] > 0)
    if len(cuts) == 0 or both.scenario.harvest is None or cuts[0] >= both.scenario.harvest.year:
        return
    before, after = int(cuts[0]), int(cuts[0]) + 1
    months = both.states["animal_unit_months_ac"] * both.scenario.land.acres
    opened = float(grass.states["animal_unit_months_ac"][before]) * both.scenario.land.acres
    if opened > 0 and months[before] > 0:
        yield (
            f"The whole field gives {opened:.0f} animal-unit months of grazing as open pasture, "
            f"{months[before]:.0f} under the trees in year {before} and {months[after]:.0f} the year after thinning."
        )


def _labour(comparison: Comparison) -> Iterator[str]:
    free = comparison.labour_free
    best = max(free, key=lambda name: free[name])
    said = ", ".join(f"{NAMES[name]} {dollars(amount)}" for name, amount in free.items())
    tail = "" if best == comparison.ranking[0] else f"; then {NAMES[best]} would come first"
    yield f"With your own hours free, the yearly incomes are: {said}{tail}."


def _prices(comparison: Comparison) -> Iterator[str]:
    for price_set in comparison.price_sets:
        if price_set.name == "prices in force":
            continue
        income = price_set.equal_annual_income
        best = max(income, key=lambda name: income[name])
        said = ", ".join(f"{NAMES[name]} {dollars(amount)}" for name, amount in income.items())
        yield f"At {price_set.name.replace(', ', ' and ')} prices: {said}; {NAMES[best]} lead{_s(best)}."


def _switches(comparison: Comparison) -> Iterator[str]:
    for switch in comparison.switches[:3]:
        yield _switch_sentence(switch)


def _switch_sentence(switch: Switch) -> str:
    unit = UNITS.get(switch.unit, switch.unit)
    side = "over" if switch.price > switch.base else "under"
    cents = f"{switch.price:.2f}" if switch.price < 10 else f"{switch.price:.0f}"
    now = f"{switch.base:.2f}" if switch.base < 10 else f"{switch.base:.0f}"
    item = switch.item.replace("_", " ")
    return f"{NAMES[switch.then].capitalize()} would come first with {item} {side} ${cents} {unit} (now ${now})."


def cautions() -> tuple[str, ...]:
    """What every printed result carries."""
    danger = (
        "Felling, herbicide, fire and animals can hurt or kill: local codes, the product's label and licensed "
        "practice decide what is done on the ground."
    )
    return "A comparison of plans, not an appraisal and not financial, tax or legal advice.", danger


def describe(outcome: Outcome) -> str:
    """The plan of one system in a line: trees, thinnings, harvest, use of the grass."""
    scenario = outcome.scenario
    parts = []
    if scenario.trees is not None:
        layout = scenario.trees.layout
        rows = "single rows" if layout.rows_in_set == 1 else f"sets of {layout.rows_in_set} rows"
        parts.append(f"{rows}, {layout.in_row_ft:g} ft in the row, {layout.alley_ft:g} ft between")
        parts += [f"thin {cut.year} {cut.method}{_residual(cut, layout.rows_in_set)}" for cut in scenario.thinning]
        parts.append(f"cut {scenario.harvest.year}" if scenario.harvest else "never cut")
    use = scenario.use
    if use.hay_years:
        parts.append(f"hay years {use.hay_years[0]}-{use.hay_years[1]}")
    if use.first_grazing_year is not None:
        parts.append(f"{use.animals} from year {use.first_grazing_year}, {use.system}, {use.tenure}")
    if use.hay_years or use.first_grazing_year is not None:
        parts.append(_nitrogen(scenario.pasture.nitrogen_lb_ac))
    return "; ".join(parts) or "nothing is done"


def _residual(cut: Thinning, rows_in_set: int) -> str:
    if cut.residual_trees_per_ac is not None:
        return f" to {cut.residual_trees_per_ac:g} trees/ac"
    if cut.residual_basal_area_ft2_ac is not None:
        return f" to {cut.residual_basal_area_ft2_ac:g} ft2/ac"
    return f", one in {row_removal(rows_in_set, cut.remove_every_row)}"


def _nitrogen(rate: float | dict[str, float]) -> str:
    if isinstance(rate, dict):
        return ", ".join(f"{pounds:g} lb nitrogen from year {year}" for year, pounds in rate.items())
    return f"{rate:g} lb nitrogen"
