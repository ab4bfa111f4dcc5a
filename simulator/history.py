"""The yearly state table: what stood, shone, grew and was used, by candidate and year."""

from typing import Final

import numpy as np

from simulator.accounts import WOOD_PRODUCTS
from simulator.enterprises.harvest import Felling
from simulator.enterprises.herd import Grazed
from simulator.enterprises.meadow import Forage
from simulator.enterprises.offers import OfferBook
from simulator.enterprises.sold_early import Exits, YearEnd
from simulator.events.light import Lit
from simulator.geometry import Geometry
from simulator.state import (
    Stand,
    basal_area_ft2_ac,
    class_dbh_in,
    class_height_ft,
    class_trees,
    mean_height_ft,
    quadratic_mean_dbh_in,
    trees_per_ac,
)
from simulator.units import BoolArray, FloatArray

STATE_COLUMNS: Final = (
    "age",
    "trees_per_ac",
    "quadratic_mean_dbh_in",
    "dominant_height_ft",
    "basal_area_ft2_ac",
    "sawtimber_grade_share",
    "crown_width_ft",
    "crown_base_ft",
    "light_warm",
    "light_cool",
    "canopy_cover",
    "forage_lb_ac",
    "forage_share_of_open",
    "winter_forage_lb_ac",
    "light_grass",
    "later_grass",
    "forage_eaten_lb_ac",
    "hay_ton_ac",
    "animal_unit_months_ac",
    "head",
    "straw_bales_ac",
    "nuts_lb_ac",
    "standing_ton_ac",
    "trees_cut_per_ac",
    "basal_area_cut_ft2_ac",
    "trees_dead_per_ac",
    "trees_lost_to_events_per_ac",
    "salvaged_after_events_ton_ac",
    "trees_replanted_per_ac",
    "no_bid",
    "thinning_waits",
    "small_sale",
    "browse_eaten_lb_ac",
    "trees_lost_to_use_per_ac",
    "trees_lost_early_per_ac",
)


