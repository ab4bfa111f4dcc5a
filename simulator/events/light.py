"""Light of a year on the grass ground: the crowns at mid-season under the site's sky, warm and cool."""

from functools import lru_cache
from typing import Literal, NamedTuple

import numpy as np

from simulator.geometry import Geometry
from simulator.parameters.growth import Tree
from simulator.parameters.tables import Tables
from simulator.physics.crown import leaf_area_ft2
from simulator.physics.forage import Season as GrassSeason
from simulator.physics.light import Cell, OverRows, RowCrowns, canopy_cover, light_profile
from simulator.physics.sun import SkyRays, season_rays
from simulator.plan import Plan
from simulator.state import Stand, keep_share, mean_height_ft
from simulator.units import BoolArray, FloatArray

Precision = Literal["exact", "fast"]

WARM_MONTHS = (3, 4, 5, 6, 7, 8, 9, 10, 11)
COOL_MONTHS = (12, 1, 2)


class Sky(NamedTuple):
    """The sky of the candidates that share a latitude and a row direction."""

    members: BoolArray
    azimuth_deg: float
    warm: SkyRays
    cool: SkyRays


class Lit(NamedTuple):
    """Light of a year.

    Attributes
    ----------
    warm, cool
        Share of open light at points across the grass ground [1], (candidates, points).
    cover
        Share of the land vertically under crowns [1], (candidates,).
    """

    warm: FloatArray
    cool: FloatArray
    cover: FloatArray


def light_of_season(lit: Lit, season: GrassSeason) -> FloatArray:
    """Light of a grass's own season at points across the grass ground.

    Parameters
    ----------
    lit
        Light of a year.
    season
        Months in which the grass grows.

    Returns
    -------
    FloatArray
        Warm and cool light weighted by the grass's growth in those months [1], (candidates, points); a grass
        without growth from December to February takes the warm light alone.

    References
    ----------
    Assumed for this project.
    """
    cool = sum(season.monthly_share[month - 1] for month in COOL_MONTHS)
    return np.asarray((1.0 - cool) * lit.warm + cool * lit.cool) if cool > 0 else lit.warm


@lru_cache(maxsize=64)
def _rays(latitude_deg: float, months: tuple[int, ...], clearness: float) -> SkyRays:
    return season_rays(latitude_deg, months, clearness)


def skies_of(plan: Plan, tables: Tables) -> tuple[Sky, ...]:
    """Group the candidates of a plan by latitude and row direction, each group with its sky."""
    place = np.column_stack([plan.column("land", "latitude_deg"), plan.geometry.azimuth_deg])
    clearness = tables.season.clearness
    skies = []
    for latitude, azimuth in np.unique(place, axis=0):
        members = (place == (latitude, azimuth)).all(axis=1)
        warm, cool = (_rays(float(latitude), months, clearness) for months in (WARM_MONTHS, COOL_MONTHS))
        skies.append(Sky(members, float(azimuth), warm, cool))
    return tuple(skies)


def light_of_year(
    before: Stand, after: Stand, geometry: Geometry, skies: tuple[Sky, ...], tables: Tables, precision: Precision
) -> Lit:
    """Light on the grass ground from the crowns halfway through the season.

    Parameters
    ----------
    before, after
        The stand at the start and at the end of the season.
    geometry
        Its rows and ground points.
    skies
        Skies of the candidates.
    tables
        Tree and light numbers.
    precision
        Light path.

    Returns
    -------
    Lit
        Exactly 1 where there are no trees.
    """
    shape = geometry.points_ft.shape
    warm, cool, cover = np.ones(shape), np.ones(shape), np.zeros(shape[0])
    crowns = {
        share: crowns_at_mid_year(before, after, geometry, tables.tree, share)
        for share in (tables.tree.crown.warm_share, tables.tree.crown.cool_share)
    }
    shaded = (after.trees > 0).any(axis=1)
    for sky in skies:
        here = sky.members & shaded
        if not here.any():
            continue
        cell = Cell(width_ft=geometry.cell_ft[here], in_row_ft=geometry.in_row_ft[here])
        for light, rays, share in (
            (warm, sky.warm, tables.tree.crown.warm_share),
            (cool, sky.cool, tables.tree.crown.cool_share),
        ):
            rows = RowCrowns(*(field[here] for field in crowns[share]))
            light[here] = light_profile(
                rows, cell, geometry.points_ft[here], OverRows(rays, sky.azimuth_deg), tables.light, precision=precision
            )
        cover[here] = canopy_cover(RowCrowns(*(field[here] for field in crowns[tables.tree.crown.warm_share])), cell)
    return Lit(warm, cool, cover)


def crowns_at_mid_year(before: Stand, after: Stand, geometry: Geometry, tree: Tree, season_share: float) -> RowCrowns:
    """Crowns that take the year's light: halfway in size, with the foliage of this year's peak.

    Parameters
    ----------
    before, after
        The stand at the start and at the end of the season.
    geometry
        Its rows.
    tree
        Species.
    season_share
        Season's mean leaf area / its peak [1].

    Returns
    -------
    RowCrowns
        Fields (candidates, rows): sizes [ft], leaf area [ft2].

    References
    ----------
    Foliage peaks in September: Sampson and co-workers 2003, Canadian Journal of Forest Research 33:2477. Sizes halfway
    through the season: assumed for this project.
    """
    heights = [mean_height_ft(stand) for stand in (before, after)]
    # foliage peaks in September, with the season's growth: the season's mean is a share of this year's peak
    peak = leaf_area_ft2(after.dbh_in, heights[1], after.crown_base_ft, tree.crown)
    height = (heights[0] + heights[1]) / 2.0
    base = (before.crown_base_ft + after.crown_base_ft) / 2.0
    return RowCrowns(
        offset_ft=geometry.offset_ft,
        half_width_across_ft=(before.across_ft + after.across_ft) / 2.0,
        half_width_along_ft=(before.along_ft + after.along_ft) / 2.0,
        half_length_ft=np.maximum(height - base, 0.0) / 2.0,
        center_height_ft=(height + base) / 2.0,
        leaf_area_ft2=season_share * peak,
        keep_share=np.clip(keep_share(after, geometry), 0.0, 1.0),
        dbh_in=(before.dbh_in + after.dbh_in) / 2.0,
        crown_base_ft=base,
    )
