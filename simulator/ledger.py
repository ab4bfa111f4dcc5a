"""The ledger's lines: what is counted, in which unit, at which price; prices turn quantities into money."""

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from simulator.units import BoolArray, FloatArray

WOOD_PRODUCTS = ("pulpwood", "chip_and_saw", "sawtimber", "pole")
SALE_KINDS: Mapping[str, tuple[str, ...]] = {
    "first_thinning": ("first_thinning_factor",),
    "later_thinning": ("later_thinning_factor",),
    "final_harvest": (),
}


class Line(NamedTuple):
    """One line of the ledger.

    Attributes
    ----------
    key
        Name of the quantity; unique.
    enterprise
        wood, hay, grazing, straw or land.
    account
        What kind of money: sale, establishment, upkeep, capital, labour, overhead, end value.
    unit
        Unit of the quantity.
    sign
        +1 received, -1 paid.
    prices
        Price items whose product is the price of one unit.
    """

    key: str
    enterprise: str
    account: str
    unit: str
    sign: int
    prices: tuple[str, ...]


_ESTABLISHMENT = (
    Line("seedlings", "wood", "establishment", "1000 trees", -1, ("seedlings",)),
    Line("planting_alley", "wood", "establishment", "tree", -1, ("planting_alley",)),
    Line("planting_plantation", "wood", "establishment", "tree", -1, ("planting_plantation",)),
    Line("rip_and_strip", "wood", "establishment", "strip ac", -1, ("rip_and_strip",)),
    Line("herbicide", "wood", "establishment", "strip ac", -1, ("herbicide",)),
    Line("cutover_preparation", "wood", "establishment", "ac", -1, ("cutover_preparation",)),
)
_TENDING = (
    Line("pruning", "wood", "upkeep", "tree", -1, ("pruning",)),
    Line("precommercial_thinning", "wood", "upkeep", "ac", -1, ("precommercial_thinning",)),
    Line("logging_cleanup", "wood", "upkeep", "ac", -1, ("logging_cleanup",)),
    Line("overseeding", "grazing", "upkeep", "ac", -1, ("overseeding",)),
    Line("tree_labour", "wood", "labour", "h", -1, ("wage",)),
)
_GRASS = (
    Line("sward_establishment", "grazing", "establishment", "ac", -1, ("sward_establishment",)),
    Line("land_clearing", "grazing", "establishment", "ac", -1, ("reconversion",)),
    Line("nitrogen_hay", "hay", "upkeep", "lb", -1, ("nitrogen",)),
    Line("nitrogen_grazing", "grazing", "upkeep", "lb", -1, ("nitrogen",)),
    Line("hay", "hay", "sale", "ton", 1, ("hay",)),
    Line("bale_work", "hay", "upkeep", "1000 lb", -1, ("bale_work",)),
    Line("phosphate", "hay", "upkeep", "lb", -1, ("phosphate",)),
    Line("potash", "hay", "upkeep", "lb", -1, ("potash",)),
    Line("lime", "hay", "upkeep", "ton", -1, ("lime",)),
    Line("hay_labour", "hay", "labour", "h", -1, ("wage",)),
)
_GRAZING = (
    Line("grazing_lease", "grazing", "sale", "ac", 1, ("grazing_lease",)),
    Line("grazing_lease_month", "grazing", "sale", "animal-unit month", 1, ("grazing_lease_month",)),
    Line("calves", "grazing", "sale", "lb", 1, ("calf",)),
    Line("calf_selling", "grazing", "upkeep", "lb", -1, ("calf", "haul_and_commission")),
    Line("cull_cows", "grazing", "sale", "lb", 1, ("cull_cow",)),
    Line("cull_selling", "grazing", "upkeep", "lb", -1, ("cull_cow", "haul_and_commission")),
    Line("cow_cash_cost", "grazing", "upkeep", "head", -1, ("cow_cash_cost",)),
    Line("cows_bought", "grazing", "capital", "head", -1, ("bred_cow",)),
    Line("cows_sold", "grazing", "capital", "head", 1, ("bred_cow",)),
    Line("cows_selling", "grazing", "capital", "head", -1, ("bred_cow", "haul_and_commission")),
    Line("displaced_herd", "grazing", "capital", "head", -1, ("bred_cow", "haul_and_commission")),
    Line("displaced_herd_rent", "grazing", "upkeep", "animal-unit month", -1, ("rented_pasture",)),
    Line("feeders_bought", "grazing", "upkeep", "lb", -1, ("feeder_purchase",)),
    Line("feeders_sold", "grazing", "sale", "lb", 1, ("feeder",)),
    Line("feeder_selling", "grazing", "upkeep", "lb", -1, ("feeder", "haul_and_commission")),
    Line("stocker_cash_cost", "grazing", "upkeep", "head", -1, ("stocker_cash_cost",)),
    Line("bought_hay", "grazing", "upkeep", "ton", -1, ("bought_hay",)),
    Line("cross_fence_and_water", "grazing", "capital", "ac", -1, ("cross_fence_and_water",)),
    Line("perimeter_fence", "grazing", "capital", "ft", -1, ("perimeter_fence",)),
    Line("herd_labour", "grazing", "labour", "h", -1, ("wage",)),
)
_STRAW = (
    Line("straw", "straw", "sale", "bale", 1, ("straw_bale",)),
    Line("straw_preparation", "straw", "upkeep", "strip ac", -1, ("straw_preparation",)),
    Line("straw_fence", "straw", "upkeep", "ac", -1, ("straw_fence",)),
)
_LAND = (Line("tax_and_administration", "land", "overhead", "ac", -1, ("tax_and_administration",)),)
_END = (
    Line("end_cows", "grazing", "end value", "head", 1, ("bred_cow",)),
    Line("end_cows_selling", "grazing", "end value", "head", -1, ("bred_cow", "haul_and_commission")),
    Line("end_fence", "grazing", "end value", "ac", 1, ("cross_fence_and_water",)),
    Line("end_perimeter_fence", "grazing", "end value", "ft", 1, ("perimeter_fence",)),
    Line("end_reconversion", "wood", "end value", "ac", -1, ("reconversion",)),
)


