"""Stands grown with the tree events alone, no grass, animals or money, for whichever test needs one."""

from collections.abc import Sequence
from math import sqrt
from typing import NamedTuple

import numpy as np

from simulator.events.growth import Site, grown
from simulator.events.planting import on_planting_day
from simulator.events.thinning import Cut, thinned
from simulator.geometry import Geometry
from simulator.parameters.growth import Tree, load_tree
from simulator.parameters.tables import Marking
from simulator.parameters.wood import load_stem_quality
from simulator.plan import Plan, compile_plan
from simulator.scenario.land import Land, Money
from simulator.scenario.model import Scenario
from simulator.scenario.trees import Harvest, Layout, Thinning, Trees
from simulator.state import Stand, basal_area_ft2_ac, quadratic_mean_dbh_in, trees_per_ac
from simulator.units import SQUARE_FEET_PER_ACRE

LOBLOLLY = load_tree("loblolly")
QUALITY = load_stem_quality("loblolly")
PASTURE, CUTOVER = LOBLOLLY.site_culture
PUBLISHED_CURVE_ONLY = LOBLOLLY._replace(height=LOBLOLLY.height._replace(blend_from_yr=-1.0, blend_to_yr=0.0))
"""Loblolly without the young height curve."""


class Year(NamedTuple):
    """A stand at the end of a growing season, what was cut then, and what stays."""

    season_end: Stand
    cut: Cut
    left: Stand


class Life(NamedTuple):
    """A batch from planting on; ``years[t]`` is year t, year 0 the planting day."""

    plan: Plan
    years: tuple[Year, ...]

    @property
    def geometry(self) -> Geometry:
        """Rows of the plan."""
        return self.plan.geometry

    def trees(self, year: int) -> float:
        """Living trees at the end of a season, first of the batch [1/ac]."""
        return float(trees_per_ac(self.years[year].season_end)[0])

    def dbh(self, year: int) -> float:
        """Quadratic mean dbh then [in]."""
        return float(quadratic_mean_dbh_in(self.years[year].season_end)[0])

    def basal_area(self, year: int) -> float:
        """Basal area then [ft2/ac]."""
        return float(basal_area_ft2_ac(self.years[year].season_end)[0])

    def height(self, year: int) -> float:
        """Dominant height then [ft]."""
        return float(self.years[year].season_end.height_ft[0])


class Way(NamedTuple):
    """How a batch is grown: site culture, how carelessly it is marked, and the species."""

    culture: float = PASTURE
    random_share: float = 0.15
    tree: Tree = LOBLOLLY


def square(trees_per_acre: float) -> Layout:
    """Single rows as far apart as the trees in them."""
    spacing = sqrt(SQUARE_FEET_PER_ACRE / trees_per_acre)
    return Layout(rows_in_set=1, in_row_ft=spacing, alley_ft=spacing)


def row_sets(rows: int, row_gap_ft: float, in_row_ft: float, alley_ft: float) -> Layout:
    return Layout(rows_in_set=rows, row_gap_ft=row_gap_ft, in_row_ft=in_row_ft, alley_ft=alley_ft)


def planting(
    site_index_ft: float, layout: Layout, survival: float = 1.0, thinning: Sequence[Thinning] = ()
) -> Scenario:
    """A scenario of which only the trees matter."""
    return Scenario(
        format=1,
        land=Land(acres=40.0, latitude_deg=31.3, site_index_ft=site_index_ft),
        money=Money(discount_rate=0.05),
        trees=Trees(species="loblolly", survival=survival, layout=layout),
        thinning=tuple(thinning),
        harvest=Harvest(year=100),
    )


def site_of(plan: Plan, culture: float = PASTURE) -> Site:
    return Site(
        site_index_ft=plan.column("land", "site_index_ft"),
        culture=np.full(plan.candidates, culture),
        survival=plan.column("trees", "survival"),
        crown_multiplier=plan.column("trees", "crown_width_multiplier"),
    )


def grow(scenarios: Scenario | Sequence[Scenario], years: int, way: Way | None = None) -> Life:
    """Plant, and let the years pass, thinning when due; the final harvest is left out."""
    way = way or Way()
    batch = [scenarios] if isinstance(scenarios, Scenario) else list(scenarios)
    plan = compile_plan(batch, strip_width_ft=5.0, points=2)
    site = site_of(plan, way.culture)
    stand = on_planting_day(plan.geometry, site.survival, way.tree, QUALITY)
    nothing = Cut(np.zeros_like(stand.size), stand.grade)
    record = [Year(stand, nothing, stand)]
    for _ in range(years):
        season_end = grown(stand, plan.geometry, site, way.tree)
        stand, cut = thinned(season_end, plan.geometry, plan.calendar, QUALITY, Marking(way.random_share))
        record.append(Year(season_end, cut, stand))
    return Life(plan, tuple(record))
