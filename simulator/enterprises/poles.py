"""Poles: the longest that a stem is big enough for, and its class."""

from typing import NamedTuple

import numpy as np

from simulator.enterprises.stems import Stems, chosen_stems, diameter_inside_bark_in, measured_stems
from simulator.parameters.wood import ProductSpecs, Wood
from simulator.units import FloatArray


class Pole(NamedTuple):
    """A pole by its length and class."""

    length_ft: float
    number: int


def longest_pole_ft(stems: Stems, specs: ProductSpecs) -> FloatArray:
    """Length of the longest pole that each stem is big enough for, in its smallest class.

    Parameters
    ----------
    stems
        Trees from :func:`simulator.enterprises.stems.measured_stems`, one axis.
    specs
        Product specifications.

    Returns
    -------
    FloatArray
        Length [ft], one a tree; 0 where none fits.

    References
    ----------
    Dimensions follow ANSI O5.1, recovered second-hand; the buyer's current edition governs.
    """
    limits = specs.poles.limits
    length = np.zeros_like(stems.dbh_in)
    girth = np.pi * diameter_inside_bark_in(specs.stump_ft + limits.girth_above_butt_ft, stems)
    for pole_ft, row in zip(reversed(specs.poles.length_ft), reversed(specs.poles.girth_in), strict=True):
        smallest = max(number for number, least in enumerate(row) if least > 0.0)
        if pole_ft < limits.minimum_length_ft:
            break
        fits = (length == 0.0) & (stems.dbh_in >= limits.minimum_dbh_in) & (girth >= row[smallest])
        top = np.pi * diameter_inside_bark_in(specs.stump_ft + pole_ft, chosen_stems(stems, fits))
        length[fits] = np.where(top >= specs.poles.top_in[smallest], pole_ft, 0.0)
    return length


def best_pole(dbh_in: float, height_ft: float, wood: Wood) -> Pole | None:
    """Longest pole of one tree and the best class that it makes at that length.

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
    Pole or None
        None where the tree makes no pole.

    References
    ----------
    As for :func:`longest_pole_ft`.
    """
    stems = measured_stems(np.array([dbh_in]), height_ft, wood.stem)
    table = wood.specs.poles
    length = float(longest_pole_ft(stems, wood.specs)[0])
    if length == 0.0:
        return None
    heights = wood.specs.stump_ft + np.array([table.limits.girth_above_butt_ft, length])
    girth, top = np.pi * diameter_inside_bark_in(heights, stems)
    row = table.girth_in[table.length_ft.index(length)]
    number = next(
        number
        for number, (least, least_top) in enumerate(zip(row, table.top_in, strict=True))
        if least > 0.0 and girth >= least and top >= least_top
    )
    return Pole(length, number + 1)
