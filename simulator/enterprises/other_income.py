"""Small enterprises on part of the grass, hunting, carbon and yearly payments."""

from collections.abc import Mapping

import numpy as np

from simulator.accounts import Line
from simulator.enterprises.extra import Facts, Ledger
from simulator.enterprises.setting import Setting, has_alley, planted
from simulator.scenario.income import Other, slug
from simulator.units import BoolArray, FloatArray, IntArray


def grass_left_share(setting: Setting, age: IntArray) -> FloatArray:
    """Share of the grass ground that other enterprises leave to the grass this year [1], (candidates,)."""
    plan, taken = setting.plan, np.zeros(setting.plan.candidates)
    beside = [i for i, scenario in enumerate(plan.scenarios) if scenario.other]
    if not beside:
        return np.ones(plan.candidates)
    alley, trees, years = has_alley(setting), planted(plan), age - plan.start_age
    for i in beside:
        for other in plan.scenarios[i].other:
            fits = suits(other, trees=bool(trees[i]), alley=bool(alley[i]))
            taken[i] += other.area_share * (fits and other.first_year <= years[i] <= other.last_year)
    return np.maximum(1.0 - taken, 0.0)


def suits(other: Other, *, trees: bool, alley: bool) -> bool:
    """Whether an enterprise can be run in such a plan."""
    return other.needs == "any" or (trees and (other.needs == "trees" or alley))


def with_other_income(ledger: Ledger, facts: Facts, prices: Mapping[str, float]) -> Ledger:
    """Add what the plan earns beside wood, grass and straw.

    Parameters
    ----------
    ledger
        As grown.
    facts
        Its years.
    prices
        Value of every price item; they decide only in which years an enterprise is worth its hours.

    Returns
    -------
    Ledger
        One line or two for each enterprise that earns or costs something.
    """
    for other in facts.scenario.other:
        ledger = _with_other(ledger, facts, other, prices)
    ledger = _with_hunting(ledger, facts) if facts.scenario.income.hunting_lease else ledger
    income = facts.scenario.income
    carbon = np.where(
        facts.due(*income.carbon_years) & facts.trees, income.carbon_payment_per_ac_yr * facts.field.rows, 0.0
    )
    ledger = ledger.joined(Line("carbon_payment", "carbon", "sale", "$", 1, ()), carbon)
    fits = _uses(facts)
    for payment in facts.scenario.payment:
        due = facts.due(payment.first_year, payment.last_year) & fits[payment.needs]
        account = "sale" if payment.per_ac >= 0 else "upkeep"
        line = Line(f"payment_{slug(payment.name)}", payment.name, account, "$", 1 if payment.per_ac >= 0 else -1, ())
        ledger = ledger.joined(line, np.where(due, abs(payment.per_ac), 0.0))
    return ledger


def _uses(facts: Facts) -> dict[str, BoolArray]:
    """Years in which each kind of use holds; grass is in use in years in which it is grazed or cut for hay."""
    every = np.ones(len(facts.age), bool)
    grass = facts.grazed | facts.mown
    return {"any": every, "trees": facts.trees, "grass": grass, "both": facts.trees & grass}


def _with_other(ledger: Ledger, facts: Facts, other: Other, prices: Mapping[str, float]) -> Ledger:
    """Lines of one enterprise: what it sells or costs, and its hours."""
    if not suits(other, trees=facts.scenario.trees is not None, alley=facts.alley):
        return ledger
    due = facts.due(other.first_year, other.last_year) & (facts.trees | (other.needs == "any"))
    acres = np.where(due & worth_its_hours(other, facts.light, prices), other.area_share * facts.grass_share, 0.0)
    lit = acres * earned_share(facts.light, other.least_light, other.full_light)
    key = f"other_{slug(other.name)}"
    if other.item is not None:
        ledger = ledger.joined(Line(key, other.name, "sale", "ac", 1, (other.item,)), lit)
    elif other.margin_per_ac is not None:
        sign = 1 if other.margin_per_ac >= 0 else -1
        line = Line(key, other.name, "sale" if sign > 0 else "upkeep", "$", sign, ())
        ledger = ledger.joined(line, lit * abs(other.margin_per_ac))
    hours = Line(f"{key}_labour", other.name, "labour", "h", -1, ("wage",))
    return ledger.joined(hours, acres * other.hours_per_ac)


def worth_its_hours(other: Other, light: FloatArray, prices: Mapping[str, float]) -> BoolArray:
    """Seasons in which an enterprise that sells something brings what its hours cost, the light as it is.

    Parameters
    ----------
    other
        The enterprise; one that only costs, such as a browse strip, is kept up whatever the light.
    light
        Season's light on its ground [1], any shape.
    prices
        Value of every price item; a wage of 0 where the owner's hours are free.

    Returns
    -------
    BoolArray
        Nobody works for nothing: with no income at all it is not worked even where hours are free.

    References
    ----------
    Assumed for this project.
    """
    full = prices[other.item] if other.item is not None else other.margin_per_ac or 0.0
    if full <= 0.0:
        return np.ones(light.shape, bool)
    earned = full * earned_share(light, other.least_light, other.full_light)
    return np.asarray((earned > 0.0) & (earned >= other.hours_per_ac * prices["wage"]))


def earned_share(light: FloatArray, least: float, full: float) -> FloatArray:
    """Share of the full income that a season's light allows.

    Parameters
    ----------
    light
        Season's light on the ground [1], any shape.
    least
        Light at which nothing is earned [1].
    full
        Light from which all is earned [1].

    Returns
    -------
    FloatArray
        Share, 0 to 1 [1], same shape; a step where both lights are alike.

    References
    ----------
    A straight line: assumed for this project.
    """
    if full <= least:
        return np.asarray((light >= least).astype(float))
    return np.clip((light - least) / (full - least), 0.0, 1.0)


def _with_hunting(ledger: Ledger, facts: Facts) -> Ledger:
    """Rent for the hunting; less in years with animals, more where a browse strip stands."""
    worth = np.where(facts.due(0, 10_000), 1.0, 0.0)
    for other in facts.scenario.other:
        if suits(other, trees=facts.scenario.trees is not None, alley=facts.alley):
            worth = worth * np.where(facts.due(other.first_year, other.last_year), 1.0 + other.hunting_bonus, 1.0)
    quiet = Line("hunting_lease", "hunting", "sale", "ac", 1, ("hunting_lease",))
    shared = Line("hunting_lease_grazed", "hunting", "sale", "ac", 1, ("hunting_lease", "hunting_grazed_factor"))
    ledger = ledger.joined(quiet, np.where(facts.grazed, 0.0, worth))
    return ledger.joined(shared, np.where(facts.grazed, worth, 0.0))
