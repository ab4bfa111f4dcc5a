"""How the growth levels of longleaf and shortleaf were set, and how far the shipped ones lie off.

Run ``python docs/fit_species_growth.py``. Neither species has an open growth equation for planted stands that could
be read, so both run on loblolly's engine times a level by age, shipped as provisional in the species' files.

Longleaf: basal area of a line through three published points (ln BA in m2/ha = -5.130 + 1.218 ln dominant height in m
+ .701 ln trees/ha: plot means of Gonzalez-Benecke et al. 2012, Forests 3:1104, and two plots of Haywood et al. 2015,
USDA Forest Service SRS-203:383-390, whose basal areas were worked back from volumes). Its slope by density mixes sites,
so it is low for open stands. Shortleaf: .70 of loblolly's basal area and .42 of its merchantable wood at 16
(VanderSchaaf & Kushla 2022, Reforesta 14, a retired field), and .85 of its basal area at 40 (assumed).
"""

from math import exp, log
from typing import NamedTuple

import numpy as np

from simulator.enterprises.wood import standing_merchantable_ton_ac
from simulator.events.growth import grown
from simulator.events.planting import on_planting_day
from simulator.events.site import site_of
from simulator.parameters.growth import Tree, load_tree
from simulator.parameters.wood import load_stem_quality, load_wood
from simulator.physics.diameter import GrowthLevel
from simulator.plan import Plan, compile_plan
from simulator.scenario.land import Land, Money
from simulator.scenario.model import Scenario
from simulator.scenario.trees import Harvest, Layout, Trees
from simulator.state import basal_area_ft2_ac, trees_per_ac
from simulator.units import FEET_PER_METRE, FT2_AC_PER_M2_HA, SQUARE_FEET_PER_ACRE

SITE_INDEX_FT = 68.0
HECTARES_PER_ACRE = 0.4047
LONGLEAF_TREES_PER_AC = (243.0, 350.0, 470.0, 607.0)
AGES_YR = (10, 15, 20, 25, 30, 35, 40)
FIELD_TREES_PER_AC = 600.0


class Stand(NamedTuple):
    """One stand at one age."""

    height_ft: float
    trees_per_ac: float
    basal_area_ft2_ac: float
    merchantable_ton_ac: float


def stands(species: str, trees_per_acre: float, former_use: str, level: GrowthLevel | None = None) -> dict[int, Stand]:
    """Grow an unthinned square planting and return it by age, with another growth level if one is given."""
    tree = load_tree(species)
    if level is not None:
        tree = tree._replace(species=tree.species._replace(growth=level))
    side = float(np.sqrt(SQUARE_FEET_PER_ACRE / trees_per_acre))
    plan = compile_plan([_planting(species, side, former_use)], strip_width_ft=5.0, points=2)
    return _years(tree, species, plan)


def _planting(species: str, side_ft: float, former_use: str) -> Scenario:
    return Scenario.model_validate(
        {
            "format": 1,
            "land": Land(acres=40.0, latitude_deg=31.3, site_index_ft=SITE_INDEX_FT, former_use=former_use),
            "money": Money(discount_rate=0.05),
            "trees": Trees(species=species, survival=1.0, layout=Layout(in_row_ft=side_ft, alley_ft=side_ft)),
            "harvest": Harvest(year=100),
        }
    )


def _years(tree: Tree, species: str, plan: Plan) -> dict[int, Stand]:
    site, wood = site_of(plan, tree), load_wood(species, natural=False)
    stand = on_planting_day(plan.geometry, site.survival, tree, load_stem_quality(species))
    found = {}
    for age in range(1, max(AGES_YR) + 1):
        stand = grown(stand, plan.geometry, site, tree)
        found[age] = Stand(
            float(stand.height_ft[0]),
            float(trees_per_ac(stand)[0]),
            float(basal_area_ft2_ac(stand)[0]),
            float(standing_merchantable_ton_ac(stand, wood)[0]),
        )
    return found


def line_ft2_ac(stand: Stand) -> float:
    """Basal area of the line through the three published points of longleaf [ft2/ac]."""
    height_m, per_ha = stand.height_ft / FEET_PER_METRE, stand.trees_per_ac / HECTARES_PER_ACRE
    return FT2_AC_PER_M2_HA * exp(-5.130 + 1.218 * log(height_m) + 0.701 * log(per_ha))


def longleaf_residuals(level: GrowthLevel | None = None) -> dict[tuple[float, int], float]:
    """Log of basal area grown on cutover over that of the line, by trees planted an acre and age."""
    return {
        (planted, age): log(stand.basal_area_ft2_ac / line_ft2_ac(stand))
        for planted in LONGLEAF_TREES_PER_AC
        for age, stand in stands("longleaf", planted, "cutover", level).items()
        if age in AGES_YR
    }


def shortleaf_shares() -> dict[int, tuple[float, float]]:
    """Shortleaf over loblolly on a retired field, by age: basal area, merchantable tons."""
    short, lob = (stands(species, FIELD_TREES_PER_AC, "pasture") for species in ("shortleaf", "loblolly"))
    return {
        age: (
            short[age].basal_area_ft2_ac / lob[age].basal_area_ft2_ac,
            short[age].merchantable_ton_ac / lob[age].merchantable_ton_ac,
        )
        for age in (16, 25, 40)
    }


def main() -> None:
    """Print levels tried and the residuals of the shipped ones."""
    print("longleaf: level at 10 and from 20 on, root mean square and mean of log residuals")
    for young in (0.9, 1.0, 1.1):
        for old in (0.6, 0.7, 0.8):
            off = np.array(list(longleaf_residuals(GrowthLevel((10.0, 20.0), (young, old))).values()))
            print(f"  {young:.2f} {old:.2f}  {np.sqrt((off**2).mean()):.3f} {off.mean():+.3f}")
    print("shipped, by trees planted and age")
    for (planted, age), off in longleaf_residuals().items():
        print(f"  {planted:.0f}/ac at {age}: {off:+.2f}")
    print("shortleaf over loblolly: basal area, merchantable tons")
    for age, (area, tons) in shortleaf_shares().items():
        print(f"  at {age}: {area:.2f} {tons:.2f}")


if __name__ == "__main__":
    main()
