"""Chart of a slice across the rows, true to scale: trees, grass, light, and things whose size everyone knows."""

import math
import textwrap
from typing import Final, NamedTuple

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.figure import Figure

from simulator.comparison import Comparison
from simulator.geometry import shares_of_field
from simulator.result import Outcome
from simulator.scenario.rows import period_ft
from simulator.units import SQUARE_FEET_PER_ACRE
from workbench.charts.cuts import cuts_of
from workbench.charts.ground import GROUND_DEPTH_FT, LIGHT_COLORS, LIGHT_SCALE, draw_ground
from workbench.charts.life import animals_in_words, draw_life
from workbench.charts.scenery import draw_crown, draw_trunk
from workbench.charts.style import (
    FAINT,
    GRID,
    LETTER_WIDTH_IN,
    SMALL_PT,
    SYSTEM_INK,
    house_style,
    system_name,
    title_lines,
)

AGES: Final = (1, 5, 10, 15, 25)
MOST_PANELS_OF_THE_PLAN: Final = 7
SINGLE_USE_AGE: Final = 15
BESIDE: Final = ("plantation", "kept_up", "open_later")
"""Systems with trees that are drawn once, beside the plan."""
LEAST_WINDOW_FT: Final = 60.0
WINDOW_WITHOUT_TREES_FT: Final = 80.0
LEAST_HEIGHT_FT: Final = 13.0
WIDEST_IN_THREE_COLUMNS_FT: Final = 130.0
KEY: Final = (
    "Person 6 ft;{animals} tractor 9 ft high; round bale 5 ft: in years that have them, where they have room. "
    "Crowns and stems are each row's mean tree; paler crowns: fewer trees along the row. Brown ground: tree "
    "rows and their strips, without grass. Grass tufts only hint at light."
)
KEY_CHARACTERS: Final = 90
TITLE_LINE_IN: Final = 0.17
LEFT_IN, RIGHT_IN, GAP_IN = 0.5, 0.1, 0.14
TITLE_IN, TICKS_IN, HEAD_IN, FOOT_IN = 0.40, 0.22, 0.30, 0.92


class Slice(NamedTuple):
    """One panel: a system at the end of a year."""

    system: str
    year: int


def slices_of(comparison: Comparison) -> list[Slice]:
    """Which years to draw: the ages of practice, both sides of the first thinning, and the last year.

    Parameters
    ----------
    comparison
        Three systems on one piece of land.

    Returns
    -------
    list of Slice
        Of the plan in the order of years, then one each of the other systems, grass alone last.
    """
    plan = comparison.systems["silvopasture"]
    slices = [Slice("silvopasture", year) for year in _years(plan)]
    middle = min(SINGLE_USE_AGE, _last_year(comparison.systems["plantation"]))
    beside = [name for name in BESIDE if name in comparison.systems]
    slices += [Slice(name, min(middle, _last_year(comparison.systems[name]))) for name in beside]
    if plan.scenario.trees is not None:
        # the stand is cleared in year 0, and what is drawn after that is the pasture that follows
        slices.append(Slice("pasture", max(middle, 1)))
    return slices


def _part(comparison: Comparison, part: Slice) -> tuple[Outcome, int]:
    """What stands in a panel and its row there: after the harvest of a stand, the plan that follows it."""
    outcome = comparison.systems[part.system]
    cut = outcome.flows.leading_yr
    return (outcome.lives[-1], part.year - cut) if outcome.lives and part.year > cut else (outcome, part.year)


def _last_year(outcome: Outcome) -> int:
    horizon = len(outcome.cash_per_ac) - 1
    return min([horizon, *(cut.year for cut in cuts_of(outcome) if cut.final)])


def _years(outcome: Outcome) -> list[int]:
    last = _last_year(outcome)
    if outcome.scenario.trees is None:
        return [last]
    ages = sorted({0, *AGES}) if outcome.lives else AGES
    thinned = next((cut.year for cut in cuts_of(outcome) if not cut.final), None)
    chosen = {last} if thinned is None else {last, thinned, min(thinned + 1, last)}
    for age in ages:
        if age < last and all(abs(age - year) > 1 for year in chosen):
            chosen.add(age)
    return sorted(chosen)[-MOST_PANELS_OF_THE_PLAN:]


