"""What one plan of the land earns in a portion of the draws."""

from pathlib import Path
from typing import Final, NamedTuple

import numpy as np

from optimize.prices.draws import Draws
from optimize.prices.market import Market
from optimize.prices.repricing import drawn_unit_prices
from optimize.risk.draws import CHUNK, Lots, Terms, drawn_agenda, expected_agenda, lots_between
from optimize.risk.pasts import Cycle, pasts_of
from simulator.accounts import Line
from simulator.batch import plan_of, tables_of
from simulator.books import books_of
from simulator.cycles import flows_of
from simulator.ledger import unit_prices
from simulator.measures import END_VALUE, Flows, effective_prices
from simulator.parameters.hazards import FELLING_KINDS
from simulator.parameters.prices import load_prices
from simulator.plan import Plan
from simulator.scenario.model import Scenario
from simulator.scenario.trees import Harvest
from simulator.shared_growth import grown_in_stages, stages_between
from simulator.simulation import Simulation
from simulator.succession import after_harvest, joined_flows
from simulator.units import FloatArray, IntArray

EXPECTED: Final = -1
"""In place of a chunk's number: one run in which every year brings its probability times the loss."""
UNTOUCHED: Final = -2
"""In place of a chunk's number: one run that nothing strikes but what the file says."""


class Portion(NamedTuple):
    """Work of one process: a plan of the land and a chunk of draws.

    Attributes
    ----------
    plan
        The plan.
    beside
        Folder of the scenario file, for its own price table.
    seed, number
        Which chunk of which series; a number below 0 is one of the two single runs above.
    draws
        Draws wanted from the first of the chunk on; more than a chunk reach into the next ones.
    terms
        How often hazards strike and how hard.
    market
        How prices move; None where they stay.
    """

    plan: Scenario
    beside: Path | None
    seed: int
    number: int
    draws: int
    terms: Terms
    market: Market | None = None


class Earned(NamedTuple):
    """What a plan earned in some draws, per acre.

    Attributes
    ----------
    cash
        Net cash by year, end values left out [$/ac], (draws, years).
    end_value
        What is left at the horizon [$/ac], (draws,).
    replanted
        Times that so much was lost that the land was planted again, or the stand felled early, (draws,).
    largest_share
        Share of all receipts that the largest enterprise brings [1], (draws,); NaN without receipts.
    """

    cash: FloatArray
    end_value: FloatArray
    replanted: IntArray
    largest_share: FloatArray


def earned(portion: Portion) -> Earned:
    """Grow a plan through a portion of the draws and price it.

    Parameters
    ----------
    portion
        What to do.

    Returns
    -------
    Earned
        The same bytes from the same portion, whatever else is done beside it.
    """
    plan, years = portion.plan, portion.plan.money.horizon_years
    terms = portion.terms.among(relevant_to(plan))
    drawn = portion.number >= 0
    lots = lots_between(portion.seed, portion.number, portion.draws, years) if drawn else None
    flows, replanted = _quantities(_Growth(portion, terms, lots))
    prices = _Prices(portion, years)
    rows = [prices.money(flow, place) for place, flow in enumerate(flows)]
    cash, end, share = (np.array(column) for column in zip(*rows, strict=True))
    return Earned(cash, end, replanted, share)


def relevant_to(plan: Scenario) -> tuple[str, ...]:
    """Hazards that can change what a plan brings: open land has no trees to lose, idle grass no drought."""
    grass = ("drought",) if _uses_grass(plan) else ()
    trees = (*FELLING_KINDS, "seedling loss") if plan.trees is not None else ()
    return (*trees, *grass, "hogs")


def _uses_grass(plan: Scenario) -> bool:
    used = plan.use.first_grazing_year is not None or plan.use.hay_years is not None or plan.straw.market
    return used or plan.trees is None or plan.stand is not None


class _Growth(NamedTuple):
    """A portion with the hazards that matter to its plan, and its numbers; no numbers for a single run."""

    portion: Portion
    terms: Terms
    lots: Lots | None


def _quantities(growth: _Growth) -> tuple[list[Flows], IntArray]:
    """Quantities of every draw, and how often its stand was lost."""
    plan = growth.portion.plan
    simulation = _grown(growth, plan, 0)
    flows, felled = _flows(simulation, growth.portion), _rows_of_early_cuts(simulation)
    if plan.stand is None or plan.harvest is None:
        return flows, felled.sum(axis=1)
    last_with_trees = np.where(simulation.history.column["trees_per_ac"] > 0, np.arange(felled.shape[1]), 0).max(axis=1)
    for cut in np.unique(last_with_trees):
        places = np.flatnonzero(last_with_trees == cut)
        then = _followers(growth, int(cut), places)
        for place, follower in zip(places, then, strict=True):
            cut_then = flows[place]._replace(cycle_quantity=flows[place].cycle_quantity[: cut + 1])
            flows[place] = joined_flows(cut_then, steady=follower, then=follower, cut=int(cut))
    return flows, felled.sum(axis=1)


