"""From a simulation to the books of one of its plans: what grew, and all that an owner meets beside growing."""

import numpy as np

from simulator.enterprises.dry_access import with_access
from simulator.enterprises.extra import Facts, Field, Ledger
from simulator.enterprises.orchard_value import Orchard, quantities_left, with_orchard_left
from simulator.enterprises.owner_ledger import OwnersBooks, owners_books
from simulator.enterprises.setting import has_alley
from simulator.enterprises.sold_early import ExitValue
from simulator.measures import effective_prices, real_discount_rate
from simulator.parameters.prices import PriceTable
from simulator.plan import Plan
from simulator.schedule import NEVER
from simulator.simulation import Simulation
from simulator.units import FloatArray


def books_of(simulation: Simulation, i: int, price_table: PriceTable) -> OwnersBooks:
    """Ledger and hours of one plan, rows 0 to the last year simulated.

    Parameters
    ----------
    simulation
        What grew.
    i
        Place of the plan in the batch.
    price_table
        Its prices, before overrides.

    Returns
    -------
    OwnersBooks
    """
    book, plan = simulation.setting.book, simulation.setting.plan
    money, orchard, quantity = plan.scenarios[i].money, _orchard(simulation, i), book.quantity[i]
    if orchard is not None and money.value_at_end:
        quantity = with_orchard_left(orchard, real_discount_rate(money), plan.horizon)
    rows = rows_of_its_own(plan, i)
    ledger = Ledger(book.lines, quantity[:rows], book.replanting[i])
    own = owners_books(ledger, _facts(simulation, i, rows), effective_prices(money, price_table))
    return own.padded_to(len(quantity))


def rows_of_its_own(plan: Plan, i: int) -> int:
    """Rows that are this plan's, whatever other plans of the batch need: to its horizon or harvest.

    A stand that was found ends with its harvest; what follows is a plan of its own.
    """
    harvest = int(plan.calendar.harvest_age[i] - plan.start_age[i])
    if plan.calendar.harvest_age[i] >= NEVER:
        return plan.horizon + 1
    return (harvest if plan.standing[i] else max(plan.horizon, harvest)) + 1


def exit_value_of(simulation: Simulation, i: int) -> ExitValue:
    """What could be sold with the land of one plan after each year of the horizon.

    Parameters
    ----------
    simulation
        What grew.
    i
        Place of the plan in the batch.

    Returns
    -------
    ExitValue
        NaN on the fast path, which does not ask. The years left to an orchard are in it.
    """
    plan = simulation.setting.plan
    lines = with_access(simulation.setting.book.lines, plan.scenarios[i])
    rows, orchard = slice(0, plan.horizon + 1), _orchard(simulation, i)
    value = simulation.history.exits.of(i, rows, lines)
    if orchard is None:
        return value
    rate = real_discount_rate(plan.scenarios[i].money)

    def with_years_left() -> FloatArray:
        quantity = value.quantity.copy()
        for key, worth in quantities_left(orchard, rate).items():
            place = [line.key for line in value.lines].index(key)
            asked = ~np.isnan(quantity[:, place])
            quantity[asked, place] = worth[rows][asked]
        return quantity

    return ExitValue(value.lines, with_years_left)


def _orchard(simulation: Simulation, i: int) -> Orchard | None:
    """The record of a plan with nut trees; None for others, whose wood is worth its stumpage at any time."""
    setting, column = simulation.setting, simulation.history.column
    plan = setting.plan
    if plan.scenarios[i].trees is None or setting.tables.tree.species.orchard is None:
        return None
    start, harvest = int(plan.start_age[i]), int(plan.calendar.harvest_age[i])
    if harvest >= NEVER:
        return None
    row_in_cycle = column["age"][i] - start
    return Orchard(
        setting.book.lines, setting.book.quantity[i], row_in_cycle, column["trees_per_ac"][i], harvest - start
    )


def _facts(simulation: Simulation, i: int, rows: int) -> Facts:
    plan, whole = simulation.setting.plan, simulation.history.column
    column = {name: values[:, :rows] for name, values in whole.items()}
    # the books count years as the file does: from planting, or from today where trees stand already
    scenario, age, geometry = plan.scenarios[i], column["age"][i] - plan.start_age[i], plan.geometry
    rows_share = float(geometry.rows_share[i])
    harvest = scenario.harvest.year if scenario.harvest and scenario.trees else NEVER
    return Facts(
        scenario=scenario,
        age=age,
        light=column["light_warm"][i],
        trees=column["trees_per_ac"][i] > 0,
        grazed=column["animal_unit_months_ac"][i] > 0,
        mown=column["hay_ton_ac"][i] > 0,
        replanted=(age == harvest) & (np.arange(len(age)) < plan.horizon) & ~plan.standing[i],
        grass_share=float(geometry.grass_ground[i]) * rows_share,
        alley=bool(has_alley(simulation.setting)[i]),
        field=Field(rows_share, float(geometry.headland[i]) * rows_share),
    )
