"""The levels of each decision on the grid: as `[search]` states them, or derived from the species and the plan."""

from collections.abc import Iterable, Sequence
from typing import Final

from simulator.parameters.growth import load_tree
from simulator.scenario.grass import Straw
from simulator.scenario.model import Scenario
from simulator.scenario.rows import planted_trees_per_ac
from simulator.scenario.trees import ThinningMethod

FIRST_THINNING_STEPS: Final = (-4, -2, 0, 2, 4)
HARVEST_STEPS: Final = (-8, -5, -3, 0, 2, 5, 8)
"""Years round the usual ones of the species that are tried; assumed for this project."""
PLANTATION_SPACINGS_FT: Final = ((10.0, 10.0), (12.0, 12.0))
"""Between rows and along them, tried beside the usual spacing of trees alone: 436 and 302 trees an acre; common
practice, no source."""
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


def rounded(trees: float) -> float:
    """A number of trees as a marker would be told [1/ac]."""
    return max(ROUNDED_TO, ROUNDED_TO * round(trees / ROUNDED_TO))


def methods(base: Scenario) -> Sequence[ThinningMethod]:
    """Methods of the first thinning."""
    if base.search.thinning_methods is not None:
        return base.search.thinning_methods
    method = base.thinning[0].method if base.thinning else "from below"
    # whole rows alone leave what they leave, whatever number is asked for
    return ("from below",) if method in {"rows", "strips"} else (method,)


def first_years(base: Scenario) -> list[int]:
    """Years of the first thinning."""
    if base.search.first_thinning_years is not None:
        return sorted(set(base.search.first_thinning_years))
    stated = [base.thinning[0].year] if base.thinning else []
    if base.stand is not None:
        return sorted({*STANDING_WAITS, *stated})
    usual = int(load_tree(_species(base)).species.schedule.first_thinning_yr)
    return _whole_years((usual + step for step in FIRST_THINNING_STEPS), stated, least=5)


def harvests(base: Scenario) -> list[int]:
    """Years of the final harvest."""
    if base.search.harvest_years is not None:
        return sorted(set(base.search.harvest_years))
    stated = [base.harvest.year] if base.harvest else []
    if base.stand is not None:
        return sorted({*STANDING_HARVESTS, *stated})
    usual = int(load_tree(_species(base)).species.schedule.harvest_yr)
    return _whole_years((usual + step for step in HARVEST_STEPS), stated, least=10)


def earliest_harvest(base: Scenario) -> int:
    """Year before which the trees cannot be cut, for the file asks for work on them, or for grass, until then."""
    work = [base.fire.first_year] if base.fire else []
    work += [treatment.year for treatment in base.treatment] + [spray.year for spray in base.herbicide]
    work += [dose.year for dose in base.fertiliser]
    switch = base.pasture.switch
    grass = [base.pasture.sown_year + 1] if _sown_later(base) else []
    if switch is not None and switch.year is not None:
        grass.append(switch.year + 1)
    return max([*work, *grass], default=0)


def _sown_later(base: Scenario) -> bool:
    return not base.pasture.established and base.pasture.sown_year > 0


def _species(base: Scenario) -> str:
    return base.trees.species if base.trees else "loblolly"


def _whole_years(years: Iterable[int], stated: Iterable[int], least: int) -> list[int]:
    return sorted({min(max(year, least), 120) for year in years} | set(stated))


def first_residuals(base: Scenario) -> list[float]:
    """Trees that the first thinning leaves [1/ac]."""
    if base.search.first_residuals_trees_per_ac is not None:
        return sorted(set(base.search.first_residuals_trees_per_ac))
    there = _living_trees(base)
    stated = [base.thinning[0].residual_trees_per_ac] if base.thinning else []
    return sorted({*(rounded(share * there) for share in FIRST_SHARES), *(left for left in stated if left)})


def _living_trees(base: Scenario) -> float:
    if base.stand is not None:
        return base.stand.trees_per_ac
    if base.trees is None:
        return 0.0
    layout = base.trees.layout
    planted = planted_trees_per_ac(layout.rows_in_set, layout.row_gap_ft, layout.in_row_ft, layout.alley_ft)
    return planted * base.trees.survival


def first_grazing_years(base: Scenario) -> list[int]:
    """First years of grazing."""
    if base.use.animals == "none":
        return []
    if base.search.first_grazing_years is not None:
        return sorted(set(base.search.first_grazing_years))
    first = base.use.first_grazing_year
    stated = [first + wait for wait in WAITS_FOR_GRAZING] if first is not None else []
    tried = {*stated, *(GRAZING_TRIED if base.stand is None else ())}
    return sorted(year for year in tried if not _sown_later(base) or year > base.pasture.sown_year)


def hay_ends(base: Scenario, first_grazing: int | None) -> list[int]:
    """Last years of hay before animals come in a given year, or never."""
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


def straws(base: Scenario, first_grazing: int | None) -> list[Straw]:
    """No straw, and the straw of the file where no animal is in the way of the rake."""
    if not base.straw.market:
        return [base.straw]
    straw, none = base.straw, base.straw.model_copy(update={"market": False})
    last_rake = straw.first_rake_year + straw.interval_years * max(straw.most_rakes - 1, 0)
    free = first_grazing is None or straw.temporary_fence or last_rake < first_grazing
    return [none, straw] if free else [none]


def nitrogen_rates(pasture: Scenario) -> list[float]:
    """Nitrogen rates of grass alone [lb/ac]."""
    stated, rate = pasture.search.pasture_nitrogen_lb_ac, pasture.pasture.nitrogen_lb_ac
    if stated is not None:
        return sorted(set(stated))
    usual = max(rate.values(), default=0.0) if isinstance(rate, dict) else rate
    return sorted({*NITROGEN_TRIED_LB_AC, usual})
