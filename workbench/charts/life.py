"""Who and what uses the land in a slice: a person always; animals, tractor and bales where they are and have room."""

from collections.abc import Iterable
from typing import Final, NamedTuple

import numpy as np
from matplotlib.axes import Axes

from simulator.result import Outcome
from simulator.scenario.rows import period_ft
from workbench.charts.scenery import (
    BALE_FT,
    COW_LENGTH_FT,
    SMALL_STOCK_LENGTH_FT,
    STOCKER_LENGTH_FT,
    draw_cow,
    draw_person,
    draw_round_bale,
    draw_small_stock,
    draw_straw_bales,
    draw_tractor,
)

LEAST_ALLEY_FOR_MACHINES_FT: Final = 14.0
PERSON_WIDTH_FT: Final = 1.7
TRACTOR_WIDTH_FT: Final = 7.0
STRAW_WIDTH_FT: Final = 5.2
GAP_FT: Final = 0.4
STEP_FT: Final = 0.25
ANIMALS: Final = {
    "cattle": ("cow", COW_LENGTH_FT, "5 ft at the head"),
    "stockers": ("stocker", STOCKER_LENGTH_FT, "4 ft at the head"),
    "sheep": ("sheep", SMALL_STOCK_LENGTH_FT, "3 ft at the head"),
    "goats": ("goat", SMALL_STOCK_LENGTH_FT, "3 ft at the head"),
}
"""Name, length [ft] and height of what each kind of animal is drawn as."""


class Ground(NamedTuple):
    """Ground across a slice and what stands on it already.

    Attributes
    ----------
    start_ft, end_ft
        Ends of the ground that is free of tree rows, or of the whole slice under a stand.
    taken
        Start and end of stems and of what was drawn before [ft]; grows.
    """

    start_ft: float
    end_ft: float
    taken: list[tuple[float, float]]

    def place(self, share: float, width_ft: float) -> float | None:
        """Take the free place nearest to a share of the ground; None where nothing so wide has room [ft]."""
        half = width_ft / 2.0
        places = np.arange(self.start_ft + half, self.end_ft - half + 1e-9, STEP_FT)
        free = np.ones(len(places), dtype=bool)
        for low, high in self.taken:
            free &= (places + half + GAP_FT <= low) | (places - half - GAP_FT >= high)
        if not free.any():
            return None
        wish = self.start_ft + share * (self.end_ft - self.start_ft)
        chosen = float(min(places[free], key=lambda place: abs(place - wish)))
        self.taken.append((chosen - half, chosen + half))
        return chosen


def draw_life(axes: Axes, outcome: Outcome, year: int, stems: list[tuple[float, float]]) -> None:
    """Draw a person and, in years that have them, animals, tractor and bales, none of them in a stem.

    Parameters
    ----------
    axes
        Panel with its limits set.
    outcome
        A system.
    year
        Row.
    stems
        Start and end of every stem on the ground [ft].
    """
    ground, states = Ground(*_alley(outcome, axes), list(stems)), outcome.states
    person = ground.place(0.5, PERSON_WIDTH_FT)
    if person is not None:
        draw_person(axes, person)
    if states["animal_unit_months_ac"][year] > 0:
        _draw_animals(axes, ground, outcome.scenario.use.animals)
    if states["hay_ton_ac"][year] > 0 and ground.end_ft - ground.start_ft >= LEAST_ALLEY_FOR_MACHINES_FT:
        _draw_haying(axes, ground)
    straw = ground.place(0.0, STRAW_WIDTH_FT) if states["straw_bales_ac"][year] > 0 else None
    if straw is not None:
        draw_straw_bales(axes, straw)


def _draw_animals(axes: Axes, ground: Ground, animals: str) -> None:
    name, length, _ = ANIMALS[animals]
    for share, faces_left in ((0.25, True), (0.74, False)):
        place = ground.place(share, length)
        if place is None:
            continue
        if length == SMALL_STOCK_LENGTH_FT:
            draw_small_stock(axes, place, name, faces_left=faces_left)
        else:
            draw_cow(axes, place, faces_left=faces_left, length_ft=length)


def _draw_haying(axes: Axes, ground: Ground) -> None:
    tractor = ground.place(0.25, TRACTOR_WIDTH_FT)
    bales = [ground.place(share, BALE_FT) for share in (0.64, 0.82)]
    if tractor is not None:
        draw_tractor(axes, tractor)
    for bale in bales:
        if bale is not None:
            draw_round_bale(axes, bale)


def animals_in_words(outcomes: Iterable[Outcome]) -> str:
    """How large the animals of some systems are drawn; nothing where nobody grazes."""
    kinds = {o.scenario.use.animals for o in outcomes if (o.states["animal_unit_months_ac"] > 0).any()}
    said = (ANIMALS[kind] for kind in ANIMALS if kind in kinds)
    return "".join(f" {name} {length:g} ft long, {head};" for name, length, head in said)


def _alley(outcome: Outcome, axes: Axes) -> tuple[float, float]:
    """Ends of the alley in the middle of the slice [ft]."""
    left, right = axes.get_xlim()
    trees = outcome.scenario.trees
    if trees is None or outcome.scenario.stand is not None:
        return left, right  # under a stand that is opened animals go where they like
    layout = trees.layout
    period = period_ft(layout.rows_in_set, layout.row_gap_ft, layout.alley_ft)
    centre = period - layout.alley_ft / 2.0
    centre += period * round(((left + right) / 2.0 - centre) / period)
    return centre - layout.alley_ft / 2.0, centre + layout.alley_ft / 2.0
