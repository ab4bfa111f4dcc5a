"""One plan's quantities at many prices and rates: every measure of finance as arrays."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np

from optimize.sweeps.many_irr import one_irr
from simulator.accounts import Line
from simulator.enterprises.offers import COSTS_MORE, SALE_ITEMS, SOLD, signed_prices
from simulator.finance import deepest_cumulative_cash
from simulator.interest import capital_recovery, discount_factor
from simulator.ledger import unit_prices
from simulator.measures import END_VALUE, Flows
from simulator.result import Outcome
from simulator.units import BoolArray, FloatArray, IntArray

Prices = Mapping[str, FloatArray]
ROUNDING: Final = 1e-12


@dataclass(frozen=True)
class Priced:
    """Quantities of one plan at many prices and rates.

    Attributes
    ----------
    flows
        Quantities.
    base
        Signed price of each line where nothing is changed [$/unit], (lines,).
    moved
        Lines whose price is changed, (moved lines,).
    more
        By how much those prices are changed [$/unit], (cases, moved lines).
    rate
        Real yearly discount rate of each case, (cases,).
    """

    flows: Flows
    base: FloatArray
    moved: IntArray
    more: FloatArray
    rate: FloatArray

    def cash(self, quantity: FloatArray, lines: BoolArray | None = None) -> FloatArray:
        """Cash of each case by year, of all lines or of some.

        Parameters
        ----------
        quantity
            By year and line [unit of the line/ac], (rows, lines).
        lines
            Lines meant, (lines,); all where left out.

        Returns
        -------
        FloatArray
            Cash [$/ac], (cases, years).

        References
        ----------
        As for :func:`simulator.ledger.unit_prices`.
        """
        return np.asarray(self._cash_by_year(quantity if lines is None else quantity * lines).T)

    def _cash_by_year(self, quantity: FloatArray) -> FloatArray:
        """Cash by year and case [$/ac], (years, cases): the base's, and what the lines that moved add."""
        return np.asarray((quantity @ self.base)[:, None] + quantity[:, self.moved] @ self.more.T)

    def present(self, quantity: FloatArray) -> FloatArray:
        """Present value of quantities by year and line in each case.

        Parameters
        ----------
        quantity
            By year and line [unit of the line/ac], (rows, lines).

        Returns
        -------
        FloatArray
            Present value [$/ac], (cases,).

        References
        ----------
        Horner's rule on :func:`simulator.finance.net_present_value`.
        """
        cash, factor = self._cash_by_year(quantity), 1.0 / (1.0 + self.rate)
        total: FloatArray = cash[-1].copy()
        for of_year in cash[-2::-1]:  # Horner's rule, from the last year on
            total *= factor
            total += of_year
        return total

    @cached_property
    def income(self) -> FloatArray:
        """Equal annual income of what is there and the cycle repeated for ever after it.

        Returns
        -------
        FloatArray
            Income [$/ac/yr], (cases,).

        References
        ----------
        As for :func:`simulator.measures.annual_income`.
        """
        flows, rate = self.flows, self.rate
        repeated = self.present(flows.cycle_quantity) * capital_recovery(1.0, rate, flows.cycle_yr)
        if flows.leading is None:
            return repeated
        return np.asarray(rate * self.present(flows.leading) + repeated * discount_factor(rate, flows.leading_yr))

    @cached_property
    def without_end(self) -> FloatArray:
        """Cash by year, end values left out [$/ac], (cases, years)."""
        return self.cash(self.flows.quantity, np.array([line.account != END_VALUE for line in self.flows.lines]))


def same_bids(outcome: Outcome, changed: Prices, cases: int) -> Iterator[tuple[IntArray, Outcome]]:
    """Part cases by what buyers at the mill's gate answer, and run the plan anew where an answer changes.

    Parameters
    ----------
    outcome
        The plan at the prices of the scenario.
    changed
        Prices of each case by item, (cases,).
    cases
        Number of them.

    Yields
    ------
    tuple
        Places of cases, and the run whose sales are theirs.
    """
    left, first = np.arange(cases), True
    while left.size:
        holds = _bids_hold(outcome, {item: values[left] for item, values in changed.items()}, left.size)
        if not first:
            holds[0] = True  # the run was made at these very prices
        if holds.any():
            yield left[holds], outcome
        left, first = left[~holds], False
        if left.size:
            if outcome.again is None:
                raise ValueError("a plan that cannot be run anew met prices at which its sales fail")
            outcome = outcome.again({item: float(values[left[0]]) for item, values in changed.items()})


