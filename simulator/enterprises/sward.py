"""The grass of a year: what grows on the grass ground under this light, these roots and these needles."""

from typing import NamedTuple

import numpy as np

from simulator.geometry import Geometry
from simulator.parameters.pasture import Straw
from simulator.parameters.tables import Tables
from simulator.physics.browse import browse_lb_ac
from simulator.physics.diameter import stand_density_index
from simulator.physics.forage import (
    light_response,
    litter_response,
    open_yield_lb_ac,
    root_response,
)
from simulator.physics.straw import straw_yield_lb_ac
from simulator.state import Stand, basal_area_ft2_ac, quadratic_mean_dbh_in, trees_per_ac
from simulator.units import FloatArray


class Needles(NamedTuple):
    """Needlefall of a year.

    Attributes
    ----------
    zone_share
        Share of the land that lies under or near crowns [1], (candidates,).
    per_ac_lb
        Needles per acre of land [lb/ac], (candidates,).
    """

    zone_share: FloatArray
    per_ac_lb: FloatArray


class Sward(NamedTuple):
    """Grass grown in a year.

    Attributes
    ----------
    forage_lb_ac
        Dry matter grown per acre of land [lb/ac], (candidates,).
    share_of_open
        Yield of an acre of grass ground as a share of open pasture with the same nitrogen [1].
    open_lb_ac
        Yield of open pasture with the same nitrogen [lb/ac].
    grass_share
        Grass as a share of all that the animals find, browse with it [1].
    """

    forage_lb_ac: FloatArray
    share_of_open: FloatArray
    open_lb_ac: FloatArray
    grass_share: FloatArray

    def thinned_to(self, share: FloatArray) -> "Sward":
        """The same year with only so much of the sward alive [1], (candidates,)."""
        return self._replace(forage_lb_ac=self.forage_lb_ac * share, share_of_open=self.share_of_open * share)

    def on_less_ground(self, share: FloatArray) -> "Sward":
        """The same year where only so much of the grass ground is left to it [1]."""
        return self._replace(forage_lb_ac=self.forage_lb_ac * share)

    def beside(self, headland: "Sward", ground: tuple[FloatArray, FloatArray]) -> "Sward":
        """The same year with the grass of the headlands.

        Parameters
        ----------
        headland
            What grows there.
        ground
            Grass between the rows and on the headlands, for each acre that the rows take [ac/ac], (candidates,) each.

        Returns
        -------
        Sward
            Of both together: forage [lb/ac] as a sum, shares [1] as means.

        References
        ----------
        Definition.
        """
        between, open_ = ground
        total = self.forage_lb_ac + headland.forage_lb_ac
        share = (self.share_of_open * between + headland.share_of_open * open_) / (between + open_)
        feed = self.forage_lb_ac / self.grass_share + headland.forage_lb_ac / headland.grass_share
        grass = np.divide(total, feed, out=np.ones_like(total), where=feed > 0.0)
        mixed = Sward(total, share, self.open_lb_ac, grass)
        return Sward(*(np.where(open_ > 0.0, both, own) for both, own in zip(mixed, self, strict=True)))

    def richer_by(self, multiplier: FloatArray) -> "Sward":
        """The same year on ground that grows so much more or less than usual, open and under trees [1]."""
        return self._replace(forage_lb_ac=self.forage_lb_ac * multiplier, open_lb_ac=self.open_lb_ac * multiplier)


def needles(stand: Stand, geometry: Geometry, straw: Straw) -> Needles:
    """Needlefall of the year, spread over the ground that crowns reach.

    Parameters
    ----------
    stand
        The stand.
    geometry
        Its rows.
    straw
        Needlefall of the species.

    Returns
    -------
    Needles
        Share of the land under crowns [1] and needles [lb/ac]. Ground under crowns is taken as crown width along each
        row, at most the whole acre.

    References
    ----------
    As for :func:`simulator.physics.straw.straw_yield_lb_ac`; the ground that needles fall on: assumed for this project.
    """
    covered = (2.0 * stand.across_ft * stand.alive).sum(axis=1) / geometry.cell_ft
    share = np.clip(covered, 0.0, 1.0)
    area = basal_area_ft2_ac(stand)
    zone = np.divide(area, share, out=np.zeros_like(area), where=share > 0)
    fall = straw_yield_lb_ac(zone, stand.age, straw.yearly)
    return Needles(share, fall * share)


def grass_growth(
    profile: FloatArray, stand: Stand, geometry: Geometry, litter: FloatArray, nitrogen: FloatArray, tables: Tables
) -> Sward:
    """Grass that a full sward would grow this year; the caller multiplies by how much sward there is.

    Parameters
    ----------
    profile
        Light at points across the grass ground [1], (candidates, points); the response is averaged
        over it, not taken at its mean.
    stand
        The stand, for its roots.
    geometry
        For the share of the land that is grass ground.
    litter
        Needles left lying [lb/ac], (candidates,).
    nitrogen
        Nitrogen on the grass ground [lb/ac], (candidates,).
    tables
        Grass and tree numbers.

    Returns
    -------
    Sward
        Forage [lb/ac], and yield as a share of open pasture [1].

    References
    ----------
    Three factors one upon the other: assumed for this project; as for :func:`simulator.physics.forage.light_response`.
    """
    grass, tree = tables.grass, tables.tree
    density = stand_density_index(trees_per_ac(stand), quadratic_mean_dbh_in(stand), tree.diameter)
    roots = root_response(density / tree.diameter.sdi_maximum, grass.shade)
    light = light_response(profile, grass.shade).mean(axis=1)
    share = light * roots * litter_response(litter, grass.litter)
    opened = open_yield_lb_ac(nitrogen, grass.open_yield)
    return Sward(opened * share * geometry.grass_share, share, opened, _share_of_feed(stand, tables))


def headland_growth(geometry: Geometry, nitrogen: FloatArray, tables: Tables) -> Sward:
    """Grass that a full sward would grow this year on the headlands, in the open.

    Parameters
    ----------
    geometry
        For the ground that the headlands take.
    nitrogen
        Nitrogen on the grass ground [lb/ac], (candidates,).
    tables
        Grass numbers.

    Returns
    -------
    Sward
        Shade that outermost rows throw there is left out: they lack as much from rows beyond them, which the light
        between the rows reckons with as if they stood.
    """
    opened, everywhere = open_yield_lb_ac(nitrogen, tables.grass.open_yield), np.ones(len(nitrogen))
    return Sward(opened * geometry.headland, everywhere, opened, everywhere)


def _share_of_feed(stand: Stand, tables: Tables) -> FloatArray:
    """Grass as a share of what the animals find.

    Parameters
    ----------
    stand
        The stand, whose age and basal area say how much brush there is.
    tables
        Animal numbers.

    Returns
    -------
    FloatArray
        Share [1], (candidates,); 1 where they leave brush alone.

    References
    ----------
    As for :func:`simulator.physics.browse.browse_lb_ac`.
    """
    area, browse = basal_area_ft2_ac(stand), tables.animals.browse if tables.animals is not None else None
    if browse is None:
        return np.ones_like(area)
    return np.asarray(1.0 / (1.0 + browse_lb_ac(1.0, stand.age, area, browse)))
