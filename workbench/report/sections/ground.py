"""Rows on the ground: the map of a field, what its rows come to, what to order, and what to mind."""

from typing import Final

from simulator.ground import Layout
from simulator.ground.rows import short_rows
from workbench.ground_map import map_figure
from workbench.ground_words import CAUTIONS, acres, direction_words, feet, first_row_words
from workbench.report.blocks import Items, Picture, Section, Table, Text, listed, section

COLUMNS: Final = ("what", "how much")


def rows_on_the_ground(layout: Layout) -> Section:
    """The plan's rows on its field."""
    return section(
        "ground",
        "Rows on the ground",
        Text(_leading(layout)),
        Picture("map", map_alt(layout), lambda: map_figure(layout, to_scale=False)),
        Table("ground", "What the field holds, and what to order", COLUMNS, tuple(_counts(layout)), words=(0, 1)),
        Text(f"{_sentence(first_row_words(layout))} The command halfshade layout writes its stakes as files."),
        listed([message for _, message in layout.notes]),
        Items(CAUTIONS),
    )


def map_alt(layout: Layout) -> str:
    """The map in words with numbers."""
    areas, rows = layout.areas, layout.rows
    net = areas.tree_strip_ac + areas.alley_ac
    troughs = len(layout.paddocks.water_ft)
    water = f"; {troughs} water point{'' if troughs == 1 else 's'}" if troughs else ""
    return (
        f"Map of the field, north up: {len(rows.trees)} rows at {direction_words(layout)}. Of "
        f"{acres(layout.field.acres)}, {acres(net)} carry rows and alleys, {acres(areas.headland_ac)} are headlands "
        f"and {acres(areas.unusable_ac)} are not planted{water}."
    )


def _leading(layout: Layout) -> str:
    rows = layout.rows
    count = f"{len(rows.trees)} rows, {feet(float(rows.length_ft.sum()))} in all, hold {layout.order.spots:,} trees"
    ground = layout.scenario.land.ground
    reckons = (
        "The amounts in this report reckon with ground measured on a field ([land.ground] of the plan)."
        if ground is not None
        else "The amounts in this report still reckon with a field without headlands and corners: "
        "halfshade layout --write-plan writes this field's ground into the plan."
    )
    return f"On {acres(layout.field.acres)} the rows run at {direction_words(layout)}. {count}. {reckons}"


def _counts(layout: Layout) -> list[tuple[str, str]]:
    areas, order, rows, paddocks = layout.areas, layout.order, layout.rows, layout.paddocks
    again = [("Seedlings to fill gaps next winter", f"{order.replant_order:,}")] if order.replant_order else []
    walk = max(each.walk_ft for each in paddocks.paddocks)
    around = sum(side.length_ft for side in layout.sides)
    return [
        ("Alleys", acres(areas.alley_ac)),
        ("Tree strips", acres(areas.tree_strip_ac)),
        ("Headlands, where machines turn", acres(areas.headland_ac)),
        ("Not planted: along fence and water, holes, lanes, deck", acres(areas.unusable_ac)),
        ("Rows", f"{len(rows.trees)}, {feet(float(rows.length_ft.mean()))} on average, {short_rows(rows)} short"),
        ("Edge rows, of the length of all rows", f"{100 * layout.edge_row_share:.0f} %"),
        ("Trees planted", f"{order.spots:,}"),
        ("Seedlings to order, spares among them", f"{order.first_order:,}"),
        *again,
        ("Fence around the field", feet(around)),
        ("Farthest walk to water, straight", feet(walk)),
    ]


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}."
