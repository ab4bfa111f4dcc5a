"""Money from quantities: a ledger's amounts, and every measure of finance on them."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from simulator.accounts import Line
from simulator.finance import (
    benefit_cost,
    deepest_cumulative_cash,
    equal_annual_income,
    every_real_irr,
    land_expectation_value,
    net_present_value,
    payback_year,
)
from simulator.interest import discount_factor, real_rate
from simulator.ledger import unit_prices
from simulator.parameters.prices import PriceTable
from simulator.scenario.land import Money
from simulator.units import BoolArray, FloatArray

if TYPE_CHECKING:
    import pandas as pd

END_VALUE = "end value"
LOGGING = "logging"
DECADE_YR = 10


class Flows(NamedTuple):
    """Quantities of one system, ready to be priced.

    Attributes
    ----------
    lines
        Lines of the ledger.
    quantity
        Quantity per acre by year and line, rows 0 to the horizon.
    cycle_quantity
        The same for one cycle as it repeats: a tree cycle whose last year replants instead of planting as in
        year 0, so that what is paid once is paid once; or the horizon with its end values without trees.
    replanting
        How the planting of later cycles differs from year 0; part of ``cycle_quantity``'s last row.
    leading
        Quantities of a stand that was found, rows 0 to its harvest, which come once before the cycle that is then
        repeated begins; ``None`` where the cycle begins in year 0.
    """

    lines: tuple[Line, ...]
    quantity: FloatArray
    cycle_quantity: FloatArray
    replanting: FloatArray
    leading: FloatArray | None = None

    @property
    def cycle_yr(self) -> int:
        """Length of the cycle that is repeated for ever [yr]."""
        return len(self.cycle_quantity) - 1

    @property
    def leading_yr(self) -> int:
        """Years until that cycle begins [yr]."""
        return 0 if self.leading is None else len(self.leading) - 1

    def kept(self, lines: BoolArray) -> "Flows":
        """The same system with nothing in the ledger but some of its lines, (lines,)."""
        leading = None if self.leading is None else self.leading * lines
        return Flows(self.lines, self.quantity * lines, self.cycle_quantity * lines, self.replanting * lines, leading)


class Measures(NamedTuple):
    """Measures of finance of one system, per acre of land; real dollars of the price table's year.

    Attributes
    ----------
    npv
        Net present value over the horizon, end values included [$/ac].
    irr_all
        Every real internal rate of return of those flows, ascending; the start of a second cycle inside the
        horizon easily adds a meaningless negative one.
    irr_cycle
        The same of one cycle by itself: the rate of return of the investment in trees; none where they were found.
    land_expectation
        Worth of bare land under the system's own cycle repeated for ever [$/ac]; of land and stand together where
        a stand was found: what it earns until its harvest, and the bare land after it. None at a rate of 0, at
        which income without end has no sum.
    equal_annual_income
        The same as a yearly income: the measure to compare systems by [$/ac/yr].
    equal_annual_margin
        Equal annual income before shared overhead [$/ac/yr].
    benefit_cost
        Discounted gross benefits over gross costs [1].
    payback_year
        Year from which the cumulative undiscounted cash stays above zero, end values left out, or None.
    deepest_cash
        Deepest cumulative undiscounted cash, end values left out [$/ac], <= 0.
    by_enterprise
        Present value by enterprise; adds up to ``npv`` [$/ac].
    by_decade
        Undiscounted cash by decade of years 0-10, 11-20 and so on [$/ac].
    """

    npv: float
    irr_all: tuple[float, ...]
    irr_cycle: tuple[float, ...]
    land_expectation: float | None
    equal_annual_income: float
    equal_annual_margin: float
    benefit_cost: float
    payback_year: int | None
    deepest_cash: float
    by_enterprise: Mapping[str, float]
    by_decade: Mapping[str, float]

    def row(self) -> dict[str, float | None]:
        """The single figures by name with unit; the rate of return only where there is exactly one."""
        return {
            "npv_per_ac": self.npv,
            "irr": self.irr_all[0] if len(self.irr_all) == 1 else None,
            "land_expectation_per_ac": self.land_expectation,
            "equal_annual_income_per_ac": self.equal_annual_income,
            "benefit_cost": self.benefit_cost,
            "payback_year": self.payback_year,
            "deepest_cash_per_ac": self.deepest_cash,
        }


def measures_frame(measures: Mapping[str, Measures], name: str) -> "pd.DataFrame":
    """Single figures of many systems as a table, one row each, with the name of the column that tells them apart."""
    import pandas as pd  # noqa: PLC0415 - heavy; only who asks for a frame pays for it

    return pd.DataFrame([each.row() for each in measures.values()], index=pd.Index(list(measures), name=name))


def measures_html(measures: Mapping[str, Measures], name: str) -> str:
    """The same as a table that a notebook shows."""
    return measures_frame(measures, name).to_html(float_format="{:,.4g}".format)


def real_discount_rate(money: Money) -> float:
    """Real yearly rate of a scenario: as given, or a nominal one with inflation taken out."""
    if money.rate_basis == "real":
        return money.discount_rate
    return float(real_rate(money.discount_rate, money.inflation))


def effective_prices(money: Money, table: PriceTable) -> dict[str, float]:
    """Prices of a scenario: its table, its overrides, and no wage where labour is not charged."""
    prices = {item: table.value(item) for item in table.items} | dict(money.prices)
    return prices if money.pay_labour else prices | {"wage": 0.0}


def measure(flows: Flows, prices: Mapping[str, float], rate: float) -> Measures:
    """Price a system's quantities and take every measure of finance.

    Parameters
    ----------
    flows
        Quantities.
    prices
        Value of every price item.
    rate
        Real yearly discount rate.

    Returns
    -------
    Measures
    """
    amount = flows.quantity * unit_prices(flows.lines, prices)
    total = amount.sum(axis=1)
    cash = amount[:, [line.account != END_VALUE for line in flows.lines]].sum(axis=1)
    return Measures(
        npv=float(net_present_value(total, rate)),
        irr_all=tuple(every_real_irr(total)),
        irr_cycle=() if flows.leading is not None else tuple(every_real_irr(_first_cycle_cash(flows, prices))),
        land_expectation=_land_value(flows, prices, rate),
        equal_annual_income=annual_income(flows, prices, rate),
        equal_annual_margin=annual_income(flows, prices, rate, without=("overhead",)),
        benefit_cost=_benefit_cost(logging_taken_off(flows.lines, amount), rate),
        payback_year=payback_year(cash),
        deepest_cash=float(deepest_cumulative_cash(cash)),
        by_enterprise=_by_enterprise(flows.lines, amount, rate),
        by_decade=_by_decade(cash),
    )


def _land_value(flows: Flows, prices: Mapping[str, float], rate: float) -> float | None:
    """Worth of the land, and of the stand that is on it.

    Parameters
    ----------
    flows, prices
        Quantities, and value of every price item.
    rate
        Real yearly discount rate [1/yr].

    Returns
    -------
    float or None
        Worth [$/ac]; None where the endless series has no sum.

    References
    ----------
    As for :func:`simulator.finance.land_expectation_value`.
    """
    if rate <= 0.0:
        return None
    bare = float(land_expectation_value(cycle_cash(flows, prices), rate, flows.cycle_yr))
    return _leading_value(flows, prices, rate) + bare * float(discount_factor(rate, flows.leading_yr))


def _leading_value(flows: Flows, prices: Mapping[str, float], rate: float, without: tuple[str, ...] = ()) -> float:
    """Present value of what a stand that was found earns until its harvest [$/ac]."""
    if flows.leading is None:
        return 0.0
    kept = np.array([line.account not in without for line in flows.lines])
    amount = flows.leading * unit_prices(flows.lines, prices)
    return float(net_present_value(amount[:, kept].sum(axis=1), rate))


def cycle_cash(flows: Flows, prices: Mapping[str, float], without: tuple[str, ...] = ()) -> FloatArray:
    """Cash of one cycle by year [$/ac], leaving out the accounts named."""
    amount = flows.cycle_quantity * unit_prices(flows.lines, prices)
    kept = np.array([line.account not in without for line in flows.lines])
    return np.asarray(amount[:, kept].sum(axis=1))


def _first_cycle_cash(flows: Flows, prices: Mapping[str, float]) -> FloatArray:
    """Cash of the first cycle by itself, nothing planted after it [$/ac]."""
    cash = cycle_cash(flows, prices)
    cash[-1] -= float((flows.replanting * unit_prices(flows.lines, prices)).sum())
    return cash


def annual_income(flows: Flows, prices: Mapping[str, float], rate: float, *, without: tuple[str, ...] = ()) -> float:
    """Equal annual income of one cycle repeated for ever, leaving out the accounts named.

    Parameters
    ----------
    flows, prices
        Quantities, and value of every price item.
    rate
        Real yearly discount rate [1/yr].
    without
        Accounts left out.

    Returns
    -------
    float
        Income [$/ac/yr]. A stand that was found comes first: the rate on its present value, and the cycle's income from
        its harvest on.

    References
    ----------
    As for :func:`simulator.finance.equal_annual_income`.
    """
    repeated = float(equal_annual_income(cycle_cash(flows, prices, without), rate, flows.cycle_yr))
    if flows.leading is None:
        return repeated
    later = repeated * float(discount_factor(rate, flows.leading_yr))
    return rate * _leading_value(flows, prices, rate, without) + later


def logging_taken_off(lines: tuple[Line, ...], amount: FloatArray) -> FloatArray:
    """Amounts [$/ac] with what wood costs on its way to the mill taken off its sale: an owner gets what is left."""
    spent = np.array([line.account == LOGGING for line in lines])
    if not spent.any():
        return amount
    wood = np.array([line.account == "sale" and line.enterprise == "wood" for line in lines]) | spent
    return np.hstack([amount[:, ~wood], amount[:, wood].sum(axis=1, keepdims=True)])


def _benefit_cost(amount: FloatArray, rate: float) -> float:
    benefits = np.where(amount > 0, amount, 0.0).sum(axis=1)
    costs = -np.where(amount < 0, amount, 0.0).sum(axis=1)
    return float(benefit_cost(benefits, costs, rate))


def _by_enterprise(lines: tuple[Line, ...], amount: FloatArray, rate: float) -> dict[str, float]:
    names = dict.fromkeys(line.enterprise for line in lines)
    return {
        name: float(net_present_value(amount[:, _where(lines, name)].sum(axis=1), rate))
        for name in names
        if amount[:, _where(lines, name)].any()
    }


def _where(lines: tuple[Line, ...], enterprise: str) -> BoolArray:
    return np.array([line.enterprise == enterprise for line in lines])


def _by_decade(cash: FloatArray) -> dict[str, float]:
    last = len(cash) - 1
    decades = [(first, min(first + DECADE_YR - 1, last)) for first in range(1, last + 1, DECADE_YR)]
    starts = [0, *(first for first, _ in decades[1:])]
    return {
        f"{start}-{end}": float(cash[start : end + 1].sum()) for start, (_, end) in zip(starts, decades, strict=True)
    }
