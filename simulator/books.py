"""From a simulation to the books of one of its plans: what grew, and all that an owner meets beside growing."""

import numpy as np

from simulator.engine import Simulation
from simulator.enterprises.extra import Facts, Ledger
from simulator.enterprises.owner_ledger import OwnersBooks, owners_books
from simulator.enterprises.setting import has_alley
from simulator.measures import effective_prices
from simulator.parameters.prices import PriceTable
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
    ledger = Ledger(book.lines, book.quantity[i], book.replanting[i])
    return owners_books(ledger, _facts(simulation, i), effective_prices(money, price_table))


def _facts(simulation: Simulation, i: int) -> Facts:
    plan, column = simulation.setting.plan, simulation.history.column
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
