"""The lots that a batch offers, year by year, with what buyers said to them."""

from collections.abc import Mapping, Sequence

import numpy as np

from simulator.accounts import WOOD_PRODUCTS
from simulator.enterprises.offers import NOTHING, Answered, Offer
from simulator.events.thinning import Cut
from simulator.sale_accounts import KEYS
from simulator.scenario.model import Scenario
from simulator.units import FloatArray, IntArray


class OfferBook:
    """Lots offered by a batch and what was said to them, by year.

    Parameters
    ----------
    rows_share
        Share of the whole field that the rows take [1], (candidates,): what is written is per acre of the field.
    last_year
        Rows are 0 to ``last_year``.
    """

    def __init__(self, rows_share: FloatArray, last_year: int) -> None:
        shape = (len(rows_share), last_year + 1)
        self._rows_share = rows_share
        self.offered_ton_ac: FloatArray = np.zeros((*shape, len(WOOD_PRODUCTS)))
        self.quantity: FloatArray = np.zeros((*shape, len(KEYS)))
        self.piece_ton: FloatArray = np.zeros(shape)
        self.kind: IntArray = np.zeros(shape, np.int64)
        self.answer: IntArray = np.zeros(shape, np.int64)
        self.cuts: dict[int, Cut] = {}

    def write(self, year: int, said: Answered) -> None:
        """Write what was offered in a year and what buyers said."""
        share = self._rows_share[:, None]
        self.offered_ton_ac[:, year] = said.lot.ton_ac * share
        self.piece_ton[:, year] = said.lot.piece_ton
        self.kind[:, year] = said.lot.kind
        self.answer[:, year] = said.answer
        self.quantity[:, year] = said.to_mill * share
        self.cuts[year] = said.lot.cut._replace(trees=said.lot.cut.trees * share[..., None])

    def of(self, i: int, rows: int, scenario: Scenario, drawn: Sequence[Mapping[str, FloatArray]]) -> tuple[Offer, ...]:
        """Lots of one plan of the batch, the earliest first.

        Parameters
        ----------
        i
            Place of the plan in the batch.
        rows
            Rows that are its own.
        scenario
            The plan.
        drawn
            Stands by year before their cut, for the size of the trees.

        Returns
        -------
        tuple of Offer
        """
        return tuple(
            Offer(
                year,
                int(self.kind[i, year]),
                self.offered_ton_ac[i, year],
                float(self.piece_ton[i, year]),
                int(self.answer[i, year]),
                self.quantity[i, year],
                self.cuts[year].trees[i],
                drawn[year]["class_dbh_in"][i],
                drawn[year]["class_height_ft"][i],
                self.cuts[year].grade[i],
                scenario,
            )
            for year in np.flatnonzero(self.answer[i, :rows] != NOTHING).tolist()
        )
