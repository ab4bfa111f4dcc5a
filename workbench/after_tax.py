"""What is left after income tax at the owner's own rates, as JSON and in a line."""

from collections.abc import Iterator, Mapping
from typing import Any, Final

from simulator.after_tax import after_tax
from simulator.result import Outcome
from workbench.words import dollars, spoken_names_of

ESTIMATE: Final = "an estimate, not tax advice"


def after_tax_document(outcome: Outcome) -> dict[str, Any] | None:
    """One system after tax, per acre; None where the scenario states no rates."""
    left = after_tax(outcome)
    if left is None:
        return None
    return {
        "discount_rate": left.rate,
        "npv_per_ac": left.npv_per_ac,
        "irr": left.irr_all[0] if len(left.irr_all) == 1 else None,
        "irr_all": list(left.irr_all),
        "equal_annual_income_per_ac": left.equal_annual_income_per_ac,
        "equal_annual_income_before_tax_at_this_rate_per_ac": left.before_tax_per_ac,
        "tax_per_ac": left.tax_per_ac.tolist(),
        "cash_per_ac": left.cash_per_ac.tolist(),
    }


def after_tax_lines(systems: Mapping[str, Outcome]) -> Iterator[str]:
    """Yearly income after tax of one plan, or of several beside each other; nothing where no rates are stated."""
    incomes = {name: left for name, outcome in systems.items() if (left := after_tax(outcome)) is not None}
    if not incomes:
        return
    first = next(iter(incomes))
    full = f"{systems[first].rate:.1%}"
    rate = f"discounted at {incomes[first].rate:.1%}, what tax leaves of {full} interest (the table above: at {full})"
    amounts = {name: dollars(left.equal_annual_income_per_ac, yearly=True) for name, left in incomes.items()}
    if len(amounts) == 1:
        before = dollars(incomes[first].before_tax_per_ac, yearly=True)
        income = f"{amounts[first]} an acre a year ({before} before tax)"
        yield f"After tax at your rates: {income}, both {rate}; {ESTIMATE}."
        return
    names = spoken_names_of(systems)
    each = [
        f"{names[name]} {amount} ({dollars(incomes[name].before_tax_per_ac, yearly=True)} before)"
        for name, amount in amounts.items()
    ]
    yield f"After tax at your rates, an acre a year: {', '.join(each)}, all {rate}; {ESTIMATE}."
