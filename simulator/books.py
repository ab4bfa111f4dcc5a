"""From a simulation to the books of one of its plans: what grew, and all that an owner meets beside growing."""

import numpy as np

from simulator.engine import Simulation
from simulator.enterprises.extra import Facts, Ledger
from simulator.enterprises.owner_ledger import OwnersBooks, owners_books
from simulator.enterprises.setting import has_alley
from simulator.measures import effective_prices
from simulator.parameters.prices import PriceTable
from simulator.plan import Plan
from simulator.schedule import NEVER


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
    book, money = simulation.setting.book, simulation.setting.plan.scenarios[i].money
    rows = _rows_of_its_own(simulation.setting.plan, i)
    ledger = Ledger(book.lines, book.quantity[i, :rows], book.replanting[i])
    own = owners_books(ledger, _facts(simulation, i, rows), effective_prices(money, price_table))
    return own.padded_to(book.quantity.shape[1])


def _rows_of_its_own(plan: Plan, i: int) -> int:
    """Rows that are this plan's, whatever other plans of the batch need: to its horizon or harvest.

    A stand that was found ends with its harvest; what follows is a plan of its own.
    """
    harvest = int(plan.calendar.harvest_age[i] - plan.start_age[i])
    if plan.calendar.harvest_age[i] >= NEVER:
        return plan.horizon + 1
    return (harvest if plan.standing[i] else max(plan.horizon, harvest)) + 1


def _facts(simulation: Simulation, i: int, rows: int) -> Facts:
    plan, whole = simulation.setting.plan, simulation.history.column
    column = {name: values[:, :rows] for name, values in whole.items()}
    # the books count years as the file does: from planting, or from today where trees stand already
    scenario, age = plan.scenarios[i], column["age"][i] - plan.start_age[i]
    harvest = scenario.harvest.year if scenario.harvest and scenario.trees else NEVER
    return Facts(
        scenario=scenario,
        age=age,
        light=column["light_warm"][i],
        trees=column["trees_per_ac"][i] > 0,
        grazed=column["animal_unit_months_ac"][i] > 0,
        mown=column["hay_ton_ac"][i] > 0,
        replanted=(age == harvest) & (np.arange(len(age)) < plan.horizon) & ~plan.standing[i],
        grass_share=float(plan.geometry.grass_share[i]),
        alley=bool(has_alley(simulation.setting)[i]),
    )
