"""Rules for the parts of a field. Each docstring is the rule."""

from typing import Final

from simulator.errors import Problem
from simulator.scenario.draft import Draft
from simulator.scenario.ground import SUM_TOLERANCE, Ground
from simulator.scenario.tree_rules import Rule

PARTS: Final = ("alley_ac", "tree_strip_ac", "headland_ac", "unusable_ac")


def parts_add_up_to_the_field(draft: Draft) -> list[Problem]:
    """Alleys, tree strips, headlands and unusable ground together are the field, to half a per cent."""
    ground, acres = draft.get("land", "ground"), draft.get("land", "acres")
    if ground is None or acres is None or any(ground.get(part) is None for part in PARTS):
        return []
    if set(draft.document["land"]["ground"]) - set(Ground.model_fields):
        return []  # a part under a wrong name is missing in the sum, and is told of already
    total = sum(ground[part] for part in PARTS)
    if abs(total - acres) <= SUM_TOLERANCE * acres:
        return []
    rule = f"adds up to {total:,.2f} ac, but the field has acres = {acres:,.6g}"
    named = ", ".join(f"{part} {ground[part]:g}" for part in PARTS)
    remedy = f"Correct one of {named}, or acres; lay the rows out anew where the field has changed."
    return [draft.problem(("land", "ground"), rule, remedy=remedy, received="")]


def rows_have_ground(draft: Draft) -> list[Problem]:
    """Where trees stand, some ground is left for their rows; where none do, some for the grass."""
    ground = draft.get("land", "ground")
    if ground is None or any(ground.get(part) is None for part in PARTS):
        return []
    if draft.written("trees"):
        if ground["alley_ac"] + ground["tree_strip_ac"] > 0.0:
            return []
        rule, path = "leaves no ground for the rows: alley_ac and tree_strip_ac are 0", ("land", "ground")
        remedy = "Give the acres of the rows and alleys, or take [trees] out."
    else:
        if sum(ground[part] for part in PARTS[:-1]) > 0.0:
            return []
        rule, path = "leaves no ground for grass: everything is unusable_ac", ("land", "ground")
        remedy = "Give the acres that bear grass as alley_ac."
    return [draft.problem(path, rule, remedy=remedy, received="")]


GROUND_RULES: Final[tuple[Rule, ...]] = (parts_add_up_to_the_field, rows_have_ground)
