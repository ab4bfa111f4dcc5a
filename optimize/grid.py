"""The grid of decisions that a search tries: as the file states it, the rest derived from species and plan."""

from itertools import product
from typing import Final, NamedTuple

from optimize.levels import (
    LATER_SHARES,
    LONGEST_HAY,
    YEARS_BETWEEN,
    earliest_harvest,
    first_grazing_years,
    first_residuals,
    first_years,
    harvests,
    hay_ends,
    methods,
    nitrogen_rates,
    rounded,
    straws,
)
from simulator.scenario.grass import Straw
from simulator.scenario.model import Scenario
from simulator.scenario.trees import Harvest, Pruning, Thinning, ThinningMethod

LEAST_YEARS_BEFORE_HARVEST: Final = 5
"""A thinning nearer the harvest hardly pays its move-in; common practice, no source."""


class TreeWay(NamedTuple):
    """What is done to the trees of one pathway.

    Attributes
    ----------
    thinnings
        In the order of their years.
    harvest
        Year of the final harvest.
    pruning
        Lifts.
    """

    thinnings: tuple[Thinning, ...]
    harvest: int
    pruning: tuple[Pruning, ...]


class UseWay(NamedTuple):
    """How the ground is used in one pathway.

    Attributes
    ----------
    hay_years
        First and last year of hay, or none.
    first_grazing_year
        First year of grazing, or never.
    straw
        Pine straw.
    nitrogen_lb_ac
        Another rate on the grass than the file's, or none.
    """

    hay_years: tuple[int, int] | None
    first_grazing_year: int | None
    straw: Straw
    nitrogen_lb_ac: float | None = None


def tree_ways(base: Scenario) -> list[TreeWay]:
    """Every combination of thinnings, final harvest and pruning on the grid.

    Parameters
    ----------
    base
        The plan whose trees, or whose found stand, are meant; ``[search]`` in it states the grid.

    Returns
    -------
    list of TreeWay
        Those that end their thinnings in time before the harvest; empty without trees.
    """
    if base.trees is None:
        return []
    lifts, earliest = ((), base.pruning) if base.pruning else ((),), earliest_harvest(base)
    ways = [
        TreeWay(cuts, harvest, tuple(lift for lift in pruning if lift.year < harvest))
        for cuts, harvest, pruning in product(_thinning_series(base), harvests(base), lifts)
        if earliest <= harvest and (not cuts or cuts[-1].year + LEAST_YEARS_BEFORE_HARVEST <= harvest)
    ]
    return list(dict.fromkeys(ways))


def too_late_ways(base: Scenario) -> int:
    """Combinations of the grid that are no ways of `tree_ways`: their last thinning comes too near the harvest."""
    return sum(
        cuts[-1].year + LEAST_YEARS_BEFORE_HARVEST > harvest
        for cuts, harvest in product(_thinning_series(base), harvests(base))
        if cuts and earliest_harvest(base) <= harvest
    )


def too_early_ways(base: Scenario) -> int:
    """Combinations of the grid that are no ways of `tree_ways`: trees are cut before work that the file asks for."""
    early = sum(harvest < earliest_harvest(base) for harvest in harvests(base))
    return early * len(_thinning_series(base)) if early else 0


def use_ways(base: Scenario) -> list[UseWay]:
    """Every schedule of hay, grazing and straw on the grid for ground under trees.

    Parameters
    ----------
    base
        The plan; its animals, its grass and its straw are the ones meant.

    Returns
    -------
    list of UseWay
        Hay ends before animals come; straw is not raked where animals graze.
    """
    begins = base.use.hay_years[0] if base.use.hay_years else max(1, base.pasture.sown_year + 1)
    firsts: list[int | None] = [None, *first_grazing_years(base)]
    ways = []
    for first in firsts:
        ends = [None, *(end for end in hay_ends(base, first) if end >= begins)]
        for end, straw in product(ends, straws(base, first)):
            ways.append(UseWay(None if end is None else (begins, end), first, straw))
    return list(dict.fromkeys(ways))


def straw_conflicts(base: Scenario) -> int:
    """Combinations of the grid that are no ways of `use_ways`: straw would be raked where animals graze."""
    if not base.straw.market:
        return 0
    return sum(not way.straw.market for way in use_ways(base)) - sum(way.straw.market for way in use_ways(base))


