"""The land equivalent ratio as formulas: wood, or nuts, and forage of the plan against the single uses."""

from collections.abc import Iterator
from typing import Final

from simulator.accounts import WOOD_PRODUCTS
from simulator.land_equivalent import tree_product
from workbench.workbook import cycle
from workbench.workbook.case import Case
from workbench.workbook.ledger import CYCLE
from workbench.workbook.measures import Formula, Row, Sheets

BOTH, TREES, GRASS = "silvopasture", "plantation", "pasture"
SINGLE: Final = "1"


def land_rows(case: Case, sheets: Sheets) -> Iterator[Row]:
    """Acres of single uses that an acre of the plan replaces, and the two parts of it."""
    product, ratio = tree_product(case.systems), case.comparison.land_equivalent
    trees = _over(_trees(case, sheets, BOTH, product), _trees(case, sheets, TREES, product))
    forage = _over(_forage(case, sheets, BOTH), _forage(case, sheets, GRASS))
    made = (
        (f"   {product}, against trees alone", trees, ratio.wood),
        ("   forage grown, against grass alone", forage, ratio.forage),
    )
    whole = Formula(f"{trees}+{forage}", ratio.total, "ratio")
    singles = {system: Formula(SINGLE, 1.0, "ratio") for system in (TREES, GRASS)}
    yield Row("Land equivalent ratio", "acres", "Years, Cycles", {BOTH: whole, **singles})
    for label, formula, value in made:
        yield Row(label, "ratio", "Years, Cycles", {BOTH: Formula(formula, value, "ratio")})


def _over(part: str, whole: str) -> str:
    return f"IF({whole}>0,({part})/({whole}),0)"


def _trees(case: Case, sheets: Sheets, system: str, product: str) -> str:
    """Mean yearly yield of the trees of a system."""
    outcome, ledger, name = case.systems[system], sheets.cycle_ledger, case.names[system]
    if outcome.lives and product == "wood":
        return _wood_of_a_stand(case, sheets, system)
    if outcome.lives:
        whole = sheets.ledger
        mine = f'{whole.system},"{name}",{whole.account},"sale",{whole.enterprise},"{product}"'
        return f"SUMIFS({whole.quantity},{mine})/{case.horizon}"
    mine = f'{ledger.system},"{name}",{ledger.part},"{CYCLE}",{ledger.account},"sale",{ledger.enterprise},"{product}"'
    return f"SUMIFS({ledger.quantity},{mine})/{sheets.cycles[system].length}"


def _wood_of_a_stand(case: Case, sheets: Sheets, system: str) -> str:
    """Wood sold to the horizon and what stands there, a year: stands of one age are cut in unlike years."""
    block, col = sheets.years[system], sheets.years.col
    first, last = (col[f"wood_{product}_ton_ac"] for product in (WOOD_PRODUCTS[0], WOOD_PRODUCTS[-1]))
    sold = block.page.area(block.first, block.last, first, last)
    cut = block.page.area(block.last, block.last, first, last)
    left = block.page.at(block.last, col["standing_ton_ac"])
    return f"(SUM({sold})+MAX(0,{left}-SUM({cut})))/{case.horizon}"


def _forage(case: Case, sheets: Sheets, system: str) -> str:
    """Mean yearly forage of a system."""
    if not case.systems[system].lives:
        return f"AVERAGE({sheets.cycles[system].block.column(cycle.FORAGE)})"
    block, col = sheets.years[system], sheets.years.col["forage_lb_ac"]
    return f"AVERAGE({block.page.column(block.first + 1, block.last, col)})"
