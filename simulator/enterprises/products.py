"""Pieces that a market takes from a stem, largest product first, and the tons of each product."""

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np

from simulator.enterprises.poles import Pole, best_pole, longest_pole_ft
from simulator.enterprises.sawlogs import BoardFeet, board_feet
from simulator.enterprises.stems import (
    Stems,
    chosen_stems,
    green_ton_below,
    height_to_top_diameter_ft,
    measured_stems,
)
from simulator.parameters.wood import PieceSpec, ProductSpecs, Wood
from simulator.physics.stem import GreenWeight, green_ton, volume_inside_bark_ft3, volume_outside_bark_ft3
from simulator.units import BoolArray, FloatArray, Floats

PRODUCTS: Final = ("pulpwood", "chip_and_saw", "sawtimber", "pole")
"""Order of the last axis of every array by product."""
_PULPWOOD, _CHIP_AND_SAW, _SAWTIMBER, _POLE = range(len(PRODUCTS))
_ROUNDING_FT: Final = 1e-9


class Piece(NamedTuple):
    """One piece of a stem, between two heights above ground."""

    product: str
    from_ft: float
    to_ft: float
    green_ton: float


class StemReport(NamedTuple):
    """What one tree holds: its whole stem, the pieces cut from it, its board feet and its longest pole."""

    volume_inside_bark_ft3: float
    volume_outside_bark_ft3: float
    green_ton: float
    pieces: list[Piece]
    board_feet: BoardFeet
    pole: Pole | None


class _Outlet(NamedTuple):
    """A product, what it asks, and how high up each stem it could reach [ft]; 0 where the tree is too small."""

    product: int
    spec: PieceSpec
    reach_ft: FloatArray


def _outlets(stems: Stems, specs: ProductSpecs) -> list[_Outlet]:
    outlets = []
    for product, spec in (
        (_SAWTIMBER, specs.sawtimber),
        (_CHIP_AND_SAW, specs.chip_and_saw),
        (_PULPWOOD, specs.pulpwood),
    ):
        reach = np.zeros_like(stems.dbh_in)
        able = stems.dbh_in >= spec.minimum_dbh_in
        reach[able] = height_to_top_diameter_ft(spec.minimum_top_in, chosen_stems(stems, able))
        outlets.append(_Outlet(product, spec, reach))
    return outlets


def _piece_top_ft(start_ft: FloatArray, outlet: _Outlet) -> FloatArray:
    """Top of the longest piece from a height; the height itself where none is long enough.

    Parameters
    ----------
    start_ft
        Height at which the piece begins [ft], any shape.
    outlet
        What its buyer asks, and how high up each stem it could reach [ft].

    Returns
    -------
    FloatArray
        Height of its upper end [ft], same shape.

    References
    ----------
    Lengths on offer: common practice, buyers differ.
    """
    length = outlet.reach_ft - start_ft
    multiple = outlet.spec.length_multiple_ft
    if multiple > 0.0:
        length = np.floor(length / multiple + _ROUNDING_FT) * multiple
    return np.where(length >= outlet.spec.minimum_length_ft, start_ft + length, start_ft)


def _cuts(start_ft: FloatArray, outlets: Sequence[_Outlet]) -> list[tuple[int, FloatArray, FloatArray]]:
    """Product, foot and top [ft] of each piece, in priority order up the stem."""
    cuts = []
    for outlet in outlets:
        top = _piece_top_ft(start_ft, outlet)
        cuts.append((outlet.product, start_ft, top))
        start_ft = top
    return cuts


def _tons(start_ft: FloatArray, outlets: Sequence[_Outlet], stems: Stems, weight: GreenWeight) -> FloatArray:
    """Tons by product of stems cut from a height up, the largest product first."""
    tons = np.zeros((*start_ft.shape, len(PRODUCTS)))
    below = green_ton_below(start_ft, stems, weight)
    for product, _, top in _cuts(start_ft, outlets):
        above = green_ton_below(top, stems, weight)
        tons[..., product] = above - below
        below = above
    return tons


def _pole_tons(stems: Stems, outlets: Sequence[_Outlet], wood: Wood) -> tuple[FloatArray, BoolArray]:
    """Tons by product where a stem is sold as a pole, and which stems can be."""
    length = longest_pole_ft(stems, wood.specs)
    fits = length > 0.0
    tons = np.zeros((*length.shape, len(PRODUCTS)))
    few = chosen_stems(stems, fits)
    stump = np.full_like(few.dbh_in, wood.specs.stump_ft)
    top = stump + length[fits] + wood.specs.poles.limits.trim_ft
    rest = [outlet._replace(reach_ft=outlet.reach_ft[fits]) for outlet in outlets]
    part = _tons(top, rest, few, wood.weight)
    part[..., _POLE] = green_ton_below(top, few, wood.weight) - green_ton_below(stump, few, wood.weight)
    tons[fits] = part
    return tons, fits


