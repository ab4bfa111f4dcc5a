"""One comparison of the workbook: its name, its systems, its sheets."""

from collections.abc import Mapping, Sequence
from typing import Final, NamedTuple

from simulator.comparison import Comparison
from simulator.result import Outcome
from workbench.words import names_of
from workbench.workbook.text import LONGEST_SHEET_NAME, plain_text, sheet_stem, unique

SHARED_BEFORE: Final = ("Summary", "Assumptions", "Prices")
OF_A_CASE: Final = ("Cash flows", "Cycles", "Enterprises", "Charts", "Ledger", "Cycle ledger", "Quantities", "Years")
SHARED_AFTER: Final = ("Checks", "About")
LONGEST_TITLE: Final = 60


class Case(NamedTuple):
    """One comparison.

    Attributes
    ----------
    number
        Its place, from 0.
    title
        What it is called, unlike any other's.
    comparison
        Its systems.
    names
        Names of the systems in words.
    sheets
        Name on the tab by kind of sheet.
    """

    number: int
    title: str
    comparison: Comparison
    names: Mapping[str, str]
    sheets: Mapping[str, str]

    @property
    def systems(self) -> Mapping[str, Outcome]:
        """Outcomes by system."""
        return self.comparison.systems

    @property
    def plan(self) -> Outcome:
        """The plan of the file."""
        return self.comparison.systems["silvopasture"]

    @property
    def horizon(self) -> int:
        """Last year simulated."""
        return self.plan.scenario.money.horizon_years


def cases_of(comparisons: Sequence[Comparison]) -> list[Case]:
    """Comparisons with names for themselves and for their sheets.

    Parameters
    ----------
    comparisons
        At least one.

    Raises
    ------
    ValueError
        Where there is none.
    """
    if not comparisons:
        raise ValueError("a workbook needs a comparison")
    given = [comparison.systems["silvopasture"].scenario.title for comparison in comparisons]
    titles = unique([plain_text(title, LONGEST_TITLE) or "Scenario" for title in given], LONGEST_TITLE)
    sheets = _sheets(titles)
    return [
        Case(number, title, comparison, _system_names(comparison), sheets[number])
        for number, (title, comparison) in enumerate(zip(titles, comparisons, strict=True))
    ]


def _system_names(comparison: Comparison) -> dict[str, str]:
    names = names_of(comparison.systems)
    return dict(zip(names, unique(names.values()), strict=True))


def _sheets(titles: Sequence[str]) -> list[dict[str, str]]:
    """Names on the tabs; where there are several comparisons each begins with its own number and title."""
    if len(titles) == 1:
        return [{kind: kind for kind in OF_A_CASE}]
    room = LONGEST_SHEET_NAME - max(len(kind) for kind in OF_A_CASE) - 1
    stems = [f"{number} {sheet_stem(title, room)}"[:room].rstrip() for number, title in enumerate(titles, start=1)]
    return [{kind: f"{stem} {kind}" for kind in OF_A_CASE} for stem in stems]
