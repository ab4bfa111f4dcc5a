"""What each picture shows, in words with numbers, for those who do not see it."""

import numpy as np

from optimize.what_if import OWN
from simulator.comparison import Comparison
from simulator.result import Outcome
from simulator.units import FloatArray
from workbench.charts.cross_section import slices_of
from workbench.charts.cuts import cuts_of
from workbench.charts.style import ENTERPRISE_NAME
from workbench.enterprise_cash import net_by_enterprise
from workbench.words import dollars, names_of


def equal_income_alt(comparison: Comparison) -> str:
    """The bars of equal annual income."""
    names = names_of(comparison.systems)
    bars = [
        f"{names[name]} {dollars(comparison.systems[name].measures.equal_annual_income, yearly=True)}"
        for name in comparison.ranking
    ]
    return f"Bars of equal annual income an acre, the largest first: {', '.join(bars)}."


def cash_alt(comparison: Comparison) -> str:
    """Yearly cash of the plan, cumulative cash and lean years of all."""
    names, plan = names_of(comparison.systems), comparison.systems[OWN]
    sums = [
        f"{ENTERPRISE_NAME.get(name, name)} {dollars(float(amount.sum()), yearly=True)}"
        for name, amount in net_by_enterprise(plan).items()
    ]
    best = int(np.argmax(plan.cash_per_ac))
    lines = [f"{names[name]} {_cumulative(outcome.cash_per_ac)}" for name, outcome in comparison.systems.items()]
    return (
        f"Three panels over the years. Net cash by enterprise, {names[OWN]}, all years together, an acre: "
        f"{', '.join(sums)}; the best year is {best} with {dollars(float(plan.cash_per_ac[best]), yearly=True)}. "
        f"Cash since the start: {'; '.join(lines)}. Strips below mark the lean years of each."
    )


def _cumulative(cash: FloatArray) -> str:
    total = np.cumsum(cash)
    low, lean = int(total.argmin()), int((total < 0).sum())
    deepest = (
        f"falls to {dollars(float(total[low]), yearly=True)} in year {low}"
        if total[low] < 0
        else "never falls below nothing"
    )
    return f"{deepest}, ends at {dollars(float(total[-1]), yearly=True)}, lean in {lean} of {len(total)} years"


def light_alt(comparison: Comparison) -> str:
    """Light, forage and its use through time."""
    names = names_of(comparison.systems)
    lit = [f"{names[name]} {_light(outcome)}" for name, outcome in comparison.systems.items() if outcome.scenario.trees]
    grown = [
        f"{names[name]} {outcome.states['forage_lb_ac'][1:].mean():,.0f}"
        for name, outcome in comparison.systems.items()
    ]
    return (
        f"Lines over the years. Summer light on the grass: {'; '.join(lit)}. Mean forage grown, pounds an acre a year: "
        f"{', '.join(grown)}. Below: what is grazed, cut for hay and raked."
    )


def _light(outcome: Outcome) -> str:
    light = outcome.states["light_warm"]
    cuts = cuts_of(outcome)
    end = next((cut.year for cut in cuts if cut.final), len(light) - 1)
    darkest = int(light[: end + 1].argmin())
    opened = [
        f"a thinning in year {cut.year} lifts it from {light[cut.year]:.0%} to {light[cut.year + 1]:.0%}"
        for cut in cuts
        if not cut.final and cut.year + 1 < len(light)
    ]
    return ", ".join([f"is least in year {darkest} with {light[darkest]:.0%}", *opened])


def cross_section_alt(comparison: Comparison) -> str:
    """Every panel of the slices to scale."""
    names = names_of(comparison.systems)
    said = []
    for part in slices_of(comparison):
        outcome = comparison.systems[part.system]
        cut = outcome.flows.leading_yr
        # after the harvest of a stand the plan that follows it stands there, counted from the harvest
        shown, year = (
            (outcome.lives[-1], part.year - cut) if outcome.lives and part.year > cut else (outcome, part.year)
        )
        states = shown.states
        trees = float(states["trees_per_ac"][year])
        height = float(states["dominant_height_ft"][year])
        stand = f"{trees:.0f} trees an acre, {height:.0f} ft tall" if trees else "no trees"
        said.append(f"{names[part.system]} in year {part.year}: {stand}, {states['light_warm'][year]:.0%} of the light")
    return f"Slices of the land across the rows, to one scale in feet. {'; '.join(said)}."
