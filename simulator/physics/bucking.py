"""Where to cut a felled stem: the cuts worth most, and those of a fixed order of products, on a grid of heights."""

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np

from simulator.units import BoolArray, FloatArray, IntArray

WASTE: Final = -1
"""Product number of a step of the grid that is left in the wood."""
_TIE: Final = 1e-10
"""Dollars by which two cuts of one stem must differ for one of them to be worth more."""


class Choice(NamedTuple):
    """A product that a stem may be cut into.

    Attributes
    ----------
    price_per_ton
        What a green ton of it brings [$/ton].
    steps
        Lengths on offer, trim included, rising [grid steps].
    """

    price_per_ton: float
    steps: IntArray


class Cuts(NamedTuple):
    """What to cut from any node of the grid, whether or not the cutting gets there.

    Attributes
    ----------
    value
        What the stem from the node up brings, less the cost of its cuts [$], (trees, nodes).
    product
        Place of the product cut from the node, or ``WASTE``, (trees, nodes).
    end
        Node at which that piece ends, (trees, nodes).
    """

    value: FloatArray
    product: IntArray
    end: IntArray


def _idle(ton_below: FloatArray) -> Cuts:
    trees, nodes = ton_below.shape
    next_node = np.minimum(np.arange(nodes, dtype=np.int64) + 1, nodes - 1)
    nothing = np.full((trees, nodes), WASTE, np.int64)
    return Cuts(np.zeros((trees, nodes)), nothing, np.tile(next_node, (trees, 1)))


def best_cuts(ton_below: FloatArray, last_node: IntArray, choices: Sequence[Choice], cut_cost: float) -> Cuts:
    """Cuts worth most, found from the top of the stem downward.

    The best use of the stem above a node does not depend on what was cut below it, so each node asks once: leave half
    a foot, or cut one of the pieces that may start here, and go on from its end in the best way already known.

    Parameters
    ----------
    ton_below
        Green tons below each node of the grid [ton], (trees, nodes), never falling.
    last_node
        Highest node at which a piece of each product may end that starts at a node [grid steps], (products, trees,
        nodes); at or below the node itself where none may start.
    choices
        Products, the largest first; of two pieces worth the same the earlier product is cut, and of one product the
        longer piece. Worth the same is what differs by less than a ten-billionth of a dollar, so that rounding in the
        last digit decides nothing.
    cut_cost
        Cost of each cut [$]; above zero it keeps a piece whole where splitting it would earn nothing.

    Returns
    -------
    Cuts
        Worth of the stem from each node up [$] and the piece cut there, arrays (trees, nodes).

    References
    ----------
    The recursion is that of Pnevmaticos & Mann 1972 and Faaland & Briggs 1984, Management Science 30:245 (cited
    second-hand). That a cost which is the same for every use of a tree plays no part: Guttenberg & Duerr 1949,
    Southern Forest Experiment Station Occasional Paper 114.
    """
    value, product, end = _idle(ton_below)
    everyone = np.arange(len(ton_below))
    for node in range(ton_below.shape[1] - 2, -1, -1):
        value[:, node] = value[:, node + 1]
        for place, choice in enumerate(choices):
            ends = node + choice.steps
            ends = ends[ends <= last_node[place, :, node].max(initial=0)]
            if not ends.size:
                continue
            offers = choice.price_per_ton * (ton_below[:, ends] - ton_below[:, [node]]) - cut_cost + value[:, ends]
            offers = np.where(ends <= last_node[place, :, node, None], offers, -np.inf)
            longest = _last_of_the_best(offers)
            offer = offers[everyone, longest]
            better = offer > value[:, node] + _TIE
            value[better, node] = offer[better]
            product[better, node], end[better, node] = place, ends[longest[better]]
    return Cuts(value, product, end)


def _last_of_the_best(offers: FloatArray) -> IntArray:
    """Place (trees,) of the last offer (trees, offers) that is worth as much as the best."""
    as_good = offers >= offers.max(axis=1, keepdims=True) - _TIE
    return np.asarray(offers.shape[1] - 1 - as_good[:, ::-1].argmax(axis=1))


def priority_cuts(ton_below: FloatArray, last_node: IntArray, choices: Sequence[Choice], cut_cost: float) -> Cuts:
    """Cuts by a fixed order: from each node the first product that fits, in its longest piece.

    A piece ends where a larger product can be cut again, so that a fault in the butt is cut out rather than the whole
    stem given to what passes it.

    Parameters
    ----------
    ton_below, last_node, choices, cut_cost
        As for :func:`best_cuts`; the order of ``choices`` is the order of priority, prices do not steer.

    Returns
    -------
    Cuts
        Arrays (trees, nodes), valued as in :func:`best_cuts` so that the two compare.

    References
    ----------
    Common practice, no source.
    """
    value, product, end = _idle(ton_below)
    nodes = np.arange(ton_below.shape[1])
    larger = np.full(product.shape, len(nodes))
    for place, choice in enumerate(choices):
        if not choice.steps.size:
            continue
        fitting = np.searchsorted(choice.steps, np.minimum(last_node[place], larger) - nodes, side="right")
        fits = (fitting > 0) & (product == WASTE)
        product[fits] = place
        end[fits] = (nodes + choice.steps[np.maximum(fitting, 1) - 1])[fits]
        larger = np.minimum.accumulate(np.where(product == WASTE, len(nodes), nodes)[:, ::-1], axis=1)[:, ::-1]
    everyone = np.arange(len(ton_below))
    price = np.array([*(choice.price_per_ton for choice in choices), 0.0])[product]
    for node in range(ton_below.shape[1] - 2, -1, -1):
        ends = end[:, node]
        gain = price[:, node] * (ton_below[everyone, ends] - ton_below[:, node]) - cut_cost * (product[:, node] >= 0)
        value[:, node] = gain + value[everyone, ends]
    return Cuts(value, product, end)


def nodes_cut(cuts: Cuts, start: IntArray) -> BoolArray:
    """Nodes at which a piece is cut when the work begins at a node and goes up.

    Parameters
    ----------
    cuts
        From :func:`best_cuts` or :func:`priority_cuts`.
    start
        Where each tree's cutting begins [grid steps], (trees,).

    Returns
    -------
    BoolArray
        (trees, nodes); pieces end at ``cuts.end`` of these nodes.
    """
    trees, nodes = cuts.product.shape
    everyone = np.arange(trees)
    reached = np.zeros((trees, nodes), bool)
    reached[everyone, start] = True
    for node in range(nodes - 1):
        here = reached[:, node]
        reached[everyone[here], cuts.end[here, node]] = True
    return reached & (cuts.product >= 0)
