"""The two ledgers: every entry of the horizon, and of the cycle that is repeated; quantity times price."""

from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

import numpy as np

from simulator.accounts import Line
from simulator.enterprises.loans import loan_rows
from simulator.interest import discount_factor
from simulator.ledger import unit_prices
from simulator.measures import END_VALUE, LOGGING
from simulator.units import FloatArray
from workbench.workbook.case import Case
from workbench.workbook.notes import note_on
from workbench.workbook.page import Page
from workbench.workbook.prices import PriceCells
from workbench.workbook.quantities import QuantityCells, item_words

HEADS: Final = (
    "System", "Year", "Part", "Account", "Enterprise", "Item", "Quantity per acre", "Unit",
    "Price of a unit, + received - paid [$]", "Amount [$/ac]", "Present value [$/ac]", "Ratio", "Note",
)  # fmt: skip
WORDS: Final = (0, 2, 3, 4, 5, 7, 11, 12)
WIDTHS: Final = (15, 6, 10, 13, 12, 29, 10, 15, 13, 10, 10, 9, 32)
CASH, END, LOAN = "cash", "end value", "loan"
CYCLE, PLANTING, BEFORE = "cycle", "planting", "before"
GROSS, NETTED = "gross", "netted"
LEDGER_NOTES: Final = (
    (
        "Amount = quantity x price; + received, - paid; $ per acre of the whole field. Part: cash of the year; what"
        " is left at the end (end value); loans, which no measure counts."
    ),
    (
        "Ratio: how an entry enters benefit/cost: gross, or netted (wood sold at the mill less what bringing it "
        "there costs). Patterned grey cells are stated sums that follow no price."
    ),
)
CYCLE_NOTES: Final = (
    (
        "One cycle as it is repeated for ever. Part: cycle; before (a stand that was found, to its harvest); "
        "planting (the next planting, already in the cycle's last year, shown again for the rate of return of one "
        "cycle)."
    ),
    (
        "The last year holds the next planting less what year 0 paid, so that quantities below 0 there take back "
        "what is paid once: buying the first planting, sowing, clearing."
    ),
)


class Entry(NamedTuple):
    """One row of a ledger: quantity and where it stands, signed price and formula of it."""

    system: str
    year: int
    part: str
    line: Line
    quantity: float
    source: str
    price: float
    formula: str
    factor: float | None
    ratio: str
    note: str


class LedgerCells(NamedTuple):
    """Addresses of a ledger's columns."""

    system: str
    year: str
    part: str
    account: str
    enterprise: str
    item: str
    quantity: str
    amount: str
    present: str
    ratio: str


class Sources(NamedTuple):
    """What a ledger points to: prices, quantities, and the name of the rate's cell."""

    prices: PriceCells
    quantities: QuantityCells
    rate: str


def write_ledgers(case: Case, sources: Sources, ledger: Page, cycles: Page) -> tuple[LedgerCells, LedgerCells]:
    """Write both ledgers of one comparison.

    Parameters
    ----------
    case
        The comparison.
    sources
        What their formulas point to.
    ledger, cycles
        The sheets.

    Returns
    -------
    tuple of LedgerCells
        Of the horizon, and of the cycle.
    """
    whole = [entry for system in case.systems for entry in _of_the_horizon(case, system, sources)]
    repeated = [entry for system in case.systems for entry in _of_the_cycle(case, system, sources)]
    return (
        _write(ledger, f"Ledger: {case.title}", LEDGER_NOTES, whole, case, sources.rate),
        _write(cycles, f"Ledger of one cycle: {case.title}", CYCLE_NOTES, repeated, case, sources.rate),
    )


def _of_the_horizon(case: Case, system: str, sources: Sources) -> Iterator[Entry]:
    outcome = case.systems[system]
    flows = outcome.flows
    netted = any(line.account == LOGGING for line in flows.lines)
    for entry in _entries(case, system, sources, flows.quantity, CASH):
        part = END if entry.line.account == END_VALUE else CASH
        hauled = entry.line.account == LOGGING or (entry.line.account == "sale" and entry.line.enterprise == "wood")
        yield entry._replace(part=part, ratio=NETTED if netted and hauled else GROSS)
    for row in loan_rows(outcome.scenario, len(flows.quantity)):
        line = Line(str(row["item"]), LOAN, LOAN, "$", 1, ())
        amount = float(str(row["amount"]))
        yield Entry(system, int(str(row["year"])), LOAN, line, amount, "", 1.0, "1", None, "", "stated sum")


