"""What a search found, in sentences."""

import math
from collections.abc import Callable, Iterator

from optimize.around import Refined
from optimize.best import BestPlan, Member
from optimize.objective import Goal
from optimize.space import uses_both
from simulator.enterprises.setting import has_wide_alley
from simulator.measures import Measures
from simulator.scenario.model import Scenario
from simulator.scenario.trees import Thinning
from workbench.words import NAMES, STAND_NAMES, dollars, spoken

GOAL_WORDS: dict[Goal, str] = {
    "npv": "net present value over the horizon",
    "land-expectation": "land expectation value",
    "irr": "internal rate of return over the horizon",
}
TREES_IN_THESE_ROWS = "trees in these rows, grass unused"
OPEN_WITHOUT_USE = "cut for wood in the file's way, grass unused"


def member_name(member: Member) -> str:
    """What one plan of the ranking is called: by what is done on the land, not by the key of its system."""
    plan = member.outcome.scenario
    used = plan.use.first_grazing_year is not None or plan.use.hay_years is not None
    if plan.stand is not None:
        if member.system == "silvopasture":
            return "open it for grass" if used else OPEN_WITHOUT_USE
        return STAND_NAMES[member.system].format(years=plan.stand.open_later_years)
    if member.system != "silvopasture" or plan.trees is None:
        return NAMES[member.system] if plan.trees is not None or used else "land left idle"
    return NAMES["silvopasture"] if used else TREES_IN_THESE_ROWS


def plan_in_short(plan: Scenario) -> str:
    """Cuts and uses of a plan in a few words: thin 16 to 100, 24 to 60; cut 35; hay 1-4; graze from 5."""
    parts = []
    if plan.trees is not None:
        layout = plan.trees.layout
        close = plan.stand is None and layout.rows_in_set == 1 and not has_wide_alley(plan)
        parts += [f"planted {layout.alley_ft:g} x {layout.in_row_ft:g} ft"] if close else []
        cuts = [f"{cut.year or 'now'}{_left(cut)}" for cut in plan.thinning]
        now = plan.harvest is not None and not plan.harvest.year
        parts += [f"thin {', '.join(cuts)}"] if cuts else [] if now else ["no thinning"]
        parts.append(f"cut {plan.harvest.year or 'now'}" if plan.harvest else "never cut")
        parts += ["pruned"] if plan.pruning else []
    use = plan.use
    parts += [f"hay {use.hay_years[0]}-{use.hay_years[1]}"] if use.hay_years else []
    parts += [f"graze from {use.first_grazing_year}"] if use.first_grazing_year is not None else []
    parts += ["straw"] if plan.straw.market else []
    if plan.trees is None and not isinstance(plan.pasture.nitrogen_lb_ac, dict) and len(parts) > 0:
        parts.append(f"{plan.pasture.nitrogen_lb_ac:g} lb nitrogen")
    return "; ".join(parts) or "nothing is done"


def _left(cut: Thinning) -> str:
    if cut.residual_trees_per_ac is not None:
        return f" to {cut.residual_trees_per_ac:g}"
    return "" if cut.residual_basal_area_ft2_ac is None else f" to {cut.residual_basal_area_ft2_ac:g} ft2"


def amount(found: BestPlan, value: float) -> str:
    """A value of the objective as said aloud."""
    if not math.isfinite(value):
        return "no value"
    return f"{value:.1%}" if found.objective.goal == "irr" else f"{dollars(value)} an acre"


def difference(found: BestPlan, value: float) -> str:
    """A difference of two values for a table, with its sign."""
    if not math.isfinite(value):
        return "-"
    if found.objective.goal == "irr":
        return f"{100.0 * value:+.2f}" if round(100.0 * value, 2) else "0"
    return f"{round(value):+,}" if round(value) else "0"


def answer(found: BestPlan) -> str:
    """The answer first: what is worth most, and how the other uses of the land stand to it at their own best."""
    best = found.best
    income = best.outcome.measures.equal_annual_income
    yearly = f", or {dollars(income, yearly=True)} an acre a year" if found.objective.goal != "irr" else ""
    what = f"{member_name(best)} ({plan_in_short(best.outcome.scenario)})"
    parts = [f"Most by {GOAL_WORDS[found.objective.goal]}: {what}, {amount(found, best.value)}{yearly}."]
    others = [f"{name} {amount(found, member.value)}" for name, member in _others(found)]
    parts.append(f"Each at its own best: {'; '.join(others)}.")
    if found.file.value == best.value:
        parts.append("The plan of the file is the best of the grid.")
    else:
        parts.append(f"The plan of the file as it is written: {amount(found, found.file.value)}.")
    if found.objective.goal == "irr":
        parts.append(
            f"Plans that put less than {dollars(found.objective.least_outlay_per_ac)} into an acre do not count."
        )
    return " ".join([*parts, *_grass_unused(found), *_disagreement(found)])