def product_tons(dbh_in: Floats, height_ft: Floats, grade_share: Floats, pole_share: Floats, wood: Wood) -> FloatArray:
    """Green tons of each product that a tree yields on average, given the shares of good stems.

    Priority runs from the largest product up the stem: sawtimber, chip-and-saw, pulpwood.  Of the stems that
    fail sawtimber grade half are cut from the stump as chip-and-saw (those too small for sawtimber too) and
    half as pulpwood.  Poles come out of the stems that pass; their tops go to chip-and-saw and pulpwood.

    Parameters
    ----------
    dbh_in
        Diameter outside bark at 4.5 ft [in], any shape.
    height_ft
        Total height [ft], broadcastable.
    grade_share
        Share of stems 0-1 that pass sawtimber grade, broadcastable.
    pole_share
        Share of pole-size stems 0-1 that pass as poles, broadcastable; no more than ``grade_share`` counts.
    wood
        Stem, weight and product specifications.

    Returns
    -------
    FloatArray
        Green short tons a tree, shape of the inputs plus a last axis in the order of ``PRODUCTS``.

    References
    ----------
    Specifications: common practice.  The split of failing stems is assumed for this project.
    """
    parts = (np.asarray(part, dtype=np.float64) for part in (dbh_in, height_ft, grade_share, pole_share))
    dbh, height, grade, pole = np.broadcast_arrays(*parts)
    tons = np.zeros((*dbh.shape, len(PRODUCTS)))
    specs = wood.specs
    able = dbh >= min(specs.pulpwood.minimum_dbh_in, specs.chip_and_saw.minimum_dbh_in, specs.sawtimber.minimum_dbh_in)
    stems = measured_stems(dbh[able], height[able], wood.stem)
    outlets = _outlets(stems, specs)
    stump = np.full_like(stems.dbh_in, specs.stump_ft)
    passing, failing = grade[able], 0.5 * (1.0 - grade[able])
    cut = np.zeros((*stump.shape, len(PRODUCTS)))
    if pole.any():
        poles, fits = _pole_tons(stems, outlets[1:], wood)
        sold = np.where(fits, np.minimum(pole[able], passing), 0.0)
        cut += sold[..., None] * poles
        passing = passing - sold
    for first, share in enumerate((passing, failing, failing)):
        cut += share[..., None] * _tons(stump, outlets[first:], stems, wood.weight)
    tons[able] = cut
    return tons


def pieces(dbh_in: float, height_ft: float, wood: Wood) -> list[Piece]:
    """Pieces of one sound tree from the stump up, no pole among them, by the rules of :func:`product_tons`.

    Parameters
    ----------
    dbh_in
        Diameter outside bark at 4.5 ft [in].
    height_ft
        Total height [ft].
    wood
        Stem, weight and product specifications.

    Returns
    -------
    list of Piece
        Empty where the tree is too small to sell.

    References
    ----------
    As for :func:`product_tons`.
    """
    stems = measured_stems(np.array([dbh_in]), height_ft, wood.stem)
    cuts = _cuts(np.array([wood.specs.stump_ft]), _outlets(stems, wood.specs))
    return [
        Piece(
            PRODUCTS[product],
            float(foot[0]),
            float(top[0]),
            float((green_ton_below(top, stems, wood.weight) - green_ton_below(foot, stems, wood.weight))[0]),
        )
        for product, foot, top in cuts
        if top[0] > foot[0]
    ]


def merchantable_ton(dbh_in: Floats, height_ft: Floats, wood: Wood) -> FloatArray:
    """Green tons from the stump to the pulpwood top.

    Parameters
    ----------
    dbh_in
        Diameter outside bark at 4.5 ft [in], any shape.
    height_ft
        Total height [ft], broadcastable.
    wood
        Stem, weight and product specifications.

    Returns
    -------
    FloatArray
        Green short tons a tree; 0 where the tree is too small for pulpwood.
    """
    dbh, height = np.broadcast_arrays(np.asarray(dbh_in, np.float64), np.asarray(height_ft, np.float64))
    stems = measured_stems(dbh, height, wood.stem)
    pulpwood = _outlets(stems, wood.specs)[-1]
    stump = np.full_like(dbh, wood.specs.stump_ft)
    top = _piece_top_ft(stump, pulpwood)
    return green_ton_below(top, stems, wood.weight) - green_ton_below(stump, stems, wood.weight)


def stem_report(dbh_in: float, height_ft: float, wood: Wood) -> StemReport:
    """Everything about one sound tree.

    Parameters
    ----------
    dbh_in
        Diameter outside bark at 4.5 ft [in].
    height_ft
        Total height [ft].
    wood
        Stem, weight and product specifications.

    Returns
    -------
    StemReport
    """
    return StemReport(
        float(volume_inside_bark_ft3(dbh_in, height_ft, wood.stem)),
        float(volume_outside_bark_ft3(dbh_in, height_ft, wood.stem)),
        float(green_ton(dbh_in, height_ft, wood.stem, wood.weight)),
        pieces(dbh_in, height_ft, wood),
        board_feet(dbh_in, height_ft, wood),
        best_pole(dbh_in, height_ft, wood),
    )
