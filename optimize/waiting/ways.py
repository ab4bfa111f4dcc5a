"""The ways to treat a stand that can wait: when it is thinned first, how often, and when it is cut."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, NamedTuple

from optimize.grid import LEAST_YEARS_BEFORE_HARVEST
from optimize.levels import harvests
from simulator.alternatives import usual_thinnings
from simulator.baselines import UNASKED
from simulator.errors import InputError, Problem
from simulator.measures import real_discount_rate
from simulator.parameters.species import load_species
from simulator.put_off import put_off, use_begins
from simulator.scenario.lapses import is_let_go
from simulator.scenario.model import Scenario
from simulator.scenario.trees import Harvest

LATEST_HARVEST: Final = 60
"""No year of harvest later than this is tried [yr]; assumed, far beyond where growth is known."""


class Way(NamedTuple):
    """One way to treat the stand.

    Attributes
    ----------
    thinned
        How many of the plan's thinnings are done.
    first
        Year of the first of them; 0 where none is.
    harvest
        Year of the final harvest.
    """

    thinned: int
    first: int
    harvest: int


@dataclass(frozen=True)
class Question:
    """A stand and what may be done with it.

    Attributes
    ----------
    scenario
        The plan of the file; with the usual thinnings of the species where the file states none.
    stated
        Whether the file states its thinnings.
    longest_wait
        Years that the first thinning may wait [yr].
    last
        Last year in which the stand may be cut [yr].
    """

    scenario: Scenario
    stated: bool
    longest_wait: int
    last: int

    @property
    def since(self) -> int:
        """Year of the first thinning in the file: what begins from then on moves with it."""
        return self.scenario.thinning[0].year

    @property
    def offsets(self) -> tuple[int, ...]:
        """Years from the first thinning to each."""
        return tuple(cut.year - self.since for cut in self.scenario.thinning)

    @property
    def use_moves(self) -> bool:
        """Whether the grass is used because the stand is thinned, and not before."""
        begins = use_begins(self.scenario.use)
        return begins is None or begins >= self.since

    @property
    def until_grass(self) -> int:
        """Years from the first thinning to the first use of the grass; 1 where it is not used."""
        begins = use_begins(self.scenario.use)
        return begins - self.since if begins is not None and self.use_moves else 1

    def earliest_harvest(self, thinned: int, first: int) -> int:
        """First year in which a stand thinned so often may be cut."""
        return first + self.offsets[thinned - 1] + LEAST_YEARS_BEFORE_HARVEST if thinned else 0

    def ways(self) -> Iterator[Way]:
        """Every way: unthinned, or thinned first in a year of the wait, as often as there is time, cut in any year."""
        yield from (Way(0, 0, cut) for cut in range(self.last + 1))
        for thinned in range(1, len(self.offsets) + 1):
            for first in range(self.longest_wait + 1):
                earliest = self.earliest_harvest(thinned, first)
                yield from (Way(thinned, first, cut) for cut in range(earliest, self.last + 1))

    def too_soon(self) -> Iterator[Way]:
        """The stand thinned now and cut before there is time for it."""
        yield from (Way(1, 0, cut) for cut in range(1, min(self.earliest_harvest(1, 0), self.last + 1)))

    def plan(self, way: Way) -> Scenario:
        """The plan that does it."""
        return self._thinned(way) if way.thinned else self._unthinned(way)

    def _unthinned(self, way: Way) -> Scenario:
        plan, since = self.scenario, self.since
        update: dict[str, object] = {"thinning": (), "harvest": Harvest(year=way.harvest)}
        for name in ("pruning", "treatment", "herbicide", "fertiliser"):
            update[name] = tuple(work for work in getattr(plan, name) if work.year < min(since, way.harvest))
        if self.use_moves:
            update |= UNASKED
        return _without_grass(plan.model_copy(update=update), way, always=self.use_moves)

    def _thinned(self, way: Way) -> Scenario:
        plan = put_off(self.scenario, way.first - self.since, self.since)
        pruning = tuple(lift for lift in plan.pruning if lift.year < way.harvest)
        cuts = {"thinning": plan.thinning[: way.thinned], "harvest": Harvest(year=way.harvest), "pruning": pruning}
        plan = plan.model_copy(update=cuts)
        # a stand cut too soon is only looked at: it is the same stand, with the grass that was meant for it
        soon = way.harvest < self.earliest_harvest(way.thinned, way.first)
        return plan if soon else _without_grass(plan, way, always=False)


def question_of(scenario: Scenario, longest_wait: int, name: str | None = None) -> Question:
    """Make a question of a file.

    Parameters
    ----------
    scenario
        A plan with a stand.
    longest_wait
        Years that the first thinning may wait [yr].
    name
        The file, for messages.

    Returns
    -------
    Question
        Any year up to the last of the search's grid, or to the file's harvest put off by the longest wait, may be the
        harvest.

    Raises
    ------
    InputError
        If there is no stand, nothing to thin, the plan is let go, or its rate is 0.
    """
    _check(scenario, name)
    stated = bool(scenario.thinning)
    if not stated:
        usual = usual_thinnings(scenario)
        if not usual:
            trees = scenario.stand.trees_per_ac if scenario.stand else 0.0
            remedy = "State what you would leave in [[thinning]]."
            rule = "has no more trees than its usual thinnings leave, so there is nothing to put off"
            raise InputError([Problem("stand", rule, f"{trees:.0f} trees an acre", remedy, name)])
        scenario = scenario.model_copy(update={"thinning": usual})
    planned = scenario.harvest.year + longest_wait if scenario.harvest else 0
    least = longest_wait + scenario.thinning[-1].year - scenario.thinning[0].year + LEAST_YEARS_BEFORE_HARVEST
    return Question(scenario, stated, longest_wait, min(max(*harvests(scenario), planned, least), LATEST_HARVEST))


def _check(scenario: Scenario, name: str | None) -> None:
    if scenario.stand is None or scenario.trees is None:
        remedy = (
            "Describe the trees in [stand]: `halfshade init --route stand` prints such a file, `halfshade cruise` "
            "makes one from plots."
        )
        rule = "is missing: thinning now or waiting is a question about trees that stand already"
        raise InputError([Problem("stand", rule, "", remedy, name)])
    if load_species(scenario.trees.species).orchard is not None:
        rule = "are not thinned for the price of wood"
        remedy = "Name a stand of timber trees."
        raise InputError([Problem("trees.species", rule, scenario.trees.species, remedy, name)])
    if is_let_go(scenario):
        remedy = "Take [neglect] out: the question is for an owner who does what the plan says."
        raise InputError([Problem("neglect", "has no place in choosing when to thin", "", remedy, name)])
    if real_discount_rate(scenario.money) <= 0:
        remedy = "State a rate above 0, above inflation where it is nominal."
        rule = "leaves what follows the stand for ever without a sum"
        raise InputError([Problem("money.discount_rate", rule, f"{scenario.money.discount_rate:g}", remedy, name)])


def _without_grass(plan: Scenario, way: Way, *, always: bool) -> Scenario:
    """The plan without any use of grass that would not begin before the harvest, and nothing sown for it."""
    begins = use_begins(plan.use)
    if not always and (begins is None or begins < way.harvest):
        return plan
    use = plan.use.model_copy(update={"hay_years": None, "first_grazing_year": None})
    return plan.model_copy(update={"use": use, "pasture": plan.pasture.model_copy(update={"sown_year": 0})})
