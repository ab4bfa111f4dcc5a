"""Every pole that a stem makes by length and class, and the one that pays best with the stem above it."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from simulator.enterprises.bucking import Bucked
from simulator.enterprises.defects import Defect, barred_stretches
from simulator.enterprises.poles import Pole
from simulator.enterprises.products import PRODUCTS
from simulator.enterprises.stems import Stems, diameter_inside_bark_in
from simulator.parameters.bucking import BuckingRules
from simulator.parameters.wood import PoleTable, ProductSpecs
from simulator.units import FloatArray, IntArray

NO_POLE = 0
_ROUNDING = 1e-9


class PolePrices(NamedTuple):
    """What poles bring [$/ton]: by length and class where stated, else by class, else one price for all."""

    per_ton: float
    by_class: Mapping[int, float]
    by_size: Mapping[tuple[float, int], float]

    def of(self, pole: Pole) -> float:
        """Price of a pole [$/ton]."""
        by_class = self.by_class.get(pole.number, self.per_ton)
        return self.by_size.get((pole.length_ft, pole.number), by_class)


class PoleCut(NamedTuple):
    """The pole cut from each stem and what the whole stem then brings; arrays (trees,).

    Attributes
    ----------
    length_ft, number
        Length [ft] and class of the pole; 0 where the stem is worth more without one.
    top_node
        Node of the grid where the pole with its trim ends; 0 where there is none.
    pole_value
        What the pole alone brings [$].
    value
        Pole and pieces above it, less the cost of cuts [$].
    """

    length_ft: FloatArray
    number: IntArray
    top_node: IntArray
    pole_value: FloatArray
    value: FloatArray


def pole_classes(stems: Stems, specs: ProductSpecs) -> IntArray:
    """Best class that each stem makes at each length of the table.

    Parameters
    ----------
    stems
        Trees from :func:`simulator.enterprises.stems.measured_stems`, one axis.
    specs
        Product specifications.

    Returns
    -------
    IntArray
        Number of the class [1], (trees, lengths), the thickest 1; 0 where no class fits or the length is not sold.

    References
    ----------
    Dimensions follow ANSI O5.1, recovered second-hand; the buyer's current edition governs.
    """
    table, limits = specs.poles, specs.poles.limits
    girth = np.pi * diameter_inside_bark_in(specs.stump_ft + limits.girth_above_butt_ft, stems)
    classes = np.zeros((len(stems.dbh_in), len(table.length_ft)), np.int64)
    for place, (length, row) in enumerate(zip(table.length_ft, table.girth_in, strict=True)):
        if length < limits.minimum_length_ft:
            continue
        top = np.pi * diameter_inside_bark_in(specs.stump_ft + length, stems)
        least, least_top = np.array(row), np.array(table.top_in)
        fits = (least > 0.0) & (girth[:, None] >= least) & (top[:, None] >= least_top)
        fits &= (stems.dbh_in >= limits.minimum_dbh_in)[:, None]
        classes[:, place] = np.where(fits.any(axis=1), fits.argmax(axis=1) + 1, NO_POLE)
    return classes


def sold_as(length_ft: float, best: int, table: PoleTable) -> list[Pole]:
    """Classes at which a pole may be sold: the one it makes and every lower one listed at its length.

    Parameters
    ----------
    length_ft
        Length [ft].
    best
        Best class that it makes.
    table
        Least circumferences.

    Returns
    -------
    list of Pole
        The best class first; empty where ``best`` is ``NO_POLE``.
    """
    row = table.girth_in[table.length_ft.index(length_ft)]
    return [Pole(length_ft, number) for number in range(best, len(row) + 1) if best > 0 and row[number - 1] > 0.0]


def best_pole_cut(
    bucked: Bucked, specs: ProductSpecs, prices: PolePrices, rules: BuckingRules, defects: Sequence[Defect] = ()
) -> PoleCut:
    """The pole that makes each stem worth most together with the pieces above it, where any does.

    Parameters
    ----------
    bucked
        Stems and what to cut from any height of them.
    specs
        Product specifications.
    prices
        Prices of poles.
    rules
        Grid, cost of a cut and what defects bar.
    defects
        Defects that every one of the stems has.

    Returns
    -------
    PoleCut
        What the stem brings [$]. A shorter pole of a better class is taken where it pays more.

    References
    ----------
    As for :func:`pole_classes` and :func:`simulator.physics.bucking.best_cuts`.
    """
    felled, value = bucked.felled, bucked.cuts.value
    none, nowhere = np.zeros(len(value)), np.zeros(len(value), np.int64)
    best = PoleCut(none, nowhere, nowhere, none, value[:, 0])
    classes, highest = pole_classes(felled.stems, specs), _highest_ft(defects, rules)
    for place, length in enumerate(specs.poles.length_ft):
        with_trim = length + specs.poles.limits.trim_ft
        node = int(np.ceil(with_trim / rules.work.grid_ft - _ROUNDING))
        if not classes[:, place].any() or specs.stump_ft + with_trim > highest or node >= value.shape[1]:
            continue
        number, price = _best_class(classes[:, place], length, specs.poles, prices)
        pole = price * felled.ton_below[:, node] - price * felled.ton_below[:, 0]
        whole = np.where(number > 0, pole - rules.work.cut_cost + value[:, node], -np.inf)
        better = whole > best.value
        found = (np.full_like(whole, length), number, np.full_like(number, node), pole, whole)
        best = PoleCut(*(np.where(better, new, old) for new, old in zip(found, best, strict=True)))
    return best


def _highest_ft(defects: Sequence[Defect], rules: BuckingRules) -> float:
    """Height under which a pole is free of barred stretches [ft]."""
    barred = barred_stretches(PRODUCTS.index("pole"), defects, rules.defects)
    return min((stretch.from_ft for stretch in barred), default=np.inf)


def _best_class(
    classes: IntArray, length_ft: float, table: PoleTable, prices: PolePrices
) -> tuple[IntArray, FloatArray]:
    """Class at which a pole of this length is sold, and its price [$/ton]; 0 where there is none."""
    number, price = np.zeros_like(classes), np.zeros(len(classes))
    for best in sorted({int(each) for each in classes} - {NO_POLE}):
        dearest = max(sold_as(length_ft, best, table), key=prices.of)
        number[classes == best], price[classes == best] = dearest.number, prices.of(dearest)
    return number, price
