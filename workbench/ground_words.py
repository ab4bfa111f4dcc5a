"""A layout in the words of a planting contractor and a cattleman."""

from collections.abc import Iterator
from typing import Final

from simulator.ground.document import magnetic_deg
from simulator.ground.layout import Layout
from simulator.ground.passes import Passes
from simulator.ground.rows import short_rows
from workbench.output import print_text

NO_SURVEY: Final = "A plan, no survey: lines on the ground that matter are set by a registered surveyor."
CAUTIONS: Final = (
    "Before anyone rips, digs or drives a post, have the utility-locating service mark buried lines.",
    "Stream-side rules differ by state and county: the local forester knows how wide the buffer must be.",
    NO_SURVEY,
)
AXES: Final = ("north-south", "north-east to south-west", "east-west", "south-east to north-west")
WHOLE_PASS: Final = 0.06
"""A machine that is off a whole number of passes by less than this goes that often."""


def acres(value: float) -> str:
    """Acres as said: tenths, whole above a hundred."""
    return f"{value:,.0f} ac" if value >= 100.0 else f"{value:.1f} ac"


def feet(value: float) -> str:
    """Feet as said: whole, tens above a thousand."""
    return f"{round(value, -1):,.0f} ft" if value >= 1000.0 else f"{value:.0f} ft"


def degrees(value: float) -> str:
    """Degrees as a compass is read: whole or half."""
    return f"{round(2.0 * value) / 2.0 % 360.0:g}"


def print_layout(layout: Layout) -> None:
    """Print a layout: ground, rows, trees, machines, fences, cautions."""
    parts = (
        ("Ground", _ground(layout)),
        ("Rows", _rows(layout)),
        ("Seedlings", _seedlings(layout)),
        ("Machines", _machines(layout)),
        ("Fence and water", _fence(layout)),
        ("Notes", (message for _, message in layout.notes)),
        ("Cautions", iter(CAUTIONS)),
    )
    head = f"{layout.scenario.title or 'Layout'}: {acres(layout.field.acres)}\n"
    blocks = [(title, list(lines)) for title, lines in parts]
    text = "\n".join(f"{title}\n" + "".join(f"  {line}\n" for line in lines) for title, lines in blocks if lines)
    print_text(f"{head}\n{text}")


def _ground(layout: Layout) -> Iterator[str]:
    areas, margins = layout.areas, layout.margins
    net = areas.tree_strip_ac + areas.alley_ac
    yield f"{acres(net)} net: {acres(areas.alley_ac)} of alleys, {acres(areas.tree_strip_ac)} of tree strips"
    yield f"{acres(areas.headland_ac)} of headlands, {margins.headland_ft:g} ft wide, at the ends of rows"
    yield (
        f"{acres(areas.unusable_ac)} not used: {margins.setback_ft:g} ft along fence and holes, "
        f"{margins.stream_buffer_ft:g} ft along water, holes, lanes, deck"
    )
    if layout.slope is not None:
        slope = layout.slope
        way, contour = degrees(slope.downhill_deg), degrees(slope.contour_deg)
        yield f"falls {slope.percent:.1f} % toward {way} degrees; the contour runs at {contour}"


def direction_words(layout: Layout) -> str:
    """Direction of the rows, true, and magnetic where the declination is known."""
    true, declination = layout.rows.azimuth_deg, layout.options.declination_deg
    compass = "" if declination is None else f", {degrees(magnetic_deg(true, declination))} by compass"
    return f"{degrees(true)} degrees true{compass}: {AXES[round(true / 45.0) % 4]}"


def needle_words(declination_deg: float) -> str:
    """How far and to which side of true north the compass needle points."""
    if declination_deg == 0.0:
        return "at true north"
    return f"{abs(declination_deg):g} degrees {'east' if declination_deg > 0.0 else 'west'}"


def _rows(layout: Layout) -> Iterator[str]:
    rows, pattern = layout.rows, layout.trees.layout
    chosen = f" ({layout.choice.reason})" if layout.choice is not None else ""
    yield f"run at {direction_words(layout)}{chosen}"
    yield (
        f"{len(rows.trees)} rows in {int(rows.set_number.max()) + 1} sets, {feet(float(rows.length_ft.sum()))} in all, "
        f"{feet(float(rows.length_ft.mean()))} on average"
    )
    gap = f"{pattern.row_gap_ft:g} ft between rows of a set, " if pattern.rows_in_set > 1 else ""
    yield f"{gap}{pattern.in_row_ft:g} ft between trees, alleys of {pattern.alley_ft:g} ft"
    short = short_rows(rows)
    if short:
        yield f"{short} of them short: more turning than work"
    yield f"{100 * layout.edge_row_share:.0f} % of the length are edge rows, with open ground on one side"
    yield first_row_words(layout)
    yield from other_directions_words(layout)


