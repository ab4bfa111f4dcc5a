"""What of a comparison does not follow a changed price, rate or acreage, in sentences for the summary."""

from collections.abc import Iterator

from simulator.scenario.sale import DELIVERED
from workbench.workbook.case import Case
from workbench.workbook.notes import OF_THE_RATE, WORTH_ITS_HOURS, note_on
from workbench.workbook.prices import used_lines
from workbench.workbook.quantities import item_words


def caveats(case: Case) -> Iterator[str]:
    """Sentences on one comparison, the common ones first."""
    yield (
        "Quantities stay as they were grown: trees and grass, dates, numbers of animals. Whoever would plan "
        "otherwise at other prices changes the scenario file and runs the program anew."
    )
    stated = _noted(case, "stated sum") | _noted(case, "help at its cap")
    if stated:
        yield f"Sums of dollars that follow no price: {_listed(stated)}."
    if case.plan.scenario.loan:
        yield "Loans are stated sums; no measure counts them. Cash after loans stands on the sheet of cash flows."
    if _noted(case, "help below its cap"):
        yield "Help with costs follows their prices; a cap that it does not reach now may hold it at higher prices."
    worked = _noted(case, WORTH_ITS_HOURS)
    if worked:
        yield f"Worked in the years in which it paid at the prices given, whatever the prices now: {_listed(worked)}."
    discounted = _noted(case, OF_THE_RATE)
    if discounted:
        yield f"Left at the end of an orchard, discounted at the rate given; does not follow it: {_listed(discounted)}."
    if any(outcome.scenario.sale.pricing == DELIVERED for outcome in case.systems.values()):
        yield "Wood is sold at the mill: bids were decided at the prices given. Checks tells whether they hold."
    if case.plan.scenario.tax is not None:
        yield "Figures after tax are stated: they follow neither prices nor the rate."


def _noted(case: Case, note: str) -> dict[str, None]:
    """Items of any system whose note says so."""
    found: dict[str, None] = {}
    for outcome in case.systems.values():
        lines = [outcome.flows.lines[place] for place in used_lines(outcome)]
        found |= {item_words(line): None for line in lines if note in note_on(line, outcome)}
    return found


def _listed(items: dict[str, None]) -> str:
    return ", ".join(item.lower() for item in items)
