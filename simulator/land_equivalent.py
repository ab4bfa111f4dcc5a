"""Land equivalent ratio: acres of single uses that an acre of the plan replaces."""

from collections.abc import Mapping
from typing import Literal, NamedTuple

from simulator.result import Outcome


class LandEquivalent(NamedTuple):
    """Yield of the combination against each single use, and their sum: acres of single uses it replaces [1]."""

    wood: float
    forage: float
    total: float


def land_equivalent(systems: Mapping[str, Outcome]) -> LandEquivalent:
    """Land equivalent ratio: mean yearly wood and forage of both together, each against its own single use.

    Parameters
    ----------
    systems
        Outcomes by name.

    Returns
    -------
    LandEquivalent
        Ratios [1]. Wood: green tons sold in a cycle over its years, of nut trees pounds of nuts. Forage: dry matter
        grown, sold or not. A single use without any yield gives 0. Of a stand that was found: against keeping it and
        against clearing it, to the horizon, with what stands there then.

    References
    ----------
    Sum of relative yields, each against its own single use, as published silvopasture trials reckon it (Sharrow et al.
    1996, Agroforestry Systems 34:305-313; abstract).
    """
    both, trees, grass = (systems[name] for name in ("silvopasture", "plantation", "pasture"))
    product = tree_product(systems)
    wood = _ratio(_mean_of_trees(both, product), _mean_of_trees(trees, product))
    forage = _ratio(_mean_forage(both), _mean_forage(grass))
    return LandEquivalent(wood, forage, wood + forage)


def _ratio(part: float, whole: float) -> float:
    """A yield against another; 0 where the other is nothing."""
    return part / whole if whole > 0 else 0.0


def tree_product(systems: Mapping[str, Outcome]) -> Literal["wood", "nuts"]:
    """What the trees are kept for: nuts where both together and trees alone bear them, else wood."""
    bearing = all(_mean_of_trees(systems[name], "nuts") > 0 for name in ("silvopasture", "plantation"))
    return "nuts" if bearing else "wood"


def _mean_of_trees(outcome: Outcome, product: Literal["wood", "nuts"]) -> float:
    """Wood or nuts a year: of a cycle, or to the horizon with what stands there then."""
    if outcome.lives and product == "wood":
        # stands of one age are cut in unlike years: what was sold to the horizon, and what stands there
        left = outcome.states["standing_ton_ac"][-1] - outcome.wood_ton_ac[-1].sum()
        return float(outcome.wood_ton_ac.sum() + max(left, 0.0)) / (len(outcome.wood_ton_ac) - 1)
    sales = [line.enterprise == product and line.account == "sale" for line in outcome.flows.lines]
    if outcome.lives:
        return float(outcome.flows.quantity[:, sales].sum() / (len(outcome.wood_ton_ac) - 1))
    return float(outcome.flows.cycle_quantity[:, sales].sum() / outcome.flows.cycle_yr)


def _mean_forage(outcome: Outcome) -> float:
    return float(outcome.cycle_forage_lb_ac.mean())
