"""What a plan holds beside trees, grass and cuts, in short phrases: inputs, fire, buyers, neglect, events."""

from collections.abc import Iterator

from simulator.scenario.events import Neglect
from simulator.scenario.model import Scenario
from simulator.scenario.sale import DELIVERED, DRY


def beside_the_plan(scenario: Scenario) -> list[str]:
    """Fertiliser for the trees, fire, missing bids, the sale of wood, neglect and events of a plan, one phrase each."""
    parts = [*_inputs(scenario), *_young_trees(scenario)]
    if scenario.trees is not None and not scenario.market.pulpwood_bid:
        parts.append("no bid for pulpwood")
    parts += _sale(scenario) if scenario.trees is not None else []
    parts += _neglect(scenario.neglect) if scenario.trees is not None else []
    return parts + [f"{event.kind} in {event.year}" for event in scenario.event if event.severity > 0]


def _inputs(scenario: Scenario) -> Iterator[str]:
    for dose in scenario.fertiliser:
        pounds = ((dose.nitrogen_lb_ac, "nitrogen"), (dose.phosphorus_lb_ac, "phosphorus"))
        said = " and ".join(f"{amount:g} lb {what}" for amount, what in pounds if amount > 0)
        yield f"fertilise trees {dose.year} with {said}"
    if scenario.fire is not None:
        yield f"burn from {scenario.fire.first_year} every {scenario.fire.interval_years} years"


def _young_trees(scenario: Scenario) -> Iterator[str]:
    trees = scenario.trees
    if trees is None:
        return
    if trees.replant_below is not None:
        yield f"replant below {trees.replant_below:.0%} alive"
    if trees.volunteers_per_ac > 0:
        yield f"{trees.volunteers_per_ac:g} volunteers/ac {'cut' if trees.control_volunteers else 'left'}"
    if not trees.rip:
        yield "not ripped"


def _sale(scenario: Scenario) -> list[str]:
    sale = scenario.sale
    said = {
        f"wood sold at the mill, {sale.haul_miles:g} miles": sale.pricing == DELIVERED,
        f"sold with {sale.acres_sold_with:g} other acres": sale.acres_sold_with > 0,
        "trucks only in dry weather": sale.access == DRY,
    }
    return [words for words, true in said.items() if true]


def _neglect(neglect: Neglect) -> list[str]:
    said = {
        f"thinnings {', '.join(map(str, neglect.missed_thinnings))} missed": bool(neglect.missed_thinnings),
        f"thinnings {neglect.thinnings_late_years} years late": neglect.thinnings_late_years > 0,
        f"no fertiliser from {neglect.no_fertiliser_from_year}": neglect.no_fertiliser_from_year is not None,
        "no pruning": neglect.no_pruning,
        f"let go from {neglect.from_year}": neglect.from_year is not None,
    }
    return [words for words, true in said.items() if true]
