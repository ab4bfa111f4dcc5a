"""Comparisons for a page on which one thing is changed at a time: what did not change is not grown again."""

from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, Final, Generic, TypeVar

from simulator.alternatives import systems_of
from simulator.comparison import BetterPasture, Comparison, better_pasture, side_by_side
from simulator.orientation import RowDirection, row_direction
from simulator.result import Outcome, run_with
from simulator.scenario.model import Scenario

Kept = TypeVar("Kept")
MOST_KEPT: Final = 40
"""Outcomes that are remembered; one takes about half a megabyte."""
NOT_GROWN_BY: Final = {"title", "search", "baseline"}
"""Fields of a plan that nothing in its own growth or money reads."""


class Shelf(Generic[Kept]):
    """What was made before, by what it was made from; the longest unused goes first.

    Attributes
    ----------
    most
        How many are kept.
    """

    def __init__(self, most: int = MOST_KEPT) -> None:
        self.most = most
        self._kept: OrderedDict[str, Kept] = OrderedDict()

    def get(self, key: str, make: Callable[[], Kept]) -> Kept:
        """Return what is kept under a key, or make and keep it."""
        if key in self._kept:
            self._kept.move_to_end(key)
            return self._kept[key]
        made = self._kept[key] = make()
        while len(self._kept) > self.most:
            self._kept.popitem(last=False)
        return made

    def __len__(self) -> int:
        return len(self._kept)


class Memory:
    """Outcomes of plans compared before.

    Attributes
    ----------
    beside
        Folder of an own price table.
    """

    def __init__(self, beside: Path | None) -> None:
        self.beside = beside
        self._outcomes: Shelf[Outcome] = Shelf()
        self._better: Shelf[BetterPasture | None] = Shelf()
        self._documents: Shelf[dict[str, Any]] = Shelf()
        self._directions: Shelf[RowDirection | None] = Shelf()

    def compare(self, scenario: Scenario) -> Comparison:
        """Compare a plan with the single uses of its land, as `simulator.comparison.compare` does.

        Parameters
        ----------
        scenario
            The plan.

        Returns
        -------
        Comparison
            The same numbers, under exact light; only what is not remembered is grown.
        """
        return self.compare_plans(systems_of(scenario, self.beside))

    def compare_plans(self, plans: Mapping[str, Scenario]) -> Comparison:
        """Compare plans by name, as `simulator.comparison.compare_plans` does."""
        systems = {name: self._outcome(plan) for name, plan in plans.items()}
        pasture, plan = systems["pasture"], plans["silvopasture"]
        better = self._better.get(_key(pasture.scenario), lambda: better_pasture(pasture, self.beside))
        direction = self._directions.get(_key(plan), lambda: row_direction(plan, self.beside))
        return side_by_side(systems, better, direction)

    def of_system(self, what: str, outcome: Outcome, make: Callable[[Outcome], dict[str, Any]]) -> dict[str, Any]:
        """Something made of one outcome alone, made once; nobody changes it.

        Parameters
        ----------
        what
            Name of what is made.
        outcome
            Of a comparison of this memory.
        make
            Makes it.

        Returns
        -------
        dict
        """
        return self._documents.get(f"{what} {_key(outcome.scenario)}", lambda: make(outcome))

    def _outcome(self, plan: Scenario) -> Outcome:
        found = self._outcomes.get(_key(plan), lambda: run_with([plan], self._later, self.beside, "exact")[0])
        # the title may be another one, which nothing but the words reads
        return found if found.scenario == plan else replace(found, scenario=plan)

    def _later(self, plans: list[Scenario]) -> list[Outcome]:
        return [self._outcome(plan) for plan in plans]


def _key(plan: Scenario) -> str:
    return plan.model_dump_json(by_alias=True, exclude=NOT_GROWN_BY)
