"""How many seedlings to order for the rows on a field."""

import math
from typing import NamedTuple

from simulator.parameters.field_work import load_field_layout
from simulator.scenario.trees import Trees


class Order(NamedTuple):
    """Seedlings to order.

    Attributes
    ----------
    spots
        Planting spots: trees planted.
    spare
        Culled, dried out or dropped on the day.
    first_order
        Spots and spares, rounded up to what is sold.
    survival
        Share of planted trees alive after establishment [1].
    living
        Trees expected alive then.
    replant_share
        Share of the spots kept for filling gaps the next winter [1].
    replant_order
        Seedlings for it, rounded up.
    """

    spots: int
    spare: int
    first_order: int
    survival: float
    living: int
    replant_share: float
    replant_order: int

    @property
    def total(self) -> int:
        """All seedlings, this winter's and the next one's."""
        return self.first_order + self.replant_order


def order_of(spots: int, trees: Trees, replant_share: float | None) -> Order:
    """Count seedlings.

    Parameters
    ----------
    spots
        Planting spots on the field [1].
    trees
        The plan's trees: survival, and whether gaps are planted again.
    replant_share
        A person's own share of spots to plant again [1].

    Returns
    -------
    Order
        Seedlings [1]. A plan that fills gaps (``replant_below``) keeps seedlings for the spots that are expected to
        fail;
        one that does not orders none for it.

    References
    ----------
    Spare seedlings and bundles: practice or assumed, see the numbers of the field.
    """
    habits = load_field_layout()
    alive = trees.survival
    again = (1.0 - alive) if trees.replant_below is not None else 0.0
    again = again if replant_share is None else replant_share
    spare = math.ceil(spots * habits.spare_seedling_share)

    def whole(count: float) -> int:
        return int(math.ceil(round(count / habits.order_multiple, 9)) * habits.order_multiple)

    return Order(spots, spare, whole(spots + spare), alive, round(spots * alive), again, whole(spots * again))