def _of_the_cycle(case: Case, system: str, sources: Sources) -> Iterator[Entry]:
    flows = case.systems[system].flows
    if flows.leading is not None:
        yield from _entries(case, system, sources, flows.leading, BEFORE)
        unlinked = sources._replace(quantities=sources.quantities._replace(at={}))
        yield from _entries(case, system, unlinked, flows.cycle_quantity, CYCLE)
        return
    yield from _entries(case, system, sources, flows.cycle_quantity, CYCLE)
    planting = np.zeros_like(flows.cycle_quantity)
    planting[-1] = flows.replanting
    unlinked = sources._replace(quantities=sources.quantities._replace(at={}))
    for entry in _entries(case, system, unlinked, planting, PLANTING):
        yield entry._replace(factor=None)


def _entries(case: Case, system: str, sources: Sources, quantity: FloatArray, part: str) -> Iterator[Entry]:
    """Entries of an array of quantities; one that the horizon has alike in the same year points to it."""
    outcome = case.systems[system]
    lines, whole = outcome.flows.lines, outcome.flows.quantity
    price = unit_prices(lines, outcome.prices)
    formula = {i: sources.prices.product(case.number, lines[i]) for i in np.flatnonzero(quantity.any(axis=0)).tolist()}
    note = {i: note_on(lines[i], outcome) for i in formula}
    for year, place in zip(*(found.tolist() for found in np.nonzero(quantity)), strict=True):
        amount = float(quantity[year, place])
        alike = year < len(whole) and whole[year, place] == amount
        source = sources.quantities.address(system, place, year) if alike else ""
        factor = float(discount_factor(outcome.rate, year))
        signed = float(price[place])
        yield Entry(
            system, year, part, lines[place], amount, source, signed, formula[place], factor, "", note[place]
        )  # fmt: skip


def _write(
    page: Page, title: str, notes: tuple[str, ...], entries: Sequence[Entry], case: Case, rate: str
) -> LedgerCells:
    page.widths(*WIDTHS)
    head = page.title(title, *notes, last_col=len(HEADS) - 1)
    page.row_of_heads(head, HEADS, WORDS)
    for row, entry in enumerate(entries, start=head + 1):
        _write_entry(page, row, entry, case.names[entry.system], rate)
    first, last = head + 1, head + max(len(entries), 1)
    page.sheet.autofilter(head, 0, last, len(HEADS) - 1)
    page.sheet.freeze_panes(head + 1, 2)
    page.printed(last, len(HEADS) - 1, (head, head))
    return LedgerCells(*(page.column(first, last, col) for col in (0, 1, 2, 3, 4, 5, 6, 9, 10, 11)))


def _write_entry(page: Page, row: int, entry: Entry, system: str, rate: str) -> None:
    line, stated, here = entry.line, not entry.line.prices, row + 1
    page.text(row, 0, system)
    page.number(row, 1, entry.year, "year")
    for col, text in enumerate((entry.part, line.account, line.enterprise, item_words(line)), start=2):
        page.text(row, col, text, "said" if col == 2 else "text")
    if entry.source:
        page.formula(row, 6, entry.source, entry.quantity, "stated number" if stated else "quantity")
    else:
        page.number(row, 6, entry.quantity, "stated number" if stated else "quantity")
    page.text(row, 7, line.unit, "said")
    page.formula(row, 8, entry.formula, entry.price, "stated number" if stated else "price")
    amount = entry.quantity * entry.price
    page.formula(row, 9, f"G{here}*I{here}", amount, "stated cents" if stated else "cents")
    if entry.factor is not None:
        page.formula(row, 10, f"J{here}*(1+{rate})^-B{here}", amount * entry.factor, "cents")
    page.text(row, 11, entry.ratio, "said")
    page.text(row, 12, entry.note)
