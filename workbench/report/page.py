"""A report as one HTML file that asks nobody for anything: its pictures and its style stand in it."""

import base64
from collections.abc import Sequence
from functools import cache
from typing import Any, Final

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from workbench.charts.files import image
from workbench.charts.style import FAINT, GRID, INK, PAPER, SYSTEM_INK
from workbench.report.blocks import Picture
from workbench.report.document import closing_sections
from workbench.report.gather import Gathered
from workbench.report.sections.appendix import the_years
from workbench.report.sections.side_by_side import plan_titles, plans_beside

NAMELESS: Final = "One piece of land"
MONTHS: Final = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip


def report_html(reports: Sequence[Gathered]) -> str:
    """Write a report of one plan, or of several beside each other and then one by one.

    Parameters
    ----------
    reports
        What was gathered of each plan, one at least.

    Returns
    -------
    str
        One HTML document, the same for the same plans; whatever a person wrote is escaped.
    """
    first = reports[0].scenario
    titles = plan_titles(reports)
    title = titles[0] if len(reports) == 1 and first.title else NAMELESS if len(reports) == 1 else " / ".join(titles)
    said = first.report
    head = {
        "client": said.client,
        "prepared_by": said.prepared_by,
        "date": f"{MONTHS[said.date.month - 1]} {said.date.day}, {said.date.year}" if said.date else "",
        "day": said.date.isoformat() if said.date else "",
    }
    return (
        _environment()
        .get_template("report.html")
        .render(
            title=title,
            running_title=Markup(css_text(f"{title[:80]} - what trees, grass or both would bring")),  # noqa: S704 - escaped for CSS
            colors=_colors(),
            head=head,
            beside=plans_beside(reports),
            chapters=_chapters(reports, titles),
            picture=picture_address,
        )
    )


def _chapters(reports: Sequence[Gathered], titles: Sequence[str]) -> list[dict[str, Any]]:
    """Chapters of the page; the one plan of a report has none of its own, and its appendix comes last of all."""
    closing = {"title": "", "prefix": "", "level": 2, "sections": closing_sections(reports)}
    if len(reports) == 1:
        sections = [*reports[0].sections, *closing_sections(reports), the_years(reports[0])]
        return [closing | {"sections": sections}]
    chapters = [
        {"title": title, "prefix": f"plan-{number}-", "level": 3, "sections": [*each.sections, the_years(each)]}
        for number, (title, each) in enumerate(zip(titles, reports, strict=True), start=1)
    ]
    return [*chapters, closing]


def picture_address(picture: Picture) -> str:
    """A picture as an address that holds it whole."""
    return f"data:image/svg+xml;base64,{base64.b64encode(image(picture.draw(), 'svg')).decode()}"


def css_text(text: str) -> str:
    """Text as the inside of a string of a style sheet, every letter that could end or change it written as its code."""
    return "".join(
        letter if letter.isascii() and (letter.isalnum() or letter in " .,-") else f"\\{ord(letter):x} "
        for letter in text
    )


def _colors() -> dict[str, str]:
    return {"ink": INK, "faint": FAINT, "grid": GRID, "paper": PAPER, "accent": SYSTEM_INK["silvopasture"].words}


@cache
def _environment() -> Environment:
    return Environment(
        loader=PackageLoader("workbench.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
