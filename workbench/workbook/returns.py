"""Internal rates of return: every root that the program found, found again from a guess beside it."""

from collections.abc import Iterator, Mapping
from typing import Final, NamedTuple

from simulator.finance import sign_changes
from simulator.units import FloatArray
from workbench.workbook import cash, cycle
from workbench.workbook.block import Block
from workbench.workbook.case import Case
from workbench.workbook.cycle import sums_of
from workbench.workbook.measures import Formula, Row, Sheets

NONE: Final = "none"
NO_OTHER: Final = "-"


class _Series(NamedTuple):
    """Cash whose rates of return are asked, where it stands, and the rates, highest first."""

    block: Block
    col: int
    signs: int
    flow: FloatArray
    roots: tuple[float, ...]

    def rate(self, place: int) -> Formula:
        """The rate at a place of the list; the first says when there is none."""
        if not self.roots and place == 0:
            found = f'IFERROR(IRR({self.block.column(self.col)}),"{NONE}")'
            return Formula(f'IF({self.block.turns(self.signs)}=0,"{NONE}",{found})', NONE, "percent")
        if place >= len(self.roots):
            return Formula(f'"{NO_OTHER}"', NO_OTHER, "percent")
        root = self.roots[place]
        return Formula(f'IFERROR(IRR({self.block.column(self.col)},{root:.6f}),"{NONE}")', root, "percent")


def return_rows(case: Case, sheets: Sheets) -> Iterator[Row]:
    """Rates of return of one cycle and of the horizon, and how often their cash turns sign."""
    if not any(outcome.lives for outcome in case.systems.values()):
        yield from _rates("of one cycle", "Cycles", _of_one_cycle(case, sheets))
    yield from _rates("of the horizon", "Cash flows", _of_the_horizon(case, sheets))


def _of_one_cycle(case: Case, sheets: Sheets) -> dict[str, _Series]:
    made = {}
    for system, outcome in case.systems.items():
        sums, roots = sums_of(outcome), outcome.measures.irr_cycle[::-1]
        made[system] = _Series(sheets.cycles[system].block, cycle.ALONE, cycle.SIGN, sums.cash - sums.planting, roots)
    return made


def _of_the_horizon(case: Case, sheets: Sheets) -> dict[str, _Series]:
    return {
        system: _Series(
            sheets.cash[system], cash.TOTAL, cash.SIGN, outcome.amount.sum(axis=1), outcome.measures.irr_all[::-1]
        )
        for system, outcome in case.systems.items()
    }


def _rates(what: str, where: str, series: Mapping[str, _Series]) -> Iterator[Row]:
    """Rows of the rates, highest first, and of the turns of sign."""
    most = max(1, *(len(each.roots) for each in series.values()))
    for place in range(most):
        label = f"Internal rate of return {what}" if place == 0 else "   another rate that fits the same cash"
        yield Row(label, "a year", where, {system: each.rate(place) for system, each in series.items()})
    turns = {
        system: Formula(each.block.turns(each.signs), sign_changes(each.flow), "year")
        for system, each in series.items()
    }
    yield Row("   turns of sign of that cash: above 1, several rates may fit", "count", where, turns)
