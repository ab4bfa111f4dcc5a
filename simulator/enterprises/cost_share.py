"""Help with a cost, and what is paid back when the plan does not keep what was helped."""

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from simulator.accounts import Line
from simulator.enterprises.extra import Facts, Ledger
from simulator.scenario.owner import CostShare
from simulator.scenario.owner_rules import COST_GROUPS
from simulator.units import BoolArray, FloatArray

NOT_HELPED = ("end value", "labour", "overhead", "help")
REPAID = "cost_share_repaid"


class _Column(NamedTuple):
    """One line of help: its quantity by year (rows,), and what each replanting brings."""

    line: Line
    quantity: FloatArray
    replanting: float


def with_cost_share(ledger: Ledger, facts: Facts, prices: Mapping[str, float]) -> Ledger:
    """Add the help that a plan gets, in the year of the cost, and what it pays back.

    Parameters
    ----------
    ledger
        With every cost in it.
    facts
        The plan's years.
    prices
        Value of every price item, for caps in dollars.

    Returns
    -------
    Ledger
        Help moves with the price of what it helps; where a cap binds it is a sum of dollars. All of it is
        repaid in the year in which the contract is broken.
    """
    grown = ledger
    for number, help_ in enumerate(facts.scenario.cost_share, start=1):
        columns = _columns(grown, facts, help_, number, prices)
        paid = np.array([column.quantity for column in columns]).sum(axis=0)
        for column in columns:
            repaid = _repaid(column.quantity, paid, facts, help_)
            key = column.line.key.replace("cost_share", REPAID, 1)
            ledger = ledger.joined(column.line, column.quantity, column.replanting)
            ledger = ledger.joined(column.line._replace(key=key, sign=-1), repaid)
    return ledger


def _columns(ledger: Ledger, facts: Facts, help_: CostShare, number: int, prices: Mapping[str, float]) -> list[_Column]:
    """Lines of help for one offer: shares of quantities, or dollars where the cap binds."""
    wanted = COST_GROUPS.get(help_.line, (help_.line,))
    places = [i for i, line in enumerate(ledger.lines) if _is_helped(line, wanted)]
    shared = help_.share * _counted(ledger, facts, help_)[:, places]
    again = help_.share * ledger.replanting[places] * (help_.first_year == 0)
    lines = [ledger.lines[i] for i in places]
    price = np.array([np.prod([prices[item] for item in line.prices]) for line in lines])
    dollars, cap = shared @ price, np.inf if help_.cap_per_ac is None else help_.cap_per_ac
    paid = _capped(dollars, facts.replanted, cap)
    if np.allclose(paid, dollars, rtol=0.0, atol=1e-9):
        return [
            _Column(line._replace(key=f"cost_share_{number}_{line.key}", enterprise="help", account="help", sign=1), *q)
            for line, *q in zip(lines, shared.T, again, strict=True)
        ]
    line = Line(f"cost_share_{number}", "help", "help", "$", 1, ())
    return [_Column(line, paid, float(min(again @ price, cap)))]


def _is_helped(line: Line, wanted: tuple[str, ...]) -> bool:
    return line.sign < 0 and line.account not in NOT_HELPED and any(item in wanted for item in line.prices)


def _counted(ledger: Ledger, facts: Facts, help_: CostShare) -> FloatArray:
    """Quantities whose year of the cycle counts; what replants in the row of a harvest is of year 0."""
    next_cycle = facts.replanted[:, None] * ledger.replanting
    inside = (facts.age >= help_.first_year) & (facts.age <= help_.last_year)
    return np.asarray((ledger.quantity - next_cycle) * inside[:, None] + next_cycle * (help_.first_year == 0))


def _cycles(replanted: BoolArray) -> list[tuple[int, int]]:
    """First and last row of the help of each cycle: it begins in the row in which it is planted."""
    starts = [0, *np.flatnonzero(replanted)]
    return list(zip(starts, [*(start - 1 for start in starts[1:]), len(replanted) - 1], strict=True))


def _capped(dollars: FloatArray, replanted: BoolArray, cap: float) -> FloatArray:
    """Hold the help of each cycle at its cap, the earliest first.

    Parameters
    ----------
    dollars
        Help that is asked by year [$/ac], (rows,).
    replanted
        Rows in which the next cycle is planted, (rows,).
    cap
        Most in a cycle [$/ac]; infinite for none.

    Returns
    -------
    FloatArray
        Help paid by year [$/ac], (rows,).

    References
    ----------
    Bookkeeping of this project, no source.
    """
    paid = np.zeros_like(dollars)
    for first, last in _cycles(replanted):
        held = np.minimum(np.cumsum(dollars[first : last + 1]), cap)
        paid[first : last + 1] = np.diff(held, prepend=0.0)
    return paid


def _repaid(part: FloatArray, paid: FloatArray, facts: Facts, help_: CostShare) -> FloatArray:
    """What of one line goes back, in the row in which the contract of a cycle is broken, (rows,)."""
    back = np.zeros_like(part)
    for first, last in _cycles(facts.replanted):
        got = np.flatnonzero(paid[first : last + 1] > 0)
        if not len(got):
            continue
        start = first + int(got[0])
        broken = _broken_in(start, facts, help_)
        if broken is not None:
            back[broken] += part[first : min(last, broken) + 1].sum()
    return back


def _broken_in(start: int, facts: Facts, help_: CostShare) -> int | None:
    """Row in which what was helped in row ``start`` is given up before its time, if it is."""
    rows, harvest = len(facts.age), facts.scenario.harvest
    if help_.practice == "trees":
        if harvest is None or facts.scenario.trees is None:
            return None
        cuts = np.flatnonzero((facts.age == harvest.year) & (np.arange(rows) > start))
        return int(cuts[0]) if len(cuts) and cuts[0] < start + help_.life_years else None
    kept = facts.grazed if help_.practice == "fence" else facts.grazed | facts.mown
    if facts.scenario.stand is not None and start + help_.life_years > rows:
        # the harvest of a stand ends every use but that of a pasture that follows it
        return None if facts.scenario.stand.after_harvest == "pasture" else rows - 1
    end = min(start + help_.life_years, rows)
    used = np.flatnonzero(kept[:end])
    last = max(int(used[-1]) if len(used) else 0, start)
    # young trees of the next cycle interrupt a use that ran to the harvest; they do not end it
    return None if last + 1 >= end or facts.replanted[last] else last + 1
