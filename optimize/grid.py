"""The grid of decisions that a search tries: as the file states it, the rest derived from species and plan."""

from collections.abc import Iterable, Sequence
from itertools import product
from typing import Final, NamedTuple

from simulator.parameters.growth import load_tree
from simulator.scenario.grass import Straw
from simulator.scenario.model import Scenario
from simulator.scenario.rows import planted_trees_per_ac
from simulator.scenario.trees import Harvest, Pruning, Thinning, ThinningMethod

LEAST_YEARS_BEFORE_HARVEST: Final = 5
"""A thinning nearer the harvest hardly pays its move-in; common practice, no source."""
FIRST_THINNING_STEPS: Final = (-4, -2, 0, 2, 4)
HARVEST_STEPS: Final = (-8, -5, -3, 0, 2, 5, 8)
"""Years round the usual ones of the species that are tried; assumed for this project."""
STANDING_WAITS: Final = (0, 1, 2, 4, 6, 8)
STANDING_HARVESTS: Final = (0, 3, 5, 8, 10, 12, 15, 20, 25)
YEARS_BETWEEN: Final = (6, 9)
FIRST_SHARES: Final = (0.4, 0.55, 0.7)
LATER_SHARES: Final = (0.5, 0.65)
WAITS_FOR_GRAZING: Final = (0, 2, 4)
LONGEST_HAY: Final = (4, 8)
GRAZING_TRIED: Final = (5, 8)
NITROGEN_TRIED_LB_AC: Final = (0.0, 40.0, 80.0, 120.0)
ROUNDED_TO: Final = 5.0


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
    lifts = ((), base.pruning) if base.pruning else ((),)
    harvests = _harvests(base)
    ways = [
        TreeWay(cuts, harvest, tuple(lift for lift in pruning if lift.year < harvest))
        for cuts, harvest, pruning in product(_thinning_series(base), harvests, lifts)
        if not cuts or cuts[-1].year + LEAST_YEARS_BEFORE_HARVEST <= harvest
    ]
    return list(dict.fromkeys(ways))


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
    firsts: list[int | None] = [None, *_first_grazing_years(base)]
    ways = []
    for first in firsts:
        ends = [None, *(end for end in _hay_ends(base, first) if end >= begins)]
        for end, straw in product(ends, _straws(base, first)):
            ways.append(UseWay(None if end is None else (begins, end), first, straw))
    return list(dict.fromkeys(ways))


def idle_ways(base: Scenario) -> list[UseWay]:
    """Trees alone: nobody uses the ground but, where there is a market, the straw rake."""
    return [UseWay(None, None, straw) for straw in _straws(base, None)]


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
    rates = _nitrogen_rates(pasture)
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
                (Thinning(year=year, method=method, residual_trees_per_ac=left),)
                for year, left, method in product(_first_years(base), _first_residuals(base), _methods(base))
            ]
        else:
            gaps = base.search.years_between or YEARS_BETWEEN
            shares = base.search.later_residual_shares or LATER_SHARES
            grown = [
                (*cuts, _after(cuts[-1], gap, share, "from below" if later.startswith(("rows", "strips")) else later))
                for cuts, gap, share in product(grown, gaps, shares)
            ]
        series += grown
    return series


def _after(cut: Thinning, gap: int, share: float, method: ThinningMethod) -> Thinning:
    left = _rounded(share * (cut.residual_trees_per_ac or 0.0))
    return Thinning(year=min(cut.year + gap, 120), method=method, residual_trees_per_ac=left)


def _rounded(trees: float) -> float:
    return max(ROUNDED_TO, ROUNDED_TO * round(trees / ROUNDED_TO))


def _methods(base: Scenario) -> Sequence[ThinningMethod]:
    if base.search.thinning_methods is not None:
        return base.search.thinning_methods
    method = base.thinning[0].method if base.thinning else "from below"
    # whole rows alone leave what they leave, whatever number is asked for
    return ("from below",) if method in {"rows", "strips"} else (method,)


