"""The ledger's lines for whichever animal is kept: cows' lines, called and priced as that animal's."""

from functools import cache
from typing import Final, NamedTuple

from simulator.accounts import LINES, Line
from simulator.parameters.catalogue import NO_ANIMALS
from simulator.parameters.herds import Words
from simulator.parameters.pasture import load_animals


class HerdKeys(NamedTuple):
    """Keys of the lines of a breeding herd, by what they count.

    Attributes
    ----------
    young, young_selling, culls, cull_selling
        Weaned young and females sold for slaughter, and the cost of selling each.
    cash_cost
        Minerals, health, the male's share and the like.
    bought, sold, selling
        Breeding females bought and sold, and the cost of selling.
    displaced
        Cost of selling the herd that trees shut out.
    end, end_selling
        The herd at the horizon, and the cost of selling it.
    """

    young: str
    young_selling: str
    culls: str
    cull_selling: str
    cash_cost: str
    bought: str
    sold: str
    selling: str
    displaced: str
    end: str
    end_selling: str


class HerdItems(NamedTuple):
    """Price items of a breeding herd: a pound of young, a pound of cull, a bred female, her cash cost."""

    young: str
    cull: str
    bred: str
    cash_cost: str


def keys_of(words: Words) -> HerdKeys:
    """Keys of a herd's lines.

    Parameters
    ----------
    words
        Names of the animal.

    Returns
    -------
    HerdKeys
    """
    return HerdKeys(
        young=words.youngs,
        young_selling=f"{words.young}_selling",
        culls=f"cull_{words.females}",
        cull_selling="cull_selling",
        cash_cost=f"{words.female}_cash_cost",
        bought=f"{words.females}_bought",
        sold=f"{words.females}_sold",
        selling=f"{words.females}_selling",
        displaced="displaced_herd",
        end=f"end_{words.females}",
        end_selling=f"end_{words.females}_selling",
    )


def items_of(words: Words) -> HerdItems:
    """Price items of a herd.

    Parameters
    ----------
    words
        Names of the animal.

    Returns
    -------
    HerdItems
    """
    return HerdItems(words.young, f"cull_{words.female}", f"bred_{words.female}", f"{words.female}_cash_cost")


COWS: Final = Words(
    heads="cows",
    female="cow",
    females="cows",
    male="bull",
    males="bulls",
    young="calf",
    youngs="calves",
    meat="beef",
    perimeter_fence="perimeter_fence",
    cross_fence="cross_fence_and_water",
)
"""The words that `simulator.accounts.LINES` is written in."""


def words_for(animals: str) -> Words:
    """Names of an animal of the catalogue; cattle's where none is kept."""
    return COWS if animals == NO_ANIMALS else load_animals(animals).words


@cache
def lines_of(words: Words) -> tuple[Line, ...]:
    """Every line of the ledger, those of herd and fence called and priced as this animal's.

    Parameters
    ----------
    words
        Names of the animal kept.

    Returns
    -------
    tuple of Line
        In the order of `LINES`, which they are where cattle are kept.
    """
    keys = dict(zip(keys_of(COWS), keys_of(words), strict=True))
    fences = (COWS.perimeter_fence, words.perimeter_fence), (COWS.cross_fence, words.cross_fence)
    items = dict(zip(items_of(COWS), items_of(words), strict=True)) | dict(fences)
    return tuple(
        line._replace(key=keys.get(line.key, line.key), prices=tuple(items.get(item, item) for item in line.prices))
        for line in LINES
    )
