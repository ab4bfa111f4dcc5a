"""Findings about single uses: keeping or clearing a stand, and a pasture that could be kept better."""

from collections.abc import Iterator

import numpy as np

from simulator.comparison import BetterPasture, Comparison
from simulator.result import Outcome
from workbench.words import dollars, nearly_tied, spoken_names_of


def _yearly(amount: float) -> str:
    return dollars(amount, yearly=True)


def against_keeping(comparison: Comparison) -> Iterator[str]:
    """What opening a stand yields of wood and grass, and what waiting is worth."""
    systems, names, ratio = comparison.systems, spoken_names_of(comparison.systems), comparison.land_equivalent
    if "open_later" not in systems:
        return
    yield (
        f"{names['silvopasture'].capitalize()} yields {ratio.wood:.0%} of the wood that keeping it does to the "
        f"horizon, standing trees counted, and {ratio.forage:.0%} of the forage that clearing it does."
    )
    now, later = (systems[name].measures.equal_annual_income for name in ("silvopasture", "open_later"))
    yield f"Waiting {_years_waited(comparison)} years to open it {_waiting(now, later)}."


def _waiting(now: float, later: float) -> str:
    """What waiting is worth, from the incomes as they are printed."""
    more = round(later) - round(now)
    if more == 0:
        return "makes no difference to the yearly income"
    said = f"{'brings' if more > 0 else 'costs'} {_yearly(abs(more))} an acre a year"
    return f"{said}, which is nearly a tie" if nearly_tied(now, later) else said


def opening(comparison: Comparison) -> Iterator[str]:
    """Cash of opening a stand until it is grazed, and what it is grazed by."""
    outcome = comparison.systems["silvopasture"]
    years = np.flatnonzero(outcome.states["animal_unit_months_ac"] > 0)
    if not outcome.lives or not len(years):
        return
    grazed = int(years[0])
    cash = float(outcome.cash_per_ac[: grazed + 1].sum())
    opened = float(comparison.systems["pasture"].states["animal_unit_months_ac"][-1])
    months = float(outcome.states["animal_unit_months_ac"][grazed])
    yield (
        f"When animals first graze it, in year {grazed}, the cut, cleaning up, sowing, fence and water have "
        f"{'left' if cash >= 0 else 'cost'} {_yearly(abs(cash))} an acre; it then carries {months:.1f} animal-unit "
        f"months an acre, the cleared pasture {opened:.1f}."
    )


def _years_waited(comparison: Comparison) -> int:
    stand = comparison.systems["silvopasture"].scenario.stand
    return stand.open_later_years if stand is not None else 0


def better_pasture(comparison: Comparison) -> Iterator[str]:
    """A way to use the pasture that earns clearly more than the one compared."""
    better, outcome = comparison.better_pasture, comparison.systems["pasture"]
    if better is None:
        return
    name = spoken_names_of(comparison.systems)["pasture"]
    could = "could bring more" if outcome.lives else "could be kept better"
    yield (
        f"{name[0].upper()}{name[1:]} {could}: {_how(better, outcome)} it would make "
        f"{_yearly(better.equal_annual_income)} an acre a year. A badly kept pasture flatters the trees."
    )


def _how(better: BetterPasture, outcome: Outcome) -> str:
    """What would be done otherwise than in the pasture compared."""
    now, then = (outcome.lives[-1] if outcome.lives else outcome).scenario, better.plan
    ways = []
    if then.use != now.use:
        ways.append("let to a cattle tenant" if now.use.tenure == "leased" else "let by the acre")
    if then.pasture.nitrogen_lb_ac != now.pasture.nitrogen_lb_ac or not ways:
        rate = then.pasture.nitrogen_lb_ac
        ways.append(f"with {rate:g} lb of nitrogen" if rate else "without nitrogen")
    if then.pasture.overseeded != now.pasture.overseeded:
        ways.append("without sowing into the grass")
    return " and ".join(ways)