def cross_section_figure(comparison: Comparison) -> Figure:
    """Draw the same slice of land at several ages, and of the plantation once, all to one scale.

    Parameters
    ----------
    comparison
        Three systems on one piece of land.

    Returns
    -------
    Figure
        Feet across and feet up have the same length in every panel.
    """
    slices = slices_of(comparison)
    margin, width = _window(comparison, slices)
    columns = min(len(slices), 2 if width > WIDEST_IN_THREE_COLUMNS_FT or len(slices) == 4 else 3)
    rows = [slices[i : i + columns] for i in range(0, len(slices), columns)]
    across_in = (LETTER_WIDTH_IN - LEFT_IN - RIGHT_IN - GAP_IN * (columns - 1)) / columns
    tops = [max(_needed_height(*_part(comparison, part)) for part in row) for row in rows]
    heights_in = [(top + GROUND_DEPTH_FT) * across_in / width for top in tops]
    finding = title_lines(_finding(comparison))
    head_in = HEAD_IN + TITLE_LINE_IN * finding.count("\n")
    whole_in = head_in + FOOT_IN + sum(heights_in) + (TITLE_IN + TICKS_IN) * len(rows)
    with house_style():
        figure = Figure(figsize=(LETTER_WIDTH_IN, whole_in))
        figure.suptitle(finding, x=0.01, y=1.0 - 0.09 / whole_in, ha="left", va="top")
        upper = whole_in - head_in
        for row, top, height in zip(rows, tops, heights_in, strict=True):
            upper -= TITLE_IN + height
            for place, part in enumerate(row):
                box = (LEFT_IN + place * (across_in + GAP_IN), upper, across_in, height)
                axes = figure.add_axes(_shares(box, whole_in))
                _set_scale(axes, (-margin, width - margin, top), first=place == 0)
                axes.set_xlabel(
                    "feet across the rows, to the scale of height" if row is rows[-1] else "",
                    fontsize=SMALL_PT,
                    labelpad=1.0,
                )
                _draw_slice(axes, comparison, part)
            upper -= TICKS_IN
        _draw_key(figure, comparison, whole_in)
    return figure


def _shares(box: tuple[float, float, float, float], whole_in: float) -> tuple[float, float, float, float]:
    left, bottom, width, height = box
    return left / LETTER_WIDTH_IN, bottom / whole_in, width / LETTER_WIDTH_IN, height / whole_in


def _window(comparison: Comparison, slices: list[Slice]) -> tuple[float, float]:
    """Ground left of the first row, and width of the slice: one alley with the tree rows on both its sides [ft]."""
    trees = comparison.systems["silvopasture"].scenario.trees
    if trees is None:
        return WINDOW_WITHOUT_TREES_FT / 2.0, WINDOW_WITHOUT_TREES_FT
    layout = trees.layout
    reach = [outcome.drawing["across_ft"][year].max() for outcome, year in (_part(comparison, s) for s in slices)]
    margin = max(reach) + 1.5
    rows = period_ft(layout.rows_in_set, layout.row_gap_ft, 0.0)
    width = 2.0 * (rows + margin) + layout.alley_ft
    return margin + max(LEAST_WINDOW_FT - width, 0.0) / 2.0, max(width, LEAST_WINDOW_FT)


def _needed_height(outcome: Outcome, year: int) -> float:
    return max(LEAST_HEIGHT_FT, 1.04 * float((outcome.drawing["height_ft"] * outcome.drawing["alive"])[year].max()))


def _set_scale(axes: Axes, limits: tuple[float, float, float], *, first: bool) -> None:
    left, right, top = limits
    axes.set_xlim(left, right)
    axes.set_ylim(-GROUND_DEPTH_FT, top)
    axes.set_aspect("equal", adjustable="box")
    step = 10 if right - left <= 60.0 else 20
    axes.set_xticks(np.arange(math.ceil(left / step) * step, right, step))
    heights = np.arange(0.0, top, 10.0)
    axes.hlines(heights, left, right, color=GRID, linewidth=0.5, zorder=0)
    # a tick is the dearest thing in a chart: only the panel whose heights are written has them
    axes.set_yticks(heights if first else [])
    axes.spines["bottom"].set_visible(False)
    axes.spines["left"].set_bounds(0.0, top)
    axes.tick_params(length=2.0, pad=1.5, labelsize=SMALL_PT - 1.0)
    if first:
        axes.set_ylabel("feet up", fontsize=SMALL_PT, labelpad=2.0)


def _draw_slice(axes: Axes, comparison: Comparison, part: Slice) -> None:
    outcome, year = _part(comparison, part)
    draw_ground(axes, outcome, year)
    draw_life(axes, outcome, year, _draw_trees(axes, outcome, year))
    axes.set_title(
        _heading(comparison, part), fontsize=SMALL_PT, fontweight="normal", color=SYSTEM_INK[part.system].words
    )