def _first_years(base: Scenario) -> list[int]:
    if base.search.first_thinning_years is not None:
        return sorted(set(base.search.first_thinning_years))
    stated = [base.thinning[0].year] if base.thinning else []
    if base.stand is not None:
        return sorted({*STANDING_WAITS, *stated})
    usual = int(load_tree(_species(base)).species.schedule.first_thinning_yr)
    return _whole_years((usual + step for step in FIRST_THINNING_STEPS), stated, least=5)


def _harvests(base: Scenario) -> list[int]:
    if base.search.harvest_years is not None:
        return sorted(set(base.search.harvest_years))
    stated = [base.harvest.year] if base.harvest else []
    if base.stand is not None:
        return sorted({*STANDING_HARVESTS, *stated})
    usual = int(load_tree(_species(base)).species.schedule.harvest_yr)
    return _whole_years((usual + step for step in HARVEST_STEPS), stated, least=10)


def _species(base: Scenario) -> str:
    return base.trees.species if base.trees else "loblolly"


def _whole_years(years: Iterable[int], stated: Iterable[int], least: int) -> list[int]:
    return sorted({min(max(year, least), 120) for year in years} | set(stated))


def _first_residuals(base: Scenario) -> list[float]:
    if base.search.first_residuals_trees_per_ac is not None:
        return sorted(set(base.search.first_residuals_trees_per_ac))
    there = _living_trees(base)
    stated = [base.thinning[0].residual_trees_per_ac] if base.thinning else []
    return sorted({*(_rounded(share * there) for share in FIRST_SHARES), *(left for left in stated if left)})


def _living_trees(base: Scenario) -> float:
    if base.stand is not None:
        return base.stand.trees_per_ac
    if base.trees is None:
        return 0.0
    layout = base.trees.layout
    planted = planted_trees_per_ac(layout.rows_in_set, layout.row_gap_ft, layout.in_row_ft, layout.alley_ft)
    return planted * base.trees.survival


def _first_grazing_years(base: Scenario) -> list[int]:
    if base.use.animals == "none":
        return []
    if base.search.first_grazing_years is not None:
        return sorted(set(base.search.first_grazing_years))
    first = base.use.first_grazing_year
    stated = [first + wait for wait in WAITS_FOR_GRAZING] if first is not None else []
    return sorted({*stated, *(GRAZING_TRIED if base.stand is None else ())})


def _hay_ends(base: Scenario, first_grazing: int | None) -> list[int]:
    stated = base.search.hay_until_years
    if stated is None:
        own = [base.use.hay_years[1]] if base.use.hay_years else []
        ends = [*own, *LONGEST_HAY] if base.use.hay_years else []
    else:
        ends = list(stated)
    if first_grazing is not None:
        # hay until the animals come is the usual way, so that no year of grass lies idle
        ends = [min(end, first_grazing - 1) for end in ends]
    return sorted({end for end in ends if end >= 1})


def _straws(base: Scenario, first_grazing: int | None) -> list[Straw]:
    """No straw, and the straw of the file where no animal is in the way of the rake."""
    if not base.straw.market:
        return [base.straw]
    straw, none = base.straw, base.straw.model_copy(update={"market": False})
    last_rake = straw.first_rake_year + straw.interval_years * max(straw.most_rakes - 1, 0)
    free = first_grazing is None or straw.temporary_fence or last_rake < first_grazing
    return [none, straw] if free else [none]


def _nitrogen_rates(pasture: Scenario) -> list[float]:
    stated, rate = pasture.search.pasture_nitrogen_lb_ac, pasture.pasture.nitrogen_lb_ac
    if stated is not None:
        return sorted(set(stated))
    usual = max(rate.values(), default=0.0) if isinstance(rate, dict) else rate
    return sorted({*NITROGEN_TRIED_LB_AC, usual})
