"""One felled stem cut in several ways, each piece with its measures and what it brings."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from simulator.enterprises.bucking import CUT_PRODUCTS, Bucked, Market, Way, buck, cut_from, felled_stems
from simulator.enterprises.defects import Defect
from simulator.enterprises.pole_table import NO_POLE, PolePrices, best_pole_cut, pole_classes, sold_as
from simulator.enterprises.poles import Pole
from simulator.enterprises.scaling import SCALED_PRODUCTS, LogTables, Scaled, cords, scaled_piece, tons_per_mbf
from simulator.enterprises.stems import diameter_inside_bark_in, green_ton_below, measured_stems
from simulator.parameters.bucking import BuckingRules, load_bucking
from simulator.parameters.wood import Wood

NOT_SCALED = Scaled(0.0, 0.0, 0.0, 0.0)


class BuckedPiece(NamedTuple):
    """A piece of a stem: where it lies with its trim, net length, weight, small end inside bark, scale, worth [$]."""

    product: str
    from_ft: float
    to_ft: float
    length_ft: float
    green_ton: float
    small_end_in: float
    board_feet: Scaled
    value: float


class Cutting(NamedTuple):
    """Pieces of one way of cutting, and what they bring less the cost of the cuts [$]."""

    pieces: list[BuckedPiece]
    value: float


class Measures(NamedTuple):
    """Pieces added up in every measure; tons to a thousand board feet are of the pieces that saw mills scale.

    ``tons_per_mbf`` is None by a rule that finds nothing to saw.
    """

    green_ton: float
    cords: float
    board_feet: Scaled
    tons_per_mbf: dict[str, float | None]


class PoleMade(NamedTuple):
    """A pole that a stem makes: size, weight with trim, and what it brings [$]."""

    pole: Pole
    green_ton: float
    value: float


class Prices(NamedTuple):
    """Prices of tree-length pieces, of logs cut to length and of poles [$/ton]."""

    tree_length: Mapping[str, float]
    cut_to_length: Mapping[str, float]
    poles: PolePrices


class BuckedStem(NamedTuple):
    """One stem cut tree-length and to length, each by the fixed order and at its best, and with its best pole."""

    tree_length: dict[Way, Cutting]
    cut_to_length: dict[Way, Cutting]
    with_pole: tuple[Pole, Cutting] | None


class Tree(NamedTuple):
    """One tree by dbh [in] and height [ft], with its species' wood and what is wrong with it."""

    dbh_in: float
    height_ft: float
    wood: Wood
    defects: tuple[Defect, ...] = ()


def bucked_stem(tree: Tree, prices: Prices) -> BuckedStem:
    """Cut one stem in every way.

    Parameters
    ----------
    tree
        The tree, sound or with defects.
    prices
        What its pieces bring.

    Returns
    -------
    BuckedStem
        ``with_pole`` is None where no pole pays better than the best tree-length pieces.

    References
    ----------
    As for :func:`simulator.physics.bucking.best_cuts`.
    """
    rules = load_bucking(tree.wood.specs)
    felled = felled_stems(tree.dbh_in, tree.height_ft, tree.wood, rules)
    ways: tuple[Way, Way] = ("priority", "best")
    found = []
    for specs, paid in ((rules.tree_length, prices.tree_length), (rules.cut_to_length, prices.cut_to_length)):
        market = Market(specs, paid, rules)
        found.append({way: _cutting(buck(felled, market, tree.defects, way), market, tree) for way in ways})
    market = Market(rules.tree_length, prices.tree_length, rules)
    return BuckedStem(found[0], found[1], _with_pole(buck(felled, market, tree.defects), market, tree, prices.poles))


