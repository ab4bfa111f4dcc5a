"""One year of the trees: height, diameter by row from its own growing space, deaths, crowns."""

from dataclasses import replace

import numpy as np

from simulator.events.crowding import Part, joined, parts_of, relative_density
from simulator.events.height import dominant_height_of_species_ft
from simulator.events.site import Site
from simulator.geometry import Geometry
from simulator.parameters.growth import Tree
from simulator.physics.crown import crown_ratio, crown_width_ft
from simulator.physics.diameter import dbh_increment_in, growth_multiplier
from simulator.physics.rust import rust_surviving_share
from simulator.physics.survival import surviving_share
from simulator.state import Stand, keep_share, mean_height_ft, neighbour_rows_ft
from simulator.units import FloatArray

BREAST_HEIGHT_FT = 4.5


def grown(stand: Stand, geometry: Geometry, site: Site, tree: Tree) -> Stand:
    """The stand a year later.

    Parameters
    ----------
    stand
        At the start of the year.
    geometry
        Its rows.
    site
        Site index, culture, establishment survival, crown multiplier.
    tree
        Species.

    Returns
    -------
    Stand
        At the end of the growing season, diameters [in], trees [1/ac]; establishment losses fall in the first year.

    References
    ----------
    Order of steps: this project's own; each step's source stands with its own equation. The first
    dbh above breast height: assumed.
    """
    age = stand.age + 1
    height = dominant_height_of_species_ft(site, age, tree) + site.height_lift_ft
    culture = site.culture * growth_multiplier(age, tree.species.growth)
    first = np.maximum(tree.diameter.start_in_ft, tree.diameter.start_in_ft * (height - BREAST_HEIGHT_FT))[:, None]
    begun = np.where(height[:, None] > BREAST_HEIGHT_FT, first, 0.0)
    parts = parts_of(stand, geometry, tree)
    sizes = []
    for part in parts:
        step = dbh_increment_in((height - stand.height_ft)[:, None], part.density, culture[:, None], tree.diameter)
        sizes.append(np.where(stand.alive, np.where(part.dbh_in > 0, part.dbh_in + step, begun), 0.0))
    living = [surviving_share(p.density, p.dbh_in, dbh, tree.survival) for p, dbh in zip(parts, sizes, strict=True)]
    later = joined(*((part.share, share) for part, share in zip(parts, living, strict=True)))
    later = later * rust_surviving_share(site.rust_infected_share, age, tree.species.rust)[:, None]
    alive = np.where(stand.age[:, None] == 0, site.survival[:, None], later)
    after = replace(stand, age=age, height_ft=height, trees=stand.trees * alive)
    return _with_crowns(stand, _sized(after, parts, sizes), geometry, site, tree)


def _sized(stand: Stand, parts: tuple[Part, ...], dbh_in: list[FloatArray]) -> Stand:
    """The stand with the diameters of its parts as one of each row, and how much the outermost are ahead.

    Parameters
    ----------
    stand
        The stand.
    parts
        The rows inside and, where a field has edges, outermost.
    dbh_in
        Diameters of each part [in], (candidates, rows) each.

    Returns
    -------
    Stand
        With the quadratic mean of both as dbh [in], and the ratio of outermost to inner dbh [1].

    References
    ----------
    Definition: basal area is kept.
    """
    inner = dbh_in[0]
    if len(parts) == 1:
        return replace(stand, dbh_in=inner)
    share, outer = parts[1].share, dbh_in[1]
    mean = np.where(share > 0.0, np.sqrt((1.0 - share) * inner**2 + share * outer**2), inner)
    gain = np.divide(outer, inner, out=np.ones_like(inner), where=inner > 0.0)
    return replace(stand, dbh_in=mean, edge_gain=gain)


def _with_crowns(before: Stand, after: Stand, geometry: Geometry, site: Site, tree: Tree) -> Stand:
    """Let crowns follow the year's growth, but never jump: a neighbour's fall is filled in slowly.

    Parameters
    ----------
    before, after
        The stand at the start and at the end of the season.
    geometry
        Its rows.
    site
        Its site.
    tree
        Species.

    Returns
    -------
    Stand
        With crown radii [ft] and the height of the crown base [ft] at the end of the season; a crown base never sinks.

    References
    ----------
    How fast a crown may widen into a gap: assumed for this project.
    """
    mean_height = mean_height_ft(after)
    new = _crown_radii(after, geometry, site, tree)
    old = _crown_radii(before, geometry, site, tree)
    across, along = (
        was + np.clip(target - was, 0.0, np.maximum(tree.crown.radius_growth_ft_yr, target - same))
        for was, target, same in zip((before.across_ft, before.along_ft), new, old, strict=True)
    )
    ratio = crown_ratio(after.dbh_in, mean_height, after.age[:, None], tree.crown)
    base = np.maximum(before.crown_base_ft, mean_height * (1.0 - ratio))
    base = np.minimum(base, mean_height * (1.0 - tree.crown.shortest_ratio))
    return replace(after, across_ft=across, along_ft=along, crown_base_ft=np.where(after.alive, base, 0.0))


def with_settled_crowns(stand: Stand, geometry: Geometry, site: Site, tree: Tree) -> Stand:
    """The stand with crowns as wide and as long as its trees have in their present company.

    Parameters
    ----------
    stand
        Trees whose crowns nobody measured.
    geometry, site, tree
        Its rows, site and species.

    Returns
    -------
    Stand
    """
    across, along = _crown_radii(stand, geometry, site, tree)
    height = mean_height_ft(stand)
    ratio = crown_ratio(stand.dbh_in, height, stand.age[:, None], tree.crown)
    base = np.where(stand.alive, height * (1.0 - ratio), 0.0)
    return replace(stand, across_ft=across, along_ft=along, crown_base_ft=base)


def _crown_radii(stand: Stand, geometry: Geometry, site: Site, tree: Tree) -> tuple[FloatArray, FloatArray]:
    """Radii that the trees tend to, held off by the nearest surviving neighbours.

    Parameters
    ----------
    stand
        The stand.
    geometry
        Its rows.
    site
        Its site.
    tree
        Species.

    Returns
    -------
    tuple of FloatArray
        Crown radius across the rows and along them [ft], (candidates, rows) each; 0 where there are no trees.

    References
    ----------
    Crowns may overlap by a share of the room between neighbours, and neighbours left after a thinning stand at the mean
    spacing: assumed for this project.
    """
    density = relative_density(stand, geometry, tree)
    multiplier = site.crown_multiplier[:, None]
    radius = crown_width_ft(stand.dbh_in, mean_height_ft(stand), density, multiplier, tree.crown) / 2.0
    left, right = neighbour_rows_ft(stand, geometry)
    along = geometry.in_row_ft[:, None] / np.maximum(keep_share(stand, geometry), 1e-6)
    # where trees are gone from the next row too, the nearest neighbours stand at the mean spacing
    wide = (np.maximum(left, np.sqrt(left * along)) + np.maximum(right, np.sqrt(right * along))) / 2.0
    long = np.maximum(geometry.in_row_ft[:, None], np.minimum(along, np.sqrt(along * (left + right) / 2.0)))
    room_across, room_along = tree.crown.overlap * wide, tree.crown.overlap * long
    alive = stand.trees > 0
    return (
        np.where(alive, np.minimum(radius, room_across), 0.0),
        np.where(alive, np.minimum(radius, room_along), 0.0),
    )