def idle_ways(base: Scenario) -> list[UseWay]:
    """Trees alone: nobody uses the ground but, where there is a market, the straw rake."""
    return [UseWay(None, None, straw) for straw in straws(base, None)]


def grass_ways(pasture: Scenario) -> list[UseWay]:
    """Every way to use grass alone on the grid: grazed, cut for hay, or first one and then the other; and its nitrogen.

    Parameters
    ----------
    pasture
        The open pasture that a comparison derives.
    """
    last, begins = pasture.money.horizon_years, max(1, pasture.pasture.sown_year + 1)
    uses: list[tuple[tuple[int, int] | None, int | None]] = [(None, None), ((begins, last), None)]
    if pasture.use.animals != "none":
        uses.append((None, begins))
        uses += [((begins, end), end + 1) for end in LONGEST_HAY if begins <= end < last]
    rates = nitrogen_rates(pasture)
    ways = [UseWay(hay, first, Straw(), rate) for (hay, first), rate in product(uses, rates)]
    idle = UseWay(None, None, Straw(), rates[0])
    return list(dict.fromkeys(idle if way[:2] == idle[:2] else way for way in ways))


def with_ways(base: Scenario, tree: TreeWay | None, use: UseWay) -> Scenario:
    """The plan that does one thing with the trees and another with the ground.

    Parameters
    ----------
    base
        Land, layout and terms.
    tree
        What is done to the trees; none leaves them as the base has them.
    use
        What is done with the ground.
    """
    grazed = use.first_grazing_year is not None
    update: dict[str, object] = {
        "use": base.use.model_copy(
            update={
                "hay_years": use.hay_years,
                "first_grazing_year": use.first_grazing_year,
                "never_grazed": base.use.animals != "none" and not grazed,
            }
        ),
        "straw": use.straw,
    }
    if use.nitrogen_lb_ac is not None:
        update["pasture"] = base.pasture.model_copy(update={"nitrogen_lb_ac": use.nitrogen_lb_ac})
    if tree is not None:
        cuts = {"thinning": tree.thinnings, "harvest": Harvest(year=tree.harvest), "pruning": tree.pruning}
        update |= cuts
    return base.model_copy(update=update)


def ways_of(plan: Scenario) -> tuple[TreeWay | None, UseWay]:
    """What a plan itself does: the pathway it is in a search."""
    use = UseWay(plan.use.hay_years, plan.use.first_grazing_year, plan.straw)
    if plan.trees is None or plan.harvest is None:
        return None, use
    return TreeWay(plan.thinning, plan.harvest.year, plan.pruning), use


def _thinning_series(base: Scenario) -> list[tuple[Thinning, ...]]:
    """Every series of no, one, two or three thinnings."""
    most = base.search.most_thinnings
    series: list[tuple[Thinning, ...]] = [()]
    grown: list[tuple[Thinning, ...]] = [()] if most else []
    later = base.thinning[-1].method if base.thinning else "from below"
    for number in range(most):
        if number == 0:
            grown = [
                (_first(base, method).model_copy(update={"year": year, "residual_trees_per_ac": left}),)
                for year, left, method in product(first_years(base), first_residuals(base), methods(base))
            ]
        else:
            stated = base.search.years_between, base.search.later_residual_shares
            gaps = YEARS_BETWEEN if stated[0] is None else stated[0]
            shares = LATER_SHARES if stated[1] is None else stated[1]
            grown = [
                (*cuts, _after(cuts[-1], gap, share, "from below" if later.startswith(("rows", "strips")) else later))
                for cuts, gap, share in product(grown, gaps, shares)
            ]
        series += grown
    return series


def _first(base: Scenario, method: ThinningMethod) -> Thinning:
    """A first thinning of a method; which rows or strips it takes is as the file's own first thinning says."""
    own = base.thinning[0] if base.thinning else None
    alike = own is not None and any(kind in own.method and kind in method for kind in ("rows", "strips"))
    if own is None or not alike:
        return Thinning(year=1, method=method)
    return own.model_copy(update={"method": method, "residual_basal_area_ft2_ac": None})


def _after(cut: Thinning, gap: int, share: float, method: ThinningMethod) -> Thinning:
    left = rounded(share * (cut.residual_trees_per_ac or 0.0))
    return Thinning(year=min(cut.year + gap, 120), method=method, residual_trees_per_ac=left)
