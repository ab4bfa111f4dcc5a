"""Plans of the land grown through draws: each with what strikes it, and a found stand with what follows it."""

from dataclasses import replace
from pathlib import Path
from typing import Final, NamedTuple

import numpy as np

from optimize.prices.market import Market
from optimize.risk.draws import Terms, drawn_agenda, expected_agenda
from optimize.risk.lots import Lots
from optimize.risk.pasts import Cycle, pasts_of
from simulator.agenda import Agenda
from simulator.batch import plan_of, tables_of
from simulator.books import books_of
from simulator.cycles import flows_of
from simulator.measures import Flows
from simulator.parameters.hazards import FELLING_KINDS
from simulator.parameters.prices import PriceTable, load_prices
from simulator.plan import Plan
from simulator.scenario.model import Scenario
from simulator.scenario.trees import Harvest
from simulator.shared_growth import grown_in_stages, stages_between
from simulator.simulation import Simulation
from simulator.succession import after_harvest, joined_flows
from simulator.units import FloatArray, IntArray

SINGLE: Final = -1
"""In place of a chunk's number: runs without draws, in which every year brings its probability times the loss."""
FOUND, FOLLOWER = 0, 1
"""Lives of the land: what the plan begins with, and what follows a stand that was found."""


class Portion(NamedTuple):
    """Work of one process: a plan of the land and a chunk of draws.

    Attributes
    ----------
    plan
        The plan.
    beside
        Folder of the scenario file, for its own price table.
    seed, number
        Which chunk of which series; ``SINGLE`` asks for the runs without draws instead.
    draws
        Draws wanted from the first of the chunk on; more than a chunk reach into the next ones.
    terms
        How often hazards strike and how hard; of the single runs one after the other.
    market
        How prices move; None where they stay.
    """

    plan: Scenario
    beside: Path | None
    seed: int
    number: int
    draws: int
    terms: tuple[Terms, ...]
    market: Market | None = None

    @property
    def prices(self) -> PriceTable:
        """The price table of the plan."""
        return load_prices(self.plan.money.price_table, self.beside)


class Lives(NamedTuple):
    """A plan through its draws, to the horizon.

    Attributes
    ----------
    simulation
        Of the plan itself.
    flows
        Quantities of each draw, those of what follows a found stand joined to them.
    life
        ``FOUND`` or ``FOLLOWER``: which life of the land the horizon falls in, (draws,).
    age
        Years of that life at the horizon [yr], (draws,).
    trees
        Trees left then [1/ac], (draws,).
    early
        Times that a stand went before its harvest, in all lives to the horizon, (draws,).
    """

    simulation: Simulation
    flows: list[Flows]
    life: IntArray
    age: IntArray
    trees: FloatArray
    early: IntArray


def relevant_to(plan: Scenario) -> tuple[str, ...]:
    """Hazards that can change what a plan, and what follows it, brings.

    Open land has no trees to lose, grass that nobody uses no drought.
    """
    grass = ("drought",) if _uses_grass(plan) or plan.stand is not None else ()
    trees = (*FELLING_KINDS, "seedling loss") if plan.trees is not None else ()
    return (*trees, *grass, "hogs")


def lives_of(portion: Portion, lots: Lots | None) -> Lives:
    """Grow a plan in every draw, and what follows a found stand from the year in which it was cut or lost.

    Parameters
    ----------
    portion
        The plan.
    lots
        Numbers of its draws; None for the single runs.

    Returns
    -------
    Lives
    """
    plan, horizon = portion.plan, portion.plan.money.horizon_years
    simulation = grown(portion, plan, lots, 0)
    flows, trees = quantities(simulation, portion), trees_left(simulation)[:, horizon]
    ends = np.asarray(simulation.history.column["age"][:, horizon] - simulation.setting.plan.start_age, np.int64)
    early = early_cuts(simulation, horizon)
    lives = Lives(simulation, flows, np.full(len(flows), FOUND), ends, trees, early)
    if plan.stand is None or plan.harvest is None:
        return lives
    standing = simulation.history.column["trees_per_ac"] > 0
    last = np.where(standing, np.arange(standing.shape[1]), 0).max(axis=1)
    for cut in np.unique(last):
        _followed(portion, lots, lives, int(cut), np.flatnonzero(last == cut))
    return lives


