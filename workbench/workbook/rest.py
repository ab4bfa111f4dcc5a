"""Formulas of what is left of an orchard at the horizon, laid over the quantities that follow the rate."""

from workbench.workbook.case import Case
from workbench.workbook.ledger import BEFORE, CYCLE, LedgerCells
from workbench.workbook.orchard import Rest, rest_of
from workbench.workbook.quantities import QuantityCells, item_words


def follow_the_rate(case: Case, quantities: QuantityCells, cycles: LedgerCells, rate: str) -> None:
    """Write a formula in place of each quantity that is the worth of an orchard's later years.

    Parameters
    ----------
    case
        The comparison.
    quantities
        Where the quantities of the horizon stand.
    cycles
        Columns of the ledger of the cycles, which holds the later years.
    rate
        Name of the cell of the discount rate.
    """
    for system, outcome in case.systems.items():
        for place, rest in rest_of(outcome).items():
            row, col = quantities.at[system, place, case.horizon]
            items = [item_words(outcome.flows.lines[source]) for source in rest.sources]
            formula = "+".join(_later_years(case.names[system], item, rest, cycles, rate) for item in items)
            waiting = f"{rest.quantity * (1.0 + outcome.rate) ** rest.wait!r}*(1+{rate})^-{rest.wait}"
            quantities.page.formula(row, col, formula or waiting, rest.quantity, "quantity")


def _later_years(system: str, item: str, rest: Rest, cycles: LedgerCells, rate: str) -> str:
    part = BEFORE if rest.found else CYCLE
    mine = f'({cycles.system}="{system}")*({cycles.part}="{part}")*({cycles.item}="{item}")'
    years = f"{cycles.year}-{rest.row}"
    return f"SUMPRODUCT({mine}*({cycles.year}>{rest.row})*{cycles.quantity}*(1+{rate})^-({years}))"