def _bids_hold(outcome: Outcome, changed: Prices, cases: int) -> BoolArray:
    """Where buyers at the mill's gate answer at changed prices as they did, (cases,)."""
    asked = [offer for offer in outcome.offers if offer.answer in {SOLD, COSTS_MORE} and offer.quantity.any()]
    if not asked or not any(item in changed for item in SALE_ITEMS):
        return np.ones(cases, bool)
    each = np.tile(signed_prices(outcome.prices), (cases, 1))
    for place, item in enumerate(SALE_ITEMS):
        if item in changed:
            each[:, place] = np.sign(each[0, place] or 1.0) * changed[item]
    left = each @ np.array([offer.quantity for offer in asked]).T > 0
    return np.asarray((left == np.array([offer.answer == SOLD for offer in asked])).all(axis=1))


def priced(outcome: Outcome, changed: Prices, rate: FloatArray) -> Priced:
    """Ready one plan's quantities for the prices and rates of many cases."""
    flows, prices = outcome.flows, outcome.prices
    moved = np.array([place for place, line in enumerate(flows.lines) if set(line.prices) & set(changed)], np.int64)
    base = unit_prices(flows.lines, prices)
    more = np.zeros((len(rate), len(moved)))
    for column, place in enumerate(moved):
        more[:, column] = _line_price(flows.lines[place], prices, changed) - base[place]
    return Priced(flows, base, moved, more, rate)


def _line_price(line: Line, prices: Mapping[str, float], changed: Prices) -> FloatArray:
    """Signed price of a line in each case [$/unit], (cases,)."""
    price: FloatArray = np.asarray(float(line.sign))
    for item in line.prices:
        price = price * changed.get(item, np.asarray(prices[item]))
    return price


def npv(case: Priced) -> FloatArray:
    """Net present value over the horizon, end values included [$/ac], (cases,)."""
    return case.present(case.flows.quantity)


def equal_annual_income(case: Priced) -> FloatArray:
    """Equal annual income [$/ac/yr], (cases,)."""
    return case.income


def land_expectation(case: Priced) -> FloatArray:
    """Worth of the land, and of the stand on it where one was found [$/ac], (cases,); NaN at a rate of 0."""
    return np.asarray(case.income / np.where(case.rate > 0.0, case.rate, np.nan))


def irr(case: Priced) -> FloatArray:
    """Internal rate of return over the horizon where there is exactly one, else NaN [1/yr], (cases,)."""
    return one_irr(case.cash(case.flows.quantity))


def irr_of_one_cycle(case: Priced) -> FloatArray:
    """The same of one cycle by itself, NaN where the trees were found [1/yr], (cases,)."""
    flows = case.flows
    if flows.leading is not None:
        return np.full(len(case.rate), np.nan)
    alone = flows.cycle_quantity.copy()
    alone[-1] -= flows.replanting
    return one_irr(case.cash(alone))


def deepest_cash(case: Priced) -> FloatArray:
    """Deepest cumulative undiscounted cash, end values left out [$/ac], (cases,)."""
    return deepest_cumulative_cash(case.without_end)


def payback(case: Priced) -> FloatArray:
    """Year from which the money paid in is back for good, undiscounted; NaN where it never is, (cases,)."""
    cash = case.without_end
    below = np.cumsum(cash, axis=1) < -ROUNDING * np.abs(cash).sum(axis=1, keepdims=True)
    years = cash.shape[1]
    after = np.where(below.any(axis=1), years - np.argmax(below[:, ::-1], axis=1), 0)
    return np.where(after < years, after, np.nan)


MEASURES: Final[Mapping[str, Callable[[Priced], FloatArray]]] = {
    "npv_per_ac": npv,
    "irr": irr,
    "irr_of_one_cycle": irr_of_one_cycle,
    "land_expectation_per_ac": land_expectation,
    "equal_annual_income_per_ac": equal_annual_income,
    "payback_year": payback,
    "deepest_cash_per_ac": deepest_cash,
}
"""Measures by the column they fill; the same figures as `simulator.measures.measure` takes of one plan."""