def _grass_unused(found: BestPlan) -> Iterator[str]:
    """What the trees of the same rows are worth with nothing done on the grass, so that nobody credits the grass."""
    if not uses_both(found.best.outcome.scenario):
        return
    unused = [member for member in found.ranking if member.system == "silvopasture" and not _used(member)]
    if unused:
        yield f"With the grass of these rows unused: {amount(found, unused[0].value)}."


def _used(member: Member) -> bool:
    plan = member.outcome.scenario
    return plan.trees is None or uses_both(plan)


def _disagreement(found: BestPlan) -> Iterator[str]:
    """Which of these plans would lead by another measure, where one would."""
    sides = [found.best, *(member for _, member in _others(found)), found.file]
    measures: dict[str, Callable[[Measures], float]] = {
        "land expectation value": lambda each: each.land_expectation or 0.0,
        "net present value": lambda each: each.npv,
        "rate of return of one cycle": lambda each: max(each.irr_cycle, default=float("-inf")),
    }
    others: dict[str, list[str]] = {}
    for words, measure in measures.items():
        leader = max(sides, key=lambda member: measure(member.outcome.measures))
        if measure(leader.outcome.measures) > measure(found.best.outcome.measures):
            others.setdefault(member_name(leader), []).append(words)
    for name, words_of in others.items():
        yield f"By {' and by '.join(words_of)} {name} would lead among these."


def _others(found: BestPlan) -> Iterator[tuple[str, Member]]:
    best = found.best
    for member in (found.best_of_both, found.best_of("plantation"), found.best_of("pasture")):
        if member is not None and (member.system, member.place) != (best.system, best.place):
            yield spoken(member_name(member)), member


def proof(found: BestPlan) -> str:
    """How far the search is a proof."""
    plans = sum(len(space.plans) for space in found.spaces.values())
    if not found.complete:
        reached = plans - sum(space.dropped().get(NOT_REACHED_WORDS, 0) for space in found.spaces.values())
        return f"Stopped early: {reached:,} of {plans:,} plans were valued, so this is the best so far and no proof."
    moved = [abs(member.value - member.searched_value) for member in found.ranking]
    off = max([change for change in moved if math.isfinite(change)], default=0.0)
    said = f"by {off:.2%} at most" if found.objective.goal == "irr" else f"by ${off:,.2f} an acre at most"
    exact = len(found.ranking)
    if found.proven_gap > 0:
        close = f"another plan of the grid could be better by up to {found.proven_gap:.2%}."
    else:
        close = "no other plan of the grid is better, by that measure."
    return (
        f"All {plans:,} plans of the grid were valued with fast light; the {exact} that matter were run again exactly, "
        f"which moved them {said}: {close} Plans off the grid are not covered."
    )


NOT_REACHED_WORDS = "not reached before the search was stopped"


def light_note(found: BestPlan) -> str:
    """What the fast light path made of the best plan."""
    best = found.best
    if not math.isfinite(best.searched_value):
        return "Fast light did not reach the best plan; everything shown is exact."
    if found.objective.goal == "irr":
        return f"Fast light valued the best plan at {best.searched_value:.3%}, exact light at {best.value:.3%}."
    return (
        f"Fast light valued the best plan at ${best.searched_value:,.2f} an acre, exact light at ${best.value:,.2f}; "
        "everything shown is exact."
    )


def refinement(found: BestPlan, near: Refined) -> str:
    """What lies a little off the grid."""
    if not near.tried:
        return "Off the grid nothing was tried: this plan has no cut or start of grazing to move by a year."
    if near.gain <= 0:
        return f"None of {near.tried} plans a year or a tenth of the trees away is better."
    gain = f"{100 * near.gain:.2f} %" if found.objective.goal == "irr" else f"${near.gain:,.0f} an acre"
    return f"A little off the grid, not proven: {plan_in_short(near.outcome.scenario)} is worth {gain} more."


def effort(found: BestPlan) -> str:
    """Years grown, and what sharing the common ones saved."""
    return (
        f"{found.years_grown:,} years grown in place of {found.years_alone:,}: plans that begin alike are grown "
        "together until they part."
    )
