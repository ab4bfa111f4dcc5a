"""Thinnings and final harvest as sales, and what stands at the horizon as end values."""

from dataclasses import replace
from typing import NamedTuple

import numpy as np

from simulator.accounts import WOOD_PRODUCTS
from simulator.enterprises import establishment
from simulator.enterprises.bids import answer_to, next_waiting, thinning_age, with_bids
from simulator.enterprises.killed_wood import CLEARED_FROM_FT
from simulator.enterprises.offers import (
    FINAL,
    FIRST_THINNING,
    LATER_THINNING,
    NO_PULPWOOD_BID,
    Answered,
    Lot,
    answered,
    is_delivered,
    mean_piece_ton,
)
from simulator.enterprises.salvage import as_salvage, book_salvage
from simulator.enterprises.setting import Setting, has_alley, planted
from simulator.enterprises.wood import cut_tons_ac
from simulator.events.planting import open_side_share
from simulator.events.scars import scarred
from simulator.events.thinning import Cut, felled, thinned
from simulator.events.use import Uses
from simulator.sale_accounts import END, KEYS
from simulator.state import Stand, bare, select
from simulator.units import BoolArray, FloatArray, IntArray

KIND_NAMES = {FINAL: "final_harvest", FIRST_THINNING: "first_thinning", LATER_THINNING: "later_thinning"}


class Felling(NamedTuple):
    """What a year's thinning or harvest did.

    Attributes
    ----------
    stand
        The stand that stays.
    harvested
        Where a final harvest was due, (candidates,).
    trees_cut
        Trees cut [1/ac], (candidates,).
    tons_sold
        Green tons sold by product [ton/ac], (candidates, 4).
    no_bid, small
        Where no bid is likely; where the sale is small but sells, (candidates,).
    refused, waiting
        Where a thinning of pulpwood finds no bid; age of the one that waits for next year, 0 for none, (candidates,).
    offer
        What was offered and what buyers said; None where nothing was cut.
    """

    stand: Stand
    harvested: BoolArray
    trees_cut: FloatArray
    tons_sold: FloatArray
    no_bid: BoolArray
    small: BoolArray
    refused: BoolArray
    waiting: IntArray
    offer: Answered | None = None


class Due(NamedTuple):
    """What is cut though the calendar does not say so.

    Attributes
    ----------
    waiting
        Age of a thinning that found no bid and is tried again, 0 for none, (candidates,).
    ruined
        Where what events left is felled, (candidates,).
    """

    waiting: IntArray
    ruined: BoolArray

    def seedlings(self, stand: Stand) -> BoolArray:
        """Where what is left of a lost stand is so short that no logger comes and nothing has to be cleared."""
        return np.asarray(self.ruined & (stand.height_ft < CLEARED_FROM_FT))


def cut_of_year(setting: Setting, year: int, stand: Stand, uses: Uses, due: Due) -> Felling:
    """Do the thinning or harvest that is due at the end of the year, and sell what finds a buyer.

    Parameters
    ----------
    setting, year
        The batch and the row.
    stand
        At the end of the season.
    uses
        Ground in use is cleaned up after a thinning.
    due
        What is cut beside what the calendar says.

    Returns
    -------
    Felling
        An unsold thinning is not done: the trees stay; an unsold harvest is still felled, so that the
        ground is free, and so is an unsold thinning of nut trees.
    """
    plan, tables, waiting = setting.plan, setting.tables, due.waiting
    harvest = ((plan.calendar.harvest_age == stand.age) | due.ruined) & (stand.trees > 0).any(axis=1)
    tried = thinning_age(plan, stand, waiting)
    asked = replace(stand, age=tried)
    left, cut = _thinned(setting, asked)
    everything = felled(stand, harvest)
    cut = Cut(*(np.where(harvest[:, None, None], all_, some) for all_, some in zip(everything, cut, strict=True)))
    if not cut.trees.any():
        none, nothing = np.zeros(plan.candidates, bool), np.zeros(plan.candidates)
        # a thinning that waits and finds nothing to take is over, whatever other plans of the batch do
        over = np.zeros_like(waiting)
        return Felling(stand, harvest, nothing, np.zeros((plan.candidates, 4)), none, none, none, over)
    said = _offered(setting, stand, cut, harvest)
    refused, offered = said.answer == NO_PULPWOOD_BID, said.lot.ton_ac.sum(axis=1) > 0
    unpaid = ~offered & ~harvest & cut.trees.any(axis=(1, 2))
    # an orchard is thinned for its light, sold or not, and then the owner pays for the felling
    unsold, orchard = (said.no_bid | refused) & ~harvest, tables.tree.species.orchard is not None
    setting.book.post(year, "precommercial_thinning", 1.0, unpaid | (unsold & orchard))
    kept = unsold & (not orchard)
    cut = cut._replace(trees=np.where(kept[:, None, None], 0.0, cut.trees))
    _book_sale(setting, year, said)
    worked = np.asarray(cut.trees.any(axis=(1, 2))) & ~due.seedlings(stand)
    opening = establishment.opened(plan, year)
    _book_cleanup(setting, year, worked, harvest | opening, uses.grazing | uses.cutting)
    rest = select(kept, stand, select(harvest, bare(plan.geometry), replace(left, age=stand.age)))
    waits = next_waiting(plan, stand, tried, refused)
    done = rest, harvest, cut.trees.sum(axis=(1, 2)), said.sold_ton_ac
    return Felling(*done, said.no_bid, said.small, refused, waits, said)