def _draw_trees(axes: Axes, outcome: Outcome, year: int) -> list[tuple[float, float]]:
    """Draw the rows and return the ends of every stem on the ground [ft]."""
    stems = []
    drawing, (left, right) = outcome.drawing, axes.get_xlim()
    cell = float(drawing["cell_ft"])
    shifts = np.arange(math.floor(left / cell) - 1, math.ceil(right / cell) + 1) * cell
    for row, offset in enumerate(drawing["offset_ft"]):
        if not drawing["alive"][year, row] or drawing["trees"][year, row] <= 0:
            continue
        radius, height = float(drawing["across_ft"][year, row]), float(drawing["height_ft"][year, row])
        base, dbh = float(drawing["crown_base_ft"][year, row]), float(drawing["dbh_in"][year, row])
        fullness = float(drawing["trees"][year, row] / drawing["trees"][0, row])
        for place in shifts + float(offset):
            if left - radius < place < right + radius:
                stems.append((place - dbh / 24.0, place + dbh / 24.0))
                draw_trunk(axes, place, height, dbh)
                draw_crown(axes, (place, (base + height) / 2.0), 2.0 * radius, height - base, min(fullness, 1.0))
    return stems


def _heading(comparison: Comparison, part: Slice) -> str:
    outcome, row = _part(comparison, part)
    states, name, year = outcome.states, system_name(comparison, part.system), part.year
    cut = next((cut for cut in cuts_of(outcome) if cut.year == row), None)
    when = "" if cut is None else f", before the {'harvest' if cut.final else 'thinning'}"
    if outcome.scenario.stand is not None and part.system != "silvopasture":
        when = when.replace("before the", "at")
    mine = part.system == "silvopasture" and outcome.scenario.trees is not None
    first = f"Year {year}{when}" if mine else f"{name[0].upper()}{name[1:]}, year {year}{when}"
    light = f"light {states['light_warm'][row]:.0%}"
    if outcome.scenario.trees is None:
        return f"{first}\n{light}"
    trees = states["trees_per_ac"][row] / shares_of_field(outcome.scenario).rows  # the slice is one of the rows
    return f"{first}\n{trees:.0f} trees/ac, {_spacing(outcome, row):.0f} ft apart in row; {light}"


def _spacing(outcome: Outcome, year: int) -> float:
    """Mean distance between living trees along the rows that stand [ft]."""
    drawing = outcome.drawing
    standing = (drawing["alive"][year] > 0) & (drawing["trees"][year] > 0)
    trees = float(drawing["trees"][year].sum())
    return SQUARE_FEET_PER_ACRE * float(standing.sum()) / (trees * float(drawing["cell_ft"])) if trees > 0 else 0.0


def _finding(comparison: Comparison) -> str:
    """Least light of every system with trees, whether or not its year is drawn."""
    parts = []
    for system in ("silvopasture", *(name for name in BESIDE if name in comparison.systems)):
        outcome = comparison.systems[system]
        last = _last_year(outcome)
        light = outcome.states["light_warm"][min(1, last) : last + 1]
        darkest = min(1, last) + int(light.argmin())
        parts.append(f"{system_name(comparison, system)} {light.min():.0%} (year {darkest})")
    return f"Least light on the grass, year 1 to the harvest: {', '.join(parts)}"


def _draw_key(figure: Figure, comparison: Comparison, whole_in: float) -> None:
    bar = figure.add_axes(_shares((LEFT_IN, 0.44, 2.2, 0.11), whole_in))
    figure.colorbar(
        ScalarMappable(LIGHT_SCALE, LIGHT_COLORS), cax=bar, orientation="horizontal", ticks=[0, 0.25, 0.5, 0.75, 1]
    )
    bar.set_xticklabels(["0", "25", "50", "75", "100 %"])
    bar.tick_params(length=2.0, labelsize=SMALL_PT - 0.5)
    bar.set_xlabel("warm-season light on the ground [% of open light]", fontsize=SMALL_PT, labelpad=1.0)
    words = f"{KEY.format(animals=animals_in_words(comparison.systems.values()))} {_azimuth_words(comparison)}"
    figure.text(
        (LEFT_IN + 2.45) / LETTER_WIDTH_IN, 0.62 / whole_in, textwrap.fill(words, KEY_CHARACTERS),
        fontsize=SMALL_PT - 0.5, va="top", color=FAINT, linespacing=1.25,
    )  # fmt: skip


def _azimuth_words(comparison: Comparison) -> str:
    trees = comparison.systems["silvopasture"].scenario.trees
    if trees is None:
        return ""
    azimuth = trees.layout.row_azimuth_deg
    words = {0.0: "north-south", 90.0: "east-west"}.get(azimuth, f"{azimuth:g}° from north")
    return f"Rows run {words}."
