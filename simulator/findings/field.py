"""What of a field the rows take, for whoever reads figures by the acre of the whole field."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from simulator.geometry import shares_of_field
from simulator.parameters.field_work import load_field_layout
from simulator.scenario.model import Scenario
from simulator.scenario.rows import planted_trees_per_ac

if TYPE_CHECKING:  # a file is checked without growing anything
    from simulator.result import Outcome

ORDER_TOLERANCE = 0.15
"""Seedlings ordered may differ so much from those of the plan, and by one lot more: some are spare, rows end where they
end (judgement)."""


def field_findings(outcome: "Outcome") -> Iterator[tuple[str, str]]:
    """How many acres hold rows, grass and nothing, and whether the seedlings ordered are those of the plan."""
    said = parts_in_words(outcome.scenario)
    if said:
        yield "field_parts", said
    yield from _ordered(outcome.scenario)


def parts_in_words(scenario: Scenario) -> str:
    """Acres of a field that hold rows, open grass and nothing, in one or two sentences; empty where nobody measured."""
    ground, acres = scenario.land.ground, scenario.land.acres
    if ground is None:
        return ""
    shares = shares_of_field(scenario)
    idle = 1.0 - shares.rows - shares.headland
    trees = scenario.trees is not None
    what = "rows and their alleys take" if trees else "grass grows on"
    parts = [f"{what} {shares.rows * acres:.1f} of the {acres:,g} acres"]
    parts += [f"headlands in grass {shares.headland * acres:.1f}"] if shares.headland > 0.0 else []
    parts += [f"{idle * acres:.1f} bear nothing"] if idle > 1e-9 else []
    said = ", ".join(parts[:-1]) + " and " + parts[-1] if len(parts) > 1 else parts[0]
    said = f"{said[0].upper()}{said[1:]}."
    if trees and shares.rows < 1.0:
        times = f"{1.0 / shares.rows:.2f} times as many trees"
        said += f" Figures by the acre are of the whole field; among the rows, where thinnings count, stand {times}."
    return said


def _ordered(scenario: Scenario) -> Iterator[tuple[str, str]]:
    ground, trees = scenario.land.ground, scenario.trees
    if ground is None or trees is None or not ground.trees_ordered or scenario.stand is not None:
        return
    layout = trees.layout
    each = planted_trees_per_ac(layout.rows_in_set, layout.row_gap_ft, layout.in_row_ft, layout.alley_ft)
    planned = each * shares_of_field(scenario).rows * scenario.land.acres
    if abs(ground.trees_ordered - planned) > ORDER_TOLERANCE * planned + load_field_layout().order_multiple:
        message = (
            f"{ground.trees_ordered:,} seedlings are ordered, but the plan plants {planned:,.0f}: lay the rows out "
            "anew, or correct the spacing or the acres of the rows."
        )
        yield "trees_ordered", message