class History:
    """States of a batch by year; a row shows the stand at the end of its season, before the year's cut.

    Attributes
    ----------
    column
        Arrays (candidates, years) by name of ``STATE_COLUMNS``.
    wood_ton_ac
        Green tons sold by product [ton/ac], (candidates, years, 4).
    exits
        What could be sold with the land after each year's work; not kept on the fast path, which does not ask.
    offers
        Lots of wood offered to buyers and what they said.
    profile_warm
        Warm-season light across the grass ground [1], list by year of (candidates, points).
    rows
        By year: offset, alive, mean height, crown base, radius and dbh of each row, for drawings.
    """

    def __init__(self, candidates: int, last_year: int) -> None:
        shape = (candidates, last_year + 1)
        self.column: dict[str, FloatArray] = {name: np.zeros(shape) for name in STATE_COLUMNS}
        self.wood_ton_ac: FloatArray = np.zeros((*shape, len(WOOD_PRODUCTS)))
        self.exits = Exits(candidates, last_year)
        self.offers = OfferBook(candidates, last_year)
        self.profile_warm: list[FloatArray] = []
        self.rows: list[dict[str, FloatArray]] = []

    def record_start(self, stand: Stand, lit: Lit) -> None:
        """Write row 0: trees as planted under open light, or as they are found under their own."""
        self._stand(0, stand)
        self._light(0, lit)
        self.column["light_grass"][:, 0] = self.column["light_warm"][:, 0]
        self.rows.append(_drawing(stand))

    def record(self, year: int, before: Stand, stand: Stand, lit: Lit, grass: Forage) -> None:
        """Write what stood and died, what light came through and what grass grew."""
        self._stand(year, stand)
        self.column["trees_dead_per_ac"][:, year] += (before.trees - stand.trees).sum(axis=1)
        self._light(year, lit)
        self.column["forage_lb_ac"][:, year] = grass.forage_lb_ac
        self.column["forage_share_of_open"][:, year] = grass.share_of_open
        self.column["winter_forage_lb_ac"][:, year] = grass.winter_lb_ac
        self.column["light_grass"][:, year] = grass.light
        self.column["later_grass"][:, year] = grass.later
        self.rows.append(_drawing(stand))

    def record_lost_to_use(self, year: int, trees: FloatArray, early: BoolArray) -> None:
        """Write the trees that animals and mowers kill this year [1/ac], and where they are below the animals' gate."""
        self.column["trees_lost_to_use_per_ac"][:, year] = trees
        self.column["trees_lost_early_per_ac"][:, year] = np.where(early, trees, 0.0)

    def record_standing(self, year: int, ton: FloatArray) -> None:
        """Write the merchantable wood that stood before the year's cut [ton/ac], (candidates,)."""
        self.column["standing_ton_ac"][:, year] = ton

    def record_exit(self, year: int, end: YearEnd) -> None:
        """Keep what could be sold with the land after the year's work."""
        self.exits.keep(year, end)

    def record_use(self, year: int, grazed: Grazed, hay_ton: FloatArray, bales: FloatArray) -> None:
        """Write how the grass and the straw were used."""
        self.column["forage_eaten_lb_ac"][:, year] = grazed.eaten_lb_ac
        self.column["browse_eaten_lb_ac"][:, year] = grazed.browse_lb_ac
        self.column["animal_unit_months_ac"][:, year] = grazed.animal_unit_months
        self.column["head"][:, year] = grazed.head
        self.column["hay_ton_ac"][:, year] = hay_ton
        self.column["straw_bales_ac"][:, year] = bales

    def record_nuts(self, year: int, pounds: FloatArray) -> None:
        """Write the nuts gathered [lb/ac], (candidates,)."""
        self.column["nuts_lb_ac"][:, year] = pounds

    def record_cut(self, year: int, felling: Felling) -> None:
        """Write what was cut and what of it was sold."""
        self.column["trees_cut_per_ac"][:, year] = felling.trees_cut
        taken = self.column["basal_area_ft2_ac"][:, year] - basal_area_ft2_ac(felling.stand)
        self.column["basal_area_cut_ft2_ac"][:, year] = np.where(felling.trees_cut > 0, taken, 0.0)
        self.wood_ton_ac[:, year] += felling.tons_sold
        self.column["no_bid"][:, year] = felling.no_bid
        self.column["thinning_waits"][:, year] = felling.refused
        self.column["small_sale"][:, year] = felling.small
        if felling.offer is not None:
            self.offers.write(year, felling.offer)

    def record_events(self, year: int, lost: FloatArray, salvaged_ton: FloatArray) -> None:
        """Write trees killed by events, of those counted dead [1/ac], and wood salvaged [ton/ac] by product."""
        self.column["trees_lost_to_events_per_ac"][:, year] = lost
        self.column["salvaged_after_events_ton_ac"][:, year] = salvaged_ton.sum(axis=1)
        self.wood_ton_ac[:, year] += salvaged_ton

    def record_replanting(self, year: int, seedlings: FloatArray, living: FloatArray) -> None:
        """Write seedlings planted in gaps, and count those that do not live as dead [1/ac], (candidates,)."""
        self.column["trees_replanted_per_ac"][:, year] = seedlings
        self.column["trees_dead_per_ac"][:, year] += seedlings - living

    def drawing_of(self, i: int, rows: slice, geometry: Geometry) -> dict[str, FloatArray]:
        """Rows of trees of one plan of the batch by year, and where they lie."""
        return {name: np.array([year[name][i] for year in self.rows[rows]]) for name in self.rows[0]} | {
            "offset_ft": geometry.offset_ft[i],
            "points_ft": geometry.points_ft[i],
            "cell_ft": geometry.cell_ft[i],
        }

    def _stand(self, year: int, stand: Stand) -> None:
        count = np.maximum(stand.trees.sum(axis=1), 1e-12)
        column = self.column
        column["age"][:, year] = stand.age
        column["trees_per_ac"][:, year] = trees_per_ac(stand)
        column["quadratic_mean_dbh_in"][:, year] = quadratic_mean_dbh_in(stand)
        column["dominant_height_ft"][:, year] = np.where(stand.trees.sum(axis=1) > 0, stand.height_ft, 0.0)
        column["basal_area_ft2_ac"][:, year] = basal_area_ft2_ac(stand)
        column["sawtimber_grade_share"][:, year] = (class_trees(stand) * stand.grade).sum(axis=(1, 2)) / count
        column["crown_width_ft"][:, year] = (2.0 * stand.across_ft * stand.trees).sum(axis=1) / count
        column["crown_base_ft"][:, year] = (stand.crown_base_ft * stand.trees).sum(axis=1) / count

    def _light(self, year: int, lit: Lit) -> None:
        self.column["light_warm"][:, year] = lit.warm.mean(axis=1)
        self.column["light_cool"][:, year] = lit.cool.mean(axis=1)
        self.column["canopy_cover"][:, year] = lit.cover
        self.profile_warm.append(lit.warm)


def _drawing(stand: Stand) -> dict[str, FloatArray]:
    return {
        "alive": stand.alive.astype(float),
        "trees": stand.trees,
        "height_ft": mean_height_ft(stand),
        "crown_base_ft": stand.crown_base_ft,
        "across_ft": stand.across_ft,
        "dbh_in": stand.dbh_in,
        "class_trees": class_trees(stand),
        "class_dbh_in": class_dbh_in(stand),
        "class_height_ft": class_height_ft(stand),
        "class_grade": stand.grade,
    }
