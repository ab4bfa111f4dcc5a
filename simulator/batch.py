"""Many scenarios as batches: which of them can grow together, with which numbers, and their growing."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from simulator.engine import simulate
from simulator.enterprises.offers import signed_prices
from simulator.events.light import Precision
from simulator.geometry import rows_of_cell
from simulator.measures import effective_prices
from simulator.parameters.prices import PriceTable
from simulator.parameters.tables import Tables, load_tables
from simulator.parameters.wood import load_wood
from simulator.plan import Plan, compile_plan
from simulator.scenario.model import Scenario
from simulator.simulation import Simulation
from simulator.units import FloatArray

EXACT_POINTS = 16
FAST_POINTS = 8


def kind_of(scenario: Scenario) -> tuple[object, ...]:
    """What scenarios must share to grow in one batch."""
    species = scenario.trees.species if scenario.trees else None
    treatments = frozenset(treatment.item for treatment in scenario.treatment)
    shape = scenario.money.horizon_years, rows_of_cell(scenario), scenario.stand and scenario.stand.origin
    grasses = scenario.pasture.grass, scenario.pasture.overseeded, scenario.pasture.later_grass
    return species, grasses, scenario.use.animals, shape, treatments, scenario.sale.pricing


def tables_of(members: Sequence[Scenario], tables: Tables | None = None) -> Tables:
    """Numbers of a batch of one kind: the packaged ones, or those given, with the grasses the batch needs."""
    first = members[0]
    species = first.trees.species if first.trees else "loblolly"
    grass = first.pasture
    numbers = tables or load_tables(species, grass.grass, first.use.animals, grass.overseeded, grass.later_grass)
    numbers = numbers.for_grasses(overseeded=grass.overseeded, later=grass.later_grass)
    if first.stand is not None and first.stand.origin == "natural":
        numbers = numbers._replace(wood=load_wood(species, natural=True))
    return numbers


def plan_of(
    members: Sequence[Scenario], numbers: Tables, precision: Precision, prices: Mapping[str, PriceTable]
) -> Plan:
    """A batch of one kind as the arrays of the yearly loop, told what mills pay so that it knows a bid from none."""
    points = EXACT_POINTS if precision == "exact" else FAST_POINTS
    strip, stumps = numbers.tree.planting.strip_width_ft, numbers.practice.ground.stumps_and_landings_share
    plan = compile_plan(members, strip_width_ft=strip, points=points, stumps_share=stumps)
    return replace(plan, mill_prices=np.array([_mill_prices(member, prices) for member in members]))


def _mill_prices(scenario: Scenario, prices: Mapping[str, PriceTable]) -> FloatArray:
    return signed_prices(effective_prices(scenario.money, prices[scenario.money.price_table]))


def grow(
    members: Sequence[Scenario], precision: Precision, tables: Tables | None, prices: Mapping[str, PriceTable]
) -> Simulation:
    """Grow a batch of one kind from year 0 to its last year.

    Parameters
    ----------
    members
        Its plans.
    precision
        Light path.
    tables
        Numbers to use instead of the packaged ones.
    prices
        Price tables by name.
    """
    numbers = tables_of(members, tables)
    return simulate(plan_of(members, numbers, precision, prices), numbers, precision)
