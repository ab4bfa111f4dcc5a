"""What the land costs every year beside administration, and sprays that an owner plans."""

import numpy as np

from simulator.accounts import Line
from simulator.enterprises.extra import Facts, Ledger
from simulator.units import FloatArray


def with_dues_and_sprays(ledger: Ledger, facts: Facts) -> Ledger:
    """Add property tax by land use, rent paid for leased-in land, and the sprays of the plan.

    Parameters
    ----------
    ledger
        As grown.
    facts
        Its years.

    Returns
    -------
    Ledger
        Taxes and rent [$/ac] of years 1 on; an alley in use and headlands beside it are taxed as grass, all other
        ground
        of a plan with trees as trees.

    References
    ----------
    Assumed for this project; assessors differ.
    """
    land, every = facts.scenario.land, np.where(facts.due(0, 10_000), 1.0, 0.0)
    trees = _trees_share(facts)
    taxed = trees * (land.tax_trees_per_ac or 0.0) + (1.0 - trees) * (land.tax_grass_per_ac or 0.0)
    ledger = ledger.joined(Line("property_tax", "land", "overhead", "$", -1, ()), every * taxed)
    ledger = ledger.joined(Line("rent_paid", "land", "overhead", "$", -1, ()), every * land.rent_paid_per_ac)
    for name in dict.fromkeys(spray.product_class for spray in facts.scenario.herbicide):
        rows, again = _sprayed(facts, name)
        key = f"spray_{name.replace(',', '_').replace('-', '_')}"
        line = Line(key, "land", "upkeep", "ac", -1, ("pasture_herbicide",))
        ledger = ledger.joined(line, rows, again)
    return ledger


def _trees_share(facts: Facts) -> float:
    if facts.scenario.trees is None:
        return 0.0
    used = bool((facts.grazed | facts.mown).any())
    return 1.0 - facts.grass_share if used and facts.alley else 1.0


def _sprayed(facts: Facts, name: str) -> tuple[FloatArray, float]:
    """Share of the tract sprayed by year, and what of it each replanting repeats [ac/ac]: nobody sprays a pond."""
    rows, again = np.zeros(len(facts.age)), 0.0
    for spray in facts.scenario.herbicide:
        if spray.product_class != name:
            continue
        share = spray.share * facts.field.usable
        if spray.year == 0:
            again += share
            rows[0] += share
            rows += np.where(facts.replanted, share, 0.0)
        rows += np.where(facts.due(spray.year, spray.year) & (spray.year > 0), share, 0.0)
    return rows, again
