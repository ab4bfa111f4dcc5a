"""The yearly state table: what stood, shone, grew and was used, by candidate and year."""

from typing import Final

import numpy as np

from simulator.accounts import WOOD_PRODUCTS
from simulator.enterprises.harvest import Felling
from simulator.enterprises.herd import Grazed
from simulator.enterprises.meadow import Forage
from simulator.enterprises.offer_book import OfferBook
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

    What is counted or weighed stands per acre of the whole field, though the loop reckons per acre of the ground that
    the rows take; sizes, light and the drawings are those of the rows.

    Parameters
    ----------
    rows_share
        Share of the whole field that the rows take with their alleys [1], (candidates,).
    last_year
        Rows are 0 to ``last_year``.

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

    def __init__(self, rows_share: FloatArray, last_year: int) -> None:
        candidates = len(rows_share)
        shape = (candidates, last_year + 1)
        self._rows_share = rows_share
        self.column: dict[str, FloatArray] = {name: np.zeros(shape) for name in STATE_COLUMNS}
        self.wood_ton_ac: FloatArray = np.zeros((*shape, len(WOOD_PRODUCTS)))
        self.exits = Exits(candidates, last_year)
        self.offers = OfferBook(rows_share, last_year)
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
        self._add(year, "trees_dead_per_ac", (before.trees - stand.trees).sum(axis=1))
        self._light(year, lit)
        self._put(year, "forage_lb_ac", grass.forage_lb_ac)
        self.column["forage_share_of_open"][:, year] = grass.share_of_open
        self._put(year, "winter_forage_lb_ac", grass.winter_lb_ac)
        self.column["light_grass"][:, year] = grass.light
        self.column["later_grass"][:, year] = grass.later
        self.rows.append(_drawing(stand))

    def record_lost_to_use(self, year: int, trees: FloatArray, early: BoolArray) -> None:
        """Write the trees that animals and mowers kill this year [1/ac], and where they are below the animals' gate."""
        self._put(year, "trees_lost_to_use_per_ac", trees)
        self._put(year, "trees_lost_early_per_ac", np.where(early, trees, 0.0))

    def record_standing(self, year: int, ton: FloatArray) -> None:
        """Write the merchantable wood that stood before the year's cut [ton/ac], (candidates,)."""
        self._put(year, "standing_ton_ac", ton)

    def record_exit(self, year: int, end: YearEnd) -> None:
        """Keep what could be sold with the land after the year's work."""
        self.exits.keep(year, end)

    def record_use(self, year: int, grazed: Grazed, hay_ton: FloatArray, bales: FloatArray) -> None:
        """Write how the grass and the straw were used."""
        self._put(year, "forage_eaten_lb_ac", grazed.eaten_lb_ac)
        self._put(year, "browse_eaten_lb_ac", grazed.browse_lb_ac)
        self._put(year, "animal_unit_months_ac", grazed.animal_unit_months)
        self.column["head"][:, year] = grazed.head
        self._put(year, "hay_ton_ac", hay_ton)
        self._put(year, "straw_bales_ac", bales)

    def record_nuts(self, year: int, pounds: FloatArray) -> None:
        """Write the nuts gathered [lb/ac], (candidates,)."""
        self._put(year, "nuts_lb_ac", pounds)

    def record_cut(self, year: int, felling: Felling) -> None:
        """Write what was cut and what of it was sold."""
        self._put(year, "trees_cut_per_ac", felling.trees_cut)
        taken = self.column["basal_area_ft2_ac"][:, year] - basal_area_ft2_ac(felling.stand) * self._rows_share
        self.column["basal_area_cut_ft2_ac"][:, year] = np.where(felling.trees_cut > 0, taken, 0.0)
        self.wood_ton_ac[:, year] += felling.tons_sold * self._rows_share[:, None]
        self.column["no_bid"][:, year] = felling.no_bid
        self.column["thinning_waits"][:, year] = felling.refused
        self.column["small_sale"][:, year] = felling.small
        if felling.offer is not None:
            self.offers.write(year, felling.offer)

    def record_events(self, year: int, lost: FloatArray, salvaged_ton: FloatArray) -> None:
        """Write trees killed by events, of those counted dead [1/ac], and wood salvaged [ton/ac] by product."""
        self._put(year, "trees_lost_to_events_per_ac", lost)
        self._put(year, "salvaged_after_events_ton_ac", salvaged_ton.sum(axis=1))
        self.wood_ton_ac[:, year] += salvaged_ton * self._rows_share[:, None]

    def record_replanting(self, year: int, seedlings: FloatArray, living: FloatArray) -> None:
        """Write seedlings planted in gaps, and count those that do not live as dead [1/ac], (candidates,)."""
        self._put(year, "trees_replanted_per_ac", seedlings)
        self._add(year, "trees_dead_per_ac", seedlings - living)

    def drawing_of(self, i: int, rows: slice, geometry: Geometry) -> dict[str, FloatArray]:
        """Rows of trees of one plan of the batch by year, and where they lie."""
        return {name: np.array([year[name][i] for year in self.rows[rows]]) for name in self.rows[0]} | {
            "offset_ft": geometry.offset_ft[i],
            "points_ft": geometry.points_ft[i],
            "cell_ft": geometry.cell_ft[i],
        }

    def _put(self, year: int, name: str, per_ac_of_rows: FloatArray) -> None:
        self.column[name][:, year] = per_ac_of_rows * self._rows_share

    def _add(self, year: int, name: str, per_ac_of_rows: FloatArray) -> None:
        self.column[name][:, year] += per_ac_of_rows * self._rows_share

    def _stand(self, year: int, stand: Stand) -> None:
        count = np.maximum(stand.trees.sum(axis=1), 1e-12)
        column = self.column
        column["age"][:, year] = stand.age
        self._put(year, "trees_per_ac", trees_per_ac(stand))
        column["quadratic_mean_dbh_in"][:, year] = quadratic_mean_dbh_in(stand)
        column["dominant_height_ft"][:, year] = np.where(stand.trees.sum(axis=1) > 0, stand.height_ft, 0.0)
        self._put(year, "basal_area_ft2_ac", basal_area_ft2_ac(stand))
        column["sawtimber_grade_share"][:, year] = (class_trees(stand) * stand.grade).sum(axis=(1, 2)) / count
        column["crown_width_ft"][:, year] = (2.0 * stand.across_ft * stand.trees).sum(axis=1) / count
        column["crown_base_ft"][:, year] = (stand.crown_base_ft * stand.trees).sum(axis=1) / count

    def _light(self, year: int, lit: Lit) -> None:
        self.column["light_warm"][:, year] = lit.warm.mean(axis=1)
        self.column["light_cool"][:, year] = lit.cool.mean(axis=1)
        self._put(year, "canopy_cover", lit.cover)
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