def first_row_words(layout: Layout) -> str:
    """Where the crew begins."""
    first = layout.first
    across = f"{first.across_ft:.0f} ft {first.across_to} of the {first.corner.name} corner, square to the rows"
    return f"row 1 begins {across}, then {first.along_ft:.0f} ft {first.along_to} along them"


def other_directions_words(layout: Layout) -> Iterator[str]:
    """What the other directions that were looked at would give; nothing where nobody looked."""
    if layout.choice is None:
        return
    chosen = layout.choice.chosen
    for other in layout.choice.looked_at:
        if not other.why or other.azimuth_deg == chosen.azimuth_deg:
            continue
        light, income = other.light_warm, other.equal_annual_income_per_ac
        if light is None or income is None or chosen.light_warm is None or chosen.equal_annual_income_per_ac is None:
            continue
        said = _light(round(100 * (light - chosen.light_warm)))
        more = income - chosen.equal_annual_income_per_ac
        money = "" if abs(more) < 1.0 else f", ${abs(more):.0f} an acre a year {'more' if more > 0 else 'less'}"
        yield (
            f"at {degrees(other.azimuth_deg)} ({other.why}): {other.rows} rows of {feet(other.mean_row_ft)}, "
            f"{other.trees:,} trees, {said} on the grass{money}"
        )


def _light(points: int) -> str:
    if points == 0:
        return "as much light"
    return f"{abs(points)} point{'' if abs(points) == 1 else 's'} {'more' if points > 0 else 'less'} light"


def _seedlings(layout: Layout) -> Iterator[str]:
    order = layout.order
    living = round(order.living, -2 if order.living >= 1000 else 0)
    alive = f"about {living:,} alive after establishment ({100 * order.survival:.0f} %)"
    yield f"{order.spots:,} trees planted; {alive}"
    yield f"order {order.first_order:,} for this winter, {order.spare:,} of them spare"
    if order.replant_order:
        yield f"keep {order.replant_order:,} in mind for filling gaps next winter: {order.total:,} in all"
    else:
        yield "none for filling gaps: the plan does not replant (trees.replant_below, or --replant-share)"


def passes_words(each: Passes) -> str:
    """What a machine makes of an alley."""
    whole = round(each.passes)
    head = f"{each.width_ft:g}-ft {each.machine}: {each.grass_ft:g} ft of grass"
    if whole and abs(each.passes - whole) <= WHOLE_PASS:
        return f"{head} are {whole} whole pass{'' if whole == 1 else 'es'}"
    fitted = f"{each.fitted_passes} whole pass{'' if each.fitted_passes == 1 else 'es'}"
    fit = f"an alley of {each.fitted_alley_ft:g} ft is {fitted}"
    return f"{head} are {each.passes:.1f} passes; {fit} (--fit-alley)"


def _machines(layout: Layout) -> Iterator[str]:
    return (passes_words(each) for each in layout.passes)


def _fence(layout: Layout) -> Iterator[str]:
    sides, paddocks = layout.sides, layout.paddocks
    around, stands = sum(side.length_ft for side in sides), sum(side.fenced_ft for side in sides)
    there = f", {feet(stands)} of it with a fence" if stands else ""
    by_name: dict[str, float] = {}
    for side in sides:
        name = side.name.split()[0]
        by_name[name] = by_name.get(name, 0.0) + side.length_ft
    yield f"{feet(around)} around{there}: " + ", ".join(f"{name} {feet(long)}" for name, long in by_name.items())
    count = len(paddocks.paddocks)
    walk = max(each.walk_ft for each in paddocks.paddocks)
    gates = f"{paddocks.gates} gate{'' if paddocks.gates == 1 else 's'}"
    if count > 1:
        sizes = [each.acres for each in paddocks.paddocks]
        cross = sum(fence.length for fence in paddocks.fences)
        fence = f"{feet(cross)} of cross-fence {paddocks.lines} the rows, {gates}"
        yield f"{count} paddocks of {min(sizes):.1f} to {max(sizes):.1f} ac: {fence}"
    points = len(paddocks.water_ft)
    mine = f", {paddocks.proposed} proposed" if paddocks.proposed else ""
    yield f"{points} water point{'' if points == 1 else 's'}{mine}; farthest walk to water {feet(walk)}, straight"
