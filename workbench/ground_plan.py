"""The plan with what its field really holds, as a scenario file."""

from typing import Any

from simulator.ground.layout import Layout
from workbench.plan_file import plan_text

AC_DIGITS = 3
SMALL_AC = 10.0
"""Below this a field is said to the thousandth of an acre, so that its parts still add up to it."""


def ground_table(layout: Layout) -> dict[str, Any]:
    """The table ``[land.ground]``: acres of each kind of ground, edge rows, trees ordered.

    Parameters
    ----------
    layout
        Rows on a field.

    Returns
    -------
    dict
        Rounded; the acres add up to the field.
    """
    areas = {name: round(value, AC_DIGITS) for name, value in layout.areas._asdict().items()}
    order = ("alley_ac", "tree_strip_ac", "headland_ac", "unusable_ac")
    return {
        **{name: areas[name] for name in order},
        "edge_row_share": round(layout.edge_row_share, AC_DIGITS),
        "trees_ordered": layout.order.first_order,
    }


def land_acres(layout: Layout) -> float:
    """The field's acres as a plan says them, rounded so that its parts still add up to them [ac]."""
    return round(layout.field.acres, AC_DIGITS if layout.field.acres < SMALL_AC else AC_DIGITS - 1)


def plan_changes(layout: Layout) -> dict[str, Any]:
    """What a layout changes in its plan, by dotted path: direction of the rows, acres, `[land.ground]`."""
    return {
        "trees.layout.row_azimuth_deg": layout.rows.azimuth_deg,
        "land.acres": land_acres(layout),
        "land.ground": ground_table(layout),
    }


def ground_plan_text(layout: Layout) -> str:
    """The plan as laid, with the field's acres and ``[land.ground]``, as TOML."""
    import tomlkit  # noqa: PLC0415 - only who writes a plan pays for it

    heading = "Written by `halfshade layout --write-plan`: the plan as its rows lie on the field."
    ground = ground_table(layout)
    land = layout.scenario.land.model_copy(update={"acres": land_acres(layout)})
    document = tomlkit.parse(plan_text(layout.scenario.model_copy(update={"land": land}), heading))
    document["land"]["ground"] = ground
    document["land"]["ground"].add(tomlkit.nl())
    return tomlkit.dumps(document)
