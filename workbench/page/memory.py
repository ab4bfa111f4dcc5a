"""Comparisons for a page on which one thing is changed at a time: what did not change is not grown again."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any, Final

from simulator.alternatives import systems_of
from simulator.comparison import Comparison, better_of, side_by_side, ways_to_use
from simulator.events.light import Precision
from simulator.orientation import both_directions, row_direction_of
from simulator.result import Outcome, run_with
from simulator.scenario.model import Scenario
from workbench.page.repriced import key_of_growth, may_be_repriced, repriced
from workbench.page.shelf import Shelf

NOT_READ: Final = {"title", "report", "search", "baseline"}
"""Fields of a plan that neither its growth nor its money reads."""


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
        self._grown: Shelf[Outcome] = Shelf()
        self._documents: Shelf[dict[str, Any]] = Shelf()

    def compare(self, scenario: Scenario) -> Comparison:
        """Compare a plan with the single uses of its land, as `simulator.comparison.compare` does.

        Parameters
        ----------
        scenario
            The plan.

        Returns
        -------
        Comparison
            The same numbers, under exact light; only what is not remembered is grown, and where prices or rates
            alone have changed nothing is.
        """
        plans = systems_of(scenario, self.beside)
        systems = {name: self._exact([plan])[0] for name, plan in plans.items()}
        pasture, directions = systems["pasture"], both_directions(scenario)
        better = better_of(pasture, self._fast(ways_to_use(pasture)))
        return side_by_side(systems, better, row_direction_of(self._fast(directions)) if directions else None)

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
        key = f"{what} {outcome.scenario.model_dump_json(by_alias=True)}"
        kept = self._documents.get(key)
        return kept if kept is not None else self._documents.put(key, make(outcome))

    def _exact(self, plans: Sequence[Scenario]) -> list[Outcome]:
        return self._run(plans, "exact")

    def _fast(self, plans: Sequence[Scenario]) -> list[Outcome]:
        return self._run(plans, "fast")

    def _run(self, plans: Sequence[Scenario], precision: Precision) -> list[Outcome]:
        """Outcomes of plans that are run together; one that is missing makes them run together again."""
        known = [self._known(plan, precision) for plan in plans]
        found = [outcome for outcome in known if outcome is not None]
        if len(found) == len(plans):
            return found
        later = partial(self._run, precision=precision)
        grown = run_with(plans, later, self.beside, precision)
        for plan, outcome in zip(plans, grown, strict=True):
            self._keep(plan, precision, outcome)
        return grown

    def _known(self, plan: Scenario, precision: Precision) -> Outcome | None:
        kept = self._outcomes.get(_key(plan, precision))
        growth = f"{precision} {key_of_growth(plan, NOT_READ)}"
        grown = self._grown.get(growth)  # looked up in any case, so that it stays as long as it is used
        if kept is not None:
            # the title may be another one, which nothing but the words reads
            return kept if kept.scenario == plan else replace(kept, scenario=plan)
        if grown is None or not may_be_repriced(grown, plan):
            return None
        return self._outcomes.put(_key(plan, precision), repriced(grown, plan, partial(self._anew, precision)))

    def _anew(self, precision: Precision, plan: Scenario, changed: Mapping[str, float]) -> Outcome:
        """A plan at other prices, as sales at the mill's gate may need it."""
        prices = dict(plan.money.prices) | dict(changed)
        money = plan.money.model_copy(update={"prices": prices})
        return self._run([plan.model_copy(update={"money": money})], precision)[0]

    def _keep(self, plan: Scenario, precision: Precision, outcome: Outcome) -> None:
        self._outcomes.put(_key(plan, precision), outcome)
        self._grown.put(f"{precision} {key_of_growth(plan, NOT_READ)}", outcome)


def _key(plan: Scenario, precision: Precision) -> str:
    return f"{precision} {plan.model_dump_json(by_alias=True, exclude=NOT_READ)}"
