"""What is left of a plan after income tax at the owner's own rates: an estimate, not tax advice.

How the lines of the ledger are taxed, simplified on purpose:

- wood sold: a gain, less the fee of the sale, the cost of bringing it to the mill where it is sold there, and the basis
  of timber that stood when the plan began;
- hay, grazing, young and culled animals, straw, nuts, hunting, payments: ordinary income; upkeep, overhead, hours and
  sowing: deducted as ordinary in their year. Own hours count at the wage, on which he would have paid tax elsewhere;
- planting of forest trees: up to a cap at once, the rest over years; of nut trees: evenly until they are cut;
- fence and water: evenly over their life; breeding animals: price received less cost of selling and price paid, taxed
  as a gain and not depreciated;
- cost-share: lowers the cost that it helps, or is ordinary income where the owner says it is taxed;
- end values: taxed as if sold in the last year, in which all that is not yet deducted is deducted too.

Losses save tax in their year at the rate at which a gain would pay it: the owner has other income. Self-employment
tax, limits on losses, loans and property tax by use (a line of the ledger already) are left out.
"""

import re
from collections.abc import Callable, Mapping
from functools import partial
from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt

from simulator import tax
from simulator.accounts import Line
from simulator.finance import equal_annual_income, every_real_irr, net_present_value
from simulator.herd_accounts import keys_of, words_for
from simulator.interest import discount_factor
from simulator.ledger import unit_prices
from simulator.measures import Flows, annual_income
from simulator.parameters.tables import load_practice
from simulator.result import Outcome
from simulator.sale_accounts import WOOD_UNITS
from simulator.scenario.model import Scenario
from simulator.scenario.owner_rules import COST_GROUPS
from simulator.units import BoolArray, FloatArray

HELP: Final = re.compile(r"cost_share(?:_repaid)?_(?P<number>\d+)(?:_(?P<line>.+))?")


class AfterTax(NamedTuple):
    """A plan after tax, per acre of the whole tract, real dollars.

    Attributes
    ----------
    rate
        Real discount rate after tax [1/yr].
    tax_per_ac, cash_per_ac
        Tax by year, below 0 where costs save some, and what is left [$/ac], (rows,); end values are in the last row.
    npv_per_ac
        Present value of what is left, at the rate after tax [$/ac].
    irr_all
        Every real internal rate of return of what is left, ascending.
    equal_annual_income_per_ac
        As a yearly income of the cycle repeated for ever, like the measure before tax [$/ac/yr].
    before_tax_per_ac
        The same before tax, also at the rate after tax [$/ac/yr]: a lower rate favours what comes late, so that income
        after tax may lie above the measure before tax, but never for want of tax.
    """

    rate: float
    tax_per_ac: FloatArray
    cash_per_ac: FloatArray
    npv_per_ac: float
    irr_all: tuple[float, ...]
    equal_annual_income_per_ac: float
    before_tax_per_ac: float


def after_tax(outcome: Outcome) -> AfterTax | None:
    """Take income tax off a plan at the rates of its [tax].

    Parameters
    ----------
    outcome
        The plan that was run.

    Returns
    -------
    AfterTax or None
        None where the scenario states no rates.
    """
    scenario, flows = outcome.scenario, outcome.flows
    if scenario.tax is None:
        return None
    rate = float(tax.after_tax_rate(outcome.rate, scenario.tax.on_ordinary, scenario.money.inflation))
    owed = partial(tax_of, scenario=scenario, flows=flows, prices=outcome.prices)
    horizon = owed(flows.quantity, stands=flows.leading is not None)
    cash = outcome.amount.sum(axis=1) - horizon
    price = unit_prices(flows.lines, outcome.prices)
    repeated = flows.cycle_quantity @ price - owed(flows.cycle_quantity, stands=False)
    yearly = float(equal_annual_income(repeated, rate, flows.cycle_yr))
    if flows.leading is not None:
        first = flows.leading @ price - owed(flows.leading, stands=True)
        later = float(discount_factor(rate, flows.leading_yr))
        yearly = rate * float(net_present_value(first, rate)) + yearly * later
    return AfterTax(
        rate=rate,
        tax_per_ac=horizon,
        cash_per_ac=cash,
        npv_per_ac=float(net_present_value(cash, rate)),
        irr_all=tuple(every_real_irr(cash)),
        equal_annual_income_per_ac=yearly,
        before_tax_per_ac=annual_income(flows, outcome.prices, rate),
    )


def tax_of(
    quantity: FloatArray, *, scenario: Scenario, flows: Flows, prices: Mapping[str, float], stands: bool
) -> FloatArray:
    """Income tax by year on quantities of a plan.

    Parameters
    ----------
    quantity
        By row and line, per acre, (rows, lines).
    scenario
        The plan, with its [tax].
    flows
        Its lines, and when a stand that was found is cut.
    prices
        Value of every price item.
    stands
        Whether timber stands in row 0 whose basis is to be used.

    Returns
    -------
    FloatArray
        Tax [$/ac], (rows,); below 0 where deductions save tax on other income.

    Raises
    ------
    ValueError
        If the scenario states no rates.

    References
    ----------
    Timber at the rate of gains after its basis and selling cost, planting deducted over years: economics after
    Agriculture
    Handbook 731 (second-hand). An estimate and no tax advice.
    """
    if scenario.tax is None:
        raise ValueError("a scenario without [tax] states no rates")
    kinds = np.array(kinds_of(flows.lines, scenario))
    amount = quantity * unit_prices(flows.lines, prices)
    money = {kind: amount[:, kinds == kind].sum(axis=1) for kind in ("ordinary", "wood", "herd", *DEDUCTED)}
    gains = money["wood"] + money["herd"] - _herd_basis(quantity, amount, flows.lines, scenario)
    if stands:
        gains -= _timber_basis(quantity[:, kinds == "wood"], _sales(flows.lines, kinds), flows.leading_yr, scenario)
    ordinary = money["ordinary"]
    for kind, deductions in DEDUCTED.items():
        ordinary = ordinary - _folded(deductions(-money[kind], scenario, flows), len(quantity))
    return np.asarray(scenario.tax.on_ordinary * ordinary + scenario.tax.on_gains * gains)


