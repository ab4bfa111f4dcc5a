"""The trees of a final harvest bucked at their best: tons, pieces and feet of each product."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from simulator.enterprises.bucking import CUT_PRODUCTS, Bucked, Felled, Market, buck, cut_from, felled_stems
from simulator.enterprises.pole_table import PolePrices, best_pole_cut
from simulator.enterprises.products import PRODUCTS
from simulator.parameters.bucking import load_bucking
from simulator.parameters.wood import Wood
from simulator.units import FloatArray, IntArray

_POLE = PRODUCTS.index("pole")


class Standing(NamedTuple):
    """Trees due to be felled, one axis of classes.

    Attributes
    ----------
    dbh_in, height_ft
        Size.
    trees
        How many [1/ac].
    grade_share, pole_share
        Shares that pass as sawtimber and as poles [1].
    """

    dbh_in: FloatArray
    height_ft: FloatArray
    trees: FloatArray
    grade_share: FloatArray
    pole_share: FloatArray


class Yield(NamedTuple):
    """What a tree of each class gives on average: green tons, pieces and feet by product, each (classes, 4)."""

    ton: FloatArray
    pieces: FloatArray
    feet: FloatArray


def harvest_yield(standing: Standing, wood: Wood, prices: Mapping[str, float]) -> Yield:
    """Best tree-length pieces of trees of which not every stem is good enough for every product.

    Parameters
    ----------
    standing
        The trees.
    wood
        Stem, weight and product specifications.
    prices
        Prices of ``PRODUCTS`` [$/ton].

    Returns
    -------
    Yield
        Stems that fail as sawtimber are cut half into chip-and-saw and pulpwood, half into pulpwood, as in
        :func:`simulator.enterprises.products.product_tons`; of those that pass as poles each is cut as what pays most.

    References
    ----------
    As for :func:`simulator.physics.bucking.best_cuts` and :func:`simulator.enterprises.products.product_tons`.
    """
    felled = felled_stems(standing.dbh_in, standing.height_ft, wood, load_bucking(wood.specs))
    pole = np.minimum(standing.pole_share, standing.grade_share)
    failing = 0.5 * (1.0 - standing.grade_share)
    parts = [_with_poles(felled, wood, prices, pole)]
    for first, share in enumerate((standing.grade_share - pole, failing, failing)):
        bucked = buck(felled, _market(CUT_PRODUCTS[first:], wood, prices))
        parts.append(_shared(_yield(bucked, np.zeros(len(pole), np.int64)), share))
    return Yield(*(sum(column[1:], column[0]) for column in zip(*parts, strict=True)))


def _market(products: Sequence[str], wood: Wood, prices: Mapping[str, float]) -> Market:
    rules = load_bucking(wood.specs)
    return Market(rules.tree_length, {product: prices[product] for product in products}, rules)


def _shared(found: Yield, share: FloatArray) -> Yield:
    """So much of what each class yields as its share of the stems."""
    return Yield(*(share[:, None] * column for column in found))


def _yield(bucked: Bucked, start: IntArray) -> Yield:
    here, ton = cut_from(bucked, start)
    height = bucked.felled.height_ft
    length = np.where(here, height[bucked.cuts.end] - height, 0.0)
    found = Yield(*(np.zeros((len(here), len(PRODUCTS))) for _ in Yield._fields))
    for place, product in enumerate(CUT_PRODUCTS):
        of_product = here & (bucked.cuts.product == place)
        for column, amount in zip(found, (ton, here.astype(float), length), strict=True):
            column[:, PRODUCTS.index(product)] = np.where(of_product, amount, 0.0).sum(axis=1)
    return found


def _with_poles(felled: Felled, wood: Wood, prices: Mapping[str, float], share: FloatArray) -> Yield:
    """Stems that pass as poles: the pole that pays most and the best pieces above it, or no pole where none pays."""
    market = _market(CUT_PRODUCTS, wood, prices)
    bucked = buck(felled, market)
    cut = best_pole_cut(bucked, wood.specs, PolePrices(prices["pole"], {}, {}), market.rules)
    found = _yield(bucked, cut.top_node)
    everyone = np.arange(len(share))
    found.ton[:, _POLE] = felled.ton_below[everyone, cut.top_node] - felled.ton_below[:, 0]
    found.pieces[:, _POLE] = cut.top_node > 0
    found.feet[:, _POLE] = cut.length_ft
    return _shared(found, share)