def _offered(setting: Setting, stand: Stand, cut: Cut, harvest: BoolArray) -> Answered:
    """Offer the wood of a year's cut; where nobody buys pulpwood the rest of it, or all of it where that waits."""
    plan, tables = setting.plan, setting.tables
    whole = _tons_ac(setting, stand, cut)
    wanted, refused = answer_to(plan, tables, whole, harvest)
    kind = np.where(harvest, FINAL, np.where(stand.thinnings == 0, FIRST_THINNING, LATER_THINNING))
    piece = mean_piece_ton(stand, cut.trees, whole, tables)
    return answered(plan, tables, Lot(np.where(refused[:, None], whole, wanted), piece, kind, cut), refused)


def _thinned(setting: Setting, stand: Stand) -> tuple[Stand, Cut]:
    """What a thinning leaves, some of it scarred, and what it takes."""
    plan, practice = setting.plan, setting.tables.practice
    left, cut = thinned(stand, plan.geometry, plan.calendar, setting.tables.quality, practice.marking)
    return scarred(left, cut, plan.geometry, practice.logging_damage), cut


def _tons_ac(setting: Setting, stand: Stand, cut: Cut) -> FloatArray:
    """Green tons of a cut by product as they leave the land [ton/ac], (candidates, 4)."""
    tables, opened = setting.tables, open_side_share(setting.plan.geometry)
    return as_salvage(cut_tons_ac(stand, cut, opened, tables.wood, tables.quality), tables.tree)


def _book_sale(setting: Setting, year: int, said: Answered) -> None:
    tons = said.sold_ton_ac
    if setting.tables.tree.species.orchard is not None:
        book_salvage(setting, year, "salvage_wood", tons)
        return
    sold, delivered = tons.any(axis=1), is_delivered(setting.plan, setting.tables)
    for place, product in enumerate(WOOD_PRODUCTS):
        for kind, name in KIND_NAMES.items():
            where = (said.lot.kind == kind) & ~delivered
            _post_with_fee(setting, year, f"{product}_{name}", np.where(where, tons[:, place], 0.0))
    _book_to_mill(setting, year, "", np.where((sold & delivered)[:, None], said.to_mill, 0.0))


def _book_to_mill(setting: Setting, year: int, before: str, quantity: FloatArray) -> None:
    """Book what a sale at the mill's gate brings and takes, (candidates, lines of ``KEYS``)."""
    if quantity.any():
        for place, key in enumerate(KEYS):
            _post_with_fee(setting, year, f"{before}{key}", quantity[:, place])


def _post_with_fee(setting: Setting, year: int, key: str, quantity: FloatArray) -> None:
    setting.book.post(year, key, quantity)
    setting.book.post(year, f"{key}_fee", quantity)


