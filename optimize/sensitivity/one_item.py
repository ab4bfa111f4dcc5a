"""Break-even values along one price or one field of a scenario, without a factors file."""

from pathlib import Path
from typing import Any, Final, NamedTuple

from optimize.sensitivity.break_even import Tie, incomes_along, ties
from optimize.sweeps.factors import spelled_out
from optimize.sweeps.job import Plan, job_for
from optimize.sweeps.model import PATTERN, Factor
from simulator.errors import InputError, Problem
from simulator.parameters.prices import PriceTable, load_prices
from simulator.price_changes import DEAREST
from simulator.scenario.fields import FieldError, path_of, value_now
from simulator.scenario.messages import nearest
from simulator.scenario.model import Scenario

LEAST, MOST = 0.5, 2.0
"""A field is looked at from half to twice its value."""
OPTION: Final = "--break-even"


class ItemTies(NamedTuple):
    """Where systems earn the same along one item.

    Attributes
    ----------
    item, unit
        Price item or field, and unit of a price.
    now, low, high
        Value in force, and range looked at.
    ties
        One for each pair of systems.
    """

    item: str
    unit: str
    now: float
    low: float
    high: float
    ties: list[Tie]

    def document(self) -> dict[str, Any]:
        """The ties as JSON."""
        return self._asdict() | {"ties": [tie._asdict() for tie in self.ties]}


def ties_of_item(scenario: Scenario, item: str, beside: Path | None = None) -> ItemTies:
    """Find at which price or value each two systems of a comparison earn the same a year.

    Parameters
    ----------
    scenario
        The plan to compare.
    item
        An item of its price table, or a dotted field that holds a number.
    beside
        Folder of its file.

    Returns
    -------
    ItemTies
        On the fast light path.

    Raises
    ------
    InputError
        Where the item is neither.
    """
    prices = load_prices(scenario.money.price_table, beside)
    try:
        factor = _factor(scenario, item, prices)
        varied = spelled_out(factor, scenario, prices)[0].varied
    except FieldError as error:
        raise InputError([Problem(OPTION, str(error), item, error.remedy)]) from error
    document = scenario.model_dump(mode="json", by_alias=True, exclude_unset=True)
    job = job_for(Plan(scenario, document, beside), (varied,), (), all_systems=True)
    low, high = float(factor.low or 0.0), float(factor.high or 0.0)
    found = ties(
        incomes_along(job, 0), float(varied.now), (low, high), whole=varied.whole, priced=bool(job.monetary)
    )  # fmt: skip
    return ItemTies(item, varied.unit, float(varied.now), low, high, found)


def _factor(scenario: Scenario, item: str, prices: PriceTable) -> Factor:
    if item in prices.items:
        now = float(scenario.money.prices.get(item, prices.value(item)))
        return Factor(price=item, low=0.0, high=DEAREST * now if now > 0.0 else 1.0)
    if "." not in item or PATTERN in item:
        remedy = (
            nearest(item, prices.items)
            or f"Name a field such as trees.layout.alley_ft, or one of: {', '.join(prices.items)}."
        )
        raise FieldError("is no item of the price table and no field of the scenario", remedy)
    now = value_now(scenario, path_of(item))
    if not isinstance(now, int | float) or isinstance(now, bool) or now <= 0:
        raise FieldError("must be a field that holds a number above 0", "Name another.")
    return Factor(field=item, low=LEAST * now, high=MOST * now)
