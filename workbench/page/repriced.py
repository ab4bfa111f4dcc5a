"""A plan at other prices or rates without growing it again, where nothing that grows or is booked reads them."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial
from typing import Final

from simulator.parameters.species import load_species
from simulator.result import Outcome
from simulator.scenario.model import Scenario

PRICES: Final = "prices"
RATES: Final = ("discount_rate", "inflation", "rate_basis")
Anew = Callable[[Scenario, Mapping[str, float]], Outcome]
"""Runs a plan with some prices changed."""


def key_of_growth(plan: Scenario, not_read: set[str]) -> str:
    """What decides how a plan grows and what it books: everything but prices and rates, and fields nobody reads."""
    alike = {"prices": {}, "discount_rate": 0.0, "inflation": 0.0, "rate_basis": "real"}
    without = plan.model_copy(update={"money": plan.money.model_copy(update=alike)})
    return without.model_dump_json(by_alias=True, exclude=not_read)


def may_be_repriced(grown: Outcome, plan: Scenario) -> bool:
    """Whether a plan that grows alike is exactly the same quantities at other prices.

    Parameters
    ----------
    grown
        An outcome whose plan differs in prices and rates alone.
    plan
        The plan.

    Returns
    -------
    bool
        False where a sale at the mill's gate, caps of help, other enterprises or unpaid hours turn prices into
        quantities, where an orchard is worth its years to come, or a loan is served in money that loses its worth.
    """
    old, new = grown.scenario.money, plan.money
    late = plan.sale.pricing == "stumpage" and not plan.cost_share and not plan.other and new.pay_labour
    if old.prices != new.prices and not late:
        return False
    rates_differ = any(getattr(old, rate) != getattr(new, rate) for rate in RATES)
    return not rates_differ or not (plan.loan or _is_orchard(plan))


def _is_orchard(plan: Scenario) -> bool:
    return plan.trees is not None and load_species(plan.trees.species).orchard is not None


def repriced(grown: Outcome, plan: Scenario, anew: Anew) -> Outcome:
    """The same quantities under the prices and rates of another plan.

    Parameters
    ----------
    grown
        An outcome of `may_be_repriced`.
    plan
        The plan.
    anew
        Runs a plan with some prices changed.

    Returns
    -------
    Outcome
        A stand that was found and what follows it are repriced too.
    """
    lives = tuple(_life(life, plan, anew) for life in grown.lives)
    return replace(grown, scenario=plan, lives=lives, again=partial(anew, plan))


def _life(life: Outcome, plan: Scenario, anew: Anew) -> Outcome:
    money = {name: getattr(plan.money, name) for name in (PRICES, *RATES)}
    own = life.scenario.model_copy(update={"money": life.scenario.money.model_copy(update=money)})
    return replace(life, scenario=own, again=partial(anew, own) if life.again is not None else None)
