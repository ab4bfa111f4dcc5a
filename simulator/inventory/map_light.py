"""Crowns and light of a mapped stand, before and after trees are taken."""

from typing import Final, NamedTuple

import numpy as np

from simulator.inventory.stem_map import StemMap
from simulator.parameters.growth import Tree, load_light, load_season, load_tree
from simulator.physics.crown import crown_ratio, crown_width_ft, leaf_area_ft2, open_grown_width_ft
from simulator.physics.diameter import stand_density_index
from simulator.physics.light import MappedCrowns, mapped_light, slopes
from simulator.physics.sun import Quadrature, season_rays
from simulator.units import SQUARE_FEET_PER_ACRE, FloatArray, IntArray

WARM_MONTHS: Final = tuple(range(3, 12))
POINTS_A_SIDE: Final = 14
"""Ground points along each side of the map: enough for a mean within .01 on a map of some tens of trees."""
COARSE: Final = Quadrature(hours=8, rings=5, azimuths=8)


class MapSite(NamedTuple):
    """Where and how old a mapped stand is, and the rectangle it fills [ft]."""

    latitude_deg: float
    age_yr: float
    box_ft: tuple[float, float]

    @property
    def acres(self) -> float:
        """Area of the map [ac]."""
        return self.box_ft[0] * self.box_ft[1] / SQUARE_FEET_PER_ACRE


class MapLight(NamedTuple):
    """Warm-season light on the ground: its mean, and how unevenly it falls (standard deviation over mean) [1]."""

    mean: float
    unevenness: float


def free_crown_radius_ft(stems: StemMap) -> FloatArray:
    """Crown radius of each tree if it stood free [ft], (trees,)."""
    return open_grown_width_ft(stems.dbh_in, load_tree(stems.species).crown) / 2.0


def box_of(stems: StemMap) -> tuple[float, float]:
    """Rectangle that a map fills: its extent, and half a mean spacing on every side.

    Parameters
    ----------
    stems
        The map.

    Returns
    -------
    tuple of float
        Width and depth [ft].

    References
    ----------
    Assumed for this project.
    """
    wide, deep = float(np.ptp(stems.x_ft)), float(np.ptp(stems.y_ft))
    spacing = max((wide * deep / len(stems.tree)) ** 0.5, 1.0)
    return wide + spacing, deep + spacing


def light_without(stems: StemMap, site: MapSite, taken: IntArray) -> MapLight:
    """Light on the ground once some trees are gone, before the others' crowns have grown into the gaps.

    Parameters
    ----------
    stems
        The map.
    site
        Where it is.
    taken
        Places in the map of the trees taken, (taken,).

    Returns
    -------
    MapLight
        Mean and unevenness [1]. The map is taken to repeat beyond its edge.

    References
    ----------
    As for :func:`simulator.physics.light.mapped.mapped_light`.
    """
    tree = load_tree(stems.species)
    crowns = _crowns(stems, site, tree)
    kept = np.delete(np.arange(len(stems.tree)), taken)
    rays = slopes(season_rays(site.latitude_deg, WARM_MONTHS, load_season().clearness, COARSE), 0.0)
    steps = (np.arange(POINTS_A_SIDE) + 0.5) / POINTS_A_SIDE
    east, north = np.meshgrid(stems.x_ft.min() + steps * site.box_ft[0], stems.y_ft.min() + steps * site.box_ft[1])
    points = np.column_stack([east.ravel(), north.ravel()])
    left = MappedCrowns(*(field[kept] for field in crowns))
    light = mapped_light(left, points, site.box_ft, rays, load_light())
    return MapLight(float(light.mean()), float(light.std() / light.mean()))


def _crowns(stems: StemMap, site: MapSite, tree: Tree) -> MappedCrowns:
    """Crowns as the whole stand has grown them."""
    per_ac = len(stems.tree) / site.acres
    mean = float(np.sqrt(np.mean(stems.dbh_in**2)))
    density = stand_density_index(per_ac, mean, tree.diameter) / tree.diameter.sdi_maximum
    width = crown_width_ft(stems.dbh_in, stems.height_ft, np.minimum(density, 1.0), 1.0, tree.crown)
    base = stems.height_ft * (1.0 - crown_ratio(stems.dbh_in, stems.height_ft, site.age_yr, tree.crown))
    leaves = leaf_area_ft2(stems.dbh_in, stems.height_ft, base, tree.crown) * tree.crown.warm_share
    return MappedCrowns(stems.x_ft, stems.y_ft, width / 2.0, stems.height_ft, base, leaves)
