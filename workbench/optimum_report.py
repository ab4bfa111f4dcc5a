"""Terminal tables of a search for the best plan."""

import math
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
from workbench.reports import MEASURE_ROWS, WITHOUT_MEANING_FOR_A_STAND, money_note, print_years
from workbench.words import cautions

LABELS = ("Land expectation value, $/ac", "Equal annual income, $/ac/yr", "Net present value with end values, $/ac")


RENT_IN_DOUBT = "The rent of its grazing is in doubt: see what a tenant would pay, under Warnings."


def print_best(
    found: BestPlan, comparison: Comparison, flat: Sequence[Flatness], worth: Sequence[Marginal], why: str | None
) -> None:
    """Print the answer, best against best, the next best, how flat the optimum is and what each decision is worth."""
    scenario = found.best.outcome.scenario
    print_text(f"{answer(found)}\n\n")
    doubt = any(each.code == "tenants_nitrogen" and each.system == "silvopasture" for each in comparison.warnings)
    for line in (why, RENT_IN_DOUBT if doubt else None):
        print_text(f"{line}\n\n" if line else "")
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


def side_rows(found: BestPlan) -> tuple[list[str], list[list[str]]]:
    """Best against best, since measures can disagree: headings of the plans, and rows of words and amounts."""
    sides = sides_of(found)
    show = [row for row in MEASURE_ROWS if not row[0].startswith("  ")]
    if found.file.outcome.scenario.stand is not None:
        show = [row for row in show if row[0] not in WITHOUT_MEANING_FOR_A_STAND]
    ordered = [row for label in LABELS for row in show if row[0] == label] + [
        row for row in show if row[0] not in LABELS
    ]
    rows = [[label, *(form(member.outcome.measures) for _, member in sides)] for label, form in ordered]
    return [heading for heading, _ in sides], rows


def _print_sides(found: BestPlan) -> None:
    headings, rows = side_rows(found)
    title = (
        f"{found.file.outcome.scenario.title or 'Scenario'}: best against best, by {GOAL_WORDS[found.objective.goal]}"
    )
    print_table(title, ["", *headings], rows, note=money_note(found.best.outcome))
    print_text(
        "".join(
            f"  {heading.replace(chr(10), ' ')}: {plan_in_short(member.outcome.scenario)}\n"
            for heading, member in sides_of(found)
        )
    )


def sides_of(found: BestPlan) -> list[tuple[str, Member]]:
    """The best of all, each use of the land at its own best, and the plan of the file, each once."""
    best, sides = found.best, []
    others = [found.best_of_both, found.best_of("plantation"), found.best_of("pasture")]
    if best not in others:
        sides.append((_heading(best, "best of all"), best))
    sides += [
        (_heading(member, "best of all" if member == best else "at its best"), member)
        for member in others
        if member is not None
    ]
    return [*sides, ("plan of\nthe file", found.file)]


def _heading(member: Member, rank: str) -> str:
    return f"{member_name(member)}, {rank}".replace(", ", ",\n")


def _print_flatness(found: BestPlan, flat: Sequence[Flatness], unit: str) -> None:
    if not flat:
        return
    rows = [
        [step.decision, step.move, difference(found, step.change)]
        for step in sorted(flat, key=lambda step: step.decision)
    ]
    print_text("\n")
    notes = ["A dash: the plan cannot be done so."] if any(math.isnan(step.change) for step in flat) else []
    better = any(step.change > 0.0 for step in flat)
    notes += ["A plus: a better plan lies off the grid."] if better else []
    note = " ".join(notes)
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
    standing = found.file.outcome.scenario.stand is not None
    names = {
        "silvopasture": "the file's way with the trees" if standing else "these rows",
        "plantation": "kept for wood" if standing else "trees alone",
        "pasture": "cleared for pasture" if standing else "grass alone",
    }
    names["silvopasture"] += ", with and without use of the grass"
    print_text("\nWhat was tried\n")
    for name, space in found.spaces.items():
        ways = (
            f"{_counted(space.trees, 'way')} with the trees, {_counted(space.uses, 'way')} to use the ground"
            if space.trees
            else f"{_counted(space.uses, 'way')} to use the ground"
        )
        print_text(f"  - {names[name]}: {_counted(len(space.plans), 'plan')}; {ways}.\n")
        for reason, count in space.dropped().items():
            print_text(f"      left out {count:,}: {reason}\n")
        if space.dominated():
            under = " under the same trees" if space.trees else ""
            print_text(f"      beaten by another use of the ground{under}: {space.dominated():,}\n")


def _counted(number: int, noun: str) -> str:
    return f"{number:,} {noun}{'' if number == 1 else 's'}"
