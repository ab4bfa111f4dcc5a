"""The standing pines of the packaged example and stands made from them, for whichever test needs one."""

from collections.abc import Sequence
from functools import cache

from plans import changed
from simulator.comparison import Comparison, compare
from simulator.result import Outcome
from simulator.scenario.file import load_text
from simulator.scenario.model import Scenario
from simulator.scenario.stand import DbhClass, FoundStand
from simulator.scenario.trees import Harvest, Thinning
from workbench.examples import Choices, scenario_text


def pines_text() -> str:
    """Text of the packaged stand."""
    return scenario_text(Choices(route="stand"))


@cache
def pines() -> Scenario:
    """Eighteen-year-old loblolly, never thinned, opened in two cuts and grazed by a tenant's cattle."""
    return load_text(pines_text(), "standing pines")


@cache
def pines_compared() -> Comparison:
    """The pines opened now, kept, cleared and opened later, on the fast light path."""
    return compare(pines(), precision="fast")


def stand_of(age: int, table: Sequence[tuple[float, float]], **fields: object) -> FoundStand:
    """A stand from pairs of dbh [in] and trees [1/ac]."""
    lines = tuple(DbhClass(dbh_in=dbh, trees_per_ac=trees) for dbh, trees in table)
    return FoundStand.model_validate({"age": age, "class": [line.model_dump() for line in lines], **fields})


def idle(plan: Scenario, harvest: int, *thinnings: Thinning) -> Scenario:
    """The stand by itself: no grass used, nothing done but these cuts."""
    use = plan.use.model_copy(update={"first_grazing_year": None, "hay_years": None})
    quiet = changed(plan, "pasture", established=True, sown_year=0)
    return quiet.model_copy(
        update={"use": use, "thinning": thinnings, "treatment": (), "pruning": (), "harvest": Harvest(year=harvest)}
    )


def first_life(outcome: Outcome) -> Outcome:
    """The stand of an outcome by itself, to its harvest."""
    return outcome.lives[0]
