"""Terminal tables of a search for the best plan."""

from collections.abc import Sequence

from optimize.around import Flatness, Marginal, Refined
from optimize.best import BestPlan, Member
from simulator.comparison import Comparison
from workbench.dangers import dangers
from workbench.optimum_words import (
    GOAL_WORDS,
    answer,
    difference,
    effort,
    light_note,
    member_name,
    plan_in_short,
    proof,
    refinement,
)
from workbench.output import print_table, print_text
from workbench.reports import MEASURE_ROWS, money_note, print_years
from workbench.words import cautions

LABELS = ("Land expectation value, $/ac", "Equal annual income, $/ac/yr", "Net present value with end values, $/ac")


def print_best(found: BestPlan, comparison: Comparison, flat: Sequence[Flatness], worth: Sequence[Marginal]) -> None:
    """Print the answer, best against best, the next best, how flat the optimum is and what each decision is worth."""
    scenario = found.best.outcome.scenario
    print_text(f"{answer(found)}\n\n")
    _print_sides(found)
    print_text("\n")
    rows = [
        [
            str(rank),
            member_name(member),
            plan_in_short(member.outcome.scenario),
            difference(found, member.value - found.best.value),
        ]
        for rank, member in enumerate(found.runners_up, start=2)
    ]
    unit = "points" if found.objective.goal == "irr" else "$/ac"
    print_table("The next best", ["", "use", "plan", f"against\nthe best, {unit}"], rows, words=3)
    _print_flatness(found, flat, unit)
    _print_marginals(found, worth, unit)
    print_text("\n")
    print_years(f"Years of the best plan: {member_name(found.best)}", found.best.outcome)
    _print_counts(found)
    warnings = dict.fromkeys(warning.message for warning in comparison.warnings if warning.system == "silvopasture")
    for heading, lines in (("Warnings", list(warnings)), ("Cautions", [*cautions(scenario), *dangers(scenario)])):
        if lines:
            print_text(f"\n{heading}\n" + "".join(f"  - {line}\n" for line in lines))


def print_proof(found: BestPlan, near: Refined) -> None:
    """Print how far the result is proven, and what lies off the grid."""
    lines = (proof(found), light_note(found), refinement(found, near), effort(found))
    print_text("\nHow sure this is\n" + "".join(f"  - {line}\n" for line in lines))


def _print_sides(found: BestPlan) -> None:
    """Best against best: the measures side by side, since they can disagree."""
    sides: list[tuple[str, Member]] = [("best of all", found.best)]
    for heading, member in (
        ("both together", found.best_of_both),
        ("trees alone", found.best_of("plantation")),
        ("grass alone", found.best_of("pasture")),
        ("plan of the file", found.file),
    ):
        if member is not None:
            sides.append((f"{heading},\nat its best" if heading != "plan of the file" else "plan of\nthe file", member))
    show = [row for row in MEASURE_ROWS if not row[0].startswith("  ")]
    ordered = [row for label in LABELS for row in show if row[0] == label] + [
        row for row in show if row[0] not in LABELS
    ]
    rows = [[label, *(form(member.outcome.measures) for _, member in sides)] for label, form in ordered]
    title = (
        f"{found.file.outcome.scenario.title or 'Scenario'}: best against best, by {GOAL_WORDS[found.objective.goal]}"
    )
    print_table(title, ["", *(heading for heading, _ in sides)], rows, note=money_note(found.best.outcome))
    print_text(
        "".join(
            f"  {heading.replace(chr(10), ' ')}: {plan_in_short(member.outcome.scenario)}\n"
            for heading, member in sides
        )
    )


def _print_flatness(found: BestPlan, flat: Sequence[Flatness], unit: str) -> None:
    if not flat:
        return
    rows = [
        [step.decision, step.move, difference(found, step.change)]
        for step in sorted(flat, key=lambda step: step.decision)
    ]
    print_text("\n")
    note = "A dash: the plan cannot be done so. More than nothing: the better plan lies off the grid."
    print_table(
        f"How flat the optimum is: one step aside, {unit}", ["decision", "moved", "change"], rows, note=note, words=2
    )


def _print_marginals(found: BestPlan, worth: Sequence[Marginal], unit: str) -> None:
    if not worth:
        return
    rows = [
        [each.decision, "yes" if each.taken else "no", difference(found, each.with_it - each.without_it)]
        for each in worth
    ]
    print_text("\n")
    note = "The best plan with it against the best without it, all other decisions chosen anew."
    print_table(
        f"What each decision is worth, {unit}", ["decision", "in the best plan", "worth"], rows, note=note, words=2
    )


def _print_counts(found: BestPlan) -> None:
    names = {
        "silvopasture": "these rows, with and without use of the grass",
        "plantation": "trees alone",
        "pasture": "grass alone",
    }
    print_text("\nWhat was tried\n")
    for name, space in found.spaces.items():
        ways = (
            f"{space.trees:,} ways with the trees times {space.uses} with the ground"
            if space.trees
            else f"{space.uses} ways"
        )
        print_text(f"  - {names[name]}: {len(space.plans):,} plans, {ways}.\n")
        for reason, count in space.dropped().items():
            print_text(f"      left out {count:,}: {reason}\n")
        if space.dominated():
            under = " under the same trees" if space.trees else ""
            print_text(f"      beaten by another use of the ground{under}: {space.dominated():,}\n")
