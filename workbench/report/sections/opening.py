"""What was asked, the answer, and the uses of the land side by side."""

from typing import Final

from workbench.after_tax import after_tax_lines
from workbench.charts.income import equal_income_figure
from workbench.report.alt import equal_income_alt
from workbench.report.blocks import Picture, Section, Table, Text, listed, section
from workbench.report.gather import Gathered
from workbench.reports import horizon_note, measure_rows, money_note
from workbench.sentences import findings_about
from workbench.words import describe, dollars, names_of, spoken_names_of

MEANINGS: Final = (
    (
        "Equal annual income: what the use is worth as if it paid the same every year for ever. It is the fair measure "
        "here, because the uses take unlike times."
    ),
    "Land expectation value: what the bare land is worth under that use for ever, before any price of the land itself.",
    "Land and stand value: the same of the land with the trees that stand on it now.",
    (
        "Net present value: all money to the last year reckoned, later dollars counted for less, with what stands "
        "there at the end."
    ),
    "Internal rate of return: the yearly interest that the money put into one round of trees earns.",
    "Benefit / cost: dollars that come in for each dollar spent, both counted as of today.",
    "Paid back in year: from when on, as long as is reckoned, more has come in than gone out, not discounted.",
    "Deepest cumulative cash: the most that you are out at any time, not discounted.",
    "Land equivalent ratio: acres of single uses that grow what an acre of the plan grows; of growth, not money.",
)


def the_question(of: Gathered) -> Section:
    """The property and the question in the client's words."""
    scenario = of.scenario
    land, asked = scenario.land, scenario.report.question
    soil = f", {land.soil}" if land.soil else ""
    former = {"pasture": "old pasture", "cutover": "cutover forest"}[land.former_use]
    fence = "perimeter fence sound" if land.fenced else "no sound perimeter fence"
    facts = (
        f"{scenario.title or 'The field'}: {land.acres:,g} acres{soil}, {former}, {fence}, at {land.latitude_deg:g} "
        f"degrees north; loblolly pine would be {land.site_index_ft:g} ft tall there at age 25 (site index)."
    )
    if scenario.stand is not None:
        facts = facts.replace(former, f"planted on {former}" if scenario.stand.origin == "planted" else "natural woods")
    question = [Text(f"\u201c{line.strip()}\u201d") for line in asked.split("\n") if line.strip()]
    return section("question", "The property and the question", *question, Text(facts))


def the_answer(of: Gathered) -> Section:
    """The answer in a paragraph, and its picture."""
    said = findings_about(of.comparison, "answer")
    return section(
        "answer",
        "The answer",
        Text(" ".join(said), leading=True),
        _planned_anew(of),
        Picture("equal-income", equal_income_alt(of.comparison), lambda: equal_income_figure(of.comparison)),
    )


def _planned_anew(of: Gathered) -> Text | None:
    """What a search makes of the answer, which is of the plan as it is written."""
    if of.optimum is None:
        return None
    best = of.optimum.comparison
    names = spoken_names_of(best.systems)
    incomes = [
        f"{names[name]} {dollars(best.systems[name].measures.equal_annual_income, yearly=True)}"
        for name in best.ranking
    ]
    return Text(
        f"That is the plan as it is written. Planned anew, each use at the best that a search found, the yearly "
        f"incomes an acre are: {', '.join(incomes)}; see “The best plan that a search found”."
    )


def side_by_side(of: Gathered) -> Section:
    """Every measure of every use, what they mean, and the plans in a line."""
    comparison, names = of.comparison, names_of(of.comparison.systems)
    first = comparison.systems["silvopasture"]
    rows = tuple((_whole_label(label), *cells) for label, *cells in measure_rows(comparison))
    plans = [f"{names[name]}: {describe(outcome)}." for name, outcome in comparison.systems.items()]
    said = [*after_tax_lines(comparison.systems), *findings_about(comparison, "money")]
    shown = {label.partition(",")[0].partition(" with")[0] for label, *_ in rows}
    meanings = [line for line in MEANINGS if line.partition(":")[0] in shown]
    title = "Ways to use this land, side by side" if first.lives else "Three uses of this land, side by side"
    return section(
        "side-by-side",
        title,
        listed(plans),
        Table(
            "measures",
            "Measures of each use, per acre of the whole field",
            ("measure", *names.values()),
            rows,
            f"{money_note(first)} {horizon_note(first)}".strip(),
        ),
        listed(said),
        Text("What the measures mean:"),
        listed(meanings),
    )


def _whole_label(label: str) -> str:
    """A label that an indent makes a part of the one above it, said in full."""
    return f"Equal annual income {label.strip()}, $/ac/yr" if label.startswith(" ") else label