def _followers(growth: _Growth, cut: int, places: IntArray) -> list[Flows]:
    """Quantities of what follows a stand that was cut in a row, in the draws of these places."""
    plan, lots = growth.portion.plan, growth.lots
    _, then = after_harvest(plan.model_copy(update={"harvest": Harvest(year=cut)}), growth.portion.beside)
    some = None if lots is None else Lots(*(part[..., places] for part in lots))
    return _flows(_grown(growth._replace(lots=some), then, cut), growth.portion)


def _grown(growth: _Growth, plan: Scenario, first: int) -> Simulation:
    """Grow a plan in every draw; its year 0 is row ``first`` of the calendar of the draws."""
    portion, terms, lots = growth
    tables = {plan.money.price_table: load_prices(plan.money.price_table, portion.beside)}
    numbers = tables_of([plan])
    one = plan_of([plan], numbers, "fast", tables)
    draws = 1 if lots is None else lots.outbreak.shape[1]
    whole = one.of(np.zeros(draws, np.int64))
    if lots is not None:
        agenda = drawn_agenda(whole.agenda, lots, terms, first)
        left = Lots(*(part[first:] for part in lots))
        cycle = Cycle(int(whole.start_age[0]), int(whole.calendar.harvest_age[0]), _uses_grass(plan))
        pasts = pasts_of(left, terms, whole.last_year, cycle)
    else:
        expected = portion.number == EXPECTED
        agenda = expected_agenda(whole.agenda, terms, whole.horizon) if expected else whole.agenda
        pasts = [np.zeros(1, np.int64)] * (whole.last_year + 1)
    drawn = Plan(
        whole.scenarios, whole.geometry, whole.calendar, whole.horizon, agenda, mill_prices=whole.mill_prices
    )
    return grown_in_stages(drawn, numbers, stages_between(pasts))


def _flows(simulation: Simulation, portion: Portion) -> list[Flows]:
    table = load_prices(portion.plan.money.price_table, portion.beside)
    draws = simulation.setting.plan.candidates
    return [flows_of(simulation, i, books_of(simulation, i, table).ledger) for i in range(draws)]


def _rows_of_early_cuts(simulation: Simulation) -> IntArray:
    """Rows in which a stand went before its harvest, 1 or 0, (draws, rows)."""
    plan, column = simulation.setting.plan, simulation.history.column
    age, trees = column["age"], column["trees_per_ac"]
    later = np.minimum(np.arange(1, age.shape[1] + 1), age.shape[1] - 1)
    gone = (trees > 0) & (column["trees_cut_per_ac"] > 0) & ((age[:, later] < age) | (trees[:, later] <= 0))
    return np.asarray(gone & (age < plan.calendar.harvest_age[:, None]) & (later > np.arange(age.shape[1])), np.int64)


class _Prices:
    """Signed prices of the lines of a plan in each draw."""

    def __init__(self, portion: Portion, years: int) -> None:
        self._table = load_prices(portion.plan.money.price_table, portion.beside)
        self._prices = effective_prices(portion.plan.money, self._table)
        self._market, self._paths = portion.market, np.empty((0, 0, 0))
        if portion.market is not None and portion.number >= 0:
            first = portion.number * CHUNK
            self._paths = Draws(portion.market, years + 1, portion.seed).between(first, first + portion.draws)
        self._kept: dict[tuple[Line, ...], FloatArray] = {}

    def money(self, flows: Flows, place: int) -> tuple[FloatArray, float, float]:
        """Cash by year, end value and largest share of receipts of one draw."""
        amount = flows.quantity * self._of(flows.lines, place)
        end = np.array([line.account == END_VALUE for line in flows.lines])
        cash = np.where(end, 0.0, amount).sum(axis=1)
        return cash, float(np.where(end, amount, 0.0).sum()), _largest_share(flows.lines, amount, end)

    def _of(self, lines: tuple[Line, ...], place: int) -> FloatArray:
        if self._market is not None and len(self._paths):
            return drawn_unit_prices(lines, self._prices, self._market.items, self._paths[place])
        if lines not in self._kept:
            self._kept[lines] = unit_prices(lines, self._prices)
        return self._kept[lines]


def _largest_share(lines: tuple[Line, ...], amount: FloatArray, end: FloatArray) -> float:
    receipts = np.where(end, 0.0, np.maximum(amount, 0.0)).sum(axis=0)
    total = float(receipts.sum())
    if total <= 0:
        return float("nan")
    names = np.array([line.enterprise for line in lines])
    return max(float(receipts[names == name].sum()) for name in dict.fromkeys(names.tolist())) / total