def kinds_of(lines: tuple[Line, ...], scenario: Scenario) -> list[str]:
    """How each line is taxed: ordinary, wood, herd (sold), bought (for the herd), planting, orchard or fence.

    Parameters
    ----------
    lines
        Lines of the ledger.
    scenario
        The plan.

    Returns
    -------
    list of str
        In the order of the lines; help has the kind of the cost it lowers.
    """
    herd = _herd_keys(scenario)
    alone = {line.key: _kind(line, herd) for line in lines}
    return [_kind_of_help(line.key, alone, scenario) if line.account == "help" else alone[line.key] for line in lines]


def _kind(line: Line, herd: Mapping[str, str]) -> str:
    if line.key in herd:
        return herd[line.key]
    # sold at the mill's gate, what cutting and hauling cost comes off the gain as it comes off the sale
    if line.enterprise == "wood" and line.unit in WOOD_UNITS:
        return "wood"
    if line.account == "establishment" and line.enterprise in {"wood", "nuts"}:
        return "planting" if line.enterprise == "wood" else "orchard"
    return "fence" if line.account == "capital" else "ordinary"


def _kind_of_help(key: str, alone: Mapping[str, str], scenario: Scenario) -> str:
    found = HELP.fullmatch(key)
    if found is None or scenario.tax is None or scenario.tax.help_taxable:
        return "ordinary"
    if found["line"] in alone:
        return alone[found["line"]]
    # help held at its cap stands in one line, for a group of costs or for one of them
    asked = scenario.cost_share[int(found["number"]) - 1].line
    groups = {"planting": "planting", "fence": "fence"}
    return next((kind for group, kind in groups.items() if asked in (group, *COST_GROUPS[group])), "ordinary")


def _herd_keys(scenario: Scenario) -> dict[str, str]:
    keys = keys_of(words_for(scenario.use.animals))
    sales = (keys.sold, keys.selling, keys.displaced, keys.end, keys.end_selling, "drought_discount")
    return {**dict.fromkeys(sales, "herd"), keys.bought: "bought"}


def _herd_basis(quantity: FloatArray, amount: FloatArray, lines: tuple[Line, ...], scenario: Scenario) -> FloatArray:
    """Price paid for the breeding animals sold, by year [$/ac]."""
    keys = keys_of(words_for(scenario.use.animals))
    bought, gone = (np.array([line.key in names for line in lines]) for names in ({keys.bought}, {keys.sold, keys.end}))
    heads, paid, sold = quantity[:, bought].sum(axis=1), -amount[:, bought].sum(axis=1), quantity[:, gone].sum(axis=1)
    return tax.herd_basis_used(heads, paid, sold, scenario.money.inflation)


def _sales(lines: tuple[Line, ...], kinds: npt.NDArray[np.str_]) -> BoolArray:
    """Which of the lines of wood are sales in a year, neither fees nor end values."""
    return np.array([line.account == "sale" for line, kind in zip(lines, kinds, strict=True) if kind == "wood"])


def _timber_basis(wood: FloatArray, sales: BoolArray, harvest: int, scenario: Scenario) -> FloatArray:
    """Basis used of timber that stood in row 0, by year; what is left at the horizon goes with its end value [$/ac]."""
    stated, last = scenario.tax, len(wood) - 1
    if stated is None or stated.timber_basis is None or stated.timber_basis_ton is None:
        return np.zeros(len(wood))
    sold = wood[:, sales].sum(axis=1)
    sold[harvest + 1 :] = 0.0
    rows = np.flatnonzero(sold)
    closing = int(rows[-1]) if harvest <= last and len(rows) else last + (not scenario.money.value_at_end)
    acres = scenario.land.acres
    basis, volume = stated.timber_basis / acres, stated.timber_basis_ton / acres
    return tax.basis_recovered(basis, volume, sold, closing, scenario.money.inflation)


def _folded(deductions: FloatArray, rows: int) -> FloatArray:
    """Deductions within the rows; those after the last are taken in it."""
    within = deductions[:rows].copy()
    within[-1] += deductions[rows:].sum()
    return within


def _planting(cost: FloatArray, scenario: Scenario, _: Flows) -> FloatArray:
    """Deductions for planting by year [$/ac], the cap being that of the whole tract."""
    if scenario.tax is None:
        return cost
    cap = scenario.tax.planting_deducted_at_once / scenario.land.acres
    return tax.reforestation_deductions(cost, cap, scenario.tax.planting_years, scenario.money.inflation)


def _orchard(cost: FloatArray, scenario: Scenario, flows: Flows) -> FloatArray:
    return tax.straight_line(cost, max(flows.cycle_yr, 1), scenario.money.inflation)


def _fence(cost: FloatArray, scenario: Scenario, _: Flows) -> FloatArray:
    life = scenario.land.fence_life_years
    years = load_practice().ground.fence_life_yr if life is None else life
    return tax.straight_line(cost, max(round(years), 1), scenario.money.inflation)


DEDUCTED: Final[Mapping[str, Callable[[FloatArray, Scenario, Flows], FloatArray]]] = {
    "planting": _planting,
    "orchard": _orchard,
    "fence": _fence,
}
"""Costs that are deducted over years, and how."""
