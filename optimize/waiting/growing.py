"""Every way to treat a stand, grown exactly: its yearly quantities to the harvest, and the land that is then bare."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from optimize.prices.repricing import Repricing, repricing_of
from optimize.verdicts import VERDICTS, verdicts
from optimize.waiting.ways import Question, Way
from simulator.alternatives import successor_of
from simulator.batch import kind_of
from simulator.books import books_of
from simulator.cycles import flows_of
from simulator.errors import InputError, Problem
from simulator.finance import land_expectation_value, net_present_value
from simulator.interest import discount_factor
from simulator.measures import Flows, cycle_cash, effective_prices, real_discount_rate
from simulator.parameters.prices import PriceTable, load_prices
from simulator.result import run
from simulator.scenario.model import Scenario
from simulator.shared_growth import grow_sharing
from simulator.succession import harvest_year
from simulator.units import FloatArray

NO_BID, TOO_FEW_TREES = VERDICTS[1], VERDICTS[2]
"""Reasons for which a way is no way: a thinning that is not sold is not done. Grass that comes late is no reason."""
TOO_SOON = "cut too soon after a thinning"
"""Grown to see how the thinned stand gains in value, but no way to choose."""


@dataclass(frozen=True)
class Grown:
    """Every way to treat a stand, grown on the exact light path.

    Attributes
    ----------
    question
        The stand.
    prices, rate
        Prices in force by item; real yearly discount rate.
    first
        By way, the quantities of the stand to its harvest: lines and (harvest + 1, lines).
    reason
        By way, why it cannot be done; empty where it can.
    bare_land
        Worth of the land in the year of a harvest, what follows for ever in it, by that year [$/ac].
    states, wood_ton_ac
        By way, yearly states by name and green tons sold by year and product, rows 0 to the harvest.
    """

    question: Question
    prices: Mapping[str, float]
    rate: float
    first: Mapping[Way, Flows]
    reason: Mapping[Way, str]
    bare_land: Mapping[int, float]
    states: Mapping[Way, Mapping[str, FloatArray]]
    wood_ton_ac: Mapping[Way, FloatArray]

    def lines_of(self, way: Way, items: Sequence[str]) -> Repricing:
        """Money of the stand to its harvest as a straight line in some prices [$/ac]; the land after it left out."""
        flows = self.first[way]
        return repricing_of(flows.lines, flows.quantity, self.prices, items)

    def present_value(self, way: Way) -> float:
        """Land and stand [$/ac] at the prices in force."""
        stand = float(net_present_value(self.lines_of(way, ()).steady, self.rate))
        return stand + self.bare_land[way.harvest] * float(discount_factor(self.rate, way.harvest))

    def part_value(self, way: Way, enterprises: Sequence[str]) -> float:
        """Present value of some enterprises of the stand to its harvest [$/ac]; the land after it left out."""
        flows = self.first[way]
        mine = [line.enterprise in enterprises for line in flows.lines]
        money = repricing_of(flows.lines, flows.quantity * mine, self.prices, ())
        return float(net_present_value(money.steady, self.rate))

    def doable(self) -> list[Way]:
        """Ways that can be done."""
        return [way for way, reason in self.reason.items() if not reason]


def grown_ways(question: Question, beside: Path | None = None) -> Grown:
    """Grow every way to treat a stand.

    Parameters
    ----------
    question
        The stand.
    beside
        Folder of the scenario file, for its own price table.

    Returns
    -------
    Grown
    """
    table = load_prices(question.scenario.money.price_table, beside)
    reason = dict.fromkeys(question.ways(), "") | dict.fromkeys(question.too_soon(), TOO_SOON)
    plans = {way: _short(question.plan(way)) for way in reason}
    kinds: dict[object, list[Way]] = {}
    for way, plan in plans.items():
        kinds.setdefault(kind_of(plan), []).append(way)
    stands: dict[Way, _Stand] = {}
    for ways in kinds.values():
        stands |= zip(ways, _grown_together([plans[way] for way in ways], table), strict=True)
    money = question.scenario.money
    prices, rate = effective_prices(money, table), real_discount_rate(money)
    return Grown(
        question,
        prices,
        rate,
        {way: stands[way].flows for way in reason},
        {way: said or stands[way].reason for way, said in reason.items()},
        _bare_land(question, prices, rate, beside),
        {way: stands[way].states for way in reason},
        {way: stands[way].wood_ton_ac for way in reason},
    )


class _Stand(NamedTuple):
    """One way that was grown, rows 0 to its harvest."""

    flows: Flows
    reason: str
    states: dict[str, FloatArray]
    wood_ton_ac: FloatArray


def check_items(grown: Grown, items: Sequence[str]) -> None:
    """Raise where the money of a way is no straight line in prices that are said to move."""
    try:
        for way in grown.first:
            grown.lines_of(way, items)
    except ValueError as error:
        remedy = "Let only one of them move: take the other's [[price_path]] out."
        raise InputError([Problem("price_path", f"cannot be used here: {error}", "", remedy)]) from error


def _short(plan: Scenario) -> Scenario:
    """The same plan with nothing simulated after its harvest."""
    return plan.model_copy(update={"money": plan.money.model_copy(update={"horizon_years": 1})})


def _grown_together(plans: Sequence[Scenario], table: PriceTable) -> list[_Stand]:
    simulation = grow_sharing(plans, {plans[0].money.price_table: table}, precision="exact")
    history, said = simulation.history, [VERDICTS[verdict] for verdict in verdicts(simulation)]
    stands = []
    for i, plan in enumerate(plans):
        flows = flows_of(simulation, i, books_of(simulation, i, table).ledger)
        rows = slice(0, harvest_year(plan) + 1)
        states = {name: values[i, rows] for name, values in history.column.items()}
        reason = said[i] if said[i] in {NO_BID, TOO_FEW_TREES} else ""
        # a stand that was found: its cycle is the stand itself, to the harvest
        first = flows._replace(quantity=flows.cycle_quantity)
        stands.append(_Stand(first, reason, states, history.wood_ton_ac[i, rows]))
    return stands


def _bare_land(question: Question, prices: Mapping[str, float], rate: float, beside: Path | None) -> dict[int, float]:
    """Worth of what follows the stand for ever, by the year of its harvest [$/ac]."""
    worth: dict[int, float] = {}
    known: list[tuple[Scenario, float]] = []
    for cut in range(question.last + 1):
        then = successor_of(question.plan(Way(0, 0, cut)), beside)
        value = next((value for plan, value in known if plan == then), None)
        if value is None:
            flows = run(then, beside).flows
            value = float(land_expectation_value(cycle_cash(flows, prices), rate, flows.cycle_yr))
            known.append((then, value))
        worth[cut] = value
    return worth
