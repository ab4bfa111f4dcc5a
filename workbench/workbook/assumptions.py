"""The assumptions: what may be changed here, and what was fixed when the plans were grown."""

from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

from simulator.result import Outcome
from simulator.scenario.land import Money
from workbench.words import describe
from workbench.workbook.case import Case
from workbench.workbook.page import Page
from workbench.workbook.prices import WAGE, PriceCells
from workbench.workbook.text import unique

HEADS: Final = ("Assumption", "Value", "Unit", "Cell name", "Where it comes from", "What a change does")
WIDTHS: Final = (32, 30, 14, 18, 40, 48)
NOTES: Final = (
    (
        "Yellow cells may be changed: every measure follows. Patterned grey cells were fixed when trees and grass "
        "were grown: to change them, change the scenario file and run the program anew."
    ),
)
FILE: Final = "scenario file"
FIXED: Final = "fixed: run the program anew"
_RATE: Final = "discounts every amount anew"
_WHOLE: Final = "scales whole-field figures; sales stay as they were"


class Named(NamedTuple):
    """Names of the cells that a comparison reads: its real discount rate, and its acres."""

    rate: str
    acres: str


def write_assumptions(cases: Sequence[Case], prices: PriceCells, page: Page) -> list[Named]:
    """Write the sheet of assumptions.

    Parameters
    ----------
    cases
        Comparisons; those of one rate, or of one size, share a cell.
    prices
        Price cells, for the wage.
    page
        The sheet.

    Returns
    -------
    list of Named
        In the order of the comparisons.
    """
    page.widths(*WIDTHS)
    head = page.title("Assumptions", *NOTES, last_col=len(HEADS) - 1)
    page.row_of_heads(head, HEADS, range(len(HEADS)))
    row = head + 1
    rates, row = _rates(cases, page, row)
    acres, row = _acres(cases, page, row)
    for case in cases:
        if len(cases) > 1:
            page.text(row, 0, case.title, "section")
            row += 1
        for fact in _facts(case):
            _write_fact(page, row, fact)
            row += 1
        row = _wage(page, row, prices.names[case.number, WAGE], case.plan)
        for system, outcome in case.systems.items():
            page.text(row, 0, f"Plan: {case.names[system]}")
            page.paragraph(row, describe(outcome), (1, len(HEADS) - 1))
            row += 1
    page.sheet.freeze_panes(head + 1, 1)
    page.printed(row - 1, len(HEADS) - 1, (head, head))
    return [Named(rates[case.number], acres[case.number]) for case in cases]


def _named(cases: Sequence[Case], stem: str, key: dict[int, object]) -> dict[object, tuple[str, list[Case]]]:
    """A cell name for each distinct value, with the comparisons that have it."""
    alike: dict[object, list[Case]] = {}
    for case in cases:
        alike.setdefault(key[case.number], []).append(case)
    names = unique([stem for _ in alike], joint="_")
    return dict(zip(alike, zip(names, alike.values(), strict=True), strict=True))


def _whose(cases: Sequence[Case], mine: Sequence[Case]) -> str:
    return "" if len(mine) == len(cases) else f" ({', '.join(case.title for case in mine)})"


def _rates(cases: Sequence[Case], page: Page, row: int) -> tuple[dict[int, str], int]:
    """Write each distinct discount rate; a nominal one with the inflation that is taken out of it."""
    money = {case.number: case.plan.scenario.money for case in cases}
    key: dict[int, object] = {n: (m.rate_basis, m.discount_rate, m.inflation) for n, m in money.items()}
    names: dict[int, str] = {}
    for name, mine in _named(cases, "discount_rate", key).values():
        mine_money, whose = money[mine[0].number], _whose(cases, mine)
        if mine_money.rate_basis == "real":
            _input(page, row, f"Discount rate, real{whose}", mine_money.discount_rate, name)
        else:
            row = _nominal(page, row, mine_money, name, whose)
            page.text(row, 0, f"Discount rate, real{whose}")
            formula = f"(1+nominal_{name})/(1+inflation_{name})-1"
            page.formula(row, 1, formula, mine[0].plan.rate, "rate")
            _tail(page, row, "share a year", name, "nominal rate and inflation", _RATE)
        row += 1
        names |= {case.number: name for case in mine}
    return names, row


