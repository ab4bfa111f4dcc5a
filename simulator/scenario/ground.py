"""What of a field the rows, the headlands and ponds or rock take: measured on the ground, not assumed."""

from typing import NamedTuple

from pydantic import Field

from simulator.scenario.base import Section, Share
from simulator.scenario.rows import period_ft
from simulator.scenario.trees import Layout

SUM_TOLERANCE = 0.005
"""Parts of a field may miss its acres by so much of them: they are rounded when they are written down."""
MOST_ACRES = 100_000.0


class Ground(Section):
    """The parts of a field, in acres that add up to it. Without this table the rows fill it and have no edge."""

    alley_ac: float = Field(ge=0.0, le=MOST_ACRES, description="grass between the rows [ac]")
    tree_strip_ac: float = Field(ge=0.0, le=MOST_ACRES, description="ground of the tree rows themselves [ac]")
    headland_ac: float = Field(
        default=0.0, ge=0.0, le=MOST_ACRES, description="open grass at the ends and sides, for turning and lanes [ac]"
    )
    unusable_ac: float = Field(
        default=0.0, ge=0.0, le=MOST_ACRES, description="ponds, rock, yards, buffers: neither grass nor trees [ac]"
    )
    edge_row_share: Share = Field(
        default=0.0, description="share of the length of all tree rows that is an outermost row with open ground beyond"
    )
    trees_ordered: int | None = Field(
        default=None,
        ge=0,
        le=1_000_000_000,
        description="seedlings ordered for the rows as drawn, only to hold against the plan's",
    )

    @property
    def rows_ac(self) -> float:
        """Ground that the rows and their alleys take [ac]."""
        return self.alley_ac + self.tree_strip_ac

    @property
    def total_ac(self) -> float:
        """All parts together [ac]."""
        return self.rows_ac + self.headland_ac + self.unusable_ac

    def scaled(self, times: float) -> "Ground":
        """The same parts of a field so many times as large."""
        parts = {name: getattr(self, name) * times for name in ("alley_ac", "tree_strip_ac", "headland_ac")}
        return self.model_copy(update=parts | {"unusable_ac": self.unusable_ac * times, "trees_ordered": None})


class Shares(NamedTuple):
    """Parts of a field as shares of the whole of it [1].

    Attributes
    ----------
    rows
        Ground under one pattern: rows and alleys, or the pasture of a field without trees.
    headland
        Open grass beside the rows; 0 without trees, where all grass is alike.
    edge
        Share of the tree rows' length that is an outermost row.
    """

    rows: float
    headland: float
    edge: float


WHOLE = Shares(1.0, 0.0, 0.0)
"""A field without edges."""


def shares_of(ground: Ground | None, *, trees: bool) -> Shares:
    """Parts of a field as shares of their sum, so that rounding in the file loses no ground.

    Parameters
    ----------
    ground
        As measured; None where nobody did.
    trees
        Whether the plan has trees.

    Returns
    -------
    Shares
        Of the whole field [1].

    References
    ----------
    Definition.
    """
    if ground is None:
        return WHOLE
    if not trees:
        return Shares(1.0 - ground.unusable_ac / ground.total_ac, 0.0, 0.0)
    # taken as what the others leave, so that a field without headlands and ponds is whole to the last digit
    beside = (ground.headland_ac + ground.unusable_ac) / ground.total_ac
    return Shares(1.0 - beside, ground.headland_ac / ground.total_ac, ground.edge_row_share)


def replanted_ground(ground: Ground | None, before: Layout | None, after: Layout) -> Ground | None:
    """The same field planted to its fences, with another spacing: headlands become rows, the edge keeps its length.

    Parameters
    ----------
    ground
        As measured for the rows before; None where nobody did.
    before
        Rows that it was measured for; None where there were none.
    after
        Rows planted instead.

    Returns
    -------
    Ground or None
        Acres [ac], and the share of the rows that is outermost [1]. Closer rows are more feet of row, of which the
        outermost are the smaller share.

    References
    ----------
    That the edge is as long in feet: assumed for this project.
    """
    if ground is None:
        return None
    planted_ac = ground.rows_ac + ground.headland_ac
    share = ground.edge_row_share
    if before is not None and planted_ac > 0.0:
        feet = _rows_per_ft(before) * ground.rows_ac / (_rows_per_ft(after) * planted_ac)
        share = min(1.0, share * feet)
    moved = {"alley_ac": ground.alley_ac + ground.headland_ac, "headland_ac": 0.0}
    return ground.model_copy(update=moved | {"edge_row_share": share, "trees_ordered": None})


def _rows_per_ft(layout: Layout) -> float:
    """Rows to a foot across the field."""
    return layout.rows_in_set / period_ft(layout.rows_in_set, layout.row_gap_ft, layout.alley_ft)
