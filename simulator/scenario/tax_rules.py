"""Rules for income tax. Each docstring is the rule."""

from typing import Final

from simulator.errors import Problem
from simulator.scenario.draft import Draft
from simulator.scenario.tree_rules import Rule


def rates_leave_something(draft: Draft) -> list[Problem]:
    """A rate and the state's together stay below 1: 22 % is written 0.22."""
    problems, state = [], draft.get("tax", "state_rate") or 0.0
    for key in ("ordinary_rate", "gains_rate"):
        rate = draft.get("tax", key)
        if rate is not None and rate + state >= 1.0:
            rule = f"and state_rate = {state:g} together must stay below 1"
            problems.append(draft.problem(("tax", key), rule, remedy="22 % is written 0.22."))
    return problems


def basis_belongs_to_timber_that_stands(draft: Draft) -> list[Problem]:
    """A timber basis comes with the tons that it was paid for, and only with a [stand] that is there already."""
    given = [key for key in ("timber_basis", "timber_basis_ton") if draft.get("tax", key) is not None]
    if given and not draft.written("stand"):
        rule = "is for timber that stands today, and this plan plants its trees"
        remedy = "Take it away: what planting costs is deducted by itself."
        return [draft.problem(("tax", key), rule, remedy=remedy) for key in given[:1]]
    if len(given) == 1:
        other = "timber_basis_ton" if given == ["timber_basis"] else "timber_basis"
        return [draft.problem(("tax", given[0]), f"needs {other} beside it", remedy=f"Add {other}.")]
    return []


TAX_RULES: Final[tuple[Rule, ...]] = (rates_leave_something, basis_belongs_to_timber_that_stands)