def _wood() -> tuple[Line, ...]:
    sold = [
        Line(f"{product}_{kind}", "wood", "sale", "ton", 1, (product, *factors))
        for kind, factors in SALE_KINDS.items()
        for product in WOOD_PRODUCTS
    ]
    fees = [Line(f"{line.key}_fee", "wood", "upkeep", "ton", -1, (*line.prices, "timber_sale_fee")) for line in sold]
    standing = [Line(f"end_{product}", "wood", "end value", "ton", 1, (product,)) for product in WOOD_PRODUCTS]
    selling = [
        Line(f"end_{product}_fee", "wood", "end value", "ton", -1, (product, "timber_sale_fee"))
        for product in WOOD_PRODUCTS
    ]
    return (*sold, *fees, *standing, *selling)


LINES: tuple[Line, ...] = (*_wood(), *_ESTABLISHMENT, *_TENDING, *_GRASS, *_GRAZING, *_STRAW, *_LAND, *_END)


class Book:
    """Quantities per acre of land by candidate, year and line, filled by the yearly loop.

    Parameters
    ----------
    candidates, horizon
        Shape: rows 0 to ``horizon`` for each candidate.
    treatment_items
        Price items that scenarios book as treatments, one line each.
    """

    def __init__(self, candidates: int, horizon: int, treatment_items: tuple[str, ...] = ()) -> None:
        self.lines = LINES + tuple(
            Line(f"treatment_{item}", "land", "upkeep", "ac", -1, (item,)) for item in treatment_items
        )
        self._place = {line.key: place for place, line in enumerate(self.lines)}
        self.quantity: FloatArray = np.zeros((candidates, horizon + 1, len(self.lines)))
        self.replanting: FloatArray = np.zeros((candidates, len(self.lines)))

    def post(self, year: int, key: str, quantity: FloatArray | float, where: BoolArray | None = None) -> None:
        """Add a quantity per acre to a line in a year, for all candidates or where a mask says.

        Parameters
        ----------
        year
            Row, 0 to horizon.
        key
            Line.
        quantity
            Amount in the line's unit per acre, (candidates,) or one number.
        where
            Candidates meant, (candidates,); all when absent.
        """
        amount = quantity if where is None else np.where(where, quantity, 0.0)
        self.quantity[:, year, self._place[key]] += amount

    def keep_replanting(self, year: int, before: FloatArray, noted: BoolArray, booked: BoolArray) -> None:
        """Note what the next cycle's planting costs, and take it off the row where no next cycle begins.

        Parameters
        ----------
        year
            Row of the harvest, into which planting was booked.
        before
            Copy of the row before that, (candidates, lines).
        noted
            Candidates whose first harvest this is, (candidates,).
        booked
            Candidates that do plant again inside the horizon, (candidates,).
        """
        self.replanting[noted] = (self.quantity[:, year] - before)[noted]
        self.quantity[:, year] = np.where(booked[:, None], self.quantity[:, year], before)

    def of(self, key: str) -> FloatArray:
        """Quantity per acre of one line, (candidates, years)."""
        return np.asarray(self.quantity[:, :, self._place[key]])


def unit_prices(lines: tuple[Line, ...], prices: Mapping[str, float]) -> FloatArray:
    """Signed price of one unit of every line [$/unit], (lines,).

    Parameters
    ----------
    lines
        Lines of the book.
    prices
        Value of every price item.
    """
    return np.array([line.sign * np.prod([prices[item] for item in line.prices]) for line in lines])
