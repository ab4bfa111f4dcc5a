"""What the result rests on: prices, parameters, the works behind them, and how sure they are."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Final

from pydantic import BaseModel

import simulator.parameters
from simulator.parameters.prices import PriceTable
from simulator.parameters.sureness import grade_of, grade_of_price, sureness_of
from simulator.parameters.tables import NOTHING
from simulator.result import Outcome
from simulator.scenario.model import Scenario
from simulator.sourced import Sourced, SourcedFile, read_sourced
from workbench.band_words import item_in_words
from workbench.report.amounts import quantity
from workbench.report.blocks import Section, Table, Text, listed, section
from workbench.report.gather import Gathered

PARAMETERS: Final = Path(simulator.parameters.__file__).parent
COMMON: Final = ("practice", "products", "grazing", "hay", "labour", "sky", "climate")
CITED: Final = ("published", "second_hand", "from_memory")
GRADES: Final = {
    "published": "read in the work",
    "derived": "fitted for this tool",
    "second_hand": "second-hand",
    "from_memory": "from memory",
    "assumed": "assumed or practice",
    "invented": "invented",
}


def the_assumptions(of: Gathered) -> Section:
    """Prices with their ranges, and how sure the numbers of growth are."""
    files = list(_files(of))
    return section(
        "assumptions",
        "Assumptions, and where they come from",
        _basis(of),
        _prices(of),
        Table(
            "sureness",
            "Numbers of growth and practice behind this result, by how sure they are",
            ("file of numbers", *GRADES.values()),
            tuple(_counts(file) for file in files),
            "A number counts by the weakest word of its source. All of them, each with its unit, range and source, can "
            "be had from whoever prepared this report.",
        ),
    )


def _basis(of: Gathered) -> Table:
    """The ground, the trees and the rate that everything is reckoned from, and whether the plan states them."""
    outcome, grass = of.comparison.systems["silvopasture"], of.comparison.systems["pasture"]
    plan, states = outcome.scenario, outcome.states
    rows = [
        ("rate of interest after inflation", f"{outcome.rate:.1%} a year", _whence(plan.money, "discount_rate")),
        ("years reckoned", f"{plan.money.horizon_years}", _whence(plan.money, "horizon_years")),
        ("site index, loblolly pine at 25", f"{plan.land.site_index_ft:g} ft", _whence(plan.land, "site_index_ft")),
    ]
    if plan.trees is not None and plan.stand is None:
        living = f"{states['trees_per_ac'][0]:.0f} planted, {states['trees_per_ac'][1]:.0f} a year later"
        rows.append(("trees an acre", living, _whence(plan.trees, "survival")))
    if plan.trees is not None:
        good = f"{states['sawtimber_grade_share'][0]:.0%}"
        rows.append(("stems that could make sawtimber, at the start", good, "reckoned"))
    if grass.states["forage_lb_ac"].any():
        grown = quantity(float(grass.states["forage_lb_ac"][1:].max()))
        rows.append(("open pasture grows in its best year", f"{grown} lb an acre, dry", "reckoned"))
    hours = "charged as hired" if plan.money.pay_labour else "not charged"
    rows.append(("your own hours", hours, _whence(plan.money, "pay_labour")))
    return Table(
        "basis",
        "Ground, trees and rate",
        ("what", "in this result", "source"),
        tuple(rows),
        "Reckoned: from the numbers of growth counted below. The thinnings, cuts, hay and grazing of each use stand "
        "under “side by side”.",
        words=(0, 1, 2),
    )


def _whence(part: BaseModel, field: str) -> str:
    return "stated in the plan" if field in part.model_fields_set else "usual value"


def the_works(reports: Sequence[Gathered]) -> Section:
    """Works that the numbers of growth and practice come from."""
    works = dict.fromkeys(text for each in reports for file in _files(each) for text in _works(file))
    return section(
        "works",
        "Works behind the numbers of growth",
        Text("How surely each is known stands with it. What has no work behind it is counted above as assumed."),
        listed(list(works)),
    )


def _prices(of: Gathered) -> Table:
    systems = of.comparison.systems
    table, stated = systems["silvopasture"].price_table, of.scenario.money.prices
    booked = _items_used(systems.values())
    used = [item for item in table.items if item in booked]
    texts = dict.fromkeys(table.sources[table.items[item].source] for item in used if item not in stated)
    named = _named(texts)
    rows = tuple(_price(item, table, systems["silvopasture"], named, own=item in stated) for item in used)
    sources = [text if text not in named else f"{named[text]}: {text}" for text in texts]
    note = f"{table.title}. Sources: {'; '.join(sources)}." if sources else f"{table.title}."
    return Table(
        "prices",
        "Prices and costs in this result",
        ("item", "unit", "price", "low to high", "source"),
        rows,
        note,
        words=(0, 1, -1),
    )


def _named(texts: Iterable[str]) -> dict[str, str]:
    """What the rows call the sources that a person stated: source 1, source 2; the note says them in full."""
    stated = [text for text in texts if grade_of_price(text) == "stated"]
    return {text: f"source {number}" for number, text in enumerate(stated, 1)}


def _items_used(outcomes: Iterable[Outcome]) -> set[str]:
    """Price items of the lines that any system books."""
    return {
        item
        for outcome in outcomes
        for place, line in enumerate(outcome.flows.lines)
        if outcome.flows.quantity[:, place].any() or outcome.flows.cycle_quantity[:, place].any()
        for item in line.prices
    }


def _price(item: str, table: PriceTable, outcome: Outcome, named: Mapping[str, str], *, own: bool) -> tuple[str, ...]:
    entry: Sourced = table.items[item]
    text = table.sources[entry.source]
    spread = "-" if entry.low is None or entry.high is None or own else f"{entry.low:g} to {entry.high:g}"
    source = "stated in the plan" if own else named.get(text) or GRADES[grade_of_price(text)]
    unit = "share" if entry.unit == "1" else entry.unit
    return (item_in_words(item).removeprefix("the "), unit, f"{outcome.prices[item]:g}", spread, source)


def _files(of: Gathered) -> Iterator[SourcedFile]:
    plans = [outcome.scenario for outcome in of.comparison.systems.values()]
    paths = dict.fromkeys(path for plan in plans for path in _paths(plan))
    for path in (*paths, *(PARAMETERS / f"{name}.toml" for name in COMMON)):
        if path.is_file():
            yield _read(path)


@cache
def _read(path: Path) -> SourcedFile:
    return read_sourced(path)


def _paths(plan: Scenario) -> Iterator[Path]:
    if plan.trees is not None:
        yield PARAMETERS / "trees" / f"{plan.trees.species}.toml"
    for grass in (plan.pasture.grass, plan.pasture.overseeded, plan.pasture.later_grass):
        if grass != NOTHING:
            yield PARAMETERS / "grasses" / f"{grass}.toml"
    if plan.use.animals != NOTHING:
        yield PARAMETERS / "animals" / f"{plan.use.animals}.toml"


def _counts(file: SourcedFile) -> tuple[str, ...]:
    sure = sureness_of(file)
    return (file.title, *(str(getattr(sure, grade) or "-") for grade in GRADES))


def _works(file: SourcedFile) -> Iterator[str]:
    used = {entry.source for table in file.tables.values() for entry in table.values()}
    for key, text in file.sources.items():
        if key in used and grade_of(text) in CITED:
            yield text[0].upper() + text[1:]