def _followed(portion: Portion, lots: Lots | None, lives: Lives, cut: int, places: IntArray) -> None:
    """Join what follows a stand that was cut in a row to the draws of these places."""
    horizon = portion.plan.money.horizon_years
    then = after_harvest(portion.plan.model_copy(update={"harvest": Harvest(year=cut)}), portion.beside)[1]
    some = None if lots is None else Lots(*(part[..., places] for part in lots))
    simulation = grown(portion, then, some, cut)
    left, flows = then.money.horizon_years, quantities(simulation, portion)
    for place, follower, trees in zip(places, flows, trees_left(simulation)[:, left], strict=True):
        whole = lives.flows[place]._replace(cycle_quantity=lives.flows[place].cycle_quantity[: cut + 1])
        lives.flows[place] = joined_flows(whole, steady=follower, then=follower, cut=cut)
        if cut < horizon:
            lives.life[place], lives.trees[place] = FOLLOWER, trees
    if cut < horizon:
        lives.early[places] += early_cuts(simulation, horizon - cut)
        lives.age[places] = np.asarray(simulation.history.column["age"][:, left], np.int64)


def grown(portion: Portion, plan: Scenario, lots: Lots | None, first: int) -> Simulation:
    """Grow one of the plans of a portion in every draw.

    Parameters
    ----------
    portion
        How often hazards strike, and where prices are found.
    plan
        Its plan, or what follows it.
    lots
        Numbers of the draws; None for the single runs.
    first
        Row of the draws' calendar in which the plan has its year 0.

    Returns
    -------
    Simulation
        On the fast light path; years that draws have in common are grown once.
    """
    numbers = tables_of([plan])
    one = plan_of([plan], numbers, "fast", {plan.money.price_table: portion.prices})
    draws = len(portion.terms) if lots is None else lots.outbreak.shape[1]
    whole = one.of(np.zeros(draws, np.int64))
    terms = tuple(each.among(relevant_to(plan)) for each in portion.terms)
    if lots is None:
        met = expected_agenda(whole.agenda, terms, whole.last_year)
        return grown_in_stages(
            _meeting(whole, met), numbers, stages_between([np.arange(draws)] * (whole.last_year + 1))
        )
    cycle = Cycle(int(whole.start_age[0]), int(whole.calendar.harvest_age[0]), _uses_grass(plan))
    pasts = pasts_of(Lots(*(part[first:] for part in lots)), terms[0], whole.last_year, cycle)
    met = drawn_agenda(whole.agenda, lots, terms[0], first)
    return grown_in_stages(_meeting(whole, met), numbers, stages_between(pasts))


def quantities(simulation: Simulation, portion: Portion) -> list[Flows]:
    """Quantities of every draw as they are priced."""
    draws, table = simulation.setting.plan.candidates, portion.prices
    return [flows_of(simulation, i, books_of(simulation, i, table).ledger) for i in range(draws)]


def trees_left(simulation: Simulation) -> FloatArray:
    """Trees after each year's cut [1/ac], (draws, rows)."""
    column = simulation.history.column
    return np.maximum(column["trees_per_ac"] - column["trees_cut_per_ac"], 0.0)


def early_cuts(simulation: Simulation, last: int) -> IntArray:
    """Times that a stand went before its harvest, to a last row, (draws,)."""
    plan, column = simulation.setting.plan, simulation.history.column
    everything = (column["trees_cut_per_ac"] > 0) & (trees_left(simulation) < GONE * column["trees_per_ac"])
    early = everything & (column["age"] < plan.calendar.harvest_age[:, None])
    return np.asarray(early[:, : last + 1].sum(axis=1), np.int64)


GONE: Final = 1e-9
"""Part of a stand below which nothing is left of it but rounding."""


def _meeting(whole: Plan, agenda: Agenda) -> Plan:
    return replace(whole, agenda=agenda)


def _uses_grass(plan: Scenario) -> bool:
    used = plan.use.first_grazing_year is not None or plan.use.hay_years is not None or plan.straw.market
    return used or plan.trees is None