def _cutting(bucked: Bucked, market: Market, tree: Tree, start: int = 0) -> Cutting:
    here, ton = cut_from(bucked, np.array([start]))
    pieces = []
    for node in np.flatnonzero(here[0]):
        product = CUT_PRODUCTS[bucked.cuts.product[0, node]]
        low, high = (float(bucked.felled.height_ft[at]) for at in (node, bucked.cuts.end[0, node]))
        pieces.append(_piece(product, (low, high), float(ton[0, node]), market, tree))
    return Cutting(pieces, float(bucked.cuts.value[0, start]))


def _piece(product: str, at_ft: tuple[float, float], ton: float, market: Market, tree: Tree) -> BuckedPiece:
    """One piece with its net length, small end, scale and worth."""
    low, high = at_ft
    length = high - low - float(getattr(market.specs, product).trim_ft)
    stems = measured_stems(tree.dbh_in, tree.height_ft, tree.wood.stem)
    tables = LogTables(market.rules.scaling, tree.wood.specs.log_rules, market.rules.decimal_c)
    feet = scaled_piece(low, length, stems, tables) if product in SCALED_PRODUCTS else NOT_SCALED
    small_end = float(diameter_inside_bark_in(low + length, stems))
    return BuckedPiece(product, low, high, length, ton, small_end, feet, market.prices[product] * ton)


def _with_pole(bucked: Bucked, market: Market, tree: Tree, prices: PolePrices) -> tuple[Pole, Cutting] | None:
    cut = best_pole_cut(bucked, tree.wood.specs, prices, market.rules, tree.defects)
    node, felled = int(cut.top_node[0]), bucked.felled
    if node == 0:
        return None
    above = _cutting(bucked, market, tree, node)
    low, high, length = float(felled.height_ft[0]), float(felled.height_ft[node]), float(cut.length_ft[0])
    ton = float(felled.ton_below[0, node] - felled.ton_below[0, 0])
    small_end = float(diameter_inside_bark_in(low + length, felled.stems)[0])
    pole = BuckedPiece("pole", low, high, length, ton, small_end, NOT_SCALED, float(cut.pole_value[0]))
    return Pole(length, int(cut.number[0])), Cutting([pole, *above.pieces], float(cut.value[0]))


def poles_made(tree: Tree, prices: PolePrices) -> list[PoleMade]:
    """Every pole that a sound stem makes, by length and class.

    Parameters
    ----------
    tree
        The tree; its defects are not looked at.
    prices
        What poles bring.

    Returns
    -------
    list of PoleMade
        The shortest first, of each length the best class first.

    References
    ----------
    As for :func:`simulator.enterprises.pole_table.pole_classes`.
    """
    specs = tree.wood.specs
    stems = measured_stems(np.array([tree.dbh_in]), tree.height_ft, tree.wood.stem)
    made = []
    for length, best in zip(specs.poles.length_ft, pole_classes(stems, specs)[0], strict=True):
        if best == NO_POLE:
            continue
        ends = specs.stump_ft + np.array([0.0, length + specs.poles.limits.trim_ft])
        low, high = (float(ton) for ton in green_ton_below(ends, stems, tree.wood.weight))
        poles = sold_as(length, int(best), specs.poles)
        made += [PoleMade(pole, high - low, prices.of(pole) * (high - low)) for pole in poles]
    return made


def measured(pieces: Sequence[BuckedPiece], rules: BuckingRules) -> Measures:
    """Add pieces up in tons, cords and board feet.

    Parameters
    ----------
    pieces
        Pieces of one stem or of many.
    rules
        Weight of a cord.

    Returns
    -------
    Measures
    """
    ton = sum(piece.green_ton for piece in pieces)
    sawn = sum(piece.green_ton for piece in pieces if piece.product in SCALED_PRODUCTS)
    feet = Scaled(*(sum(column) for column in zip(NOT_SCALED, *(piece.board_feet for piece in pieces), strict=True)))
    heavy = {
        rule: float(tons_per_mbf(sawn, found)) if found > 0.0 else None
        for rule, found in zip(Scaled._fields, feet, strict=True)
    }
    return Measures(ton, float(cords(ton, rules.scaling)), feet, heavy)
