"""When wood is cut in a system, and how a chart says so."""

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np
from matplotlib.axes import Axes
from matplotlib.transforms import blended_transform_factory

from simulator.result import Outcome
from simulator.units import FloatArray
from workbench.charts.style import LETTER_WIDTH_IN, SMALL_PT, SYSTEM_INK, lanes

SHARE_THAT_IS_A_HARVEST = 0.999
LANE_HEIGHT_PT = 8.5
LABEL_LETTER_IN = 0.056
LABEL_GAP_IN = 0.06


class Cut(NamedTuple):
    """Trees felled at the end of a year.

    Attributes
    ----------
    year
        Row of the states.
    final
        Whether nothing is left.
    """

    year: int
    final: bool

    @property
    def text(self) -> str:
        """Short label, such as ``thin 16``."""
        return f"{'harvest' if self.final else 'thin'} {self.year}"


def cuts_of(outcome: Outcome) -> list[Cut]:
    """Every thinning and harvest within the horizon, in the order of years."""
    cut, standing = outcome.states["trees_cut_per_ac"], outcome.states["trees_per_ac"]
    return [Cut(int(year), bool(cut[year] >= SHARE_THAT_IS_A_HARVEST * standing[year])) for year in np.flatnonzero(cut)]


def after_cut(outcome: Outcome, cut: Cut, column: str) -> float:
    """Value of a column just after a cut; NaN where the ledger of states does not tell it.

    Parameters
    ----------
    outcome
        A system.
    cut
        One of its cuts.
    column
        Column of the states.

    Returns
    -------
    float
        Trees left are known; after a harvest nothing stands; a thinning leaves the height of the dominant trees.
    """
    if cut.final:
        return 0.0
    before = float(outcome.states[column][cut.year])
    if column == "trees_per_ac":
        return before - float(outcome.states["trees_cut_per_ac"][cut.year])
    return before if column == "dominant_height_ft" else float("nan")


def path_through_cuts(outcome: Outcome, column: str) -> tuple[FloatArray, FloatArray]:
    """Line of a stand column with the cuts as drops at the end of their year.

    Parameters
    ----------
    outcome
        A system.
    column
        Column of the states.

    Returns
    -------
    tuple of FloatArray
        Years and values. NaN breaks the line where what the cut left is not known before the next season.
    """
    cuts = {cut.year: cut for cut in cuts_of(outcome)}
    values = outcome.states[column]
    years, heights = [], []
    for year in range(len(values)):
        years.append(float(year))
        heights.append(float(values[year]))
        if year in cuts:
            years.append(float(year))
            heights.append(after_cut(outcome, cuts[year], column))
            replanted = cuts[year].final and year + 1 < len(values) and values[year + 1] > 0
            if replanted and column == "trees_per_ac":
                years.append(float(year))
                heights.append(_planted(outcome, values))
    return np.array(years), np.array(heights)


def _planted(outcome: Outcome, trees: FloatArray) -> float:
    """Trees of the next planting: as in year 0, or as the plan that follows a stand plants."""
    return float(outcome.lives[-1].states["trees_per_ac"][0] if outcome.lives else trees[0])


def mark_cuts(axes: Axes, systems: Mapping[str, Outcome], *, labels: bool = True) -> float:
    """Thin vertical lines at the cuts of each system and, above the panel, what those of the first one are.

    Parameters
    ----------
    axes
        A panel with years along its foot.
    systems
        Outcomes by name, first one nearest the panel.
    labels
        Whether to write above the panel.

    Returns
    -------
    float
        Room above the panel that a title has to leave free [pt].
    """
    above = 3.0
    for name, outcome in systems.items():
        cuts, ink = cuts_of(outcome), SYSTEM_INK[name]
        for cut in cuts:
            axes.axvline(cut.year, color=ink.color, linewidth=0.6, linestyle=":", zorder=0.5)
        if labels and cuts and name == next(iter(systems)):
            above += LANE_HEIGHT_PT * write_above(axes, [(cut.year, cut.text) for cut in cuts], ink.words, above)
    return above + 3.0


def write_above(axes: Axes, labels: list[tuple[int, str]], color: str, above_pt: float, rows: int = 1) -> int:
    """Write labels over years above a panel, in as many lanes as keep them apart.

    Parameters
    ----------
    axes
        The panel.
    labels
        Year and text, years ascending.
    color
        Of the text.
    above_pt
        Height of the lowest lane above the panel [pt].
    rows
        Lines of text in a label.

    Returns
    -------
    int
        Lanes used, each ``rows`` lines high.
    """
    low, high = axes.get_xlim()
    width_in = axes.get_position().width * LETTER_WIDTH_IN
    letters = [max(len(line) for line in text.splitlines()) for _, text in labels]
    widths = [(LABEL_GAP_IN + LABEL_LETTER_IN * count) * (high - low) / width_in for count in letters]
    chosen = lanes([year for year, _ in labels], widths)
    over = blended_transform_factory(axes.transData, axes.transAxes)
    for lane, (year, text) in zip(chosen, labels, strict=True):
        offset = above_pt + LANE_HEIGHT_PT * rows * lane
        axes.annotate(
            text, (year, 1.0), (0, offset), xycoords=over, textcoords="offset points", color=color,
            ha="center", va="bottom", fontsize=SMALL_PT, annotation_clip=False,
        )  # fmt: skip
    return max(chosen, default=-1) + 1
