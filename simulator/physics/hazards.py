"""What ice, wind, fire and beetles take of a stand, by its age, its last thinning and its species."""

from typing import NamedTuple

import numpy as np

from simulator.units import FloatArray, Floats


class Hazard(NamedTuple):
    """Losses to one hazard; all shares are of the trees that stand.

    Attributes
    ----------
    youngest, young, middle, old
        Share of the trees lost at an age below ``young_from``, from there, from ``middle_from`` and from ``old_from``
        [1].
    young_from, middle_from, old_from
        Ages at which those begin [yr].
    thinned_factor, thinned_years
        Losses are so many times as high so many years after a thinning [1], [yr].
    damaged_share
        Share of the trees left whose stems are bent, broken or charred and make no sawtimber [1].
    salvaged_share
        Share of the lost wood that is sold [1].
    """

    youngest: float
    young: float
    middle: float
    old: float
    young_from: float
    middle_from: float
    old_from: float
    thinned_factor: float
    thinned_years: float
    damaged_share: float
    salvaged_share: float


class BySpecies(NamedTuple):
    """A factor for each species that was ever compared [1]; other trees take loblolly's."""

    loblolly: float
    slash: float
    longleaf: float
    shortleaf: float


class Fuel(NamedTuple):
    """How ground that is grazed or burned tames a wildfire.

    Attributes
    ----------
    tamed_factor
        Losses on ground grazed this year or burned lately against those in an old rough [1].
    burned_lately_yr
        Years for which a burn counts as late [yr].
    """

    tamed_factor: float
    burned_lately_yr: float


class ByStocking(NamedTuple):
    """Yearly probability that beetles strike a stand, by its basal area.

    Attributes
    ----------
    sparse, middle, dense
        Probability below ``middle_from_ft2_ac``, from there, and from ``dense_from_ft2_ac`` [1/yr].
    middle_from_ft2_ac, dense_from_ft2_ac
        Basal areas at which the higher probabilities begin [ft2/ac].
    """

    sparse: float
    middle: float
    dense: float
    middle_from_ft2_ac: float
    dense_from_ft2_ac: float


class Rough(NamedTuple):
    """Yearly probability of a wildfire [1/yr]: in an old rough, and on ground grazed or burned lately."""

    rough: float
    tamed: float


MOST_LOST = 0.99
"""Somebody always survives: the plan goes on to its harvest year with what is left."""


def lost_share(age: Floats, years_since_thinning: Floats, species_factor: Floats, hazard: Hazard) -> FloatArray:
    """Share of the trees lost when a hazard of ordinary strength strikes.

    Parameters
    ----------
    age
        Age of the stand [yr], any shape.
    years_since_thinning
        Years since the last thinning [yr], infinite before the first.
    species_factor
        Losses of the species against loblolly's [1].
    hazard
        Its numbers.

    Returns
    -------
    FloatArray
        Share of the trees, at most 0.99 [1]. Illustrative, no forecast: storms differ more among themselves
        than stands do.

    References
    ----------
    Orders of magnitude after surveys of single storms and fires; steps by age assumed for this project.
    """
    years = np.asarray(age, dtype=np.float64)
    steps = [years < hazard.young_from, years < hazard.middle_from, years < hazard.old_from]
    share = np.select(steps, [hazard.youngest, hazard.young, hazard.middle], hazard.old)
    fresh = np.asarray(years_since_thinning) < hazard.thinned_years
    raised = share * np.where(fresh, hazard.thinned_factor, 1.0) * np.asarray(species_factor)
    return np.asarray(np.clip(raised, 0.0, MOST_LOST))


def beetle_probability(basal_area_ft2_ac: Floats, chance: ByStocking) -> FloatArray:
    """Probability that beetles strike a stand in a quiet year.

    Parameters
    ----------
    basal_area_ft2_ac
        Basal area [ft2/ac], any shape.
    chance
        Its numbers.

    Returns
    -------
    FloatArray
        Probability [1/yr]; steps. Illustrative, no forecast.

    References
    ----------
    Steps by basal area: assumed for this project.
    """
    area = np.asarray(basal_area_ft2_ac, dtype=np.float64)
    steps = [area < chance.middle_from_ft2_ac, area < chance.dense_from_ft2_ac]
    return np.asarray(np.select(steps, [chance.sparse, chance.middle], chance.dense), dtype=np.float64)


def scorched_share(height_ft: Floats, safe_height_ft: Floats, most_lost: Floats) -> FloatArray:
    """Share of the trees that a prescribed burn kills.

    Parameters
    ----------
    height_ft
        Dominant height [ft], any shape.
    safe_height_ft
        Height from which a cool burn kills none [ft].
    most_lost
        Share lost among the smallest that may be burned [1].

    Returns
    -------
    FloatArray
        Share [1], falling in a straight line to 0 at the safe height; assumed for this project.

    References
    ----------
    Assumed for this project.
    """
    short = np.clip(1.0 - np.asarray(height_ft, dtype=np.float64) / np.asarray(safe_height_ft), 0.0, 1.0)
    return np.asarray(np.asarray(most_lost) * short)
