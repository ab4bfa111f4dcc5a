"""The last log: pieces of each final harvest by dbh class, cut at their best, beside what the ledger sold."""

from typing import TYPE_CHECKING, Any

import numpy as np

from simulator.accounts import WOOD_PRODUCTS
from simulator.enterprises.last_log import Standing, harvest_yield
from simulator.enterprises.lump_sum import MARK
from simulator.enterprises.products import product_tons
from simulator.geometry import shares_of_field
from simulator.lives import HarvestRow, harvests_of
from simulator.parameters.species import load_species
from simulator.parameters.tables import Tables
from simulator.result import Outcome
from simulator.sale_accounts import KEYS
from simulator.sale_measures import pole_shares, tables_of
from simulator.sales import stumpage_per_ton

if TYPE_CHECKING:
    import pandas as pd

COLUMNS = (
    "year",
    "dbh_class_in",
    "product",
    "trees_per_ac",
    "pieces_per_ac",
    "mean_length_ft",
    "ton_per_ac",
    "value_per_ac",
    "priority_ton_per_ac",
    "priority_value_per_ac",
)


def harvest_logs(outcome: Outcome) -> "pd.DataFrame":
    """Pieces of each final harvest sold within the horizon, by dbh class and product.

    Parameters
    ----------
    outcome
        A plan that was run, with the packaged numbers.

    Returns
    -------
    pandas.DataFrame
        ``COLUMNS``, per acre of the whole tract: the trees of the class, the best tree-length pieces at this run's
        prices, and what the fixed order of the ledger makes of the same trees. Values are before the cost of selling,
        at the price of a lump sum where timber is sold for one, and less what it costs to bring it to the mill where it
        is sold there. Empty where no final harvest is sold, and of orchard
        trees, which are no timber.

    References
    ----------
    As for :func:`simulator.physics.bucking.best_cuts`.
    """
    import pandas as pd  # noqa: PLC0415 - heavy; only who asks for a frame pays for it

    rows = [row for cut in _sold(outcome) for row in _rows(outcome, cut)]
    frame = pd.DataFrame(rows, columns=list(COLUMNS))
    if frame.empty:
        return frame
    frame["feet"] = frame["mean_length_ft"] * frame["pieces_per_ac"]
    frame = frame.groupby(["year", "dbh_class_in", "product"], as_index=False, sort=False).sum()
    frame["mean_length_ft"] = (frame["feet"] / frame["pieces_per_ac"]).where(frame["pieces_per_ac"] > 0.0)
    frame = frame[(frame["ton_per_ac"] > 0.0) | (frame["priority_ton_per_ac"] > 0.0)]
    return frame.sort_values(["year", "dbh_class_in"], kind="stable")[list(COLUMNS)].reset_index(drop=True)


def harvest_years(outcome: Outcome) -> list[int]:
    """Years of the horizon in which a final harvest of timber was sold."""
    return [cut.year for cut in _sold(outcome)]


def _sold(outcome: Outcome) -> list[HarvestRow]:
    trees = outcome.scenario.trees
    if trees is None or load_species(trees.species).orchard is not None:
        return []
    return [cut for cut in harvests_of(outcome) if outcome.wood_ton_ac[cut.year].sum() > 0.0]


def harvest_values(outcome: Outcome, logs: "pd.DataFrame") -> "pd.DataFrame":
    """Value of each final harvest cut at its best, beside the ledger's.

    Parameters
    ----------
    outcome
        The plan that was run.
    logs
        Its :func:`harvest_logs`.

    Returns
    -------
    pandas.DataFrame
        year, best_value_per_ac, ledger_value_per_ac and their difference_per_ac [$/ac], before the cost of selling.
    """
    import pandas as pd  # noqa: PLC0415

    years = harvest_years(outcome)
    best = np.array([logs.loc[logs["year"] == year, "value_per_ac"].sum() for year in years], float)
    booked = np.array([_booked(outcome, year) for year in years], float)
    return pd.DataFrame(
        {
            "year": years,
            "best_value_per_ac": best,
            "ledger_value_per_ac": booked,
            "difference_per_ac": best - booked,
        }
    )


def _booked(outcome: Outcome, year: int) -> float:
    """What the ledger books for the wood of a final harvest, a lump sum in the year before it [$/ac]."""
    keys = [*(f"{product}_final_harvest" for product in WOOD_PRODUCTS), *KEYS]
    lines = [line.key for line in outcome.flows.lines]
    by_ton = [i for i, key in enumerate(lines) if key in keys]
    at_once = [i for i, key in enumerate(lines) if key.removesuffix(MARK) in keys and key.endswith(MARK)]
    return float(outcome.amount[year, by_ton].sum() + outcome.amount[max(year - 1, 0), at_once].sum())


def _rows(outcome: Outcome, cut: HarvestRow) -> "list[dict[str, Any]]":
    """One row for each class of each row of trees and each product."""
    tables = tables_of(cut.life.scenario)
    standing = _standing(cut, tables)
    # without a bid pulpwood is worth nothing to the bucker either
    bid = np.array([float(outcome.scenario.market.pulpwood_bid or product != "pulpwood") for product in WOOD_PRODUCTS])
    (offer,) = (offer for offer in outcome.offers if offer.year == cut.year)
    prices = stumpage_per_ton(offer, outcome.prices) * bid
    # wood that mills pay less for than it costs to bring there is worth nothing to the bucker
    best = harvest_yield(standing, tables.wood, dict(zip(WOOD_PRODUCTS, np.maximum(prices, 0.0), strict=True)))
    size = standing.dbh_in, standing.height_ft
    order = product_tons(*size, standing.grade_share, standing.pole_share, tables.wood) * standing.trees[:, None]
    ton, pieces, feet = (standing.trees[:, None] * column for column in best)
    return [
        {
            "year": cut.year,
            "dbh_class_in": int(np.floor(standing.dbh_in[i] + 0.5)),
            "product": product,
            "trees_per_ac": standing.trees[i],
            "pieces_per_ac": pieces[i, place],
            "mean_length_ft": feet[i, place] / pieces[i, place] if pieces[i, place] > 0.0 else 0.0,
            "ton_per_ac": ton[i, place],
            "value_per_ac": ton[i, place] * prices[place],
            "priority_ton_per_ac": order[i, place],
            "priority_value_per_ac": order[i, place] * prices[place],
        }
        for i in range(len(standing.trees))
        for place, product in enumerate(WOOD_PRODUCTS)
    ]


def _standing(cut: HarvestRow, tables: Tables) -> Standing:
    """The trees that the harvest felled, rows and classes in one axis."""
    drawing = cut.life.drawing
    drawn = {name: drawing[f"class_{name}"][cut.row] for name in ("dbh_in", "height_ft", "trees", "grade")}
    drawn["trees"] = drawn["trees"] * shares_of_field(cut.life.scenario).rows
    poles = pole_shares(cut.life.scenario, tables, drawn["grade"])
    here = drawn["trees"] > 0.0
    return Standing(*(column[here] for column in (*drawn.values(), poles)))