def _nominal(page: Page, row: int, money: Money, name: str, whose: str) -> int:
    _input(page, row, f"Discount rate, nominal{whose}", money.discount_rate, f"nominal_{name}")
    _input(page, row + 1, f"Inflation{whose}", money.inflation, f"inflation_{name}")
    return row + 2


def _input(page: Page, row: int, label: str, value: float, name: str) -> None:
    page.text(row, 0, label)
    page.number(row, 1, value, "input percent")
    _tail(page, row, "share a year", name, f"{FILE}, [money]", _RATE)


def _tail(page: Page, row: int, unit: str, name: str, source: str, effect: str) -> None:
    for col, text in enumerate((unit, name, source, effect), start=2):
        page.text(row, col, text, "said" if col == 2 else "text")
    if name:
        page.define(name, row, 1)


def _acres(cases: Sequence[Case], page: Page, row: int) -> tuple[dict[int, str], int]:
    key: dict[int, object] = {case.number: case.plan.scenario.land.acres for case in cases}
    names: dict[int, str] = {}
    for name, mine in _named(cases, "acres", key).values():
        page.text(row, 0, f"Field{_whose(cases, mine)}")
        page.number(row, 1, mine[0].plan.scenario.land.acres, "input number")
        _tail(page, row, "ac", name, f"{FILE}, [land]", _WHOLE)
        row += 1
        names |= {case.number: name for case in mine}
    return names, row


def _wage(page: Page, row: int, name: str, outcome: Outcome) -> int:
    page.text(row, 0, "Wage of the owner's hours")
    page.formula(row, 1, name, outcome.prices[WAGE], "price")
    _tail(page, row, "$/h", "", "sheet Prices", f"change it there: {name}")
    return row + 1


class _Fact(NamedTuple):
    label: str
    value: float | str
    unit: str
    source: str


def _facts(case: Case) -> Iterator[_Fact]:
    """What was fixed when the plans were grown."""
    outcome = case.plan
    land, money = outcome.scenario.land, outcome.scenario.money
    yield _Fact("Years simulated (horizon)", money.horizon_years, "yr", f"{FILE}, [money]")
    yield _Fact("Price table", outcome.price_table.title, "", f"{FILE}, [money] price_table = {money.price_table}")
    yield _Fact("Dollars of the year", outcome.price_table.currency_year, "", "price table; real, without inflation")
    yield _Fact("What is left at the end is valued", "yes" if money.value_at_end else "no", "", f"{FILE}, [money]")
    yield _Fact("The owner's hours are charged", "yes" if money.pay_labour else "no", "", f"{FILE}, [money]")
    yield _Fact("Timber is sold", money.timber_sale, "", f"{FILE}, [money]")
    yield _Fact("Timber is priced", outcome.scenario.sale.pricing, "", f"{FILE}, [sale]")
    yield _Fact("Latitude", land.latitude_deg, "degrees north", f"{FILE}, [land]")
    yield _Fact("Site index, loblolly at 25 years", land.site_index_ft, "ft", f"{FILE}, [land]")
    yield _Fact("Former use of the land", land.former_use, "", f"{FILE}, [land]")
    yield _Fact("Soil", land.soil or "not stated", "", f"{FILE}, [land]; only words")
    trees = outcome.scenario.trees
    if trees is not None:
        yield _Fact("Trees", trees.species, "", f"{FILE}, [trees]")
        yield _Fact("Planted trees that live", trees.survival, "share", f"{FILE}, [trees]")
    yield _Fact("Grass", outcome.scenario.pasture.grass, "", f"{FILE}, [pasture]")


def _write_fact(page: Page, row: int, fact: _Fact) -> None:
    page.text(row, 0, fact.label)
    if isinstance(fact.value, str):
        page.text(row, 1, fact.value, "stated text")
    else:
        page.number(row, 1, fact.value, "stated fact")
    _tail(page, row, fact.unit, "", fact.source, FIXED)