def _book_cleanup(setting: Setting, year: int, worked: BoolArray, next_sown: BoolArray, used: BoolArray) -> None:
    """Book slash clean-up where grass is in use or trees or grass are sown next, and reseeding of torn sward."""
    book, practice = setting.book, setting.tables.practice
    book.post(year, "logging_cleanup", 1.0, worked & (used | next_sown))
    torn = practice.ground.reseeded_after_logging_share * setting.plan.geometry.grass_ground
    perennial = not setting.tables.grass.habit.sown_every_year  # an annual is sown anew in autumn anyway
    book.post(year, "overseeding", torn, worked & used & perennial)
    book.post(year, "tree_labour", practice.hours.timber_sale_h_ac, worked)


class EndOf(NamedTuple):
    """The row in which end values are booked, and for whom, (candidates,)."""

    year: int
    wanted: BoolArray


def book_end_values(setting: Setting, end: EndOf, stand: Stand, head: FloatArray, fence_age: FloatArray) -> None:
    """Value what is there at the end: trees at stumpage, herd, fence, and the way back to pasture.

    Parameters
    ----------
    setting
        The batch; the lines of account "end value" are filled.
    end
        When, and for whom.
    stand, head, fence_age
        What stands, grazes and is fenced after the year's work.

    Returns
    -------
    None
        Quantities are booked in the units of their lines [ton/ac, head/ac, ac/ac, ft/ac].

    References
    ----------
    Standing trees at stumpage, as a harvest of that year would sell them; what the way back to pasture takes: assumed
    for
    this project.
    """
    book, plan, terms, tables = setting.book, setting.plan, setting.terms, setting.tables
    year, wanted = end
    _book_standing_wood(setting, year, stand, felled(stand, wanted))
    breeding = tables.animals is not None and tables.animals.herd is not None
    book.post(year, book.herd.end, head / terms.acres, wanted & breeding)
    book.post(year, book.herd.end_selling, head / terms.acres, wanted & breeding)
    _book_fence_left(setting, year, np.where(wanted, fence_age, np.inf))
    stumps = np.where(has_alley(setting), 1.0 - plan.geometry.grass_share, 1.0)
    pasture = plan.flags("land", "former_use", equals="pasture")
    # a stand that stood at the start owes nobody a pasture
    book.post(year, "end_reconversion", stumps, wanted & planted(plan) & pasture & ~plan.standing)


def _book_standing_wood(setting: Setting, year: int, stand: Stand, everything: Cut) -> None:
    """Value what stands as a final harvest of that year would sell it."""
    plan, tables = setting.plan, setting.tables
    whole, nobody = _tons_ac(setting, stand, everything), np.zeros(plan.candidates, bool)
    piece, kind = mean_piece_ton(stand, everything.trees, whole, tables), np.full(plan.candidates, FINAL)
    said = answered(plan, tables, Lot(with_bids(plan, tables, whole), piece, kind, everything), nobody)
    if tables.tree.species.orchard is not None:
        book_salvage(setting, year, "end_salvage_wood", said.sold_ton_ac)
        return
    delivered = is_delivered(plan, tables)
    for place, product in enumerate(WOOD_PRODUCTS):
        _post_with_fee(setting, year, f"{END}{product}", np.where(delivered, 0.0, said.sold_ton_ac[:, place]))
    sold = said.sold_ton_ac.any(axis=1) & delivered
    _book_to_mill(setting, year, END, np.where(sold[:, None], said.to_mill, 0.0))


def _book_fence_left(setting: Setting, year: int, fence_age: FloatArray) -> None:
    """Value the years that fence and water still have.

    Parameters
    ----------
    setting
        The batch.
    year
        Row.
    fence_age
        Years since it was built [yr], (candidates,); infinite where there is none.

    Returns
    -------
    None
        Acres of cross-fence [ac/ac] and feet of perimeter [ft/ac] are booked, so many of them as life is left.

    References
    ----------
    Straight line over the life of a fence: common practice, no source.
    """
    plan, life = setting.plan, establishment.fence_life_yr(setting)
    left = np.clip(1.0 - fence_age / life, 0.0, 1.0)
    setting.book.post(year, "end_fence", left * plan.geometry.usable, ~plan.flags("use", "system", equals="continuous"))
    feet = left * establishment.perimeter_ft_ac(plan)
    setting.book.post(year, "end_perimeter_fence", feet, ~plan.flags("land", "fenced"))
