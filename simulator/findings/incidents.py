"""What storms, droughts, missing bids and neglect did to a plan, in words."""

from collections.abc import Callable, Iterator
from typing import Final

import numpy as np

from simulator.parameters.species import load_species
from simulator.result import Outcome

FEW_TREES_PER_AC = 20.0
"""With fewer trees left nobody would carry on as if nothing had happened; judgement of practice, no source."""
ON_GRASS: Final = ("drought", "hogs")

Found = Iterator[tuple[str, str]]


def _events(outcome: Outcome) -> Found:
    """Say year by year what events took."""
    by_year: dict[int, list[str]] = {}
    for event in sorted(outcome.scenario.event, key=lambda event: event.year):
        if event.severity > 0:
            by_year.setdefault(event.year, []).append(event.kind)
    for year, kinds in by_year.items():
        parts = [part for part in (_trees_lost(outcome, year), _grass_lost(outcome, year, kinds)) if part]
        struck = " and ".join(kinds).capitalize()
        if parts or outcome.scenario.trees is not None:
            yield "event", f"{struck} in year {year}: {'; '.join(parts) or 'nothing here is touched'}."


def _trees_lost(outcome: Outcome, year: int) -> str:
    lost = float(outcome.states["trees_lost_to_events_per_ac"][year])
    if lost <= 0:
        return ""
    left = float(outcome.states["trees_per_ac"][year])
    sold = float(outcome.states["salvaged_after_events_ton_ac"][year])
    rest = f", {sold:.1f} tons an acre of them are salvaged" if sold > 0 else ", and none of the wood is sold"
    return f"{lost:.0f} of {lost + left:.0f} trees an acre are lost{rest}"


def _grass_lost(outcome: Outcome, year: int, kinds: list[str]) -> str:
    touched = [kind for kind in ON_GRASS if kind in kinds]
    if not touched:
        return ""
    grown = float(outcome.states["forage_lb_ac"][year])
    after = min(year + 1, len(outcome.states["forage_lb_ac"]) - 1)
    if touched == ["hogs"]:
        return f"sod is turned; {outcome.states['forage_lb_ac'][after]:,.0f} lb of forage an acre grow the year after"
    return f"{grown:,.0f} lb of forage an acre grow"


def _repeated_events(outcome: Outcome) -> Found:
    counted = [event.year for event in outcome.scenario.event if event.severity > 0]
    leading = outcome.flows.leading_yr
    if not counted or min(counted) > leading + outcome.flows.cycle_yr:
        return
    if outcome.lives and max(counted) <= leading:
        yield "event_repeats", "Events are illustrations, no forecast; those of the stand count once, in their year."
        return
    repeated = (
        "those after the stand's harvest in every later cycle"
        if outcome.lives
        else "those of the first cycle in every later one"
    )
    message = (
        f"Events are illustrations, no forecast. The yearly income repeats {repeated}; the present value counts each "
        "once, in its year."
    )
    yield "event_repeats", message


def _few_left(outcome: Outcome) -> Found:
    lost, trees = outcome.states["trees_lost_to_events_per_ac"], outcome.states["trees_per_ac"]
    bare = np.flatnonzero((lost > 0) & (trees < FEW_TREES_PER_AC))
    if len(bare):
        message = (
            f"After year {bare[0]} only {trees[bare[0]]:.0f} trees an acre are left and the plan goes on as written; "
            "an owner would replant or return to pasture."
        )
        yield "few_trees_left", message


def _pulpwood(outcome: Outcome) -> Found:
    trees = outcome.scenario.trees
    if outcome.scenario.market.pulpwood_bid or trees is None or load_species(trees.species).orchard is not None:
        return
    yield (
        "no_pulpwood_bid",
        "Nobody bids on pulpwood: what is cut of it is left lying, what stands of it brings nothing.",
    )
    waits = np.flatnonzero(outcome.states["thinning_waits"])
    if len(waits):
        done = np.flatnonzero(outcome.states["trees_cut_per_ac"][waits[0] :])
        end = f"until year {waits[0] + done[0]}" if len(done) else "to the end"
        yield (
            "thinning_waits",
            f"The thinning of year {waits[0]} is mostly pulpwood and finds no bid: the stand stays crowded {end}.",
        )


def _young_trees(outcome: Outcome) -> Found:
    trees = outcome.scenario.trees
    if trees is None:
        return
    planted = outcome.states["trees_replanted_per_ac"]
    for year in np.flatnonzero(planted):
        yield (
            "replanted",
            f"Too few seedlings live: {planted[year]:.0f} an acre are planted in gaps in year {year}.",
        )
    if trees.volunteers_per_ac > 0 and not trees.control_volunteers:
        message = (
            f"{trees.volunteers_per_ac:.0f} self-sown trees an acre crowd the planted ones until the first thinning; "
            "how much is assumed."
        )
        yield "volunteers", message


def _let_go(outcome: Outcome) -> Found:
    begun, last = outcome.scenario.neglect.from_year, len(outcome.cash_per_ac) - 1
    if begun is None or outcome.scenario.trees is None or begun > last:
        return
    grazed = outcome.states["animal_unit_months_ac"] > 0
    end = outcome.scenario.harvest.year if outcome.scenario.harvest else last
    after = [year for year in range(begun, min(end, last) + 1) if grazed[begun:year].any() and not grazed[year]]
    fence = f" Grazing ends in year {after[0]}: nobody renews the fence." if after else ""
    yield "let_go", f"From year {begun} on nothing is done but the final harvest.{fence}"


INCIDENTS: Final[tuple[Callable[[Outcome], Found], ...]] = (
    _events,
    _few_left,
    _repeated_events,
    _pulpwood,
    _young_trees,
    _let_go,
)
"""Checks of a plan's outcome, most serious first; each yields a code and a sentence."""
