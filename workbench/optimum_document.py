"""A search for the best plan as one JSON document."""

from collections.abc import Sequence
from typing import Any

from optimize.around import Flatness, Marginal, Refined
from optimize.best import BestPlan, Member
from simulator.comparison import Comparison
from workbench.documents import comparison_document
from workbench.optimum_words import answer, member_name, plan_in_short, proof


def optimum_document(
    found: BestPlan, comparison: Comparison, flat: Sequence[Flatness], worth: Sequence[Marginal], near: Refined
) -> dict[str, Any]:
    """What was searched, what is best, what is nearly as good, and how far it is proven."""
    baselines = {name: found.best_of(name) for name in ("plantation", "pasture")}
    return {
        "objective": found.objective.goal,
        "sentence": answer(found),
        "value": found.best.value,
        "value_on_fast_light": found.best.searched_value,
        "proven_gap": found.proven_gap if found.complete else None,
        "complete": found.complete,
        "proof": proof(found),
        "pathways_considered": sum(len(space.plans) for space in found.spaces.values()),
        "tree_pathways": sum(space.trees for space in found.spaces.values()),
        "spaces": {
            name: {
                "plans": len(space.plans),
                "tree_ways": space.trees,
                "use_ways": space.uses,
                "dropped": space.dropped(),
                "dominated_by_another_use": space.dominated(),
            }
            for name, space in found.spaces.items()
        },
        "years_grown": found.years_grown,
        "years_without_sharing": found.years_alone,
        "best": member_document(found.best),
        "best_of_both": member_document(found.best_of_both) if found.best_of_both else None,
        "runners_up": [member_document(member) for member in found.runners_up],
        "baselines": {name: member_document(member) if member else None for name, member in baselines.items()},
        "file": member_document(found.file),
        "flatness": [step._asdict() for step in flat],
        "decisions": [{**each._asdict(), "worth": each.with_it - each.without_it} for each in worth],
        "off_the_grid": {"value": near.value, "gain": near.gain, "tried": near.tried, **_plan(near.outcome.scenario)},
        "comparison": comparison_document(comparison),
    }


def member_document(member: Member) -> dict[str, Any]:
    """One plan of the ranking: what it is, what it does, and every measure of it."""
    measures = member.outcome.measures
    return {
        "system": member.system,
        "name": member_name(member),
        "plan": plan_in_short(member.outcome.scenario),
        "value": member.value,
        **_plan(member.outcome.scenario),
        "npv_per_ac": measures.npv,
        "land_expectation_per_ac": measures.land_expectation,
        "equal_annual_income_per_ac": measures.equal_annual_income,
        "irr_all": list(measures.irr_all),
        "irr_one_cycle": list(measures.irr_cycle),
    }


def _plan(plan: Any) -> dict[str, Any]:  # noqa: ANN401 - a Scenario, named so in the caller
    return {
        "thinnings": [
            {"year": cut.year, "residual_trees_per_ac": cut.residual_trees_per_ac, "method": cut.method}
            for cut in plan.thinning
        ],
        "harvest_year": plan.harvest.year if plan.harvest and plan.trees else None,
        "first_grazing_year": plan.use.first_grazing_year,
        "hay_years": list(plan.use.hay_years) if plan.use.hay_years else None,
        "straw": plan.straw.market,
        "pruned": bool(plan.pruning),
    }
