"""Everything that a report is written from, computed once."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from optimize.what_if import WhatIf, what_if
from simulator.alternatives import systems_of
from simulator.comparison import Comparison, better_pasture, side_by_side
from simulator.errors import InputError
from simulator.result import run
from simulator.scenario.model import Scenario

if TYPE_CHECKING:
    from optimize.around import Flatness
    from optimize.best import BestPlan
    from optimize.risk.found import Odds
    from optimize.waiting.answer import Answer
    from simulator.ground import Layout
    from workbench.report.blocks import Section

LONGEST_WAIT_YR: Final = 8
WAITING_DRAWS: Final = 256
"""Only the rule for several prices learns on draws, and a report does not show it."""
SEED: Final = 1
Tell = Callable[[int, int], None]
"""Told how many plans are grown and how many there are."""


@dataclass(frozen=True)
class Optimum:
    """The best plan of a search, beside the best of each single use.

    Attributes
    ----------
    found
        The search.
    comparison
        Best against best.
    flat
        What one step aside costs.
    why
        Why the best plan does not thin; None where it does.
    """

    found: "BestPlan"
    comparison: Comparison
    flat: "tuple[Flatness, ...]"
    why: str | None


@dataclass(frozen=True)
class Gathered:
    """One plan with all that its part of a report says.

    Attributes
    ----------
    scenario
        The plan.
    beside
        Folder of its file, for its own price table.
    comparison
        The plan beside the single uses of its land.
    what_if
        What moves it most, and its first thinning at other times.
    waiting
        Thin now or wait, where trees stand already, or why it cannot be asked of them; else None.
    optimum, odds
        Where they were asked for; else None.
    layout
        Its rows on a field, where an outline was given; else None.
    """

    scenario: Scenario
    beside: Path | None
    comparison: Comparison
    what_if: WhatIf
    waiting: "Answer | InputError | None" = None
    optimum: Optimum | None = None
    odds: "Odds | None" = None
    layout: "Layout | None" = None

    @cached_property
    def sections(self) -> "list[Section]":
        """Every section of the plan's part but its appendix, in the order in which it is read."""
        from workbench.report.document import sections_of  # noqa: PLC0415 - sections are made of what is gathered

        return sections_of(self)

    @cached_property
    def document(self) -> dict[str, Any]:
        """What the report shows of this plan, as JSON."""
        from workbench.report.document import plan_document  # noqa: PLC0415 - the document is made of what is gathered

        return plan_document(self)


def gather(
    scenario: Scenario,
    beside: Path | None = None,
    *,
    optimize: bool = False,
    odds: int | None = None,
    field: Path | None = None,
    tell: Tell | None = None,
) -> Gathered:
    """Compute what a report says of one plan.

    Parameters
    ----------
    scenario
        The plan.
    beside
        Folder of its file, for its own price table.
    optimize
        Whether to search for the best plan too.
    odds
        Draws of hazards; None for none.
    field
        GeoJSON of the field's outline, on which the rows are laid; None for none.
    tell
        Told how far the long parts are.

    Returns
    -------
    Gathered

    Raises
    ------
    InputError
        Where the plan cannot be searched or drawn, or its rows not laid on the field.
    """
    layout = None if field is None else _layout(scenario, beside, field)
    systems = {name: run(plan, beside) for name, plan in systems_of(scenario, beside).items()}
    looked = what_if(systems, beside)  # it grows the rows turned by a quarter along with the rest
    return Gathered(
        scenario,
        beside,
        side_by_side(systems, better_pasture(systems["pasture"], beside), looked.direction),
        looked,
        _waiting(scenario, beside),
        _optimum(scenario, beside, tell) if optimize else None,
        None if odds is None else _odds(scenario, beside, odds, tell),
        layout,
    )


def _layout(scenario: Scenario, beside: Path | None, field: Path) -> "Layout":
    from simulator.ground import lay_out, read_field  # noqa: PLC0415 - shapely is slow to import

    return lay_out(read_field(field, None, scenario.land.latitude_deg), scenario, None, beside)


def _waiting(scenario: Scenario, beside: Path | None) -> "Answer | InputError | None":
    if scenario.stand is None:
        return None
    from optimize.waiting.answer import Draw, answer  # noqa: PLC0415 - only a standing stand pays for it

    try:
        return answer(scenario, LONGEST_WAIT_YR, Draw(WAITING_DRAWS, SEED), beside)
    except InputError as refused:
        return refused


def _optimum(scenario: Scenario, beside: Path | None, tell: Tell | None) -> Optimum:
    from optimize.around import flatness  # noqa: PLC0415 - only who asks for a search pays for it
    from optimize.best import best_plan, compared  # noqa: PLC0415
    from optimize.objective import Objective  # noqa: PLC0415
    from optimize.processes import cores  # noqa: PLC0415
    from workbench.why_no_thinning import why_no_thinning  # noqa: PLC0415

    found = best_plan(
        scenario,
        Objective("land-expectation"),
        beside,
        workers=cores(),
        tell=lambda so_far: tell(so_far.done, so_far.of) if tell else None,
    )
    return Optimum(found, compared(found, beside), tuple(flatness(found, beside)), why_no_thinning(found, beside))


def _odds(scenario: Scenario, beside: Path | None, draws: int, tell: Tell | None) -> "Odds":
    from optimize.processes import cores  # noqa: PLC0415 - only who asks for draws pays for it
    from optimize.risk.found import Asked  # noqa: PLC0415
    from optimize.risk.odds import odds_of  # noqa: PLC0415

    asked = Asked(draws, SEED, prices=False, workers=cores())
    return odds_of(scenario, asked, beside, tell or (lambda _done, _of: None))
