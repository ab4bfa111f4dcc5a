"""Thin now or wait, for trees that stand already."""

import math

from optimize.waiting.answer import Answer
from optimize.waiting.moving import ALL_WOOD
from workbench.charts.waiting import waiting_figure
from workbench.report.blocks import Box, Picture, Section, Table, Text, listed, section
from workbench.reports import whole
from workbench.waiting_document import INDEX_UNIT, loss_left_alone, loss_while_waiting
from workbench.waiting_words import conditions, lighter, reasons, sentence, what, years
from workbench.words import dollars


def now_or_later(found: Answer) -> Section:
    """The answer, its picture, why it is so and what is compared."""
    said = [sentence(found), lighter(found).strip()]
    return section(
        "thinning",
        "Thin now, or wait?",
        Box("The answer", tuple(line for line in said if line)),
        _answers(found),
        Picture("waiting", _waiting_alt(found), lambda: waiting_figure(found, ALL_WOOD, INDEX_UNIT)),
        Text("Why, and what is compared:"),
        listed([*reasons(found), *conditions(found)]),
    )


def _answers(found: Answer) -> Table:
    """What each answer is worth, with what follows in it, and what it may lose."""
    names = [
        "thin now",
        *(f"wait {years(wait)}" for wait in range(1, len(found.thinned))),
        "clearcut now",
        "never thin",
    ]
    choices = [*found.thinned, found.clearcut, found.hold]
    now = found.thinned[0].present_value
    losses = [
        *(loss_while_waiting(found, wait) for wait in range(len(found.thinned))),
        math.nan,
        loss_left_alone(found),
    ]
    rows = tuple(
        (name, what(choice, found), *_worth(choice.present_value, now), _loss(loss))
        for name, choice, loss in zip(names, choices, losses, strict=True)
    )
    return Table(
        "waiting",
        "Worth of land and stand by each answer, $ an acre",
        ("answer", "then", "worth", "against thinning now", "likely loss a year"),
        rows,
        f"Likely loss to storms, fire and beetles, illustrative, not in the worth: mean of the years waited unthinned; "
        f"thinned now, of the first {years(found.question.longest_wait)}; never thinned, of all to the cut.",
        words=(0, 1),
    )


def _worth(worth: float, now: float) -> tuple[str, str]:
    if not math.isfinite(worth):
        return "-", "-"
    return whole(worth), whole(worth - now) if math.isfinite(now) else "-"


def _loss(loss: float) -> str:
    return f"{loss:.1f}" if math.isfinite(loss) else "-"


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
