"""Every line of the ledger: what is counted, in which unit, at which price."""

from collections.abc import Mapping
from typing import NamedTuple

WOOD_PRODUCTS = ("pulpwood", "chip_and_saw", "sawtimber", "pole")
SALE_KINDS: Mapping[str, tuple[str, ...]] = {
    "first_thinning": ("first_thinning_factor",),
    "later_thinning": ("later_thinning_factor",),
    "final_harvest": (),
    "salvage_local": ("salvage_local_factor",),
    "salvage_regional": ("salvage_regional_factor",),
}


class Line(NamedTuple):
    """One line of the ledger.

    Attributes
    ----------
    key
        Name of the quantity; unique.
    enterprise
        wood, hay, grazing, straw, nuts or land.
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
_STOCK = (
    *(
        Line(f"seedlings_{grade}", "wood", "establishment", "1000 trees", -1, ("seedlings", f"seedling_factor_{grade}"))
        for grade in ("poor", "first_generation", "second_generation", "elite_family")
    ),
    Line("container_stock", "wood", "establishment", "1000 trees", -1, ("container_premium",)),
    Line("grafted_trees", "nuts", "establishment", "tree", -1, ("grafted_tree",)),
    Line("planting_grafted", "nuts", "establishment", "tree", -1, ("planting_grafted",)),
)
_STRAW_GRADES = (
    Line("straw_slash", "straw", "sale", "bale", 1, ("straw_bale", "straw_factor_slash")),
    Line("straw_longleaf", "straw", "sale", "bale", 1, ("straw_bale", "straw_factor_longleaf")),
)
_NUTS = (
    Line("nuts", "nuts", "sale", "lb", 1, ("nuts",)),
    Line("nut_harvest", "nuts", "upkeep", "lb", -1, ("nut_harvest",)),
    Line("orchard_care", "nuts", "upkeep", "ac", -1, ("orchard_care",)),
    Line("nut_labour", "nuts", "labour", "h", -1, ("wage",)),
    Line("end_nuts", "nuts", "end value", "lb", 1, ("nuts",)),
    Line("end_nut_harvest", "nuts", "end value", "lb", -1, ("nut_harvest",)),
    Line("end_orchard_care", "nuts", "end value", "ac", -1, ("orchard_care",)),
    Line("end_nut_labour", "nuts", "end value", "h", -1, ("wage",)),
)
_SALVAGE = (
    Line("salvage_wood", "wood", "sale", "ton", 1, ("salvage_wood",)),
    Line("salvage_wood_fee", "wood", "upkeep", "ton", -1, ("salvage_wood", "timber_sale_fee")),
    Line("end_salvage_wood", "wood", "end value", "ton", 1, ("salvage_wood",)),
    Line("end_salvage_wood_fee", "wood", "end value", "ton", -1, ("salvage_wood", "timber_sale_fee")),
)
_TENDING = (
    Line("pruning", "wood", "upkeep", "tree", -1, ("pruning",)),
    Line("precommercial_thinning", "wood", "upkeep", "ac", -1, ("precommercial_thinning",)),
    Line("logging_cleanup", "wood", "upkeep", "ac", -1, ("logging_cleanup",)),
    Line("overseeding", "grazing", "upkeep", "ac", -1, ("overseeding",)),
    Line("tree_nitrogen", "wood", "upkeep", "lb", -1, ("nitrogen",)),
    Line("tree_phosphate", "wood", "upkeep", "lb", -1, ("phosphate",)),
    Line("tree_fertiliser_spreading", "wood", "upkeep", "ac", -1, ("fertiliser_spreading",)),
    Line("volunteer_control", "wood", "upkeep", "ac", -1, ("volunteer_control",)),
    Line("burn", "wood", "upkeep", "ac charged", -1, ("burn",)),
    Line("tree_labour", "wood", "labour", "h", -1, ("wage",)),
)
_GRASS = (
    Line("sward_establishment", "grazing", "establishment", "ac", -1, ("sward_establishment",)),
    Line("land_clearing", "grazing", "establishment", "ac", -1, ("reconversion",)),
    Line("ryegrass_seeding", "grazing", "upkeep", "ac", -1, ("ryegrass_seeding",)),
    Line("clover_seeding", "grazing", "upkeep", "ac", -1, ("clover_seeding",)),
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
    Line("drought_discount", "grazing", "capital", "head", -1, ("bred_cow", "drought_discount")),
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


SPECIES_LINES = (*_STOCK, *_STRAW_GRADES, *_NUTS, *_SALVAGE)
"""What only species other than loblolly, or other seed, need."""

LINES: tuple[Line, ...] = (
    *_wood(),
    *_ESTABLISHMENT,
    *_TENDING,
    *_GRASS,
    *_GRAZING,
    *_STRAW,
    *_LAND,
    *_END,
    *SPECIES_LINES,
)
