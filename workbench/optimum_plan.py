"""The best plan of a search as the text of a scenario file, with the other uses of the land each at its own best."""

from pathlib import Path

from optimize.around import Refined
from optimize.best import BestPlan
from simulator.parameters.prices import price_table_names
from simulator.scenario.model import Scenario
from workbench.optimum_words import GOAL_WORDS, member_name, plan_in_short
from workbench.plan_file import can_be_overrides, plan_text
from workbench.words import NAMES, cautions


def best_text(found: BestPlan) -> str:
    """The best plan as TOML, its price table beside it."""
    return plan_text(_as_a_file(found.best.outcome.scenario, found), _heading(found), _baselines(found))


def refined_text(found: BestPlan, near: Refined) -> str:
    """A better plan a little off the grid as TOML."""
    heading = "A plan a little off the grid of the search, better than its best; not proven."
    return plan_text(_as_a_file(near.outcome.scenario, found), heading, _baselines(found))


def _as_a_file(plan: Scenario, found: BestPlan) -> Scenario:
    """A plan as a file of its own holds it: with the baselines of the file searched, and its price table beside it."""
    money = plan.money
    if money.price_table not in price_table_names():
        money = money.model_copy(update={"price_table": Path(money.price_table).name})
    return plan.model_copy(update={"money": money, "baseline": found.file.outcome.scenario.baseline})


def _heading(found: BestPlan) -> str:
    goal, best = GOAL_WORDS[found.objective.goal], found.best
    lines = [
        f"The best plan that `halfshade optimize` found on its grid, by {goal}.",
        f"{member_name(best)}: {plan_in_short(best.outcome.scenario)}",
    ]
    names = [NAMES[name] for name in _baselines(found)]
    if names:
        lines.append(f"The baselines below, {' and '.join(names)}, are each at its own best.")
    lines += ["", "CAUTION", *(f"- {line}" for line in cautions(best.outcome.scenario))]
    return "\n".join([*lines, "- Packaged prices are invented: ask local buyers, sellers and contractors first."])


def _baselines(found: BestPlan) -> dict[str, Scenario]:
    best, members = found.best.outcome.scenario, {name: found.best_of(name) for name in ("plantation", "pasture")}
    return {
        name: member.outcome.scenario
        for name, member in members.items()
        if member is not None and best.stand is None and can_be_overrides(member.outcome.scenario, name, best)
    }
