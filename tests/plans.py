"""The packaged example and plans made from it, for whichever test needs one."""

from functools import cache

from simulator.baselines import systems_of
from simulator.comparison import Comparison, compare
from simulator.result import Outcome, run, run_batch
from simulator.scenario.file import load_text
from simulator.scenario.grass import Use
from simulator.scenario.model import Scenario
from simulator.scenario.trees import Harvest, Layout, Thinning
from workbench.examples import EXAMPLE_NAME, example_text


@cache
def example() -> Scenario:
    """The north field: double rows, hay, then a tenant's cattle."""
    return load_text(example_text(), EXAMPLE_NAME)


@cache
def compared() -> Comparison:
    """The example beside its two single uses, on the exact light path."""
    return compare(example())


def changed(plan: Scenario, part: str, **fields: object) -> Scenario:
    """The same plan with some fields of one table changed."""
    return plan.model_copy(update={part: getattr(plan, part).model_copy(update=fields)})


def laid_out(plan: Scenario, **layout: float) -> Scenario:
    """The same plan with its trees planted otherwise."""
    assert plan.trees is not None
    return changed(plan, "trees", layout=Layout.model_validate({"rows_in_set": 1, "in_row_ft": 8.0, **layout}))


def scheduled(plan: Scenario, harvest: int, *thinnings: Thinning) -> Scenario:
    """The same plan thinned and cut in other years."""
    return plan.model_copy(update={"thinning": thinnings, "harvest": Harvest(year=harvest)})


def used(plan: Scenario, **use: object) -> Scenario:
    """The same plan with nothing known of its use but what is said here."""
    return plan.model_copy(update={"use": Use.model_validate(use)})


def fast(plan: Scenario) -> Outcome:
    """One plan on the fast light path."""
    return run(plan, precision="fast")


def pasture(plan: Scenario) -> Scenario:
    """The open pasture of the same land."""
    return systems_of(plan)["pasture"]


def plantation(plan: Scenario) -> Scenario:
    """The plantation of the same land."""
    return systems_of(plan)["plantation"]


def grown_fast(*plans: Scenario) -> list[Outcome]:
    """Several plans in one batch on the fast light path."""
    return run_batch(plans, precision="fast")
