"""A plan's rows laid on a field: the one function that everything else here serves."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, NamedTuple

import shapely

from simulator.errors import InputError, Problem
from simulator.ground.elevation import Slope, slope_of
from simulator.ground.field import Field
from simulator.ground.net import Ground, ground_of, turned_back
from simulator.ground.options import Margins, Options, check_options, machines_of, margins_of
from simulator.ground.order import Order, order_of
from simulator.ground.paddocks import Paddocks, paddocks_of
from simulator.ground.passes import Passes, passes_of
from simulator.ground.rows import Areas, Rows, areas_of, best_rows, edge_row_share
from simulator.ground.sides import Side, sides_of
from simulator.ground.start import FirstRow, first_row_of
from simulator.parameters.growth import load_tree
from simulator.scenario.changing import change
from simulator.scenario.model import Scenario
from simulator.scenario.trees import Layout as Pattern
from simulator.scenario.trees import Trees

if TYPE_CHECKING:
    from simulator.ground.azimuth import Choice

LIKE_SHARE: Final = 0.05
"""Acres of the plan and of the field this near to one another are the same field."""
ROLLING_SHARE: Final = 0.5
AZIMUTH: Final = "trees.layout.row_azimuth_deg"
ALLEY: Final = "trees.layout.alley_ft"


class Shapes(NamedTuple):
    """Parts of the field as they lie on the map; see :class:`simulator.ground.net.Ground`."""

    strips: Any
    workable: Any
    headland: Any
    unusable: Any


class Layout(NamedTuple):
    """A plan on a field.

    Attributes
    ----------
    field
        The field.
    scenario
        The plan with the direction and the alley that were laid.
    options, margins
        What was asked, and what is kept free of trees.
    rows, areas, shapes
        The rows, what they make of the field in acres, and its parts as shapes.
    edge_row_share
        Share of the rows' length with open ground on one side [1].
    first
        Where the crew begins.
    order
        Seedlings.
    sides, paddocks
        Fences.
    passes
        What each machine makes of the alley.
    slope, choice
        How the ground falls and which directions were looked at; None where nobody asked.
    notes
        Code and message of what a person should know.
    """

    field: Field
    scenario: Scenario
    options: Options
    margins: Margins
    rows: Rows
    areas: Areas
    shapes: Shapes
    edge_row_share: float
    first: FirstRow
    order: Order
    sides: list[Side]
    paddocks: Paddocks
    passes: list[Passes]
    slope: Slope | None
    choice: "Choice | None"
    notes: list[tuple[str, str]]

    @property
    def trees(self) -> Trees:
        """The trees that were laid."""
        return trees_of(self.scenario)

    def document(self) -> dict[str, Any]:
        """The layout as JSON; see :func:`simulator.ground.document.layout_document`."""
        from simulator.ground.document import layout_document  # noqa: PLC0415 - it reads this class

        return layout_document(self)


def lay_out(field: Field, scenario: Scenario, options: Options | None = None, beside: Path | None = None) -> Layout:
    """Lay a plan's rows on a field.

    Parameters
    ----------
    field
        The field.
    scenario
        The plan.
    options
        What a person asks; without it, the plan's direction and habits.
    beside
        Folder of the plan's price table, read only to weigh directions.

    Returns
    -------
    Layout

    Raises
    ------
    InputError
        Where the plan has no rows to plant, an option is out of range, or no row fits the field.
    """
    options = options or Options()
    check_options(options)
    margins = margins_of(options, scenario)
    slope = slope_of(options.heights, field.outline) if options.heights is not None else None
    trees_of(scenario)
    if options.survival is not None:
        scenario = change(scenario, {"trees.survival": float(options.survival)}, beside)
    scenario, passes = _fitted(scenario, options, beside)
    scenario, choice = _directed(field, scenario, (options, margins, slope), beside)
    trees = trees_of(scenario)
    azimuth = trees.layout.row_azimuth_deg
    ground = ground_of(field, margins, azimuth)
    rows = best_rows(ground, trees.layout, margins, azimuth)
    if not len(rows.trees) or not _fits(ground, trees.layout):
        raise InputError([_too_small(field, ground, margins, trees.layout)])
    areas, strips = areas_of(ground, rows, trees.layout, _strip_ft(trees))
    parts = (strips, ground.workable, ground.headland, ground.unusable)
    layout = Layout(
        field,
        scenario,
        options,
        margins,
        rows,
        areas,
        Shapes(*(turned_back(part, azimuth) for part in parts)),
        edge_row_share(rows, trees.layout),
        first_row_of(field, rows),
        order_of(int(rows.trees.sum()), trees, options.replant_share),
        sides_of(field),
        paddocks_of(field, rows, trees.layout, int(options.paddocks), options.paddock_lines),
        passes,
        slope,
        choice,
        list(field.notes),
    )
    return layout._replace(notes=[*layout.notes, *_notes(layout)])


def trees_of(scenario: Scenario) -> Trees:
    """Trees that a plan plants.

    Raises
    ------
    InputError
        Where it plants none.
    """
    if scenario.trees is None:
        raise InputError([Problem("trees", "has no rows to lay: the plan is of grass alone", "", "Add [trees].")])
    if scenario.stand is not None:
        remedy = "Lay out a plan that plants, or map the stand with `halfshade mark`."
        raise InputError([Problem("stand", "has trees that stand already where they stand", "", remedy)])
    return scenario.trees


def _strip_ft(trees: Trees) -> float:
    return load_tree(trees.species).planting.strip_width_ft


def _fitted(scenario: Scenario, options: Options, beside: Path | None) -> tuple[Scenario, list[Passes]]:
    """The plan with its alley fitted to a machine where that is asked, and what every machine makes of the alley."""
    trees, machines = trees_of(scenario), machines_of(options, scenario)
    if options.fit_alley:
        if not machines:
            remedy = "Say how wide the machine is, such as --equipment-ft 9."
            raise InputError([Problem("--fit-alley", "needs a machine", "", remedy)])
        # with several, the widest: the others overlap more easily
        name, width = max(machines, key=lambda machine: machine[1])
        fitted = passes_of(trees.layout, _strip_ft(trees), name, width).fitted_alley_ft
        scenario = change(scenario, {ALLEY: fitted}, beside)
    pattern = trees_of(scenario).layout
    return scenario, [passes_of(pattern, _strip_ft(trees), name, width) for name, width in machines]


def _directed(
    field: Field, scenario: Scenario, asked: tuple[Options, Margins, Slope | None], beside: Path | None
) -> tuple[Scenario, "Choice | None"]:
    options, margins, slope = asked
    choice = None
    azimuth = options.azimuth_deg
    if options.best_azimuth:
        from simulator.ground.azimuth import choose_azimuth  # noqa: PLC0415 - it grows the plan, so only where asked

        choice = choose_azimuth(field, scenario, margins, slope, beside)
        azimuth = choice.chosen.azimuth_deg
    if azimuth is None:
        return scenario, choice
    return change(scenario, {AZIMUTH: float(azimuth % 180.0)}, beside), choice


def _too_small(field: Field, ground: Ground, margins: Margins, pattern: Pattern) -> Problem:
    """Why nothing fits, in the words of who drew the field."""
    if ground.workable.is_empty:
        rule = "has no ground for rows: setback, headlands, holes, buffers, lanes and decks take all of it"
        return Problem(
            "", rule, f"{field.acres:.2g} acres", "Choose narrower margins, or look for a wrong --crs.", field.file
        )
    west, south, east, north = shapely.bounds(ground.workable)
    reach = f"{east - west:,.0f} ft across the rows and {north - south:,.0f} ft along them"
    rule = (
        f"is smaller than one alley of {pattern.alley_ft:g} ft with its rows: between margins it is {reach}; "
        f"the shortest row is {margins.least_row_ft:g} ft"
    )
    remedy = "Choose a narrower alley, another --azimuth or narrower margins; or look for a wrong --crs."
    return Problem("", rule, f"{field.acres:.2g} acres", remedy, field.file)


def _fits(ground: Ground, pattern: Pattern) -> bool:
    """Whether the ground is at least an alley wide somewhere."""
    west, _, east, _ = shapely.bounds(ground.workable)
    return bool(east - west >= pattern.alley_ft)


def _notes(layout: Layout) -> Iterator[tuple[str, str]]:
    acres, field = layout.scenario.land.acres, layout.field
    if abs(field.acres - acres) > LIKE_SHARE * acres:
        said = f"The field holds {field.acres:,.1f} acres, the plan says {acres:g} (land.acres)"
        why = "another field, an outline drawn loosely, or a typing slip"
        yield "acres", f"{said}: {why}. --write-plan writes the field's acres."
    if layout.slope is not None and layout.slope.explained_share < ROLLING_SHARE:
        said = f"The ground rolls: one plane explains {100 * layout.slope.explained_share:.0f} % of the heights"
        yield "rolling", f"{said}, so there is no one contour. Walk it before you rip."
    for each in layout.passes:
        if each.width_ft > each.grass_ft:
            said = (
                f"A {each.machine} of {each.width_ft:g} ft is wider than the {each.grass_ft:g} ft of grass in an alley"
            )
            yield "machine_too_wide", f"{said}: it would run over the rows. --fit-alley widens the alley."
    pieces = len(shapely.get_parts(field.outline))
    if pieces > 1:
        said = (
            f"The field lies in {pieces} pieces: paddocks and walks to water are reckoned as if animals crossed between"
        )
        yield "pieces", f"{said} them. Lay out each piece alone for its own water."
    fences = shapely.union_all(layout.paddocks.fences)
    if fences.intersects(field.decks):
        yield "fence_deck", "A cross-fence runs over a loading deck: move the deck, or fence after the harvest there."
    if fences.intersects(field.waters):
        yield (
            "fence_stream",
            "A cross-fence crosses a stream: it needs a flood gate; ask the local rules first.",
        )
