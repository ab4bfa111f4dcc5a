"""From a property file to its plan: pathways grown, the best of them chosen together, and the choice run exactly."""

from collections.abc import Sequence
from typing import NamedTuple

from optimize.pathways import LET
from optimize.property.conflicts import Miss
from optimize.property.file import Property, Tract
from optimize.property.plan import PropertyPlan, best_plan
from optimize.property.relaxation import Tell
from optimize.tracts import TractColumns, columns_of, tract_columns
from simulator.scenario.model import Scenario


class Planned(NamedTuple):
    """A plan and what an exact run says of it.

    Attributes
    ----------
    plan
        What was searched for, on the fast light path, with its bound.
    shown
        The same choice run exactly, which is what a person is shown; the plan itself where there is none.
    missed
        Limits that the exact run misses, though the fast one kept them.
    """

    plan: PropertyPlan
    shown: PropertyPlan
    missed: tuple[Miss, ...]


def plan_property(property_: Property, tell: Tell) -> Planned:
    """Find the best plan of a property.

    Parameters
    ----------
    property_
        A property file, read.
    tell
        Is told how far it is.

    Returns
    -------
    Planned
    """
    with_herd = property_.file.couplings.herd is not None
    tracts = []
    for tract in property_.tracts:
        scenario = for_the_herd(tract.scenario) if with_herd else tract.scenario
        grown = tract_columns(scenario, tract.beside, property_.file.maximise)._replace(name=tract.name)
        if with_herd:
            grown = grown._replace(labels=tuple(label.replace(LET, "grazed by the herd") for label in grown.labels))
        tell(f"{tract.name}: {len(grown.labels)} pathways grown")
        tracts.append(grown)
    plan = _best(property_, tracts, tell)
    if not plan.tracts or not all(tract.scenarios for tract in plan.tracts):
        return Planned(plan, plan, ())
    exact = [exactly(grown, tract, property_) for grown, tract in zip(plan.tracts, property_.tracts, strict=True)]
    shown = _best(property_, exact, lambda _: None)
    if shown.tracts:
        return Planned(plan, shown, ())
    missed = shown.ways_out[0].misses if shown.ways_out else ()
    return Planned(plan, plan, missed)


def _best(property_: Property, tracts: Sequence[TractColumns], tell: Tell) -> PropertyPlan:
    solver = property_.file.solver
    return best_plan(
        tracts,
        property_.file.couplings,
        groups=[tract.group for tract in property_.tracts],
        rate=property_.rate,
        search_for=(solver.time_limit_s, solver.gap, solver.seed),
        tell=tell,
    )


def exactly(chosen: TractColumns, tract: Tract, property_: Property) -> TractColumns:
    """The one pathway chosen for a tract, run on the exact light path."""
    run = columns_of(
        chosen.name, chosen.scenarios, chosen.labels, tract.beside, property_.file.maximise, precision="exact"
    )
    return run._replace(name=tract.name)


def for_the_herd(scenario: Scenario) -> Scenario:
    """The same plan with its grass there for the herd of the whole property.

    It is grown as if let by what is grazed, so that the owner pays for nitrogen and fence and everything the grass
    feeds is counted; the rent is taken out again, because the owner's own animals eat it. No herd of the tract's own
    is bought, sold or counted as displaced.
    """
    if scenario.use.animals == "none":
        return scenario
    let = {"tenure": "leased", "lease_basis": "animal-unit month", "displaced_herd": "none"}
    return scenario.model_copy(update={"use": scenario.use.model_copy(update=let)})
