"""Run scenarios and hold what came out: a ledger, a yearly table and the measures of finance."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, partial
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import numpy as np

from simulator.accounts import WOOD_PRODUCTS
from simulator.batch import grow, kind_of
from simulator.books import books_of, exit_value_of, rows_of_its_own
from simulator.cycles import flows_of
from simulator.enterprises.loans import loan_cash_per_ac, loan_rows
from simulator.enterprises.offers import Offer
from simulator.enterprises.sold_early import ExitValue
from simulator.events.light import Precision
from simulator.ledger import unit_prices
from simulator.measures import END_VALUE, Flows, Measures, effective_prices, measure, measures_html, real_discount_rate
from simulator.parameters.prices import PriceTable, in_proportion, load_prices
from simulator.parameters.tables import Tables
from simulator.scenario.model import Scenario
from simulator.simulation import Simulation
from simulator.succession import followed
from simulator.units import FloatArray, IntArray

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True)
class Outcome:
    """One scenario grown and priced; every quantity per acre of the whole tract.

    Attributes
    ----------
    scenario
        What was run.
    price_table
        Prices it was run with, before overrides.
    flows
        Quantities.
    states
        Yearly arrays by name, rows 0 to the horizon; stands as they were before the year's cut.
    wood_ton_ac
        Green tons sold by product, (years, 4).
    profile_warm
        Warm-season light across the grass ground, (years, points).
    cycle_forage_lb_ac
        Dry matter grown in each year of one cycle [lb/ac], (cycle years,), whatever the horizon.
    drawing
        Yearly arrays (years, rows) of the rows: alive, height_ft, crown_base_ft, across_ft, dbh_in, trees;
        (years, rows, classes) of their diameter classes: class_trees, class_dbh_in, class_height_ft, class_grade;
        and ``offset_ft``, ``points_ft``, ``cell_ft`` of the cell.
    hours_by_month
        Hours of work on the tract, own and hired [h], (years, 12).
    exit_value
        What could be sold with the land after each year.
    offers
        Wood offered to buyers, to the end of its cycle where that lies beyond the horizon.
    again
        Runs the plan anew at changed prices, by item.
    lives
        Where a stand was found: that stand by itself to its harvest, and what follows it, counted from there.
    """

    scenario: Scenario
    price_table: PriceTable
    flows: Flows
    states: dict[str, FloatArray]
    wood_ton_ac: FloatArray
    profile_warm: FloatArray
    cycle_forage_lb_ac: FloatArray
    drawing: dict[str, FloatArray]
    hours_by_month: FloatArray
    exit_value: ExitValue
    offers: tuple[Offer, ...]
    again: Callable[[Mapping[str, float]], "Outcome"] | None = None
    lives: tuple["Outcome", ...] = ()

    @property
    def rate(self) -> float:
        """Real yearly discount rate."""
        return real_discount_rate(self.scenario.money)

    @cached_property
    def prices(self) -> dict[str, float]:
        """Value of every price item in this run."""
        return effective_prices(self.scenario.money, self.price_table)

    def price_at(self, item: str, end: Literal["low", "high"]) -> float | None:
        """Price in force moved as far, in proportion, as the table's range reaches; None without a range."""
        entry, base = self.price_table.items[item], self.price_table.value(item)
        limit = getattr(entry, end)
        if limit is None:
            return None
        return in_proportion(self.prices[item], limit, base)

    @cached_property
    def measures(self) -> Measures:
        """Measures of finance."""
        return measure(self.flows, self.prices, self.rate)

    @cached_property
    def amount(self) -> FloatArray:
        """Signed dollars per acre by year and line."""
        return np.asarray(self.flows.quantity * unit_prices(self.flows.lines, self.prices))

    @property
    def cash_per_ac(self) -> FloatArray:
        """Net cash by year [$/ac], end values left out."""
        end = np.array([line.account == END_VALUE for line in self.flows.lines])
        return np.asarray(self.amount[:, ~end].sum(axis=1))

    @property
    def cash_after_loans_per_ac(self) -> FloatArray:
        """Net cash by year once loans are drawn and served [$/ac]; every measure of finance is before them."""
        return self.cash_per_ac + loan_cash_per_ac(self.scenario, len(self.cash_per_ac))

    @cached_property
    def value_if_sold_per_ac(self) -> FloatArray:
        """What stands, grazes and is fenced after each year's work, without the land [$/ac]."""
        return self.exit_value.per_ac(self.prices)

    @property
    def end_value_per_ac(self) -> float:
        """What is left at the horizon, booked in its year [$/ac]."""
        end = np.array([line.account == END_VALUE for line in self.flows.lines])
        return float(self.amount[:, end].sum())

    def ledger(self, scenario_name: str = "") -> "pd.DataFrame":
        """Tidy ledger, one row for each year and line that has a quantity.

        Parameters
        ----------
        scenario_name
            Text for the first column.

        Returns
        -------
        pandas.DataFrame
            scenario, year, account, enterprise, item, quantity, unit, price, amount; per acre. Prices are
            positive, costs are negative amounts. Account "loan" stands apart: no measure counts it.
        """
        import pandas as pd  # noqa: PLC0415 - heavy; only who asks for a frame pays for it

        lines, signed = self.flows.lines, unit_prices(self.flows.lines, self.prices)
        year, place = np.nonzero(self.flows.quantity)
        grown = pd.DataFrame(
            {
                "scenario": scenario_name or self.scenario.title,
                "year": year,
                "account": [lines[i].account for i in place],
                "enterprise": [lines[i].enterprise for i in place],
                "item": [lines[i].key for i in place],
                "quantity": self.flows.quantity[year, place],
                "unit": [lines[i].unit for i in place],
                "price": np.abs(signed[place]),
                "amount": self.flows.quantity[year, place] * signed[place],
            }
        )
        if not self.scenario.loan:
            return grown
        borrowed = pd.DataFrame(loan_rows(self.scenario, len(self.cash_per_ac), scenario_name))
        return pd.concat([grown, borrowed], ignore_index=True)

    def _repr_html_(self) -> str:
        return measures_html({self.scenario.title or "scenario": self.measures}, "scenario")

    def years(self) -> "pd.DataFrame":
        """Yearly table of states, wood sold and cash, one row a year, per acre."""
        import pandas as pd  # noqa: PLC0415

        columns: dict[str, FloatArray | IntArray] = {"year": np.arange(len(self.wood_ton_ac))}
        columns |= self.states
        columns |= {f"wood_{product}_ton_ac": self.wood_ton_ac[:, i] for i, product in enumerate(WOOD_PRODUCTS)}
        money = {"cash_per_ac": self.cash_per_ac, "cash_after_loans_per_ac": self.cash_after_loans_per_ac}
        return pd.DataFrame(columns | money | {"value_if_sold_per_ac": self.value_if_sold_per_ac})


