"""What a report shows, as JSON: every word and every table, and the unrounded numbers behind them."""

from collections.abc import Callable, Sequence
from typing import Any, Final

from optimize.what_if import WhatIf
from simulator.errors import InputError
from workbench.documents import comparison_document
from workbench.report.blocks import Section
from workbench.report.gather import Gathered
from workbench.report.sections.appendix import the_years
from workbench.report.sections.growth import light_and_grass, the_ratio, the_wood
from workbench.report.sections.limits import the_cautions, the_limits, the_warnings
from workbench.report.sections.money import the_money
from workbench.report.sections.opening import side_by_side, the_answer, the_question
from workbench.report.sections.plan import the_plan
from workbench.report.sections.side_by_side import plans_beside
from workbench.report.sections.sources import the_assumptions, the_works
from workbench.report.sections.timing import thin_or_wait, what_matters_most


def the_rows(gathered: Gathered) -> Section | None:
    """The plan's rows on its field, where an outline was given."""
    if gathered.layout is None:
        return None
    from workbench.report.sections.ground import rows_on_the_ground  # noqa: PLC0415 - only a field pays for its map

    return rows_on_the_ground(gathered.layout)


ORDER: Final[tuple[Callable[[Gathered], Section | None], ...]] = (
    the_question,
    the_answer,
    side_by_side,
    the_plan,
    the_rows,
    the_money,
    the_ratio,
    light_and_grass,
    the_wood,
    thin_or_wait,
    what_matters_most,
)
AFTERWARDS: Final[tuple[Callable[[Gathered], Section | None], ...]] = (
    the_assumptions,
    the_warnings,
)
CLOSING: Final[tuple[Callable[[Sequence[Gathered]], Section], ...]] = (the_works, the_limits, the_cautions)


def the_asked(gathered: Gathered) -> list[Section]:
    """What was asked for beside the rest: the best plan of a search, and the odds."""
    if gathered.optimum is None and gathered.odds is None:
        return []
    from workbench.report.sections.asked import the_best_plan, the_odds  # noqa: PLC0415 - only who asks pays for it

    return [made for part in (the_best_plan, the_odds) if (made := part(gathered)) is not None]


def sections_of(gathered: Gathered) -> list[Section]:
    """Every section of one plan but its appendix, as they are read; those that do not apply are left out."""
    before, after = ([part(gathered) for part in parts] for parts in (ORDER, AFTERWARDS))
    return [made for made in (*before, *the_asked(gathered), *after) if made is not None]


def closing_sections(reports: Sequence[Gathered]) -> list[Section]:
    """What is said once of all plans, after the last of them."""
    return [part(reports) for part in CLOSING]


def plan_document(gathered: Gathered) -> dict[str, Any]:
    """One plan's part of a report as JSON."""
    said = gathered.scenario.report
    return {
        "title": gathered.scenario.title,
        "client": said.client,
        "prepared_by": said.prepared_by,
        "date": said.date.isoformat() if said.date else None,
        "question": said.question,
        "sections": [each.document() for each in (*gathered.sections, the_years(gathered))],
        "what_if": _what_if(gathered.what_if),
        "comparison": comparison_document(gathered.comparison),
        **_asked(gathered),
    }


def report_document(reports: Sequence[Gathered]) -> dict[str, Any]:
    """A whole report as JSON."""
    beside = plans_beside(reports)
    return {
        "plans_side_by_side": None if beside is None else beside.document(),
        "plans": [each.document for each in reports],
        "closing": [each.document() for each in closing_sections(reports)],
    }


def _what_if(found: WhatIf) -> dict[str, Any]:
    return {
        "swings": [swing._asdict() for swing in found.swings],
        "first_thinning": [other._asdict() for other in found.thinnings],
    }


def _asked(gathered: Gathered) -> dict[str, Any]:
    found: dict[str, Any] = {}
    if gathered.layout is not None:
        found["layout"] = gathered.layout.document()
    if gathered.waiting is not None and not isinstance(gathered.waiting, InputError):
        from optimize.waiting.moving import ALL_WOOD  # noqa: PLC0415 - only those who asked pay for it
        from workbench.waiting_document import waiting_document  # noqa: PLC0415

        found["wait"] = waiting_document(gathered.waiting, ALL_WOOD, gathered.beside)
    if gathered.odds is not None:
        from workbench.odds_document import odds_document  # noqa: PLC0415

        found["odds"] = odds_document(gathered.odds, None)
    if gathered.optimum is not None:
        from workbench.optimum_document import member_document  # noqa: PLC0415

        best = gathered.optimum.found
        found["optimum"] = {
            "objective": best.objective.goal,
            "best": member_document(best.best),
            "proven_gap": best.proven_gap,
            "why_no_thinning": gathered.optimum.why,
            "flatness": [step._asdict() for step in gathered.optimum.flat],
        }
    return found
