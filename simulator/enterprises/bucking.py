"""Bucking of felled stems: the pieces worth most at given prices, beside the pieces of the fixed order."""

from collections.abc import Callable, Mapping, Sequence
from typing import Final, Literal, NamedTuple, TypeAlias

import numpy as np

from simulator.enterprises.defects import Defect, barred_stretches
from simulator.enterprises.products import PRODUCTS
from simulator.enterprises.stems import Stems, green_ton_below, height_to_top_diameter_ft, measured_stems
from simulator.parameters.bucking import BuckingRules, CutSpec, CutSpecs
from simulator.parameters.wood import Wood
from simulator.physics.bucking import Choice, Cuts, best_cuts, nodes_cut, priority_cuts
from simulator.physics.taper import Taper
from simulator.units import BoolArray, FloatArray, Floats, IntArray

CUT_PRODUCTS: Final = ("sawtimber", "chip_and_saw", "pulpwood")
"""Products cut on the grid, the largest first."""
Way: TypeAlias = Literal["best", "priority"]
_SEARCH: Final[Mapping[Way, Callable[..., Cuts]]] = {"best": best_cuts, "priority": priority_cuts}
_ROUNDING: Final = 1e-9


class Market(NamedTuple):
    """What is asked of the pieces, what they bring by product [$/ton], and how they are cut."""

    specs: CutSpecs
    prices: Mapping[str, float]
    rules: BuckingRules


class Felled(NamedTuple):
    """Felled stems on the grid of heights.

    Attributes
    ----------
    stems
        The trees, one axis.
    height_ft
        Heights of the grid, the stump first [ft], (nodes,).
    ton_below
        Green tons below each node [ton], (trees, nodes).
    """

    stems: Stems
    height_ft: FloatArray
    ton_below: FloatArray


class Bucked(NamedTuple):
    """Felled stems and what to cut from any node of them."""

    felled: Felled
    cuts: Cuts


def felled_stems(dbh_in: Floats, height_ft: Floats, wood: Wood, rules: BuckingRules) -> Felled:
    """Trees felled at the stump and measured on the grid.

    Parameters
    ----------
    dbh_in
        Diameter outside bark at 4.5 ft [in], one number or one axis.
    height_ft
        Total height [ft], broadcastable.
    wood
        Stem, weight and product specifications.
    rules
        Where the grid comes from.

    Returns
    -------
    Felled
        The highest node lies at or below the tip of the tallest tree.
    """
    dbh, height = np.broadcast_arrays(np.atleast_1d(np.asarray(dbh_in, np.float64)), np.asarray(height_ft, np.float64))
    stems = measured_stems(dbh, height, wood.stem)
    steps = max(int((height.max(initial=0.0) - wood.specs.stump_ft) / rules.work.grid_ft), 1)
    grid = np.asarray(wood.specs.stump_ft + rules.work.grid_ft * np.arange(steps + 1), np.float64)
    column = stems._replace(
        outside=_upright(stems.outside), inside=_upright(stems.inside), dbh_in=stems.dbh_in[:, None]
    )
    return Felled(stems, grid, green_ton_below(grid, column, wood.weight))


def _upright(side: Taper) -> Taper:
    return side._replace(height_ft=side.height_ft[:, None], volume_ft3=side.volume_ft3[:, None], tie=side.tie[:, None])


def buck(felled: Felled, market: Market, defects: Sequence[Defect] = (), way: Way = "best") -> Bucked:
    """Cut felled stems into sawtimber, chip-and-saw and pulpwood.

    Parameters
    ----------
    felled
        From :func:`felled_stems`.
    market
        Specifications, prices and rules; a product without a price, or left out of ``prices``, is not cut.
    defects
        Defects that every one of the stems has.
    way
        ``best`` for the cuts worth most, ``priority`` for the largest product first in its longest piece.

    Returns
    -------
    Bucked

    References
    ----------
    As for :func:`simulator.physics.bucking.best_cuts`.
    """
    sold = [product for product in CUT_PRODUCTS if product in market.prices]
    choices, reach = [], []
    for product in CUT_PRODUCTS:
        spec: CutSpec = getattr(market.specs, product)
        steps = _lengths(spec, market.rules.work.grid_ft) if product in sold else np.zeros(0, np.int64)
        choices.append(Choice(market.prices.get(product, 0.0), steps))
        reach.append(_last_node(felled, spec, product, defects, market.rules))
    cuts = _SEARCH[way](felled.ton_below, np.array(reach), choices, market.rules.work.cut_cost)
    return Bucked(felled, cuts)


def _lengths(spec: CutSpec, grid_ft: float) -> IntArray:
    """Lengths on offer, trim included [grid steps]."""
    multiple = spec.length_multiple_ft or grid_ft
    first = np.ceil(spec.minimum_length_ft / multiple - _ROUNDING)
    last = np.floor(spec.maximum_length_ft / multiple + _ROUNDING)
    lengths = multiple * np.arange(first, last + 1)
    return np.rint((lengths + spec.trim_ft) / grid_ft).astype(np.int64)


def _last_node(felled: Felled, spec: CutSpec, product: str, defects: Sequence[Defect], rules: BuckingRules) -> IntArray:
    """Highest node where a piece may end, by the node where it starts, (trees, nodes)."""
    stems, stump, grid_ft = felled.stems, felled.height_ft[0], rules.work.grid_ft
    top = height_to_top_diameter_ft(spec.minimum_top_in, stems, inside_bark=spec.inside_bark > 0.0)
    reach = np.floor((top - stump) / grid_ft + _ROUNDING)
    reach = np.where(stems.dbh_in >= spec.minimum_dbh_in, np.clip(reach, 0, len(felled.height_ft) - 1), 0.0)
    last = np.tile(reach.astype(np.int64)[:, None], (1, len(felled.height_ft)))
    for stretch in barred_stretches(PRODUCTS.index(product), defects, rules.defects):
        before = int(np.floor((stretch.from_ft - stump) / grid_ft + _ROUNDING))
        behind = int(np.ceil((stretch.to_ft - stump) / grid_ft - _ROUNDING))
        last[:, : max(behind, 0)] = np.minimum(last[:, : max(behind, 0)], max(before, 0))
    return last


def cut_from(bucked: Bucked, start: IntArray | None = None) -> tuple[BoolArray, FloatArray]:
    """Where pieces are cut, and the green tons of the piece cut from each node.

    Parameters
    ----------
    bucked
        From :func:`buck`.
    start
        Node at which each tree's cutting begins; the stump where left out.

    Returns
    -------
    tuple of BoolArray and FloatArray
        Both (trees, nodes); tons are 0 where nothing is cut.
    """
    trees = len(bucked.felled.ton_below)
    here = nodes_cut(bucked.cuts, np.zeros(trees, np.int64) if start is None else start)
    ton = np.take_along_axis(bucked.felled.ton_below, bucked.cuts.end, axis=1) - bucked.felled.ton_below
    return here, np.where(here, ton, 0.0)


def tons_of(bucked: Bucked, start: IntArray | None = None) -> FloatArray:
    """Green tons of each product, (trees, 4) in the order of ``PRODUCTS``.

    Parameters
    ----------
    bucked, start
        As for :func:`cut_from`.

    Returns
    -------
    FloatArray
    """
    _, ton = cut_from(bucked, start)
    tons = np.zeros((len(ton), len(PRODUCTS)))
    for place, product in enumerate(CUT_PRODUCTS):
        tons[:, PRODUCTS.index(product)] = np.where(bucked.cuts.product == place, ton, 0.0).sum(axis=1)
    return tons