def run(scenario: Scenario, beside: Path | None = None, precision: Precision = "exact") -> Outcome:
    """Grow and price one scenario.

    Parameters
    ----------
    scenario
        The piece of land and its plan.
    beside
        Folder of the scenario file, where a user's own price table is looked for.
    precision
        Light path.

    Returns
    -------
    Outcome
    """
    return run_batch([scenario], beside=beside, precision=precision)[0]


def run_batch(
    scenarios: Sequence[Scenario],
    beside: Path | None = None,
    precision: Precision = "fast",
    tables: Tables | None = None,
) -> list[Outcome]:
    """Grow and price many scenarios at once; alike ones share one pass of the yearly loop.

    Parameters
    ----------
    scenarios
        Any mixture; results come back in the same order.
    beside
        Folder where a user's own price table is looked for.
    precision
        Light path; ``fast`` is within .01 of exact light.
    tables
        Numbers to use instead of the packaged ones; then all scenarios share species, grass and animals.

    Returns
    -------
    list of Outcome
    """
    anew = partial(run_batch, beside=beside, precision=precision, tables=tables)
    return run_with(scenarios, anew, beside, precision, tables)


def run_with(
    scenarios: Sequence[Scenario],
    later: Callable[[list[Scenario]], list[Outcome]],
    beside: Path | None = None,
    precision: Precision = "fast",
    tables: Tables | None = None,
) -> list[Outcome]:
    """Grow and price many scenarios as `run_batch` does, with somebody else growing what follows them.

    Parameters
    ----------
    scenarios
        Any mixture.
    later
        Grows what follows stands that were found, and plans anew at other prices, alike to `run_batch`; it may
        remember what it has grown before.
    beside, precision, tables
        As of `run_batch`.

    Returns
    -------
    list of Outcome
        In the same order.
    """
    groups: dict[tuple[object, ...], list[int]] = {}
    for place, scenario in enumerate(scenarios):
        groups.setdefault(kind_of(scenario), []).append(place)
    names = {scenario.money.price_table for scenario in scenarios}
    price_tables = {name: load_prices(name, beside) for name in names}
    outcomes: dict[int, Outcome] = {}
    for places in groups.values():
        members = [scenarios[place] for place in places]
        simulation = grow(members, precision, tables, price_tables)
        for i, place in enumerate(places):
            outcomes[place] = _outcome(simulation, i, price_tables[members[i].money.price_table])
    alone = [outcomes[place] for place in range(len(scenarios))]
    joined = followed(alone, later, beside)
    return [replace(outcome, again=partial(_repriced, later, outcome.scenario)) for outcome in joined]


def _repriced(
    anew: Callable[[list[Scenario]], list[Outcome]], scenario: Scenario, changed: Mapping[str, float]
) -> Outcome:
    prices = dict(scenario.money.prices) | dict(changed)
    return anew([scenario.model_copy(update={"money": scenario.money.model_copy(update={"prices": prices})})])[0]


def _outcome(simulation: Simulation, i: int, price_table: PriceTable) -> Outcome:
    plan, history = simulation.setting.plan, simulation.history
    rows, scenario = slice(0, plan.horizon + 1), plan.scenarios[i]
    book, hours = books_of(simulation, i, price_table)
    flows = flows_of(simulation, i, book)
    return Outcome(
        scenario=scenario,
        price_table=price_table,
        flows=flows,
        states={name: values[i, rows] for name, values in history.column.items()},
        wood_ton_ac=history.wood_ton_ac[i, rows],
        profile_warm=np.array([profile[i] for profile in history.profile_warm[rows]]),
        cycle_forage_lb_ac=history.column["forage_lb_ac"][i, 1 : len(flows.cycle_quantity)],
        drawing=history.drawing_of(i, rows, plan.geometry),
        hours_by_month=hours[rows],
        exit_value=exit_value_of(simulation, i),
        offers=history.offers.of(i, rows_of_its_own(plan, i), scenario, history.rows),
    )
