"""Thin now or wait, for trees that stand already."""

from optimize.waiting.answer import Answer
from optimize.waiting.moving import ALL_WOOD
from workbench.charts.waiting import waiting_figure
from workbench.report.blocks import Box, Picture, Section, Text, listed, section
from workbench.waiting_document import INDEX_UNIT
from workbench.waiting_words import conditions, lighter, reasons, sentence, years
from workbench.words import dollars


def now_or_later(found: Answer) -> Section:
    """The answer, its picture, why it is so and what is compared."""
    said = [sentence(found), lighter(found).strip()]
    return section(
        "thinning",
        "Thin now, or wait?",
        Box("The answer", tuple(line for line in said if line)),
        Picture("waiting", _waiting_alt(found), lambda: waiting_figure(found, ALL_WOOD, INDEX_UNIT)),
        Text("Why, and what is compared:"),
        listed([*reasons(found), *conditions(found)]),
    )


def _waiting_alt(found: Answer) -> str:
    worth = [
        f"{'thinned now' if not wait else f'after {years(wait)}'} {dollars(choice.present_value)}"
        for wait, choice in enumerate(found.thinned)
        if choice.way is not None
    ]
    others = f"never thinned {dollars(found.hold.present_value)}, clearcut now {dollars(found.clearcut.present_value)}"
    return (
        f"Worth of land and stand an acre by the year of the first thinning: {', '.join(worth)}; beside it {others}. "
        "Below: bands of the price of all wood at which to leave, thin or clearcut in each year."
    )
