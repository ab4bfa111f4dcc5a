"""Defects of a stem and the lengths from which they bar each product."""

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from simulator.parameters.bucking import DefectRule


class Defect(NamedTuple):
    """A fault of one stem: its kind, and its height above ground [ft].

    The height of a fork is where it parts, of a broken top where it broke, of large knots where they begin; of sweep,
    canker and rust it is the middle.
    """

    kind: str
    at_ft: float


class Barred(NamedTuple):
    """A stretch of stem in which no piece of a product may lie [ft]; of no length, a piece may not run through it."""

    from_ft: float
    to_ft: float


def barred_stretches(product: int, defects: Sequence[Defect], rules: Mapping[str, DefectRule]) -> Iterator[Barred]:
    """Stretches of a stem that its defects bar to a product.

    Parameters
    ----------
    product
        Place of the product in ``simulator.enterprises.products.PRODUCTS``.
    defects
        What is wrong with the stem.
    rules
        What each kind bars.

    Yields
    ------
    Barred
        One for each defect that matters to the product.

    References
    ----------
    Common practice for forks; the lengths round other defects are assumed for this project.
    """
    for defect in defects:
        rule = rules[defect.kind]
        if rule.barred[product] > 0.0:
            yield Barred(defect.at_ft - rule.below_ft[product], defect.at_ft + rule.above_ft[product])
