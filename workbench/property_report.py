"""Terminal tables of a property's plan."""

from collections.abc import Iterable, Sequence
from typing import Final

from optimize.property.file import Property
from optimize.property.plan import PropertyPlan
from optimize.property.whole import Planned
from simulator.units import FloatArray, IntArray
from workbench.output import print_table, print_text
from workbench.property_words import CAUTIONS, dollars, miss_words, price_sentence, verdict, way_words

STEP_YR: Final = 5
PRICES_TOLD: Final = 6
FLOW_COLUMNS: Final = (
    ("cash\n$", "cash", ",.0f"),
    ("wood\nton", "wood_ton", ",.0f"),
    ("sawtimber\nton", "sawtimber_ton", ",.0f"),
    ("hay\nton", "hay_ton", ",.0f"),
    ("grazed\nAUM", "animal_unit_months", ",.0f"),
    ("grazed\nac", "grazed", ",.0f"),
    ("labour\nh", "labour_h", ",.0f"),
)


def print_property(wanted: Property, planned: Planned) -> None:
    """Print what each tract does, what comes of it, and what is proven; or why there is no plan."""
    plan, shown = planned.plan, planned.shown
    title = wanted.file.title or "Property"
    if not shown.tracts:
        print_text(f"{title}: {verdict(planned)}\n")
        _lines("What would have to give", [way_words(way) for way in plan.ways_out] or _no_way(plan))
        return
    measure = "net present value" if wanted.over_the_horizon else "land expectation value"
    acres = sum(tract.acres for tract in shown.tracts)
    note = (
        f"In all {dollars(shown.value)}, {measure} at {100.0 * wanted.rate:.3g} % real; where trees stand, of land and "
    )
    note += f"trees. {verdict(planned)}"
    if shown.herd:
        note += " The herd's worth is in the sum and in no tract."
    heading = f"{title}: {len(shown.tracts)} tracts, {acres:g} acres"
    print_table(heading, ["tract", "acres", "worth", "an acre"], _tracts(shown), note=note)
    _lines("What each tract does", [f"{tract.name}: {tract.labels[0]}." for tract in shown.tracts])
    print_text("\n")
    print_table("Calendar, years from now", ["tract", "plant", "thin", "cut", "hay", "grazed"], _calendar(shown))
    print_text("\n")
    print_table(f"All tracts together, every {STEP_YR} years (sums of the years since the row above)", *_flows(shown))
    _lines(
        "What a little more room would add: each by itself, not to be summed, and roughly, as if tracts could be split",
        [price_sentence(price) for price in plan.shadow_prices[:PRICES_TOLD]],
    )
    _lines("Limits that the exact run misses", [f"It misses {miss_words(miss)}." for miss in planned.missed])
    _lines("Cautions", CAUTIONS)


def _no_way(plan: PropertyPlan) -> list[str]:
    return ["No answer in the time given."] if plan.ending == "infeasible" else []


def _lines(heading: str, lines: Sequence[str]) -> None:
    if lines:
        print_text(f"\n{heading}\n" + "".join(f"  {line}\n" for line in lines))


def _tracts(plan: PropertyPlan) -> Iterable[list[str]]:
    for tract in plan.tracts:
        an_acre = float(tract.value_per_ac[0])
        yield [tract.name, f"{tract.acres:g}", dollars(tract.acres * an_acre), dollars(an_acre)]


def _calendar(plan: PropertyPlan) -> Iterable[list[str]]:
    for number, tract in enumerate(plan.tracts):
        jobs = plan.jobs(number)
        yield [tract.name, *(spans(jobs[job]) for job in ("planted", "thinned", "harvested", "hay", "grazed"))]


def spans(years: IntArray) -> str:
    """Years as a person writes them: ``1-4, 36-39``."""
    runs: list[list[int]] = []
    for year in years.tolist():
        if runs and year == runs[-1][-1] + 1:
            runs[-1].append(year)
        else:
            runs.append([year])
    return ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]}-{run[-1]}" for run in runs) or "-"


def _flows(plan: PropertyPlan) -> tuple[list[str], list[list[str]]]:
    headings = ["years", *(heading for heading, _, _ in FLOW_COLUMNS)]
    columns: list[tuple[FloatArray, str, bool]] = [
        (plan.flows[name], shown, name == "grazed") for _, name, shown in FLOW_COLUMNS
    ]
    if plan.herd:
        headings.append("own\nhead")
        columns.append((plan.herd["head"], ",.0f", True))
    if len(plan.balance):
        headings.append("on hand\n$")
        columns.append((plan.balance, ",.0f", True))
    last = len(plan.flows["cash"]) - 1
    parts = [(0, 0), *((first, min(first + STEP_YR - 1, last)) for first in range(1, last + 1, STEP_YR))]
    rows = [
        [
            str(first) if first == end else f"{first}-{end}",
            *(
                f"{values[end] if at_end else values[first : end + 1].sum():{shown}}"
                for values, shown, at_end in columns
            ),
        ]
        for first, end in parts
    ]
    return headings, rows
